// Another version of the built site: every part differs from the first's, so
// that it shows which version a part is of.

import { cpSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { headers } from '../../build/headers.mjs';
import { seal } from '../../build/offline.mjs';
import { Parts, isWhole } from '../../build/parts.mjs';
import { plainName } from '../harness.mjs';

// Each names those before it.
const ORDER = ['wasm', 'svg', 'png', 'json', 'css', 'js'];
const LATE = ['worker.js', 'unpack-worker.js', 'loader.js'];

const orderOf = (name) => (LATE.includes(name) ? ORDER.length + LATE.indexOf(name) : ORDER.indexOf(name.split('.').at(-1)));

/**
 * @param {string} dist a built site
 * @param {string} out the folder of the other
 * @param {string} mark what the other carries in its title and in every part
 * @returns {Promise<{version: string, parts: Set<string>}>} its parts' paths
 */
export async function nextVersion(dist, out, mark) {
  cpSync(dist, out, { recursive: true });
  rmSync(join(out, 'parts'), { recursive: true });
  const parts = new Parts(out);
  const before = readdirSync(join(dist, 'parts')).sort((a, b) => orderOf(plainName(a)) - orderOf(plainName(b)));
  const renamed = new Map();
  const named = (text) => [...renamed].reduce((all, [old, name]) => all.replaceAll(old, name), text);
  for (const old of before) {
    const name = plainName(old);
    const bytes = readFileSync(join(dist, 'parts', old));
    parts.add(name, marked(name, bytes, mark, named));
    renamed.set(old, parts.names('')[name]);
  }
  const pages = {};
  for (const name of readdirSync(dist).filter((name) => /\.(html|txt|webmanifest)$/.test(name) && !isWhole(name))) {
    const text = named(readFileSync(join(dist, name), 'utf8')).replace('<title>', `<title>${mark} `);
    const old = /<meta name="version" content="(\w+)">/.exec(text)?.[1];
    if (old) pages[name] = (version) => text.replaceAll(old, version).replaceAll(old.slice(0, 8), version.slice(0, 8));
    else parts.write(name, text);
  }
  const version = await seal(parts, pages);
  writeFileSync(join(out, '_headers'), headers(parts.paths()));
  return { version, parts: partsOf(out) };
}

export const partsOf = (dist) => new Set(readdirSync(join(dist, 'parts')).map((name) => `parts/${name}`));

function marked(name, bytes, mark, named) {
  if (name.endsWith('.wasm')) {
    // A custom section: WebAssembly Core Specification 2.0, section 5.5.3.
    const text = Buffer.from(mark);
    return Buffer.concat([bytes, Buffer.from([0, text.length + 1, text.length]), text]);
  }
  if (name.endsWith('.js') || name.endsWith('.css')) return Buffer.from(`${named(bytes.toString('utf8'))}\n/* ${mark} */\n`);
  if (name.endsWith('.svg')) return Buffer.from(`${bytes}<!-- ${mark} -->`);
  if (name.endsWith('.json')) return Buffer.from(JSON.stringify({ ...JSON.parse(bytes), [mark]: mark }));
  return Buffer.concat([bytes, Buffer.from(mark)]); // what follows a PNG's end is not looked at
}
