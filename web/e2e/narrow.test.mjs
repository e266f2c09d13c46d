// Many discharges: 32 at a time, and a box to find more.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const rows = (page) => page.locator('#results-rows .run-name').allTextContents();
const legend = (page) => page.locator('#legend-rows tr').count();
const said = (page) => page.locator('#curves .narrow-said').textContent();

test('of many discharges there are 32 at a time, and those that are sought', async () => {
  const { page, errors, close } = await site.page();
  const names = Array.from({ length: 37 }, (_, k) => `Cell${String(k + 1).padStart(2, '0')} 2 A`);
  await drop(page, names.slice(0, 5).map((name) => file(`${name}.csv`, plain())));
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length === 5);
  assert.ok(!(await page.locator('#curves .narrow').isVisible()), 'there is nothing to turn among a few');

  await drop(page, names.slice(5).map((name) => file(`${name}.csv`, plain())));
  await page.waitForFunction(() => document.querySelector('#curves .narrow-said')?.textContent === 'Discharges 1 to 32 of 37');
  assert.deepEqual(await rows(page), names.slice(0, 32));
  assert.equal(await legend(page), 32);
  assert.equal(await page.locator('#results .narrow-said').textContent(), await said(page));

  await page.locator('#results button[data-narrow=on]').click();
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length === 5);
  assert.deepEqual(await rows(page), names.slice(32));
  assert.equal(await said(page), 'Discharges 33 to 37 of 37');
  assert.ok(await page.locator('#curves button[data-narrow=on]').isDisabled());
  await page.waitForFunction(() => document.querySelectorAll('#legend-rows tr').length === 5);

  await page.fill('#find', 'CELL1 2');
  assert.deepEqual(await rows(page), names.slice(9, 19), 'all words, whatever their case');
  assert.equal(await said(page), '10 discharges of 37');
  await page.fill('#find', 'nothing like it');
  assert.deepEqual(await rows(page), []);
  assert.match(await said(page), /None of the discharges/);
  await page.fill('#find', '');

  await page.locator('#curves button[data-narrow=all]').click();
  assert.equal((await rows(page)).length, 37);
  assert.equal(await legend(page), 37);
  await page.locator('#curves button[data-narrow=all]').click();
  assert.equal((await rows(page)).length, 32);

  // A log that goes takes its discharge along, and with the 33rd the bar.
  await page.locator('#curves button[data-narrow=on]').click();
  await page.locator('#logs-read-title').click();
  for (const name of names.slice(32)) await page.locator(`button[data-act=remove][aria-label*="${name}"]`).click();
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length === 32);
  assert.ok(!(await page.locator('#curves .narrow').isVisible()));
  assert.deepEqual(errors, []);
  await close();
});
