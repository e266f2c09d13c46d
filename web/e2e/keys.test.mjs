// Each key that the list of keys names does what it says.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { parse } from 'parse5';
import { written } from '../build/pages.mjs';
import { open } from './harness.mjs';
import { plain, rowsShown } from './logs.mjs';
import { states } from './states.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

/** The keys and what they do, in a page's text, from one id on. */
function listed(name, id) {
  const list = [];
  let inside = false;
  const text = (node) => node.value ?? node.childNodes.map(text).join('');
  const walk = (node) => {
    const own = node.attrs?.find(({ name: n }) => n === 'id')?.value;
    if (own) inside = own === id;
    if (inside && ['dt', 'dd'].includes(node.nodeName)) list.push(text(node));
    node.childNodes?.forEach(walk);
  };
  walk(parse(written(name).source));
  return list;
}

test('the keys stand on the page and in the guide', () => {
  const onPage = listed('index.html', 't-keys');
  assert.ok(onPage.length >= 20);
  assert.deepEqual(listed('guide.html', 'keys'), onPage);
});

test('? shows them, not from a field, and Esc gives the focus back; so does the button', async () => {
  const { page, close } = await site.page();
  await page.focus('#demo');
  await page.keyboard.press('?');
  const keys = page.locator('#t-keys');
  assert.ok(await keys.isVisible());
  await page.keyboard.press('Escape');
  assert.ok(await keys.isHidden());
  assert.equal(await page.evaluate(() => document.activeElement.id), 'demo');
  await page.click('.paste summary');
  await page.focus('#paste-text');
  await page.keyboard.press('?');
  assert.equal(await page.inputValue('#paste-text'), '?');
  assert.ok(await keys.isHidden());
  await page.click('button[popovertarget="t-keys"]');
  assert.ok(await keys.isVisible());
  await close();
});

test('Tab first leads past the sections; Enter and Space press and unfold', async () => {
  const { page, close } = await site.page();
  await page.keyboard.press('Tab');
  assert.match(await page.evaluate(() => document.activeElement.textContent), /Skip/);
  await page.keyboard.press('Enter');
  assert.equal(new URL(page.url()).hash, '#logs');
  await page.focus('.paste summary');
  await page.keyboard.press('Enter');
  assert.ok(await page.locator('.paste').evaluate((one) => one.open));
  await page.keyboard.press('Space');
  assert.ok(!(await page.locator('.paste').evaluate((one) => one.open)));
  await close();
});

test('Ctrl+V reads a log; Ctrl+Z, Ctrl+Shift+Z and Ctrl+Y undo and redo', async () => {
  const { page, close } = await site.page();
  await page.context().grantPermissions(['clipboard-read', 'clipboard-write']);
  await page.evaluate((log) => navigator.clipboard.writeText(log), plain());
  await page.focus('#demo');
  await page.keyboard.press('Control+V');
  await rowsShown(page, 1);
  const named = (name) => page.waitForFunction((n) => document.querySelector('#results-rows .void-reason') === null === n, name);
  await page.click('#results-rows button[data-details]');
  await page.fill('#details-reason', 'the clip slipped');
  await page.keyboard.press('Enter');
  await page.locator('#details-count').waitFor();
  await page.keyboard.press('Escape');
  await page.locator('#details[open]').waitFor({ state: 'detached' });
  await named(false);
  await page.keyboard.press('Control+Z');
  await named(true);
  await page.keyboard.press('Control+Shift+Z');
  await named(false);
  await page.keyboard.press('Control+Z');
  await named(true);
  await page.keyboard.press('Control+Y');
  await named(false);
  await close();
});

test('in the chart: arrows, Shift, Home, End, + and −, Esc', async () => {
  const { page, close } = await site.page();
  await states['one log'](page);
  const at = () => page.locator('#chart').evaluate((one) => Number(one.getAttribute('aria-valuenow')));
  const press = async (key) => {
    await page.keyboard.press(key);
    return at();
  };
  await page.focus('#chart');
  const from = await press('Home');
  const to = await press('End');
  assert.ok(to > from);
  const step = to - (await press('ArrowLeft'));
  assert.ok(Math.abs(step - (to - from) / 200) < 1e-9);
  const before = await at();
  assert.ok(Math.abs(before - (await press('Shift+ArrowLeft')) - 10 * step) < 1e-9);
  assert.ok((await press('ArrowRight')) > before - 10 * step);
  await press('Home');
  for (let k = 0; k < 10; k += 1) await press('Shift+ArrowRight');
  const middle = await at();
  await press('+');
  assert.equal(await at(), middle);
  const left = await press('Home');
  const right = await press('End');
  assert.ok(right - left < 0.8 * (to - from), 'zoomed in');
  await press('-');
  assert.ok((await press('End')) - (await press('Home')) > 1.2 * (right - left), 'zoomed out');
  await page.keyboard.press('Escape');
  assert.notEqual(await page.evaluate(() => document.activeElement.id), 'chart');
  await close();
});

test('in a choice and in the typed discharges: arrows and Enter', async () => {
  const { page, close } = await site.page();
  await page.click('#type-in');
  const focused = () => page.evaluate(() => document.activeElement.id);
  await page.fill('#typed-0-current', '1');
  await page.focus('#typed-0-current');
  await page.keyboard.press('Enter');
  assert.equal(await focused(), 'typed-1-current');
  await page.keyboard.press('Shift+Enter');
  assert.equal(await focused(), 'typed-0-current');
  await page.keyboard.press('ArrowDown');
  assert.equal(await focused(), 'typed-1-current');
  await page.keyboard.press('ArrowUp');
  assert.equal(await focused(), 'typed-0-current');
  await page.locator('#tester summary').click();
  await page.focus('#tester-four-wire');
  await page.keyboard.press('ArrowRight');
  assert.ok(await page.isChecked('#tester-two-wire'));
  await close();
});
