// Makes the Worker in .build/edge: the Go program, Go's own script that runs it,
// and our few lines around them.
//
//   node web/edge/build.mjs [--out FOLDER]

import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { gzipSync } from 'node:zlib';

const edge = dirname(fileURLToPath(import.meta.url));
const top = dirname(dirname(edge));
const MOST = 3_000_000; // bytes, gzipped: what the platform takes

const { values } = parseArgs({ options: { out: { type: 'string', default: join(top, '.build', 'edge') } } });
const out = resolve(values.out);
const go = (args, env = {}) =>
  execFileSync('go', args, { cwd: top, env: { ...process.env, ...env }, encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
go(['build', '-buildvcs=false', '-trimpath', '-ldflags=-s -w', '-o', join(out, 'card.wasm'), './wasm/edge'], { GOOS: 'js', GOARCH: 'wasm' });
go(['run', '-buildvcs=false', './web/slim', join(out, 'card.wasm')]);
cpSync(join(go(['env', 'GOROOT']).trim(), 'lib', 'wasm', 'wasm_exec.js'), join(out, 'wasm_exec.mjs'));
cpSync(join(edge, 'worker.mjs'), join(out, 'worker.mjs'));

const size = ['card.wasm', 'wasm_exec.mjs', 'worker.mjs'].reduce((sum, name) => sum + gzipSync(readFileSync(join(out, name))).length, 0);
console.log(`Worker: ${(size / 1e6).toFixed(2)} MB gzipped, of 3 MB that the platform takes`);
if (size > MOST) throw new Error('the Worker is too large for the platform');
