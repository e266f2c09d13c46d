// Bundles a script or a style with all it imports, made small.

import { join } from 'node:path';
import { build } from 'esbuild';
import { web } from './go.mjs';

/**
 * @param {string} entry beside build.mjs
 * @param {Record<string, unknown>} define what free names in it stand for
 * @param {Record<string, string>} instead paths of modules that others take the
 *   place of, as imported
 * @returns {Promise<Buffer>}
 */
export async function bundle(entry, define = {}, instead = {}) {
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
    plugins: Object.entries(instead).map(([path, other]) => ({
      name: other,
      setup: (build) => build.onResolve({ filter: /^\./ }, (asked) => (join(asked.resolveDir, asked.path) === join(web, path) ? { path: join(web, other) } : null)),
    })),
  });
  return Buffer.from(outputFiles[0].contents);
}
