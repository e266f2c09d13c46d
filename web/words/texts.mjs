// All texts that people read, and the tables of their translations: one file for
// each language beside this one, from English, in the order in which the texts
// stand in the sources.
//
//   node web/words/texts.mjs            brings the tables up to date
//   node web/words/texts.mjs --check    only looks whether they are

import { execFileSync } from 'node:child_process';
import { readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { top } from '../build/go.mjs';
import { ofPages } from './pages.mjs';
import { ofScripts } from './scripts.mjs';

/** Whether a text without its translation is a fault. */
const COMPLETE = true;

export const here = dirname(fileURLToPath(import.meta.url));
// Of the flags all but the blank, which stands after the sign of per cent.
const VERB = /%(?:\[(\d+)\])?([-+#0]*\d*(?:\.\d+)?)(?:\[(\d+)\])?([a-zA-Z%])/g;
const FOLDERS = ['core', 'wasm/app', 'wasm/unpack'];

/** @typedef {{text: string, file: string, line: number}} Found */

/** @returns {Found[]} in the order of the sources; throws what cannot be told from them */
export function programTexts() {
  const go = JSON.parse(execFileSync('go', ['run', '-buildvcs=false', './web/words', ...FOLDERS], { cwd: top, encoding: 'utf8', maxBuffer: 1 << 26, stdio: 'pipe' }));
  const { texts, faults } = ofScripts();
  if (faults.length > 0) throw new Error(faults.join('\n'));
  return [...go, ...texts];
}

/** @returns {Map<string, Found>} each text where it stands first */
export function allTexts() {
  const all = new Map();
  for (const found of [...programTexts(), ...ofPages()]) if (!all.has(found.text)) all.set(found.text, found);
  return all;
}

/** The tables of a folder by their languages. */
export function tables(folder = here) {
  return Object.fromEntries(readdirSync(folder).filter((name) => /^[a-z]{2}\.json$/.test(name)).sort().map((name) => [basename(name, '.json'), JSON.parse(readFileSync(join(folder, name), 'utf8'))]));
}

/** What is wrong with a table, each in a line. */
export function wrong(language, table, texts) {
  const lines = [];
  const say = (found, what) => lines.push(`${found.file}:${found.line}: ${language}: ${what}: ${JSON.stringify(found.text)}`);
  for (const [text, found] of texts) {
    const words = table[text];
    if (!words) {
      if (COMPLETE) say(found, words === undefined ? 'missing, run "make words"' : 'not translated');
      continue;
    }
    if (verbs(words) !== verbs(text)) say(found, `the verbs of ${JSON.stringify(words)} are not those of`);
    if (marks(words) !== marks(text)) say(found, `the elements of ${JSON.stringify(words)} are not those of`);
  }
  for (const text of Object.keys(table)) if (!texts.has(text)) lines.push(`web/words/${language}.json: in no source any more, run "make words": ${JSON.stringify(text)}`);
  return lines;
}

/** The verbs of a format with the number of the value that each is for, and signs that begin none. */
export function verbs(text) {
  let next = 1;
  const all = [];
  const bare = text.replace(VERB, (_, before, how, after, verb) => {
    if (verb === '%') return '';
    const number = Number(before ?? after ?? next);
    next = number + 1;
    all.push(`${number}${how}${verb}`);
    return '';
  });
  const stray = bare.includes('%') ? ['%'] : [];
  return [...all.sort(), ...stray].join(' ');
}

/** The elements of a text of a page, and what the build fills in. */
const marks = (text) => [...text.matchAll(/<\/?[a-z][^>]*>|\{\{[\w.-]+\}\}/g)].map(([mark]) => mark).sort().join(' ');

function main() {
  const check = process.argv.includes('--check');
  const texts = allTexts();
  let faults = 0;
  for (const [language, table] of Object.entries(tables())) {
    if (check) {
      const lines = wrong(language, table, texts);
      if (lines.length > 0) console.error(lines.join('\n'));
      faults += lines.length;
      continue;
    }
    const now = Object.fromEntries([...texts.keys()].map((text) => [text, table[text] ?? '']));
    writeFileSync(join(here, `${language}.json`), `${JSON.stringify(now, null, 1)}\n`);
    const values = Object.values(now);
    const added = [...texts.keys()].filter((text) => !(text in table)).length;
    const dropped = Object.keys(table).filter((text) => !texts.has(text));
    console.log(`${language}: ${values.length} texts, ${values.filter(Boolean).length} of them translated; ${added} added, ${dropped.length} dropped`);
    for (const text of dropped) if (table[text]) console.log(`  dropped: ${JSON.stringify(text)}: ${JSON.stringify(table[text])}`);
    for (const line of wrong(language, now, texts)) console.log(line);
  }
  if (faults > 0) process.exitCode = 1;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  try {
    main();
  } catch (error) {
    console.error(error.message);
    process.exitCode = 1;
  }
}
