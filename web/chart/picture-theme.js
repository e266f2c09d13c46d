// Colours of a picture, light or dark whatever the page is: taken from the
// rules of the style sheet, not from what they come to on this screen.

import { say } from '../shared/say.js';
import { COLOURS } from './theme.js';

const DASHES = 4;
export const TEXT_SIZE = 13;

/**
 * @param {boolean} dark
 * @param {Iterable<CSSStyleSheet>} sheets
 */
export function pictureTheme(dark, sheets = document.styleSheets) {
  const names = tokens(sheets, dark);
  const value = (name) => names.get(`--${name}`) ?? missing(name);
  return {
    colours: Array.from({ length: COLOURS }, (_, i) => value(`curve-${i}`)),
    dashes: Array.from({ length: DASHES }, (_, i) => dash(value(`dash-${i}`))),
    ink: value('ink'),
    quiet: value('ink-2'),
    rule: value('rule'),
    edge: value('rule-strong'),
    sheet: dark ? value('sheet') : '#ffffff',
    font: 'sans-serif',
    size: TEXT_SIZE,
  };
}

/** The custom properties of :root, and over them those of the dark scheme. */
function tokens(sheets, dark) {
  const found = new Map();
  const read = (rules, inDark) => {
    for (const rule of rules) {
      const media = rule.media?.mediaText;
      if (media !== undefined) {
        if (dark && /prefers-color-scheme:\s*dark/.test(media)) read(rule.cssRules, true);
      } else if (rule.style && (rule.selectorText === ':root' || (inDark && rule.selectorText?.startsWith(':root')))) {
        for (const name of rule.style) if (name.startsWith('--')) found.set(name, rule.style.getPropertyValue(name).trim());
      }
    }
  };
  for (const sheet of sheets) {
    try {
      read(sheet.cssRules, false);
    } catch {
      // Another's, put in by the browser or the person: not ours to read.
    }
  }
  return found;
}

function missing(name) {
  throw new Error(say("The page's style sheet lacks --%s, which pictures need; load the page anew.", name));
}

function dash(text) {
  const lengths = text.split(/\s+/).map(Number);
  return lengths.length > 1 && lengths.every(Number.isFinite) ? lengths : 'solid';
}
