// The page's language: the texts in it, and the way to another.

import { locale, speak } from '../shared/say.js';
import { texts } from './parts.js';

const PATIENCE_MS = 3000;

// For the Go page, which writes numbers.
globalThis.plateauLocale = locale();

/** Until the texts are there; where they cannot be had it stays English. */
export async function language() {
  try {
    const table = await texts();
    if (table) speak(table);
  } catch {
    // A page that works says more than one that does not.
  }
}

/**
 * Has the links to other languages take along what stands behind the #, and lose
 * nothing: what is not kept stays open in its tab.
 * @param {() => Promise<string>} settle resolves once all that was done is kept:
 *   '' or why it is not
 */
export function otherLanguages(settle) {
  document.addEventListener('click', async (event) => {
    const link = event.target.closest?.('a[hreflang]');
    if (!link) return;
    link.hash = window.location.hash;
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const late = new Promise((resolve) => {
      setTimeout(resolve, PATIENCE_MS, 'late');
    });
    if (await Promise.race([settle(), late])) window.open(link.href, '_blank', 'noopener');
    else window.location.assign(link.href);
  });
}
