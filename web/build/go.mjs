// Builds the Go programs, made small, and finds the licences of what goes into them.

import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const web = dirname(dirname(fileURLToPath(import.meta.url)));
export const top = dirname(web);
const wasm = { ...process.env, GOOS: 'js', GOARCH: 'wasm' };

export const go = (args, { env = process.env, cwd = top } = {}) =>
  execFileSync('go', args, { cwd, env, encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });

// Code that is not in a hurry is smaller where its calls are not inlined, and
// where slices of a length that is known only as it runs are never kept on the
// stack, for which the compiler writes their making twice.
const unhurried = [
  'archive/zip', 'bytes', 'compress/flate', 'compress/gzip', 'encoding/binary', 'encoding/csv', 'fmt', 'hash/crc32', 'internal/bisect', 'internal/filepathlite',
  'internal/fmtsort', 'internal/godebug', 'internal/poll', 'internal/reflectlite', 'io/fs', 'math/rand/v2', 'os', 'path', 'path/filepath', 'reflect', 'strings', 'syscall',
  'time', 'unicode/utf16',
  'golang.org/x/text/encoding/...', 'honnef.co/go/js/dom/v2',
  'plateau/core/cell', 'plateau/core/claim', 'plateau/core/compare', 'plateau/core/demo', 'plateau/core/fit', 'plateau/core/gum', 'plateau/core/measure',
  'plateau/core/load', 'plateau/core/inspect', 'plateau/core/link', 'plateau/core/paste', 'plateau/core/plan', 'plateau/core/publish',
  'plateau/core/quantity', 'plateau/core/say', 'plateau/core/tester', 'plateau/core/typed', 'plateau/core/unpack', 'plateau/core/workspace',
  'plateau/wasm/app', 'plateau/wasm/app/engine', 'plateau/wasm/app/page', 'plateau/wasm/app/plain', 'plateau/wasm/app/wire',
].map((name) => `-gcflags=${name}=-l -d=variablemakethreshold=0`);

// The collector of Go 1.26 is more code than the one before it, and no faster on
// one thread; later versions have no choice.
const collector = go(['env', 'GOVERSION']).startsWith('go1.26') ? { GOEXPERIMENT: 'nogreenteagc' } : {};

/**
 * Builds a program for the browser.
 * @param {string} program its package
 * @param {{out: string, tags?: string, from?: string}} to out: the file; from:
 *   the folder it is built in
 */
export function program(name, { out, tags = '', from = top }) {
  go(['build', '-buildvcs=false', '-trimpath', '-ldflags=-s -w', ...unhurried, `-tags=${tags}`, '-o', out, name], { env: { ...wasm, ...collector }, cwd: from });
  process.stdout.write(go(['run', '-buildvcs=false', './web/slim', out]));
}

export const goroot = go(['env', 'GOROOT']).trim();

/** The script of the Go runtime. */
export const runtime = () => readFileSync(join(goroot, 'lib', 'wasm', 'wasm_exec.js'));

/**
 * The licence of everything that goes into the site besides our own code.
 * @param {[string, string][]} programs the package of each and the folder it is
 *   built in
 */
export function licences(programs) {
  const parts = [];
  const add = (part, folder, required = true) => {
    const texts = ['LICENSE', 'LICENSE.txt', 'LICENSE.md', 'NOTICE'].filter((file) => existsSync(join(folder, file)));
    if (texts.length === 0 && required) throw new Error(`no licence found for ${part}`);
    for (const file of texts) parts.push(`==== ${part}: ${file}\n\n${readFileSync(join(folder, file), 'utf8').trim()}\n`);
  };
  for (const part of ['echarts', 'zrender', 'tslib']) add(part, join(web, 'node_modules', part));
  // Some distributions keep the licence of Go outside GOROOT.
  add('Go', goroot, false);
  const modules = programs.map(([name, cwd]) =>
    go(['list', '-deps', '-f', '{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}', name], { env: wasm, cwd }));
  for (const line of new Set(modules.join('').split('\n').filter(Boolean))) add(...line.split(' '));
  return parts.join('\n');
}
