// What the page can look like: the states that are looked through for what bars
// people, and that pictures are made of.

import { drop, file, plain, rowsShown } from './logs.mjs';

/** Names as long as people's files have them, with and without places to break. */
const LONG = [
  'Alder-21700-5000mAh-lot-2026-11-sample-A1-second-run-after-one-hour-of-rest-at-22-degrees-four-wire-holder 2 A',
  'Birch 21700 4000 mAh, bought in autumn, wrapper doubtful, measured again with the new leads and a fan 3 A',
  'x'.repeat(110),
];

const settled = (page) => page.waitForFunction(() => document.querySelector('#chart canvas') && /\d/.test(document.querySelector('#post-text').textContent), null, { timeout: 60_000 });

/** Each puts a page that was just opened into a state. */
export const states = {
  async empty() {},
  async 'one log'(page) {
    await drop(page, [file('Elm 2 A.csv', plain())]);
    await rowsShown(page, 1);
    await settled(page);
  },
  async demo(page) {
    await page.click('#demo');
    await rowsShown(page, 17, 60_000);
    await settled(page);
    await page.waitForFunction(() => document.querySelectorAll('#datasheet-cells .verdict').length > 3 && document.querySelectorAll('#ranking-rates table').length > 2);
    await page.fill('#load-amount', '5');
    await page.fill('#load-cutoff', '3');
    await page.locator('#load-cells table').waitFor({ state: 'attached' });
  },
  async '40 cells'(page) {
    await drop(page, Array.from({ length: 40 }, (_, k) => file(`Cell${String(k + 1).padStart(2, '0')} 2 A.csv`, plain({ rows: 600 - k }))));
    await rowsShown(page, 32, 60_000);
    await settled(page);
  },
  async 'long names'(page) {
    await drop(page, LONG.map((name, k) => file(`${name}.csv`, plain({ rows: 600 - 9 * k, current: 2 + k }))));
    await rowsShown(page, LONG.length);
    await settled(page);
  },
};

const logButton = async (page, act) => {
  const one = page.locator(`#logs button[data-act="${act}"]`).first();
  await one.waitFor({ state: 'attached' });
  if (!(await one.isVisible())) await page.click('#logs-read-title');
  await one.click();
};

/** Each opens a dialog of a page with logs, but for trust, which is always there. */
export const dialogs = {
  mapping: (page) => logButton(page, 'map'),
  report: (page) => logButton(page, 'report'),
  details: (page) => page.locator('#results-rows button[data-details]').first().click(),
  async 'cells-paste'(page) {
    await page.evaluate(() => {
      document.querySelector('#cells-fold').open = true;
    });
    await page.click('#cells-paste-open');
    await page.fill('#cells-paste-text', 'Cell\tRated / mAh\tCut-off / V\tSize\tMass / g\nElm\t5000\t2.5\t21700\t70\nOak\tmany\t2.5\t21700\t70\n');
    await page.locator('#cells-paste-table table').waitFor();
  },
  trust: (page) => page.locator('[data-trust]').first().click(),
};

export async function inDialog(page, name) {
  await dialogs[name](page);
  await page.locator(`#${name}[open]`).waitFor();
}

/** Each opens a panel over a page with logs: what a word is, and the keys. */
export const panels = {
  word: (page) => page.locator('th[data-figure="midPoint"] .term').click(),
  keys: (page) => page.locator('button[popovertarget="t-keys"]').click(),
};

/** Opens all that is folded. */
export const unfold = (page) => page.evaluate(() => {
  for (const one of document.querySelectorAll('details')) one.open = true;
});
