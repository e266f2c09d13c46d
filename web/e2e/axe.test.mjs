// What bars people from the page: the rules of axe-core for WCAG 2.0 to 2.2, A
// and AA, in every section and dialog, light and dark, wide and narrow. That it
// finds nothing proves no more than that; reach.test.mjs has what it cannot see.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { dialogs, inDialog, panels, states, unfold } from './states.mjs';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
const WIDTHS = [1300, 390];

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

/** What is found in a page, light and dark, wide and narrow, each in a line. */
async function found(page, where, within) {
  const lines = new Set();
  let passed = 0;
  // By the debugger, which the page's policy does not hold.
  await page.evaluate(AXE);
  for (const colorScheme of ['light', 'dark']) {
    for (const width of WIDTHS) {
      await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
      await page.setViewportSize({ width, height: 900 });
      await page.evaluate(() => window.scrollTo(0, 0)); // where the line that stays covers nothing
      await page.waitForTimeout(150); // the charts are drawn anew
      const { violations, passes } = await page.evaluate(([tags, within]) => window.axe.run(within ?? document, { runOnly: tags, rules: { 'target-size': { enabled: true } }, resultTypes: ['violations'] }), [TAGS, within]);
      passed += passes.length;
      for (const { id, nodes } of violations) {
        for (const { target, any, all, none } of nodes) lines.add(`${where}, ${colorScheme}, ${width} px: ${id}: ${target.join(' ')}: ${[...any, ...all, ...none].map(({ message }) => message).join('; ').slice(0, 200)}`);
      }
    }
  }
  assert.ok(passed > 20, `${where}: axe looked at something`);
  return [...lines];
}

const none = (lines) => assert.equal(lines.length, 0, `\n${lines.join('\n')}`);

test('nothing on the empty page', async () => {
  const { page, close } = await site.page();
  none([...await found(page, 'empty'), ...await unfold(page).then(() => found(page, 'empty, unfolded'))]);
  await close();
});

test('nothing in any section with the demo, as it opens and with all unfolded', async () => {
  const { page, errors, close } = await site.page();
  await states.demo(page);
  const sections = await page.locator('main > section:not([hidden])').evaluateAll((list) => list.map(({ id }) => id));
  for (const id of ['workspace', 'logs', 'cells', 'plan', 'curves', 'results', 'checks', 'datasheet', 'compare', 'ranking', 'load', 'publish']) assert.ok(sections.includes(id), `${id} is shown`);
  const lines = await found(page, 'demo');
  await unfold(page);
  lines.push(...await found(page, 'demo, unfolded'));
  for (const show of ['incremental', 'resistance']) {
    await page.locator(`#show-${show}`).check({ force: true });
    lines.push(...await found(page, show, '#curves'));
  }
  none(lines);
  assert.deepEqual(errors, []);
  await close();
});

test('nothing in any dialog', async () => {
  const { page, close } = await site.page();
  await states['one log'](page);
  assert.deepEqual(await page.locator('dialog').evaluateAll((list) => list.map(({ id }) => id).sort()), Object.keys(dialogs).sort(), 'each dialog is known here');
  const lines = [];
  for (const name of Object.keys(dialogs)) {
    await inDialog(page, name);
    await page.locator(`#${name}`).evaluate((dialog) => {
      for (const one of dialog.querySelectorAll('details')) one.open = true;
    });
    lines.push(...await found(page, name, `#${name}`));
    await page.keyboard.press('Escape');
    await page.locator(`#${name}[open]`).waitFor({ state: 'detached' });
  }
  none(lines);
  await close();
});

test('nothing in what a word opens, nor in the keys', async () => {
  const { page, close } = await site.page();
  await states['one log'](page);
  const lines = [];
  for (const [name, into] of Object.entries(panels)) {
    await into(page);
    assert.ok(await page.locator('.about:popover-open').isVisible(), name);
    lines.push(...await found(page, name, '.about:popover-open'));
    await page.keyboard.press('Escape');
  }
  none(lines);
  await close();
});

test('nothing on the guide and on the page of errors', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  const lines = [];
  for (const path of ['guide.html', 'nowhere']) {
    await page.goto(site.address + path);
    lines.push(...await found(page, path));
  }
  none(lines);
  await context.close();
});
