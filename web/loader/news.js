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

  const say = (text, shown = [], anyway = words.takeAnyway) => {
    last = text;
    const held = box.contains(document.activeElement);
    box.hidden = false;
    byId(BUTTONS.anyway).textContent = anyway;
    // Into a region that is there already, so that it is read out.
    requestAnimationFrame(() => {
      byId('news-text').textContent = last;
    });
    for (const [name, id] of Object.entries(BUTTONS)) byId(id).hidden = !shown.includes(name);
    // Whoever pressed one of its buttons goes on from there.
    if (held && (document.activeElement.hidden || !document.activeElement.matches('button'))) {
      (box.querySelector('button:not([hidden])') ?? byId('news-text')).focus();
    }
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
    saved: () => say(words.newVersionSaved, ['anyway', 'later'], words.takeSaved),
    stuck: () => say(words.newVersionStuck, ['later']),
    mended: () => say(words.mended, ['take', 'later']),
  };
}
