// Makes the static site in dist/ from scratch: the Go programs, the scripts and
// styles bundled and made small, the Go runtime's own script, and the licences
// of the parts. What a part holds is in its name, so that it can be kept for
// good; the few files beside parts/ name them. plateau.html is the whole site in one
// file. Each language that words/ has a table for gets these pages too.
//
//   node build.mjs [--out FOLDER] [--app GO-PACKAGE] [--from FOLDER] [--no-cards]
//     [--words FOLDER] [--program FILE]
//
// --app names the Go program (./wasm/app), --from the folder it is built in
// (the top of the repository). --no-cards is for a server of files alone, which
// cannot draw previews: the page then offers no link with preview. --words names the
// folder with the tables of other languages (words), --program the program where it
// is built already.

import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { brotliCompressSync } from 'node:zlib';
import { bundle } from './build/bundle.mjs';
import { licences, program, runtime, top, web } from './build/go.mjs';
import { headers, inMeta, policy } from './build/headers.mjs';
import { icons, manifest, paper, seal } from './build/offline.mjs';
import { alternates, others, programTable } from './build/languages.mjs';
import { written } from './build/pages.mjs';
import { Parts, isWhole } from './build/parts.mjs';
import { single, standalone } from './build/single.mjs';
import { inLanguage, pathIn } from './words/pages.mjs';
import { tables } from './words/texts.mjs';

const { values: given } = parseArgs({
  options: {
    out: { type: 'string', default: join(web, 'dist') },
    app: { type: 'string', default: './wasm/app' },
    from: { type: 'string', default: top },
    'no-cards': { type: 'boolean', default: false },
    words: { type: 'string', default: join(web, 'words') },
    program: { type: 'string' },
  },
});
const out = resolve(given.out);
const translations = tables(resolve(given.words));
const languages = ['en', ...Object.keys(translations)];

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const parts = new Parts(out);

const scratch = mkdtempSync(join(tmpdir(), 'plateau-build-'));
try {
  // The tag leaves the tables of foreign encodings to the browser's own decoder.
  const app = join(scratch, 'plateau.wasm');
  if (!given.program) program(given.app, { out: app, tags: 'browser', from: resolve(given.from) });
  parts.add('plateau.wasm', readFileSync(given.program ?? app));
} finally {
  rmSync(scratch, { recursive: true, force: true });
}

// Each names those before it, the workers from within their own folder.
parts.add('wasm_exec.js', runtime());
for (const name of ['chart.js', 'style.css']) parts.add(name, await bundle(name));
for (const name of ['worker.js', 'unpack-worker.js']) parts.add(name, await bundle(name, { PARTS: parts.names('') }));
parts.add('loader.js', await bundle('loader.js', { PARTS: parts.names('parts/') }));
for (const language of languages.slice(1)) parts.add(`words.${language}.json`, JSON.stringify(programTable(translations[language])));
parts.add('mark.svg', readFileSync(join(web, 'mark.svg')));
icons(parts);

const names = parts.names('parts/');
const own = (name) => readFileSync(join(web, name), 'utf8');
const page = (name, language, more = {}) => {
  const { source } = written(name);
  const text = language === 'en' ? source : inLanguage(source, language, translations[language]);
  const fixed = { POLICY: inMeta(policy), CARDS: given['no-cards'] ? '' : ' data-cards="yes"', PAPER: paper.light, 'PAPER-DARK': paper.dark };
  return filled(text, { ...fixed, ALTERNATES: alternates(name, language, languages, names), OTHERS: others(name, language, languages), ...names, ...more });
};
const versioned = (version) => ({ VERSION: version, 'VERSION-SHORT': version.slice(0, 8) });
const free = licences([[given.app, resolve(given.from)], ['./wasm/edge', top]]);
parts.write('404.html', page('404.html', 'en'));
for (const language of languages) parts.write(pathIn('guide.html', language), page('guide.html', language));
parts.write('licences.txt', free);
parts.write('manifest.webmanifest', manifest(names));
const version = await seal(parts, Object.fromEntries(languages.map((language) => [pathIn('index.html', language), (id) => page('index.html', language, versioned(id))])));
for (const [path, text] of await inOne(version)) parts.write(path, text);
parts.write('_headers', headers(parts.paths()));
report();

/** The one-file build in each language. */
async function inOne(version) {
  const text = async (name, instead) => (await bundle(name, { PARTS: null }, instead)).toString();
  const looks = { style: await text('style.css'), mark: own('mark.svg') };
  const shared = {
    ...looks,
    licences: free,
    scripts: {
      'wasm_exec.js': runtime().toString(),
      'loader.js': await text('loader.js', { 'loader/parts.js': 'loader/parts-inpage.js' }),
    },
    workers: { 'worker.js': await text('worker.js'), 'unpack-worker.js': await text('unpack-worker.js') },
  };
  const packed = Object.fromEntries(['plateau.wasm', 'chart.js'].map((name) => [name, parts.read(name)]));
  return languages.map((language) => [
    pathIn('plateau.html', language),
    single(page('index.html', language, { POLICY: '{{POLICY}}', CARDS: '', ...versioned(version) }), {
      ...shared,
      guide: standalone(page('guide.html', language, { POLICY: '{{POLICY}}' }), looks),
      packed: { ...packed, ...(language !== 'en' && { 'words.json': parts.read(`words.${language}.json`) }) },
    }),
  ]);
}

/** A page with what stands in it as {{name}}. */
function filled(text, values) {
  return text.replace(/\{\{([\w.-]+)\}\}/g, (_, name) => {
    if (!(name in values)) throw new Error(`nothing is known of {{${name}}}`);
    return values[name];
  });
}

function report() {
  for (const path of parts.paths()) {
    const bytes = readFileSync(join(out, path));
    // Quality 11 takes many seconds on the program itself; make bench has it.
    const small = path.endsWith('.wasm') || isWhole(path) ? '' : `, ${kB(brotliCompressSync(bytes).length)} brotli`;
    console.log(`${path.padEnd(36)} ${kB(bytes.length)}${small}`);
  }
}

function kB(bytes) {
  return `${(bytes / 1000).toFixed(1)} kB`;
}
