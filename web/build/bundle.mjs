// Bundles a script or a style with all it imports, made small.

import { build } from 'esbuild';
import { web } from './go.mjs';

/**
 * @param {string} entry beside build.mjs
 * @param {Record<string, unknown>} define what free names in it stand for
 * @returns {Promise<Buffer>}
 */
export async function bundle(entry, define = {}) {
  const { outputFiles } = await build({
    absWorkingDir: web,
    entryPoints: [entry],
    outdir: 'dist',
    write: false,
    bundle: true,
    minify: true,
    format: 'iife',
    target: ['chrome120', 'firefox121', 'safari17.4'],
    legalComments: 'none', // licences.txt has them whole
    logLevel: 'warning',
    define: Object.fromEntries(Object.entries(define).map(([name, value]) => [name, JSON.stringify(value)])),
  });
  return Buffer.from(outputFiles[0].contents);
}
