// The curves: readout, axes, legend, zoom, keys; and the page at several sizes.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function withTwo(options) {
  const visit = await site.page(options);
  await drop(visit.page, [file('long.csv', plain({ rows: 606 })), file('short.csv', plain({ rows: 306, current: 1 }))]);
  await rowsShown(visit.page, 2);
  await visit.page.waitForFunction(() => document.querySelector('#chart canvas'));
  await visit.page.waitForTimeout(300);
  return visit;
}

const legend = (page) =>
  page.locator('#legend-rows tr').evaluateAll((rows) =>
    Object.fromEntries(rows.map((tr) => [tr.children[0].textContent.trim(), [...tr.children].slice(1).map((td) => td.textContent)])),
  );

test('hovering reads every curve at the same abscissa', async () => {
  const { page, errors, close } = await withTwo();
  await page.evaluate(() => document.querySelector('#chart').scrollIntoView({ block: 'center', behavior: 'instant' }));
  const box = await page.locator('#chart').boundingBox();
  await page.mouse.move(box.x + box.width * 0.15, box.y + box.height / 2);
  await page.waitForFunction(() => /at .* Ah/.test(document.querySelector('#readout-x').textContent));
  await page.waitForTimeout(200);
  const at = Number(/at ([\d.]+) Ah/.exec(await page.locator('#readout-x').textContent())[1]);
  const read = await legend(page);
  // long.csv: 2 A, 3.333 Ah and a fall of 1.1 V; short.csv: 1 A, 0.833 Ah.
  for (const [name, capacity] of [['long', 10 / 3], ['short', 5 / 6]]) {
    const [volts, charge] = read[name].map(Number);
    assert.ok(Math.abs(charge - at) < 0.002, `${name}: ${charge} Ah, pointer at ${at}`);
    assert.ok(Math.abs(volts - (4.1 - (1.1 * at) / capacity)) < 0.012, `${name}: ${volts} V at ${at} Ah`);
  }
  // Past the short one's end only the long one is read.
  await page.mouse.move(box.x + box.width * 0.7, box.y + box.height / 2);
  await page.waitForFunction(() => document.querySelectorAll('#legend-rows tr')[1].children[1].textContent === '');
  assert.notEqual((await legend(page)).long[0], '');
  assert.deepEqual(errors, []);
  await close();
});

test('axes, legend and zoom', async () => {
  const { page, errors, close } = await withTwo();
  await page.evaluate(() => {
    const { chart } = window.plateau;
    const draw = chart.draw;
    window.drawn = [];
    chart.draw = (curves, buffers, options) => {
      window.drawn.push({ axis: curves.axis, label: curves.xLabel, max: curves.xMax, series: curves.series.length, points: buffers[0].byteLength / 16 });
      return draw.call(chart, curves, buffers, options);
    };
  });
  const last = async () => {
    await page.waitForTimeout(400);
    return page.evaluate(() => window.drawn.at(-1));
  };
  await page.locator('input[name=axis][value=energy]').check({ force: true });
  let drawn = await last();
  assert.equal(drawn.label, 'Discharged energy / Wh');
  assert.ok(Math.abs(drawn.max - (10 / 3) * 3.55) < 0.02, drawn.max);
  await page.locator('input[name=axis][value=time]').check({ force: true });
  drawn = await last();
  assert.equal(drawn.label, 'Time / min');
  assert.ok(Math.abs(drawn.max - 100) < 0.3, drawn.max);

  await page.locator('#legend-rows input').nth(1).uncheck();
  drawn = await last();
  assert.equal(drawn.series, 1);

  await page.evaluate(() => document.querySelector('#curves').scrollIntoView({ behavior: 'instant' }));
  await page.evaluate(() => document.querySelector('#chart').scrollIntoView({ block: 'center', behavior: 'instant' }));
  const box = await page.locator('#chart').boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 3);
  for (let k = 0; k < 5; k += 1) {
    await page.mouse.wheel(0, -300);
    await page.waitForTimeout(80);
  }
  drawn = await last();
  assert.ok(drawn.points < 550, `zoomed in, the engine sends the part in view: ${drawn.points} points`);
  await page.click('#reset-zoom');
  drawn = await last();
  assert.ok(drawn.points >= 600, `${drawn.points} points of the whole curve`);
  assert.deepEqual(errors, []);
  await close();
});

test('the curves can be read by keyboard', async () => {
  const { page, close } = await withTwo();
  await page.focus('#chart');
  await page.keyboard.press('Home');
  for (let k = 0; k < 3; k += 1) await page.keyboard.press('Shift+ArrowRight');
  await page.waitForFunction(() => document.querySelector('#legend-rows td').textContent !== '');
  const first = await page.locator('#readout-x').textContent();
  await page.keyboard.press('ArrowRight');
  await page.waitForFunction((was) => document.querySelector('#readout-x').textContent !== was, first);
  await close();
});

test('a cut-off that is none is said, and one below the run is marked', async () => {
  const { page, close } = await withTwo();
  await page.fill('#cutoff', 'low');
  await page.waitForFunction(() => /is not a voltage/.test(document.querySelector('#cutoff-error').textContent));
  await page.fill('#cutoff', '2,5');
  await page.waitForFunction(() => /above the cut-off/.test(document.querySelector('#checks-list').textContent));
  assert.equal((await page.locator('#cutoff-error').textContent()).trim(), '');
  await close();
});

for (const [name, options] of [
  ['390 px', { viewport: { width: 390, height: 844 } }],
  ['768 px, dark', { viewport: { width: 768, height: 1024 }, colorScheme: 'dark' }],
  ['4K', { viewport: { width: 3840, height: 2160 } }],
]) {
  test(`nothing runs over the page's edge at ${name}`, async () => {
    const { page, close } = await site.page(options);
    const over = () => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.equal(await over(), 0, 'empty');
    await drop(page, [file(`a long name for a log, as people give them, of cell Dogwood at 12 A ${'x'.repeat(60)}.csv`, plain({ rows: 100 }))]);
    await rowsShown(page, 1);
    await page.waitForTimeout(300);
    assert.equal(await over(), 0, 'loaded');
    const { width } = await page.locator('#chart').boundingBox();
    assert.ok(width > 300, `the chart is ${width} px wide`);
    await close();
  });
}
