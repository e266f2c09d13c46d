// What the pages of the site know of the other languages.

import { pathIn } from '../words/pages.mjs';
import { programTexts } from '../words/texts.mjs';

/** What a language calls itself. */
const ownName = (language) => new Intl.DisplayNames([language], { type: 'language' }).of(language);
const address = (page, language) => (page === 'index.html' && language === 'en' ? './' : pathIn(page, language));

let texts;

/** Of a table, what the programs show; the pages have theirs in them. */
export function programTable(table) {
  texts ??= [...new Set(programTexts().map(({ text }) => text))];
  return Object.fromEntries(texts.filter((text) => table[text] && table[text] !== text).map((text) => [text, table[text]]));
}

/**
 * For the head of a page: itself in each language, and where its programs have
 * their texts from.
 * @param {Record<string, string>} names the paths of the parts
 */
export function alternates(page, language, languages, names) {
  const links = languages.length > 1 ? languages.map((one) => `<link rel="alternate" hreflang="${one}" href="${address(page, one)}">`) : [];
  if (page === 'index.html' && language !== 'en') links.unshift(`<link rel="preload" href="${names[`words.${language}.json`]}" as="fetch" type="application/json" crossorigin data-words>`);
  return links.join('\n');
}

/** Links to a page in the other languages, each by its own name. */
export const others = (page, language, languages) =>
  languages
    .filter((one) => one !== language)
    .map((one) => `<a href="${page === '404.html' ? `/${pathIn('index.html', one)}` : address(page, one)}" lang="${one}" hreflang="${one}">${ownName(one)}</a>`)
    .join(' ');
