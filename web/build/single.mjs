// Makes the one-file build: the page with everything in it, for a disk or a
// stick, which works without any server.

import { createHash } from 'node:crypto';
import { gzipSync } from 'node:zlib';
import { policy, inMeta } from './headers.mjs';

const NONE = "'none'";
const hash = (text) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

/**
 * @param {string} page index.html as it is written, its {{names}} not filled in
 * @param {{style: string, mark: string, licences: string, guide: string,
 *   scripts: Record<string, string>, workers: Record<string, string>,
 *   packed: Record<string, Buffer>}} parts scripts run in their order; workers
 *   are kept as text; of what is packed, the scripts run when they are asked for
 * @returns {string}
 */
export function single(page, { style, mark, licences, guide, scripts, workers, packed }) {
  const blocks = [
    ...Object.entries(packed).map(([name, bytes]) => block(name, gzipSync(bytes, { level: 9 }).toString('base64'), 'text/plain')),
    ...Object.entries(workers).map(([name, text]) => block(name, text, 'text/plain')),
    ...Object.entries(scripts).map(([name, text]) => block(name, text)),
  ];
  const run = [...Object.values(scripts), ...Object.entries(packed).filter(([name]) => name.endsWith('.js')).map(([, bytes]) => bytes)];
  const own = {
    'script-src': [`'wasm-unsafe-eval'`, ...run.map(hash)].join(' '),
    'img-src': 'data: blob:',
    'worker-src': 'blob:',
  };
  return [
    [/ data-worker="sw.js"/, ''],
    [/href="guide(\.[a-z]{2})?\.html"/, `download="plateau-guide.html" href="${asData('text/html;charset=utf-8', guide)}"`],
    [/href="licences.txt"/, `download="plateau-licences.txt" href="${asData('text/plain;charset=utf-8', licences)}"`],
    [/<\/body>/, `${blocks.join('\n')}\n</body>`],
  ].reduce(put, standalone(page, { style, mark }, own));
}

/**
 * A page with its style and its mark in it, without what holds on the site alone.
 * @param {string} page as it is written, its {{names}} not filled in
 * @param {{style: string, mark: string}} looks
 * @param {Record<string, string>} own directives of its policy, where it has more
 *   than words
 */
export function standalone(page, { style, mark }, own = {}) {
  const rules = { ...policy, 'script-src': NONE, 'connect-src': NONE, 'style-src': hash(style), 'img-src': 'data:', 'font-src': NONE, 'worker-src': NONE, 'manifest-src': NONE, ...own };
  const head = [`<link rel="icon" href="${asData('image/svg+xml', mark)}">`, `<style>${style}</style>`];
  return [
    [/content="\{\{POLICY\}\}"/, `content="${inMeta(rules)}"`],
    [/<!-- parts -->[^]*?<!-- \/parts -->/, head.join('\n')],
    [/<!-- site -->[^]*?<!-- \/site -->/g, ''],
  ].reduce(put, page);
}

function put(page, [place, text]) {
  if (!place.test(page)) throw new Error(`the page has no ${place}`);
  return page.replace(place, () => text);
}

// What is between the tags is taken as it is, up to the end tag; the hash of a
// script is over it.
function block(name, text, type = '') {
  if (/<\/script|<!--|\r/i.test(text)) throw new Error(`${name} cannot stand in a page: it has </script, <!-- or a carriage return in it`);
  return `<script data-part="${name}"${type && ` type="${type}"`}>${text}</script>`;
}

const asData = (type, text) => `data:${type};base64,${Buffer.from(text).toString('base64')}`;
