// The main job: logs are dropped, figures and curves are there, nothing is sent.

import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { open } from './harness.mjs';
import { drop, file, plain, plainTruth, results, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const here = dirname(fileURLToPath(import.meta.url));
const reference = process.env.PLATEAU_REFERENCE ?? join(here, '..', '..', '..', 'shared', 'reference');

test('a dropped log becomes figures, a curve and a download', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [file('Alder 2 A.csv', plain())]);
  await rowsShown(page, 1);
  const truth = plainTruth();
  const row = (await results(page)).get('Alder 2 A');
  assert.equal(Number(row.capacity).toFixed(3), truth.capacity.toFixed(3));
  assert.ok(Math.abs(Number(row.average) - truth.average) < 0.002, row.average);
  assert.equal(row.current, '2.000');
  assert.equal(row.start, '4.150');
  assert.equal(row.tempRise, '1.0');
  await page.waitForFunction(() => document.querySelector('#chart canvas'));

  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#download')]);
  assert.equal(download.suggestedFilename(), 'results.csv');
  const [head, first] = readFileSync(await download.path(), 'utf8').split('\r\n');
  assert.equal(
    head,
    'run,file,capacity_Ah,energy_Wh,average_voltage_V,midpoint_voltage_V,duration_s,mean_current_A,start_voltage_V,end_voltage_V,max_temperature_C,capacity_U_Ah,energy_U_Wh,average_voltage_U_V,cell,at_least,void',
  );
  assert.match(first, /^Alder 2 A,Alder 2 A\.csv,3\.30000\d,/);
  assert.deepEqual(errors, []);
  await close();
});

// The publisher states a capacity for each discharge: B. Saha, K. Goebel,
// "Battery Data Set", NASA Prognostics Data Repository, 2007, "till 2.7 V". Its
// last interval is whole, ours ends at the crossing, so that ours is 0 to
// 0.65 % lower.
test('real cells give their stated capacity', { skip: !existsSync(join(reference, 'nasa')) && 'the open data is not here' }, async () => {
  const [, ...rows] = readFileSync(join(reference, 'nasa', 'metadata_selected.csv'), 'utf8').trim().split('\n');
  const stated = new Map(rows.map((row) => row.split(',').slice(-4, -2)));
  assert.equal(stated.size, 12);
  const { page, close } = await site.page();
  await drop(page, [...stated.keys()].map((name) => file(name, readFileSync(join(reference, 'nasa', name)))));
  await rowsShown(page, 12);
  await page.fill('#cutoff', '2.7');
  await page.waitForFunction(() => [...document.querySelectorAll('#results-rows tr')].every((tr) => tr.querySelector('[data-figure=end] .value').textContent === '2.700'));
  const shown = await results(page);
  for (const [name, capacity] of stated) {
    const got = Number(shown.get(name.replace('.csv', '')).capacity);
    const off = got / Number(capacity) - 1;
    const digits = 0.0005 / got; // half a unit of the last digit shown
    assert.ok(off > -0.0065 - digits && off < 0.0001 + digits, `${name}: ${got} Ah, stated ${capacity}`);
  }
  await close();
});

test('the demo loads through the same reader', async () => {
  const { page, errors, close } = await site.page();
  await page.click('#demo');
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length >= 6);
  const shown = await results(page);
  const alder = shown.get('Alder 1.00 A');
  assert.ok(Number(alder.capacity) > 4.9 && Number(alder.capacity) < 5.1, alder.capacity);
  assert.match(await page.locator('#checks-list').textContent(), /begins under load/);
  assert.deepEqual(errors, []);
  await close();
});

test('text pasted into the page is read', async () => {
  const { page, close } = await site.page();
  await page.click('.paste summary');
  await page.fill('#paste-text', plain({ rows: 50 }));
  await page.click('#paste-read');
  await rowsShown(page, 1);
  await close();
});

test('files dropped before the program is there are queued', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  let release;
  const held = new Promise((resolve) => {
    release = resolve;
  });
  await page.route('**/parts/plateau.*.wasm', async (route) => {
    await held;
    await route.continue();
  });
  await page.goto(site.address);
  assert.match(await page.locator('#drop').textContent(), /Nothing is sent anywhere/);
  await drop(page, [file('early.csv', plain({ rows: 60 })), file('early too.csv', plain({ rows: 80 }))]);
  await page.waitForTimeout(300);
  assert.equal(await page.locator('#results-rows tr').count(), 0);
  release();
  await rowsShown(page, 2);
  await context.close();
});

test('nothing leaves the machine', async () => {
  const { page, requests, close } = await site.page();
  await page.waitForLoadState('networkidle');
  const before = requests.length;
  assert.ok(before > 3, 'the watch sees the page load');
  await drop(page, [file('secret.csv', plain())]);
  await rowsShown(page, 1);
  await page.fill('#cutoff', '3.3');
  await page.click('input[name=axis][value=time]', { force: true });
  await page.waitForTimeout(500);
  assert.deepEqual(requests.filter((url) => !url.startsWith(site.address)), []);
  const later = requests.slice(before).map((url) => url.slice(site.address.length));
  assert.deepEqual(later, [], 'no request is made of a log');

  // The policy itself: what a script tries to send elsewhere is blocked.
  const blocked = await page.evaluate(async () => {
    const seen = [];
    document.addEventListener('securitypolicyviolation', (event) => seen.push(event.effectiveDirective));
    const tries = [
      fetch('https://plateau.invalid/?log').then(() => 'sent', () => 'refused'),
      new Promise((resolve) => {
        const image = new Image();
        image.onload = () => resolve('sent');
        image.onerror = () => resolve('refused');
        image.src = 'https://plateau.invalid/log.png';
      }),
    ];
    const outcomes = await Promise.all(tries);
    navigator.sendBeacon('https://plateau.invalid/', 'log');
    await new Promise((resolve) => setTimeout(resolve, 100));
    return { outcomes, seen };
  });
  assert.deepEqual(blocked.outcomes, ['refused', 'refused']);
  assert.ok(blocked.seen.filter((d) => d === 'connect-src').length >= 2, String(blocked.seen));
  assert.ok(blocked.seen.includes('img-src'), String(blocked.seen));
  await close();
});
