// Sizes of the built site, raw and as brotli 11 would send it.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, constants } from 'node:zlib';
import { isWhole } from '../build/parts.mjs';

/**
 * Answers { wasm: {raw, brotli}, all: {raw, brotli, files}, one } in bytes:
 * wasm is the program, one the one-file build, which all leaves out.
 */
export function sizes(dist) {
  const wasm = { raw: 0, brotli: 0 };
  let one = 0;
  const all = { raw: 0, brotli: 0, files: 0 };
  for (const entry of readdirSync(dist, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile()) continue;
    const bytes = readFileSync(join(entry.parentPath ?? entry.path, entry.name));
    if (isWhole(entry.name)) {
      one = Math.max(one, bytes.length);
      continue;
    }
    const brotli = brotliCompressSync(bytes, {
      params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length },
    }).length;
    for (const sum of entry.name.endsWith('.wasm') ? [wasm, all] : [all]) {
      sum.raw += bytes.length;
      sum.brotli += brotli;
    }
    all.files++;
  }
  return { wasm, all, one };
}
