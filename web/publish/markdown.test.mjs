// Our Markdown through renderers of others: the reference implementation of
// CommonMark for all but tables, marked for these, which CommonMark has not.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { HtmlRenderer, Parser } from 'commonmark';
import { marked } from 'marked';
import { kinds, posts, tables, text, texts } from './texts.mjs';

const reference = (markdown) => new HtmlRenderer().render(new Parser().parse(markdown));
const github = (markdown) => marked.parse(markdown, { gfm: true });

const plain = ['html', 'head', 'body', 'h1', 'h2', 'p', 'ul', 'li', 'strong'];
const withTables = [...plain, 'table', 'thead', 'tbody', 'tr', 'th', 'td', 'th align', 'td align'];

for (const post of posts) {
  for (const mark of ['', 'comma-']) {
    const markdown = text(post, `${mark}post.md`);
    const html = text(post, `${mark}post.html`);

    test(`${mark}${post}: tables are those of the HTML, cell by cell`, () => {
      const ours = tables(html);
      assert.deepEqual(tables(github(markdown)), ours);
      if (post !== 'empty') assert.ok(ours.length >= 4 && ours.flat(2).length > 200);
    });

    test(`${mark}${post}: headings and lists are those of the HTML`, () => {
      for (const render of [reference, github]) {
        assert.deepEqual(texts(render(markdown), 'h1', 'h2'), texts(html, 'h2', 'h3'));
        assert.deepEqual(texts(render(markdown), 'li'), texts(html, 'li'));
        assert.deepEqual(texts(render(markdown), 'strong'), texts(html, 'strong'));
      }
      assert.deepEqual(texts(github(markdown), 'p'), texts(html, 'p'));
    });

    test(`${mark}${post}: nothing but our own markup comes of it`, () => {
      for (const k of kinds(reference(markdown))) assert.ok(plain.includes(k), k);
      for (const k of kinds(github(markdown))) assert.ok(withTables.includes(k), k);
    });
  }

  test(`${post}: tables as columns of text stay one block of code each`, () => {
    const markdown = text(post, 'aligned-post.md');
    const html = reference(markdown);
    for (const k of kinds(html)) assert.ok([...plain, 'pre', 'code'].includes(k), k);
    const ours = tables(text(post, 'post.html'));
    const blocks = texts(html, 'pre');
    assert.equal(blocks.length, ours.length);
    blocks.forEach((block, k) => {
      const rows = block.split('\n');
      assert.equal(rows.length, ours[k].length + 1);
      rows.splice(1, 1);
      rows.forEach((row, n) => {
        let at = 0;
        for (const cell of ours[k][n]) {
          at = row.indexOf(cell, at);
          assert.ok(at >= 0, `${cell} in ${row}`);
          at += cell.length;
        }
      });
    });
  });
}

test('the HTML holds no element and no attribute of a name in it', () => {
  const own = ['html', 'head', 'body', 'h2', 'h3', 'p', 'ul', 'li', 'strong', 'table', 'caption', 'thead', 'tbody', 'tr', 'th', 'td', 'th scope', 'th class', 'td class'];
  for (const post of posts) {
    for (const k of kinds(text(post, 'post.html'))) assert.ok(own.includes(k), k);
    const more = [...own, 'html lang', 'h1', 'meta', 'meta charset', 'meta name', 'meta content', 'meta http-equiv', 'title', 'style', 'main', 'figure', 'figcaption', 'img', 'img src', 'img alt',
      'div', 'div class', 'div role', 'div tabindex', 'div aria-label'];
    for (const k of kinds(text(post, 'report.html'))) assert.ok(more.includes(k), k);
  }
});
