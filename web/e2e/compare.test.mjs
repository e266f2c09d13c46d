// Figures of all cells over the current: chart and table.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function withDemo(options) {
  const visit = await site.page(options);
  await visit.page.evaluate(() => {
    const { chart } = window.plateau;
    const draw = chart.drawPoints;
    chart.drawPoints = (compared, buffers) => {
      window.drawnPoints = { ...compared, triples: buffers.map((b) => [...new Float64Array(b)]) };
      return draw.call(chart, compared, buffers);
    };
  });
  await visit.page.click('#demo');
  await visit.page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length >= 6);
  await visit.page.locator('#compare').scrollIntoViewIfNeeded();
  await visit.page.waitForFunction(() => window.drawnPoints?.series.length > 0);
  return visit;
}

const show = (page, figure) => page.selectOption('#compare-figure', figure);
const drawn = (page, label) => page.waitForFunction((pattern) => new RegExp(pattern).test(window.drawnPoints.yLabel), label);
const points = (page) => page.evaluate(() => window.drawnPoints);

test('capacity is drawn over the current, and stands in a table', async () => {
  const { page, errors, close } = await withDemo();
  const { xLabel, yLabel, log, series, triples } = await points(page);
  assert.match(xLabel, /\/ A$/);
  assert.match(yLabel, /\/ Ah$/);
  assert.ok(!log);
  assert.equal(series.length, triples.length);
  for (const list of triples) {
    assert.ok(list.length >= 3 && list.length % 3 === 0 && list.every(Number.isFinite));
    for (let i = 3; i < list.length; i += 3) assert.ok(list[i] >= list[i - 3], 'in the order of the current');
  }
  const name = await page.locator('#compare-chart').getAttribute('aria-label');
  assert.match(name, /capacity/i);
  assert.equal(await page.locator('#compare-chart').getAttribute('role'), 'img');
  // As many rows as points, and in them their numbers.
  const rows = await page.locator('#compare-table tbody tr:not(.group)').count();
  assert.ok(rows >= triples.flat().length / 3, `${rows} rows`);
  const text = await page.locator('#compare-table').textContent();
  for (const list of triples) assert.ok(text.includes(list[1].toFixed(2).slice(0, -1)), `${list[1]} is in the table`);
  await page.waitForFunction(() => performance.getEntriesByName('plateau:points').length > 0);
  const painted = await page.locator('#compare-chart canvas').evaluate((canvas) => {
    const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
    let inked = 0;
    for (let i = 3; i < data.length; i += 4) if (data[i] > 0) inked += 1;
    return inked;
  });
  assert.ok(painted > 1000, `${painted} pixels`);
  assert.ok((await page.locator('#compare-summary tbody tr').count()) >= series.length);
  assert.deepEqual(errors, []);
  await close();
});

test('other figures, against the C-rate, and a Ragone plot on logarithmic axes', async () => {
  const { page, errors, close } = await withDemo();
  await show(page, 'energy');
  await drawn(page, '/ Wh$');
  await page.locator('input[name=compare-axis][value=rate]').check({ force: true });
  await page.waitForFunction(() => !/\/ A$/.test(window.drawnPoints.xLabel));
  await show(page, 'average');
  await drawn(page, '/ V$');
  await show(page, 'rise');
  await drawn(page, '°C');
  await show(page, 'ragone');
  await page.waitForFunction(() => window.drawnPoints.log === true || document.querySelector('#compare-why').textContent !== '');
  assert.ok(await page.locator('#compare-axis').isHidden(), 'a Ragone plot has axes of its own');
  await show(page, 'price');
  await page.waitForFunction(() => /price|money/i.test(document.querySelector('#compare-why').textContent) || /money|price|Wh\//i.test(window.drawnPoints.yLabel));
  if (await page.locator('#compare-why').isVisible()) {
    assert.ok(await page.locator('#compare-chart').isHidden());
    assert.match(await page.locator('#compare-why').textContent(), /\.$/);
  }
  assert.deepEqual(errors, []);
  await close();
});

test('a cell is switched off in the legend, and on again', async () => {
  const { page, errors, close } = await withDemo();
  const all = (await points(page)).series.length;
  const box = page.locator('#compare-legend input').first();
  const run = await box.getAttribute('data-run');
  await box.focus();
  await page.keyboard.press('Space');
  await page.waitForFunction((n) => window.drawnPoints.series.length === n, all - 1);
  assert.ok(!(await points(page)).series.some((s) => s.run === run));
  assert.equal(await page.locator('#compare-legend input').count(), all, 'its box stays');
  assert.equal(await page.evaluate(() => document.activeElement.dataset.run), run, 'and so does the focus');
  await page.keyboard.press('Space');
  await page.waitForFunction((n) => window.drawnPoints.series.length === n, all);
  assert.deepEqual(errors, []);
  await close();
});

test('a point says what it is under the pointer', async () => {
  const { page, close } = await withDemo();
  await page.waitForFunction(() => performance.getEntriesByName('plateau:points').length > 0);
  await page.locator('#compare-chart').scrollIntoViewIfNeeded();
  const { series } = await points(page);
  const box = await page.locator('#compare-chart').boundingBox();
  const tip = page.locator('#compare-chart .chart-tip');
  let said = '';
  for (let y = 20; y < box.height - 40 && said === ''; y += 8) {
    for (let x = 40; x < box.width - 10 && said === ''; x += 14) {
      await page.mouse.move(box.x + x, box.y + y);
      if (await tip.isVisible()) said = await tip.textContent();
    }
  }
  assert.ok(series.some(({ name }) => said.startsWith(`${name}: `)), said);
  assert.match(said, / A, [\d.]+( ± [\d.]+)? Ah$/);
  await close();
});
