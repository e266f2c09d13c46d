// How long a change takes to be seen on the page with a large campaign on it: 40
// cells, run eight times each, 20,000 samples a run. Prints milliseconds from the
// act to the frame in which the change is there.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { open } from '../e2e/harness.mjs';

const CELLS = Number(process.env.PLATEAU_CELLS ?? 40);
const RUNS = 8;
const SAMPLES = 20_000;
const BAR_MS = 100;

/** A discharge with noise, in a tester's steps. */
function log(charge, amps) {
  const step = ((charge * (1 - 0.004 * amps)) / amps / (SAMPLES - 60)) * 3600;
  const lines = ['Time / s,Voltage / V,Current / A,Temperature / °C'];
  for (let k = 0; k < SAMPLES; k += 1) {
    const z = (k - 30) / (SAMPLES - 60);
    const loaded = k >= 30 && z <= 1;
    const volts = loaded ? 4.19 - 0.9 * z - 0.4 * z ** 20 - 0.03 * amps + 0.0004 * Math.sin(k * 7.1) : 4.19 - 0.7 * Math.min(Math.max(z, 0), 1);
    lines.push(`${(k * step).toFixed(2)},${volts.toFixed(3)},${loaded ? amps : 0},${(22 + (loaded ? 2 * z * amps : 0)).toFixed(1)}`);
  }
  return lines.join('\n');
}

const folder = mkdtempSync(join(tmpdir(), 'plateau-campaign-'));
const site = await open();
try {
  const { page, errors, close } = await site.page({ viewport: { width: 1400, height: 900 } });
  const started = Date.now();
  for (let cell = 0; cell < CELLS; cell += 1) {
    const files = [];
    for (let run = 0; run < RUNS; run += 1) {
      const amps = [1, 2, 3, 5, 7, 10, 15, 20][run];
      files.push(join(folder, `Cell${String(cell).padStart(2, '0')} ${amps} A.csv`));
      writeFileSync(files.at(-1), log(4.5 + (cell % 7) / 10, amps));
    }
    await page.setInputFiles('#file', files);
    await page.waitForFunction((n) => Number(/of (\d+)|All (\d+)/.exec(document.querySelector('.narrow-said').textContent)?.slice(1).find(Boolean) ?? document.querySelectorAll('#results-rows tr').length) >= n, (cell + 1) * RUNS, { timeout: 120_000 });
  }
  console.log(`${CELLS * RUNS} runs read and shown in ${((Date.now() - started) / 1000).toFixed(1)} s`);
  await page.waitForTimeout(4000);

  // Acts in the page, and waits for the frame after the change is there.
  const timed = async (what, act, seen) => {
    const all = [];
    for (let n = 0; n < 5; n += 1) {
      all.push(
        await page.evaluate(
          async ([act, seen, n]) => {
            const there = new Function('n', `return (${seen})`);
            const begun = performance.now();
            new Function('n', act)(n);
            while (!there(n)) {
              if (performance.now() - begun > 20_000) return NaN;
              await new Promise((done) => setTimeout(done, 0));
            }
            await new Promise((done) => requestAnimationFrame(done));
            return performance.now() - begun;
          },
          [act, seen, n],
        ),
      );
      await page.waitForTimeout(1500);
    }
    all.sort((a, b) => a - b);
    console.log(`${what.padEnd(34)} ${all[2].toFixed(0).padStart(5)} ms  (${all[0].toFixed(0)}..${all[4].toFixed(0)})  ${all[2] <= BAR_MS ? 'met' : 'SHORT'}`);
  };
  const text = (selector, pattern) => `${pattern}.test(document.querySelector(${JSON.stringify(selector)})?.textContent ?? '')`;
  const type = (selector, value) =>
    `const e = document.querySelector(${JSON.stringify(selector)}); e.value = ${value}; e.dispatchEvent(new Event('input', { bubbles: true })); e.dispatchEvent(new Event('change', { bubbles: true }));`;
  await page.click('#cells-fold > summary');
  await page.locator('#cells-list li summary').first().click();
  await page.waitForTimeout(500);
  await timed('rated capacity of a cell', type('#cells-list [data-field=rated]', '(4.1 + n / 10).toFixed(1)'), `document.querySelector('#cells-list li summary').textContent.includes('rated ' + (4.1 + n / 10).toFixed(1))`);
  await timed('cut-off, a new one', type('#cutoff', '(3.01 + n / 100).toFixed(2)'), `document.querySelector('#results-rows td[data-figure=end] .value')?.textContent === (3.01 + n / 100).toFixed(3)`);
  await page.evaluate(() => document.querySelector('#load').scrollIntoView());
  await page.waitForTimeout(2500);
  await page.fill('#load-cutoff', '3.0');
  await page.waitForTimeout(1500);
  await timed('load, another current', type('#load-amount', '3 + n / 2'), `document.querySelector('#load-asked').textContent.startsWith((3 + n / 2).toFixed(2))`);
  await page.evaluate(() => document.querySelector('#ranking').scrollIntoView());
  await page.waitForTimeout(2500);
  await timed('ranking by another figure', `document.querySelectorAll('input[name=ranking-figure]')[n % 2].click();`, text('#ranking', 'n % 2 ? /Energy/ : /Capacity/'));
  if (errors.length > 0) console.log(errors.slice(0, 5));
  await close();
} finally {
  await site.close();
  rmSync(folder, { recursive: true, force: true });
}
