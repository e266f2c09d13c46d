// Each chart has a text alternative: a sentence and a table, whose numbers are
// the engine's.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { results } from './logs.mjs';
import { states } from './states.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const said = (page, pattern) => page.waitForFunction((p) => new RegExp(p).test(document.querySelector('#chart-said').textContent), pattern);
const table = (page) => page.locator('#chart-table').evaluate((one) => [...one.rows].map((row) => [...row.cells].map((cell) => cell.textContent)));

test('the curves in a sentence and a table', async () => {
  const { page, errors, close } = await site.page();
  await states.demo(page);
  assert.match(await page.getAttribute('#chart', 'aria-describedby'), /chart-said/);
  await page.locator('#chart-fold > summary').click();
  const sentence = await page.textContent('#chart-said');
  const most = [...(await results(page))].sort(([, a], [, b]) => Number(b.capacity) - Number(a.capacity))[0];
  assert.match(sentence, /^17 curves, Voltage \/ V over Discharged charge \/ Ah: across from 0\.00 to 6\.05, up from 2\.00 to 4\.19\./);
  assert.ok(sentence.endsWith(`farthest right ${most[0]}.`), sentence);
  const [heads, ...rows] = await table(page);
  assert.deepEqual(heads, ['Voltage / V over Discharged charge / Ah', '0 Ah', '1 Ah', '2 Ah', '3 Ah', '4 Ah', '5 Ah', '6 Ah']);
  assert.equal(rows.length, 17);
  const readout = await page.evaluate(() => new Promise((done) => {
    window.plateau.command(JSON.stringify({ do: 'readout', show: 'voltage', axis: 'charge', x: 3 }), (json) => done(JSON.parse(json).readout.runs));
  }));
  assert.equal(readout.length, 17);
  for (const [k, { values }] of readout.entries()) assert.ok(Math.abs(Number(values[0]) - Number(rows[k][4])) < 0.004, `${rows[k][0]}: ${values[0]}, ${rows[k][4]}`);
  assert.equal(rows[0][7], '–', 'nothing beyond the end of a curve');

  await page.check('#temperature');
  await said(page, 'Dotted, on the right axis: Temperature / °C, from ');
  assert.equal((await table(page)).length, 1 + 2 * 17);
  await page.locator('#show-incremental').check({ force: true });
  await said(page, '^\\d+ curves, dQ/dV / ');
  assert.match((await table(page))[0][1], / V$/);
  await page.locator('#show-resistance').check({ force: true });
  await said(page, 'Highest is (Alder|Birch|Cedar|Dogwood), farthest right Dogwood\\. Dotted, on the right axis: ');
  assert.ok((await table(page)).length >= 5);
  assert.deepEqual(errors, []);
  await close();
});

test('where nothing is drawn there is nothing to tell; in part of the curves, of that part', async () => {
  const { page, close } = await site.page();
  await states['one log'](page);
  await said(page, '^1 curve, .*across from 0\\.00 to 3\\.30, up from 3\\.00 to 4\\.15\\.$');
  await page.locator('#chart-fold > summary').click();
  await page.focus('#chart');
  for (let k = 0; k < 3; k += 1) await page.keyboard.press('+');
  await said(page, 'across from 1\\.');
  await page.locator('#legend-rows input').first().uncheck();
  await page.locator('#chart-fold').waitFor({ state: 'hidden' });
  await close();
});

test('the points of cells in a sentence, beside their table', async () => {
  const { page, close } = await site.page();
  await states.demo(page);
  assert.match(await page.getAttribute('#compare-chart', 'aria-describedby'), /compare-said/);
  assert.match(await page.textContent('#compare-said'), /^4 curves, Capacity \/ Ah over Current \/ A: across from 0\.8 to 18\.0, up from 3\.94 to 6\.05\. Highest is Dogwood, farthest right Birch\.$/);
  await page.selectOption('#compare-figure', 'average');
  await page.waitForFunction(() => /^4 curves, Average voltage \/ V over/.test(document.querySelector('#compare-said').textContent));
  await close();
});
