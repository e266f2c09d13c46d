// What the site needs to be kept on a machine: its icons, its manifest, and the
// service worker, which knows every other file by its SHA-256.

import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Resvg } from '@resvg/resvg-js';
import { bundle } from './bundle.mjs';
import { web } from './go.mjs';

/** The colours of the paper, light and dark: style/tokens.css. */
export const paper = (() => {
  const [light, dark] = [...readFileSync(join(web, 'style', 'tokens.css'), 'utf8').matchAll(/--paper: (#[0-9a-f]{6});/g)].map(([, hex]) => hex);
  return { light, dark };
})();

/** Adds the icons as parts. */
export function icons(parts) {
  const mark = readFileSync(join(web, 'mark.svg'), 'utf8').replace(/<\/?svg[^>]*>/g, '');
  const drawn = (size, corner, scale) => {
    const middle = `translate(16 16) scale(${scale}) translate(-17 -15)`;
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" rx="${corner}" fill="${paper.light}"/><g transform="${middle}" fill="none" stroke-linecap="round" stroke-linejoin="round">${mark}</g></svg>`;
    return new Resvg(svg, { fitTo: { mode: 'width', value: size } }).render().asPng();
  };
  parts.add('icon-192.png', drawn(192, 6, 0.85));
  parts.add('icon-512.png', drawn(512, 6, 0.85));
  // Within 0.4 of its width from the middle, so that any mask leaves it whole:
  // Web Application Manifest, "icon masks and safe zone".
  parts.add('icon-mask-512.png', drawn(512, 0, 0.65));
}

/** @param {Record<string, string>} names the paths of the parts */
export function manifest(names) {
  const png = (name, size, purpose) => ({ src: names[name], sizes: `${size}x${size}`, type: 'image/png', purpose });
  return `${JSON.stringify({
    name: 'Plateau',
    short_name: 'Plateau',
    description: 'What a lithium cell really gives, from the log of its discharge. Worked out on this machine.',
    lang: 'en',
    id: './',
    start_url: './',
    scope: './',
    display: 'standalone',
    theme_color: paper.light,
    background_color: paper.light,
    categories: ['utilities', 'productivity'],
    icons: [
      { src: names['mark.svg'], sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
      png('icon-192.png', 192, 'any'),
      png('icon-512.png', 512, 'any'),
      png('icon-mask-512.png', 512, 'maskable'),
    ],
    file_handlers: [
      {
        action: './',
        accept: {
          'application/x-plateau': ['.plateau'],
          'text/csv': ['.csv'],
          'text/tab-separated-values': ['.tsv'],
          'text/plain': ['.txt', '.log'],
          'application/zip': ['.zip'],
          'application/gzip': ['.gz'],
          'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet': ['.xlsx'],
          'application/vnd.oasis.opendocument.spreadsheet': ['.ods'],
        },
      },
    ],
    launch_handler: { client_mode: 'focus-existing' },
  }, null, 1)}\n`;
}

/**
 * Writes the pages and then the service worker. The version is made of every
 * file and of the service worker's own code.
 * @param {import('./parts.mjs').Parts} parts all else is in it
 * @param {Record<string, (version: string) => string>} pages index.html, and the
 *   same in other languages, by their paths
 * @returns {Promise<string>} the version
 */
export async function seal(parts, pages) {
  // The page of errors cannot be asked for.
  const others = () => parts.files().filter(({ path }) => path !== '404.html');
  const made = Object.entries(pages);
  const unnamed = await bundle('sw.js', { SITE: { version: '', files: [...others(), ...made.map(([path, page]) => ({ path, sha256: sha256(page('')) }))] } });
  const version = sha256(unnamed).slice(0, 16);
  for (const [path, page] of made) parts.write(path, page(version));
  parts.write('sw.js', await bundle('sw.js', { SITE: { version, files: others() } }));
  return version;
}

const sha256 = (bytes) => createHash('sha256').update(bytes).digest('hex');
