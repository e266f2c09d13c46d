// Makes the static site in dist/ from scratch: the Go programs, the scripts and
// styles bundled and made small, the Go runtime's own script, and the licences
// of the parts.
//
//   node build.mjs [--out FOLDER] [--app GO-PACKAGE] [--from FOLDER] [--no-cards]
//
// --app names the Go program (./wasm/app), --from the folder it is built in
// (the top of the repository). --no-cards is for a server of files alone, which
// cannot draw previews: the page then offers no link with preview.

import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { brotliCompressSync } from 'node:zlib';
import { build } from 'esbuild';

const web = dirname(fileURLToPath(import.meta.url));
const { values: given } = parseArgs({
  options: {
    out: { type: 'string', default: join(web, 'dist') },
    app: { type: 'string', default: './wasm/app' },
    from: { type: 'string', default: dirname(web) },
    'no-cards': { type: 'boolean', default: false },
  },
});
const out = resolve(given.out);
const from = resolve(given.from);
const wasm = { ...process.env, GOOS: 'js', GOARCH: 'wasm' };

const go = (args, env = process.env, cwd = from) =>
  execFileSync('go', args, { cwd, env, encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });

// Code that is not in a hurry is smaller where its calls are not inlined: by
// 20 kB of brotli in all.
const unhurried = [
  'compress/flate', 'encoding/csv', 'fmt', 'hash/crc32', 'internal/fmtsort', 'math/rand/v2', 'os', 'reflect', 'syscall', 'time',
  'golang.org/x/text/encoding/...', 'honnef.co/go/js/dom/v2',
  'plateau/core/cell', 'plateau/core/claim', 'plateau/core/compare', 'plateau/core/demo', 'plateau/core/fit', 'plateau/core/gum', 'plateau/core/measure',
  'plateau/core/load', 'plateau/core/paste', 'plateau/core/publish', 'plateau/core/quantity', 'plateau/core/tester', 'plateau/core/typed', 'plateau/core/workspace', 'plateau/core/link', 'plateau/wasm/app', 'plateau/wasm/app/engine', 'plateau/wasm/app/page', 'plateau/wasm/app/plain', 'plateau/wasm/app/wire',
].map((name) => `-gcflags=${name}=-l`);
const common = ['build', '-buildvcs=false', '-trimpath', '-ldflags=-s -w', ...unhurried];
// The tag leaves the tables of foreign encodings to the browser's own decoder.
go([...common, '-tags=browser', '-o', join(out, 'plateau.wasm'), given.app], wasm);
// Apart, so that only those who drop a packed file load it.
const unpack = ['./wasm/unpack', dirname(web)];
go([...common, '-o', join(out, 'unpack.wasm'), unpack[0]], wasm, unpack[1]);
for (const name of ['plateau.wasm', 'unpack.wasm']) process.stdout.write(go(['run', '-buildvcs=false', './web/slim', join(out, name)], process.env, dirname(web)));
const goroot = go(['env', 'GOROOT']).trim();
cpSync(join(goroot, 'lib', 'wasm', 'wasm_exec.js'), join(out, 'wasm_exec.js'));
for (const name of ['index.html', 'mark.svg']) cpSync(join(web, name), join(out, name));
if (given['no-cards']) writeFileSync(join(out, 'index.html'), readFileSync(join(out, 'index.html'), 'utf8').replace(' data-cards="yes"', ''));

await build({
  absWorkingDir: web,
  entryPoints: ['loader.js', 'worker.js', 'unpack-worker.js', 'chart.js', 'style.css'],
  outdir: out,
  bundle: true,
  minify: true,
  format: 'iife',
  target: ['chrome120', 'firefox121', 'safari17.4'],
  legalComments: 'none', // licences.txt has them whole
  logLevel: 'warning',
});

writeFileSync(join(out, 'licences.txt'), licences());
report();

// The licence of everything that goes into the site besides our own code.
function licences() {
  const parts = [];
  const add = (name, folder, required = true) => {
    const texts = ['LICENSE', 'LICENSE.txt', 'LICENSE.md', 'NOTICE'].filter((file) => existsSync(join(folder, file)));
    if (texts.length === 0 && required) throw new Error(`no licence found for ${name}`);
    for (const file of texts) parts.push(`==== ${name}: ${file}\n\n${readFileSync(join(folder, file), 'utf8').trim()}\n`);
  };
  for (const name of ['echarts', 'zrender', 'tslib']) add(name, join(web, 'node_modules', name));
  // Some distributions keep the licence of Go outside GOROOT.
  add('Go', goroot, false);
  const edge = ['./wasm/edge', dirname(web)]; // which draws the previews
  const modules = [[given.app, from], unpack, edge].map(([program, cwd]) =>
    go(['list', '-deps', '-f', '{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}', program], wasm, cwd));
  for (const line of new Set(modules.join('').split('\n').filter(Boolean))) add(...line.split(' '));
  return parts.join('\n');
}

function report() {
  for (const name of ['plateau.wasm', 'unpack.wasm', 'chart.js', 'loader.js', 'worker.js', 'unpack-worker.js', 'wasm_exec.js', 'style.css', 'index.html']) {
    const path = join(out, name);
    const raw = statSync(path).size;
    // Quality 11 takes many seconds on the program itself; make bench has it.
    const small = name.endsWith('.wasm') ? '' : `, ${kB(brotliCompressSync(readFileSync(path)).length)} brotli`;
    console.log(`${name.padEnd(16)} ${kB(raw)}${small}`);
  }
}

function kB(bytes) {
  return `${(bytes / 1000).toFixed(1)} kB`;
}
