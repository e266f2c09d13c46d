// The bar that tells of a newer version, or of a damage that was mended. It
// never takes the focus.

import { words } from './words.js';

const BUTTONS = { take: 'news-take', save: 'news-save', anyway: 'news-anyway', later: 'news-later' };

/**
 * @param {{take: () => void, save: () => void, anyway: () => void}} act what the
 *   buttons do; the last one hides the bar
 */
export function news(act) {
  const byId = (id) => document.getElementById(id);
  const box = byId('news');
  let last = '';

  const say = (text, shown = []) => {
    last = text;
    box.hidden = false;
    // Into a region that is there already, so that it is read out.
    requestAnimationFrame(() => {
      byId('news-text').textContent = last;
    });
    const focused = document.activeElement;
    for (const [name, id] of Object.entries(BUTTONS)) byId(id).hidden = !shown.includes(name);
    if (box.contains(focused) && focused.hidden) box.querySelector('button:not([hidden])')?.focus();
  };
  const hide = () => {
    box.hidden = true;
    last = '';
    byId('news-text').textContent = '';
  };

  for (const name of ['take', 'save', 'anyway']) byId(BUTTONS[name]).addEventListener('click', () => act[name]());
  byId(BUTTONS.later).addEventListener('click', hide);

  return {
    ready: () => say(words.newVersion, ['take', 'later']),
    reading: () => say(words.newVersionReading, ['take', 'later']),
    keeping: () => say(words.newVersionKeeping),
    unkept: (why) => say(words.newVersionUnkept(why), ['save', 'anyway', 'later']),
    saved: () => say(words.newVersionSaved, ['anyway', 'later']),
    stuck: () => say(words.newVersionStuck, ['later']),
    mended: () => say(words.mended, ['take', 'later']),
  };
}
