// Posts as the Go code writes them, for tests that read them with libraries of
// others.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'parse5';

const top = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

export const schema = JSON.parse(readFileSync(join(top, 'core/publish/post.schema.json'), 'utf8'));

const folder = mkdtempSync(join(tmpdir(), 'plateau-posts-'));
execFileSync('go', ['test', '-count=1', '-run', '^TestTexts$', './core/publish'], {
  cwd: top, env: { ...process.env, PLATEAU_POSTS: folder }, stdio: ['ignore', 'ignore', 'inherit'],
});
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));

/** The text of one post: "sample", "hostile" or "empty". */
export const text = (post, file) => readFileSync(join(folder, `${post}-${file}`), 'utf8');

export const posts = ['sample', 'hostile', 'empty'];

/** All elements of an HTML text, in order. */
export function elements(html) {
  const out = [];
  const walk = (node) => {
    if (node.tagName) out.push(node);
    for (const child of node.childNodes ?? []) walk(child);
  };
  walk(parse(html));
  return out;
}

export const words = (node) =>
  node.nodeName === '#text' ? node.value : (node.childNodes ?? []).map(words).join('');

/** Tables as rows of texts. */
export const tables = (html) =>
  elements(html).filter((e) => e.tagName === 'table').map((table) => {
    const rows = [];
    const walk = (node) => {
      if (node.tagName === 'tr') {
        rows.push(node.childNodes.filter((c) => c.tagName === 'th' || c.tagName === 'td').map((c) => words(c).trim()));
      } else if (node.tagName !== 'caption') {
        (node.childNodes ?? []).forEach(walk);
      }
    };
    walk(table);
    return rows;
  });

/** The texts of all elements with one of these names. */
export const texts = (html, ...names) =>
  elements(html).filter((e) => names.includes(e.tagName)).map((e) => words(e).trim());

/** Names of the elements and of their attributes. */
export const kinds = (html) => [...new Set(elements(html).flatMap((e) => [e.tagName, ...e.attrs.map((a) => `${e.tagName} ${a.name}`)]))].sort();
