// The other curves, checks and their places on the curve.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function withDemo(options) {
  const visit = await site.page(options);
  await visit.page.evaluate(() => {
    const { chart } = window.plateau;
    const draw = chart.draw;
    chart.draw = (curves, buffers, how) => {
      window.drawn = { ...curves, how, points: buffers.map((b) => b.byteLength / 16) };
      return draw.call(chart, curves, buffers, how);
    };
  });
  await visit.page.click('#demo');
  await visit.page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length >= 6);
  return visit;
}

const choose = (page, show) => page.locator(`#show-${show}`).check({ force: true });
const shown = (page, show) => page.waitForFunction((what) => window.drawn?.how.show === what, show);

test('dQ/dV is drawn against the voltage, with a window of one’s own', async () => {
  const { page, errors, close } = await withDemo();
  await choose(page, 'incremental');
  await shown(page, 'incremental');
  const drawn = await page.evaluate(() => window.drawn);
  assert.match(drawn.xLabel, /^Voltage \/ V/);
  assert.ok(drawn.xMin > 1.5 && drawn.xMax < 4.5 && drawn.xMax > drawn.xMin, `${drawn.xMin} to ${drawn.xMax}`);
  assert.ok(drawn.series.length > 0 && drawn.points.every((n) => n > 10), String(drawn.points));
  assert.ok(await page.locator('input[name=axis]').first().isHidden());
  assert.match(await page.locator('#legend-head').textContent(), /dQ\/dV/);
  assert.match(await page.locator('#chart-note').textContent(), /Savitzky-Golay, window \d+ mV/);

  await page.focus('#chart');
  for (let k = 0; k < 9; k += 1) await page.keyboard.press('Shift+ArrowRight');
  await page.waitForFunction(() => /at [\d.]+ V/.test(document.querySelector('#readout-x').textContent));
  await page.waitForFunction(() => [...document.querySelectorAll('#legend-rows td')].some((td) => /\d/.test(td.textContent)));

  await page.fill('#window', 'wide');
  await page.waitForFunction(() => /wide/.test(document.querySelector('#window-error')?.textContent));
  await page.fill('#window', '80');
  await page.waitForFunction(() => /window (7\d|8\d) mV/.test(document.querySelector('#chart-note').textContent));
  assert.equal((await page.locator('#window-error').textContent()).trim(), '');
  await choose(page, 'voltage');
  await shown(page, 'voltage');
  assert.ok(await page.locator('#window').isHidden());
  assert.match(await page.locator('#legend-head').textContent(), /Voltage/);
  assert.deepEqual(errors, []);
  await close();
});

test('resistance is drawn for each cell, with the zero-current voltage', async () => {
  const { page, errors, close } = await withDemo();
  await choose(page, 'resistance');
  await shown(page, 'resistance');
  const drawn = await page.evaluate(() => window.drawn);
  assert.match(drawn.yLabel, /mΩ/);
  assert.match(drawn.tLabel, /V/);
  assert.equal(drawn.points.length, 2 * drawn.series.length);
  const names = await page.locator('#legend-rows th').allTextContents();
  assert.deepEqual(names, drawn.series.map((s) => s.name));
  assert.ok(names.includes('Alder'), String(names));
  await page.locator('#legend-rows input').first().uncheck();
  await page.waitForFunction((n) => window.drawn.series.length === n - 1, names.length);
  assert.equal(await page.locator('#legend-rows tr').count(), names.length, 'it can be switched on again');
  await page.locator('#legend-rows input').first().check();
  await page.waitForFunction((n) => window.drawn.series.length === n, names.length);
  assert.deepEqual(errors, []);
  await close();
});

test('where there is no curve, the page says why', async () => {
  const { page, close } = await site.page();
  await drop(page, [file('Alder 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await choose(page, 'resistance');
  await page.waitForFunction(() => document.querySelector('#chart-why').textContent.length > 20);
  assert.ok(await page.locator('#chart').isHidden());
  await choose(page, 'voltage');
  await page.locator('#chart').waitFor();
  assert.equal(await page.locator('#chart-why').textContent(), '');
  await close();
});

test('a cell that got hot stands out, and is shown on its curve with keys alone', async () => {
  const { page, errors, close } = await withDemo({ viewport: { width: 1200, height: 900 } });
  // Cedar at 12 A gets to 69 °C, over the 60 °C that IEC 62133-2 and most
  // datasheets allow.
  const safety = page.locator('#safety');
  await safety.waitFor();
  assert.match(await safety.locator('h3').textContent(), /Safety/);
  assert.ok(await safety.locator('h3 svg').isVisible());
  const text = await safety.textContent();
  assert.match(text, /Cedar 12\.00 A/);
  assert.match(text, /°C/);
  assert.match(text, /qualified person/);
  assert.ok(await page.evaluate(() => {
    const box = (id) => document.querySelector(id).getBoundingClientRect().top;
    return box('#safety') < box('#checks-list');
  }), 'it comes first');
  const button = safety.locator('button[data-mark]').first();
  const says = await button.getAttribute('data-mark');
  await button.focus();
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.activeElement.id === 'chart');
  await page.waitForFunction((want) => {
    const tip = document.querySelector('.chart-tip');
    return !tip.hidden && tip.textContent === want;
  }, says);
  await page.waitForFunction(() => /at .+ Ah/.test(document.querySelector('#readout-x').textContent));
  await page.keyboard.press('Escape');
  await page.waitForFunction(() => document.querySelector('.chart-tip').hidden);
  assert.deepEqual(errors, []);
  await close();
});
