// Cells: added, removed, pasted, put right; discharges put to them by menu and
// by drag; and discharges typed from a tester's display.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function withLogs() {
  const visit = await site.page();
  await drop(visit.page, [file('Alder 2 A.csv', plain()), file('Birch 2 A.csv', plain())]);
  await rowsShown(visit.page, 2);
  await visit.page.click('#cells-fold > summary');
  return visit;
}

const cell = (page, name) => page.locator('#cells-list > li', { has: page.locator(`.cell-name:text-is("${name}")`) });
const chip = (page, run) => page.locator('#cells-list .chip', { hasText: run });
const spoken = (page, pattern) => page.waitForFunction((text) => new RegExp(text).test(document.querySelector('#spoken').textContent), pattern.source);
const focused = (page, selector) => page.waitForFunction((wanted) => document.activeElement.matches(wanted), selector);

test('a discharge is moved to another cell by its menu, and back to the guess', async () => {
  const { page, errors, close } = await withLogs();
  assert.match(await chip(page, 'Alder 2 A').textContent(), /guess/);
  await chip(page, 'Alder 2 A').locator('button').focus();
  await page.keyboard.press('Enter');
  await focused(page, '#mover-to');
  assert.deepEqual(await page.locator('#mover-to option').allTextContents(), ['Birch'], 'it is guessed already, and of Alder');
  await page.keyboard.press('Escape');
  await focused(page, '[data-move]');
  assert.equal(await page.locator('#mover').count(), 0);

  await page.keyboard.press('Enter');
  await page.selectOption('#mover-to', 'Birch');
  await page.click('#mover [data-mover=move]');
  await cell(page, 'Birch').locator('.chip', { hasText: 'Alder 2 A' }).waitFor();
  await spoken(page, /Alder 2 A is of Birch now/);
  assert.ok(await page.evaluate(() => document.activeElement.closest('.chip')?.textContent.includes('Alder 2 A')), 'the focus goes with it');
  assert.equal(await cell(page, 'Alder').count(), 0, 'a cell that was only guessed goes with its last discharge');
  assert.doesNotMatch(await chip(page, 'Alder 2 A').textContent(), /guess/);

  await page.keyboard.press('Enter');
  await page.selectOption('#mover-to', { label: 'back to the guess' });
  await page.click('#mover [data-mover=move]');
  await cell(page, 'Alder').locator('.chip').waitFor();
  assert.match(await chip(page, 'Alder 2 A').textContent(), /guess/);
  assert.deepEqual(errors, []);
  await close();
});

test('a discharge is dragged to another cell', async () => {
  const { page, errors, close } = await withLogs();
  await chip(page, 'Alder 2 A').dragTo(cell(page, 'Birch').locator('summary'));
  await cell(page, 'Birch').locator('.chip', { hasText: 'Alder 2 A' }).waitFor();
  await spoken(page, /Alder 2 A is of Birch now/);
  assert.equal(await page.locator('.over').count(), 0);
  assert.ok(await page.locator('#overlay').isHidden(), 'it is not taken for a file');
  await page.waitForFunction(() => [...document.querySelectorAll('#results-rows th')].every((th) => /Birch/.test(th.textContent)));
  assert.deepEqual(errors, []);
  await close();
});

test('a cell is added, put right and removed', async () => {
  const { page, errors, close } = await withLogs();
  assert.equal(await page.locator('.cell-form [data-field]').count(), 0, 'forms are made when they are opened');
  await page.click('#cells-add');
  await focused(page, '[data-field=name]');
  const added = cell(page, 'Cell 1');
  await added.waitFor();
  await page.keyboard.type('Quince');
  await page.keyboard.press('Tab');
  const own = cell(page, 'Quince');
  await own.waitFor();
  await own.locator('[data-field=rated]').fill('5');
  await own.locator('[data-field=minimum]').fill('5.2');
  await page.keyboard.press('Tab');
  await own.locator('[data-field=minimum][aria-invalid=true]').waitFor();
  const said = await own.locator('[data-field=minimum]').getAttribute('aria-describedby');
  assert.match(await page.locator(`#${said}`).textContent(), /\S{3}/);
  await own.locator('[data-field=mass]').fill('-70');
  await page.keyboard.press('Tab');
  await own.locator('[data-field=mass][aria-invalid=true]').waitFor();
  await own.locator('summary').click();
  assert.match(await own.locator('summary').textContent(), /2 fields to put right/);
  assert.match(await own.locator('summary').textContent(), /rated 5 Ah/);
  await own.locator('summary').click();
  await own.locator('[data-field=minimum]').fill('4.8');
  await own.locator('[data-field=mass]').fill('70');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => !document.querySelector('#cells-list .wrong'));
  await own.locator('[data-field=size]').fill('INR19/66');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => /19 mm/.test(document.querySelector('#cells-list .size-words:not(:empty)')?.textContent));

  // Two cells of one name: it is said, and neither is lost.
  await own.locator('[data-field=name]').fill('Birch');
  await page.keyboard.press('Tab');
  await own.locator('[data-field=name][aria-invalid=true]').waitFor();
  await spoken(page, /already/);
  assert.equal(await page.locator('#cells-list > li').count(), 3);
  assert.equal(await own.locator('[data-field=mass]').inputValue(), '70');

  await own.locator('[data-act=drop]').click();
  await page.waitForFunction(() => document.querySelectorAll('#cells-list > li').length === 2);
  await focused(page, '#cells-add');
  assert.equal(await page.locator('#cells-list [data-act=drop]').count(), 0, 'a cell with discharges stays');
  assert.deepEqual(errors, []);
  await close();
});

test('samples of one model share the figures of its datasheet', async () => {
  const { page, errors, close } = await withLogs();
  for (const [name, fields] of [['Alder', { model: 'M1', rated: '5' }], ['Birch', { model: 'M1' }]]) {
    await cell(page, name).locator('summary').click();
    for (const [field, text] of Object.entries(fields)) await cell(page, name).locator(`[data-field=${field}]`).fill(text);
    await page.keyboard.press('Tab');
  }
  await page.waitForFunction(() => /Datasheet figures from Alder/.test(document.querySelector('#cells-list').textContent));
  assert.deepEqual(errors, []);
  await close();
});

test('cells are pasted, looked at and taken', async () => {
  const { page, errors, close } = await withLogs();
  await cell(page, 'Alder').locator('summary').click();
  await cell(page, 'Alder').locator('[data-field=mass]').fill('69.5');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => /69.5 g/.test(document.querySelector('#cells-list').textContent));
  await page.click('#cells-paste-open');
  await page.fill('#cells-paste-text', 'Cell\tRated / mAh\tCut-off / V\tColour\nAlder\t5000\t2.5\tred\nCedar\t3.0 Ah\t2.5\tblue\n\t2000\t2.5\t\nDogwood\tlots\t2,5\t');
  await page.waitForFunction(() => /Take 3 cells/.test(document.querySelector('#cells-paste-take').textContent));
  assert.match(await page.locator('#cells-paste-how').textContent(), /Colour/, 'what is left out is said');
  assert.match(await page.locator('#cells-paste-how').textContent(), /Already on the page: 1 cell/);
  assert.match(await page.locator('#cells-paste-problems').textContent(), /Line 4/);
  const row = page.locator('#cells-paste-table tbody tr', { hasText: 'Dogwood' });
  assert.match(await row.locator('.field-error').textContent(), /lots/);
  assert.equal(await page.locator('#cells-list > li').count(), 2, 'nothing is changed before');
  await page.click('#cells-paste-take');
  await page.waitForFunction(() => document.querySelectorAll('#cells-list > li').length === 4);
  assert.match(await cell(page, 'Alder').locator('summary').textContent(), /rated 5000 mAh.*69\.5 g/, 'what the table does not say stays');
  assert.match(await cell(page, 'Dogwood').locator('summary').textContent(), /1 field to put right/);
  await page.waitForFunction(() => /0\.4C/.test(document.querySelector('#results-rows').textContent));
  await focused(page, '#cells-paste-open');
  await page.click('#cells-paste-open');
  await page.fill('#cells-paste-text', '    ');
  assert.ok(await page.locator('#cells-paste-take').isDisabled());
  assert.deepEqual(errors, []);
  await close();
});

const at = (page, row, field) => page.locator(`#typed-${row}-${field}`);

async function typeRow(page, row, texts) {
  for (const [k, field] of ['cell', 'current', 'capacity', 'energy', 'cutoff'].entries()) {
    if (texts[k] !== undefined) await at(page, row, field).fill(texts[k]);
  }
  await page.keyboard.press('Tab');
}

test('figures are typed without a log, and a slip is offered to be put right', async () => {
  const { page, errors, close } = await site.page();
  await page.click('#type-in');
  await focused(page, '#typed-0-cell');
  assert.ok(await page.locator('#curves').isHidden());
  await paste(page, 'Alder\t0.5\t4.98\t18.10\t2.5\nAlder\t2\t4.88\t17.45\t2.5\nAlder\t5\t4.80\t16.75\t2.5');
  await page.waitForFunction(() => /^3 discharges$/.test(document.querySelector('#typed-state').textContent));
  // 17.85 Wh through 4.93 Ah are 3.62 V; through 4.39 Ah, two digits swapped,
  // they would be 4.07 V.
  await typeRow(page, 3, ['Alder', '1', '4.39', '17.85', '2.5']);
  const offer = page.locator('.offers button', { hasText: 'Use 4.93 instead' });
  await offer.waitFor();
  assert.match(await page.locator('.offers').textContent(), /swapped/);
  assert.match(await page.locator('#typed-state').textContent(), /1 row to look at again/);
  assert.equal(await at(page, 3, 'capacity').inputValue(), '4.39', 'it is not taken unasked');
  await offer.click();
  const average = page.locator('.average').nth(3);
  await page.waitForFunction(() => document.querySelectorAll('.average')[3].textContent.startsWith('3.62'));
  assert.equal(await average.textContent(), '3.621 V');
  assert.equal(await at(page, 3, 'capacity').inputValue(), '4.93');
  await focused(page, '#typed-3-capacity');
  await page.waitForFunction(() => !document.querySelector('.offers'));

  // The keys go up and down.
  await page.keyboard.press('Enter');
  await focused(page, '#typed-4-capacity');
  await page.keyboard.press('ArrowUp');
  await focused(page, '#typed-3-capacity');
  await page.keyboard.press('ArrowDown');
  await page.keyboard.type('much');
  await page.keyboard.press('Tab');
  await page.locator('#typed-4-capacity[aria-invalid=true]').waitFor();
  assert.match(await page.locator('#typed-4-capacity-error').textContent(), /much/);
  assert.match(await page.locator('#typed-state').textContent(), /5 discharges, 1 row to complete/);
  await page.click('#typed-4-remove');
  await page.waitForFunction(() => /^4 discharges$/.test(document.querySelector('#typed-state').textContent));
  assert.equal(await page.locator('#typed-grid tbody').count(), 5);
  await page.click('#cells-fold > summary');
  assert.match(await cell(page, 'Alder').textContent(), /4 typed/);
  await page.locator('#compare').waitFor({ timeout: 20_000 });
  assert.deepEqual(errors, []);
  await close();
});

async function paste(page, text) {
  await page.evaluate((block) => {
    const data = new DataTransfer();
    data.setData('text/plain', block);
    document.activeElement.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }));
  }, text);
}

test('a block is pasted into the grid, from where the cursor is', async () => {
  const { page, errors, close } = await site.page();
  await page.click('#type-in');
  await paste(page, 'Alder\t1\t4,93\t17,85\t2,5\r\nAlder\t5\t4,81\t16,9\t2,5\r\nBirch\t1\t2,51\t9,1\t2,5\r\n');
  await page.waitForFunction(() => /^3 discharges/.test(document.querySelector('#typed-state').textContent));
  assert.equal(await page.locator('#typed-grid tbody').count(), 4, 'an empty row stands at the end');
  assert.equal(await at(page, 2, 'cell').inputValue(), 'Birch');
  assert.equal(await at(page, 1, 'capacity').inputValue(), '4,81');
  assert.match(await page.locator('#typed-pasted').textContent(), /3 rows pasted/);
  // A column alone goes into its column.
  await at(page, 1, 'energy').focus();
  await paste(page, '17,0\n9,2');
  await page.waitForFunction(() => document.querySelector('#typed-2-energy').value === '9,2');
  assert.equal(await at(page, 1, 'energy').inputValue(), '17,0');
  assert.equal(await at(page, 1, 'current').inputValue(), '5');
  // A word is pasted as ever.
  await at(page, 3, 'cell').focus();
  assert.ok(await page.evaluate(() => {
    const data = new DataTransfer();
    data.setData('text/plain', 'Cedar');
    return document.activeElement.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }));
  }));
  assert.deepEqual(errors, []);
  await close();
});

test('a new engine is told of cells and of typed discharges', async () => {
  const { page, close } = await site.page();
  await page.click('#type-in');
  await typeRow(page, 0, ['Alder', '1', '4.93', '17.85', '2.5']);
  await page.waitForFunction(() => document.querySelector('.average').textContent.startsWith('3.62'));
  await page.click('#cells-fold > summary');
  await page.click('#cells-add');
  await cell(page, 'Cell 1').waitFor();
  const [old] = page.workers();
  const gone = new Promise((resolve) => {
    old.on('close', resolve);
  });
  await old.evaluate(() => self.postMessage({ type: 'died', why: 'a test' }));
  await gone;
  await at(page, 0, 'energy').fill('17.80');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => document.querySelector('.average').textContent.startsWith('3.611'));
  await cell(page, 'Cell 1').waitFor();
  assert.equal(await at(page, 0, 'cell').inputValue(), 'Alder');
  await close();
});

test('the forms of forty cells are not made before they are opened', async () => {
  const { page, errors, close } = await site.page();
  await page.click('#type-in');
  const rows = Array.from({ length: 40 }, (_, k) => `Cell ${String.fromCharCode(65 + (k % 26))}${k}\t1\t${(4 + k / 100).toFixed(2)}\t${((4 + k / 100) * 3.6).toFixed(2)}\t2.5`);
  await paste(page, rows.join('\n'));
  await page.waitForFunction(() => document.querySelectorAll('#cells-list > li').length === 40);
  assert.equal(await page.locator('.cell-form [data-field]').count(), 0);
  assert.deepEqual(errors, []);
  await close();
});
