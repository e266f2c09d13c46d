// The incoming inspection: a sample is looked at before there is any log, and what
// was found stays.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const field = (page, name, of) => page.locator(`#inspect-table tbody[data-cell="${name}"] [data-field="${of}"]`);
const type = async (page, name, of, text) => {
  await field(page, name, of).fill(text);
  await page.keyboard.press('Tab');
};
/** The row of a sample that was just added has the focus in its name. */
const added = (page) => page.waitForFunction(() => document.activeElement.dataset.field === 'name' && document.activeElement.closest('tbody').dataset.cell === 'Cell 1');
const found = (page, name, pattern) => page.locator(`#inspect-table tbody[data-cell="${name}"] .check`, { hasText: pattern }).waitFor();

test('a sample is inspected before any log; a danger is said in the checks, and a reload keeps it', async () => {
  const { page, errors, close } = await site.page();
  try {
    await page.click('#inspect-open');
    await added(page);
    await page.keyboard.type('Elm 1');
    await page.keyboard.press('Tab');
    await field(page, 'Elm 1', 'arrived.voltage').waitFor();
    assert.equal(await page.evaluate(() => document.activeElement.dataset.field), 'model', 'a new name leaves the focus where it went');
    await type(page, 'Elm 1', 'model', 'Elm');
    await type(page, 'Elm 1', 'arrived.voltage', '3600');
    await page.locator('#inspect-table .field-error', { hasText: 'If the unit slipped, type 3.6 V.' }).waitFor();
    assert.equal(await field(page, 'Elm 1', 'arrived.voltage').inputValue(), '3600', 'what was typed stays');
    await type(page, 'Elm 1', 'arrived.voltage', '1 720 mV');
    await found(page, 'Elm 1', 'It arrived at 1.720 V, below its cut-off of 2.000 V.');
    await type(page, 'Elm 1', 'mass', '44,1 g');
    await type(page, 'Elm 1', 'arrived.day', '2026-11-20');
    await type(page, 'Elm 1', 'arrived.remark', 'a dent');
    await page.waitForFunction(() => /^samples looked at: 1$/.test(document.querySelector('#inspect-state').textContent));
    assert.equal(await page.textContent('#inspect-stop'), '· not to be charged: 1');

    // The cell's own form has the datasheet, and leaves the inspection alone.
    await page.click('#cells-fold > summary');
    const form = page.locator('#cells-list li[data-cell="Elm 1"]');
    await form.locator('summary').click();
    await form.locator('[data-field=sheetMass]').fill('48');
    await page.keyboard.press('Enter');
    await found(page, 'Elm 1', 'It weighs 44.1 g, which is 8.1 % less than the 48.0 g of its datasheet.');
    assert.equal(await form.locator('[data-field=mass]').inputValue(), '44,1 g');

    // The next sample of the model takes its datasheet.
    await page.click('#inspect-add');
    await added(page);
    await page.keyboard.type('Elm 2');
    await page.keyboard.press('Tab');
    await type(page, 'Elm 2', 'model', 'Elm');
    await type(page, 'Elm 2', 'mass', '52');
    await found(page, 'Elm 2', '8.3 % more than the 48.0 g');
    await type(page, 'Elm 2', 'name', 'Elm 1');
    await page.locator('#inspect-table .field-error', { hasText: 'There is a cell “Elm 1” already.' }).waitFor();

    await page.locator('#safety-list .check', { hasText: 'Elm 1' }).waitFor();
    await page.waitForFunction(() => /is kept in this browser/.test(document.querySelector('#workspace-state').textContent));
    await page.reload();
    await page.locator('#safety-list .check', { hasText: 'It arrived at 1.720 V' }).waitFor();
    await page.click('#inspect-fold > summary');
    await found(page, 'Elm 1', 'It arrived at 1.720 V');
    assert.equal(await field(page, 'Elm 1', 'arrived.remark').inputValue(), 'a dent');
    assert.equal(await field(page, 'Elm 1', 'arrived.day').inputValue(), '2026-11-20');

    // Its log comes, and the inspection goes into the post.
    await drop(page, [file('Elm 1 2 A.csv', plain())]);
    await rowsShown(page, 1);
    await page.locator('#publish').scrollIntoViewIfNeeded();
    await page.waitForFunction(() => /## Incoming inspection/.test(document.querySelector('#post-text').textContent));
    assert.deepEqual(errors, []);
  } finally {
    await close();
  }
});
