// The texts of the pages, and the pages in other languages. A text is what
// stands between two elements that are no mere words, with the elements of words
// in it as they are written: "See the <a href="guide.html">guide</a>." Comments
// part texts, so that what holds on the site alone is a text of its own.

import { parse } from 'parse5';
import { written } from '../build/pages.mjs';

export const PAGES = ['index.html', 'guide.html'];

const WORDS = new Set(['a', 'abbr', 'b', 'br', 'code', 'em', 'i', 'kbd', 'mark', 'small', 'span', 'strong', 'sub', 'sup', 'time', 'var', 'wbr']);
const SILENT = new Set(['script', 'style', 'svg', 'template']);
const ATTRIBUTES = ['alt', 'aria-label', 'data-hint', 'placeholder', 'title'];

/** What is written alike in all languages: names, formats, units. */
export const NAMES = new Set(['Ah', 'BBCode', 'dQ/dV', 'HTML', 'JSON', 'Markdown', 'Plateau', 'Wh']);

/** @returns {import('./texts.mjs').Found[]} */
export const ofPages = () =>
  PAGES.flatMap((name) => {
    const { source, at } = written(name);
    return ofPage(source).map(({ text, line }) => ({ text, ...at(line) }));
  });

/**
 * The texts of a page in their order.
 * @param {string} source
 * @returns {{text: string, line: number, start: number, end: number, attribute: boolean}[]}
 *   start, end: where in the source
 */
export function ofPage(source) {
  const found = [];
  look(parse(source, { sourceCodeLocationInfo: true, scriptingEnabled: false }), source, found);
  return found.sort((a, b) => a.start - b.start);
}

function look(parent, source, found) {
  let run = [];
  const close = () => {
    take(run, source, found);
    run = [];
  };
  for (const node of parent.childNodes) {
    if (node.nodeName === '#text' || WORDS.has(node.nodeName)) {
      run.push(node);
      continue;
    }
    close();
    if (SILENT.has(node.nodeName) || kept(node)) continue;
    attributes(node, source, found);
    if (node.childNodes) look(node, source, found);
  }
  close();
}

// Words that only stand beside each other, such as links in a list, are texts by
// themselves.
function take(run, source, found) {
  if (!run.some((node) => node.nodeName === '#text' && isText(node.value))) {
    for (const node of run) {
      if (node.nodeName === '#text' || kept(node)) continue;
      attributes(node, source, found);
      look(node, source, found);
    }
    return;
  }
  const start = run[0].sourceCodeLocation.startOffset;
  const written = source.slice(start, run.at(-1).sourceCodeLocation.endOffset);
  const first = start + written.search(/\S/);
  const trimmed = written.trim();
  const text = trimmed.replace(/\s+/g, ' ');
  if (!NAMES.has(text) && isText(text.replace(/<[^>]*>/g, ''))) found.push({ text, line: lineOf(source, first), start: first, end: first + trimmed.length, attribute: false });
}

function attributes(node, source, found) {
  for (const { name, value } of node.attrs ?? []) {
    const described = node.nodeName === 'meta' && name === 'content' && node.attrs.some((other) => other.name === 'name' && other.value === 'description');
    if (!(described || ATTRIBUTES.includes(name)) || !isText(value) || NAMES.has(value)) continue;
    const { startOffset, endOffset } = node.sourceCodeLocation.attrs[name];
    found.push({ text: value, line: lineOf(source, startOffset), start: startOffset + name.length + 2, end: endOffset - 1, attribute: true });
  }
}

// Formulas are the same everywhere.
const kept = (node) => node.attrs?.some(({ name, value }) => (name === 'translate' && value === 'no') || (name === 'class' && value === 'formula'));
const isText = (text) => /\p{L}{2}/u.test(text.replace(/\{\{[\w.-]+\}\}/g, '')) && !/^\/ \S+$/.test(text);
const lineOf = (source, offset) => source.slice(0, offset).split('\n').length;

/**
 * A page in another language.
 * @param {string} source as it is written
 * @param {string} language its tag
 * @param {Record<string, string>} table from English; what it lacks stays English
 */
export function inLanguage(source, language, table) {
  let page = source;
  for (const { text, start, end, attribute } of ofPage(source).reverse()) {
    const words = table[text];
    if (words) page = page.slice(0, start) + (attribute ? words.replace(/&/g, '&amp;').replace(/"/g, '&quot;') : words) + page.slice(end);
  }
  return page
    .replace('<html lang="en"', `<html lang="${language}"`)
    .replace(/href="(guide|plateau)\.html"/g, `href="$1.${language}.html"`)
    .replaceAll('href="./"', `href="${language}.html"`);
}

/** What a page is called in a language. */
export const pathIn = (page, language) => (language === 'en' ? page : page === 'index.html' ? `${language}.html` : page.replace('.html', `.${language}.html`));
