// The main job in Firefox, and that it comes to what it comes to in Chromium.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { drop as dropped, found, launch, ready } from './firefox/firefox.mjs';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';
import { gate } from './offline/gate.mjs';
import { foreign } from './trust/foreign.mjs';
import { ofPage, pastPolicy } from './trust/tries.mjs';

const { path, why } = found();
const options = { skip: path ? false : why, timeout: 90_000 };
const logs = [file('Elm 2 A.csv', plain()), file('Elm 3 A.csv', plain({ current: 3 }))];
const CUTOFF = '3.2';
const RATED = '3.4';

let site;
let firefox;
before(async () => {
  if (path) [site, firefox] = await Promise.all([open(), launch(path)]);
});
after(() => Promise.all([site?.close(), firefox?.close()]));

const figures = () => document.querySelector('#results-rows').textContent;
const verdicts = () => document.querySelector('#datasheet').textContent;
const judged = () => /[a-z]/.test(document.querySelector('.verdict')?.textContent ?? '') && /C \(/.test(document.querySelector('#results-rows').textContent);
const see = (id) => document.querySelector(`#${id}`).scrollIntoView({ behavior: 'instant' });
const linkMade = () => document.querySelector('#link-text').value.length > 300;

/** The same in Chromium: what the page says, its CSV, and its link. */
async function chromium() {
  const { page, close } = await site.page({ viewport: { width: 1300, height: 1000 } });
  await drop(page, logs);
  await rowsShown(page, 2);
  await page.fill('#cutoff', CUTOFF);
  await page.keyboard.press('Enter');
  await page.click('#cells-fold > summary');
  await page.locator('#cells-list li summary').first().click();
  await page.fill('#cells-list [data-field=rated]', RATED);
  await page.keyboard.press('Enter');
  await page.evaluate(see, 'datasheet');
  await page.waitForFunction(judged);
  const said = [await page.evaluate(figures), await page.evaluate(verdicts)];
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#download')]);
  const csv = readFileSync(await download.path());
  await page.evaluate(see, 'publish');
  await page.click('#link-fold > summary');
  await page.waitForFunction(linkMade);
  const link = await page.inputValue('#link-text');
  await close();
  return { said, csv, link };
}

const rows = (page, n) => page.waitForFunction((want) => document.querySelectorAll('#results-rows tr').length === want, {}, n);

async function typed(page, selector, text) {
  await page.focus(selector);
  await page.keyboard.type(text);
  await page.keyboard.press('Enter');
}

test('logs are read, judged, published, linked and kept as in Chromium', options, async (t) => {
  const wanted = await chromium();
  t.diagnostic(await firefox.version());
  const { page, errors, requests, close } = await firefox.page(site.address);
  const asked = requests.length;
  assert.ok(asked > 5);
  await dropped(page, logs);
  await rows(page, 2);

  await page.waitForFunction(() => performance.getEntriesByName('plateau:drawn').length > 0);
  const inks = () => {
    const canvas = document.querySelector('#chart canvas');
    const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
    const colours = new Set();
    for (let k = 0; k < data.length; k += 4) if (data[k + 3] === 255) colours.add((data[k] << 16) | (data[k + 1] << 8) | data[k + 2]);
    return colours.size;
  };
  await page.waitForFunction(`(${inks})() > 10`);

  await typed(page, '#cutoff', CUTOFF);
  await page.click('#cells-fold > summary');
  await page.click('#cells-list li summary');
  await typed(page, '#cells-list [data-field=rated]', RATED);
  await page.evaluate(see, 'datasheet');
  await page.waitForFunction(judged);
  await page.waitForFunction((want) => document.querySelector('#results-rows').textContent === want, {}, wanted.said[0]);
  assert.deepEqual([await page.evaluate(figures), await page.evaluate(verdicts)], wanted.said);
  await page.click('#download');
  assert.deepEqual((await firefox.saved(/\.csv$/)).toString(), wanted.csv.toString(), 'the same CSV, byte for byte');

  await page.evaluate(see, 'publish');
  await page.click('#link-fold > summary');
  await page.waitForFunction(linkMade);
  const link = await page.$eval('#link-text', (area) => area.value);
  assert.equal(link, wanted.link);
  const other = await firefox.page(`${site.address}#${link}`);
  await other.page.waitForFunction(() => !document.querySelector('#linked').hidden && document.querySelector('#linked-picture').naturalWidth > 300);
  await other.page.click('#linked-take');
  await rows(other.page, 2);
  assert.deepEqual(other.errors, []);
  await other.close();

  await page.waitForFunction(() => /is kept in this browser/.test(document.querySelector('#workspace-state').textContent));
  assert.deepEqual(requests.slice(asked).filter((url) => !/^(blob|data):/.test(url)), [], 'nothing was asked for since it was loaded');
  await page.reload();
  await ready(page);
  await rows(page, 2);
  assert.equal(await page.$eval('#cutoff', (field) => field.value), CUTOFF);
  await page.waitForFunction((want) => document.querySelector('#results-rows').textContent === want, {}, wanted.said[0]);
  assert.deepEqual(errors, []);
  await close();
});

test('the panel tells what Firefox blocks, and that it does not block WebRTC', options, async () => {
  const { page, errors, close } = await firefox.page(site.address);
  assert.equal(await page.evaluate(() => typeof RTCPeerConnection), 'undefined');
  await page.click('#drop [data-trust]');
  await page.click('#trust-try');
  await page.waitForFunction(() => document.querySelectorAll('#trust-tries tr').length === 10);
  const told = await page.$$eval('#trust-tries tr', (list) => list.map((tr) => [tr.querySelector('td').textContent.replace(/\. .*/, ''), tr.className]));
  for (const [text, kind] of told.slice(0, -1)) assert.deepEqual([/^Blocked by [a-z-]+$/.test(text), kind], [true, ''], text);
  assert.deepEqual(told.at(-1), ['Not blocked by your browser', 'caution']);
  assert.deepEqual(errors.filter((text) => !/plateau-check\.invalid/.test(text)), []);
  await close();
});

test('with the server gone, the page is loaded again and works', options, async () => {
  const front = await gate(site.address);
  try {
    const { page, errors, close } = await firefox.page(front.address);
    await page.waitForFunction(() => /^Ready to work without a network\.$/.test(document.querySelector('#offline-words').textContent));
    await front.stop();
    await page.reload();
    await ready(page);
    await dropped(page, logs);
    await rows(page, 2);
    assert.deepEqual(errors, []);
    await close();
  } finally {
    await front.stop();
  }
});

// What Firefox 153 has not, or does not do of itself.
const UNKNOWN = ['fetchLater', 'ping of a link', 'link rel=preload', 'link rel=modulepreload', 'speculation rules'];

test('no try gets out of the page; going elsewhere does, as the panel says', options, async () => {
  const far = await foreign();
  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
  try {
    const to = { http: far.http, ws: far.ws, stun: far.stun, turn: far.turn };
    const { page, close } = await firefox.page(site.address);
    await page.evaluate(() => {
      globalThis.complaints = [];
      globalThis.addEventListener('securitypolicyviolation', (e) => globalThis.complaints.push(e.effectiveDirective));
    });
    for (const { name, directive, run } of ofPage) {
      await page.evaluate(() => {
        globalThis.reached = false;
        globalThis.complaints.length = 0;
      });
      page.evaluate(run, to).catch(() => {});
      const told = () => page.evaluate(() => [...new Set(globalThis.complaints)]);
      const wanted = directive && !UNKNOWN.includes(name) ? [directive] : [];
      for (let k = 0; k < 100 && (await told()).length < wanted.length; k += 1) await pause(20);
      assert.deepEqual(await told(), wanted, name);
      assert.equal(await page.evaluate(() => globalThis.reached), false, name);
    }
    await pause(1000);
    assert.equal(far.arrived(), 0);
    page.evaluate(pastPolicy.find(({ name }) => name === 'location').run, to).catch(() => {});
    for (let k = 0; k < 100 && far.arrived() === 0; k += 1) await pause(50);
    assert.ok(far.arrived() > 0, 'Firefox keeps the page from leaving: say so in the panel');
    await close();
  } finally {
    await far.close();
  }
});
