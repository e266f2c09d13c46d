// A whole session from the moment the page is loaded: not one byte leaves the
// browser, as seen at the far end of the wire, in the browser's network log and
// by its debugger.

import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { gzipSync } from 'node:zlib';
import { complains, open, plainName } from './harness.mjs';
import { drop, file, plain, results, rowsShown } from './logs.mjs';
import { ownCopy } from './offline/visit.mjs';
import { between, netLog } from './trust/watch.mjs';

/** @param {{keeps?: boolean}} options keeps: as browsers do, with the service worker */
async function visited(work, { keeps = false } = {}) {
  const folder = mkdtempSync(join(tmpdir(), 'plateau-session-'));
  const log = join(folder, 'net.json');
  const site = await open({ args: [`--log-net-log=${log}`, '--net-log-capture-mode=Everything'] });
  let wire;
  try {
    wire = await between(site.address);
    const context = await site.browser.newContext({ serviceWorkers: keeps ? 'allow' : 'block', viewport: { width: 1300, height: 1000 } });
    const page = await context.newPage();
    const requests = [];
    const debugged = [];
    const errors = [];
    const moves = [];
    context.on('request', (request) => requests.push(request));
    page.on('console', (message) => {
      if (complains(message)) errors.push(message.text());
    });
    page.on('pageerror', (error) => errors.push(String(error)));
    const debug = await context.newCDPSession(page);
    await debug.send('Network.enable');
    for (const event of ['requestWillBeSent', 'webSocketCreated', 'webTransportCreated']) {
      debug.on(`Network.${event}`, ({ request, url }) => debugged.push(request?.url ?? url));
    }
    await page.goto(wire.address);
    await page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);
    if (keeps) await ownCopy(page);
    await page.waitForLoadState('networkidle');
    if (keeps) await page.waitForTimeout(1500); // the browser looks for a newer version meanwhile
    assert.ok(requests.length > 5 && debugged.length > 5 && wire.sent().length > 500, 'all three see the page being loaded');
    page.on('framenavigated', (frame) => moves.push(frame.url()));
    context.on('page', (other) => moves.push(other.url()));

    const loaded = { at: Date.now(), bytes: wire.sent().length, requests: requests.length, debugged: debugged.length };
    await work({ page, folder });
    await page.waitForTimeout(1000);
    const done = Date.now();
    const seen = {
      bytes: wire.sent().subarray(loaded.bytes),
      requests: requests.slice(loaded.requests),
      debugged: debugged.slice(loaded.debugged).filter((url) => !/^(blob|data):/.test(url)),
      moves,
      errors,
    };
    await context.close();
    await site.browser.close(); // which makes the log whole
    assert.ok(netLog(log, 0, loaded.at).length > 5, 'the log has the page being loaded');
    return { ...seen, logged: netLog(log, loaded.at, done), log: readFileSync(log, 'utf8') };
  } finally {
    await site.close();
    await wire?.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

const leaves = (request) => !/^(blob|data):/.test(request.url());

const job = async ({ page, folder }) => {
  const saved = async (button) => {
    const [download] = await Promise.all([page.waitForEvent('download'), page.click(button)]);
    const path = join(folder, download.suggestedFilename());
    await download.saveAs(path);
    assert.ok(readFileSync(path).length > 200, `${button} gives a file`);
    return path;
  };
  const says = (selector, pattern) =>
    page.waitForFunction(([where, source]) => new RegExp(source).test(document.querySelector(where).textContent), [selector, pattern]);
  const seeing = (id) => page.locator(`#${id}`).scrollIntoViewIfNeeded();

  // Logs: dropped, pasted, one that asks, one that is refused; the demo.
  await drop(page, [file('Elm 2 A.csv', plain()), file('Elm 3 A.csv', plain({ current: 3 })), file('no log.csv', 'nothing')]);
  await rowsShown(page, 2);
  await page.click('.paste summary');
  await page.fill('#paste-text', plain({ rows: 90 }));
  await page.click('#paste-read');
  await rowsShown(page, 3);
  await drop(page, [file('two.csv', 't/s,U measured/V,U load/V,I/A\n0,4.2,4.1,2\n1800,4.0,3.9,2\n3600,3.8,3.5,2\n')]);
  await rowsShown(page, 4);
  await page.click('#demo');
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length > 15);

  // Tester and cells, with what the datasheet claims; the verdict on it.
  await page.click('#tester > summary');
  await page.fill('#tester-current-0-gain', '0.1');
  await page.click('#cells-fold > summary');
  const cell = page.locator('#cells-list li').first();
  await cell.locator('summary').click();
  await cell.locator('[data-field=rated]').fill('3.4');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelectorAll('.verdict').length > 0);
  await page.fill('#cutoff', '3.0');
  await page.keyboard.press('Enter');

  // As it came, before its first charge.
  await page.click('#inspect-fold > summary');
  await page.locator('#inspect-table [data-field="arrived.voltage"]').first().fill('1.9');
  await page.keyboard.press('Tab');
  await page.locator('#inspect-table .check').first().waitFor();

  // The plan, and its files.
  await page.click('#plan-fold > summary');
  await page.fill('#plan-start', '2026-11-30T09:00');
  await page.keyboard.press('Tab');
  await page.locator('#plan-calendar:enabled').waitFor();
  for (const id of ['plan-csv', 'plan-calendar']) await Promise.all([page.waitForEvent('download'), page.click(`#${id}`)]);
  await page.click('#plan-copy');
  await page.locator('#plan-text').waitFor();

  // Curves, details, comparison, ranking, load.
  await seeing('curves');
  await page.hover('#chart');
  await page.locator('#results-rows button[data-details]').first().click();
  await page.click('#details-close');
  await seeing('compare');
  await seeing('ranking');
  await page.waitForSelector('.rank tbody tr');
  await page.locator('input[name=ranking-figure][value=capacity]').check({ force: true });
  await says('.rank thead', 'Capacity');
  await seeing('load');
  await page.fill('#load-amount', '3');
  await page.fill('#load-cutoff', '3');
  await page.waitForSelector('#load-cells tbody tr');
  await saved('#download');

  // Published in each format, as a report, pictures and a link.
  await seeing('publish');
  for (const format of ['bbcode', 'html', 'csv', 'csv-comma', 'tsv', 'json', 'markdown']) {
    await page.click(`#post-format label:has(input[value=${format}])`);
    await page.waitForTimeout(100);
  }
  await says('#post-text', '^# ');
  for (const button of ['#post-save', '#post-report', '#post-svg', '#post-png']) await saved(button);
  await page.click('#link-fold > summary');
  await page.waitForFunction(() => document.querySelector('#link-text').value.length > 300);
  await page.click('#link-copy');
  await page.click('#card-copy'); // sends nothing until someone opens it
  await page.waitForFunction(() => document.querySelector('#card-text').value.length > 300);

  // Taken back and done again, kept, and opened from a file.
  const before = (await results(page)).size;
  await page.click('#undo');
  await page.click('#redo');
  await says('#workspace-state', 'is kept in this browser');
  const path = await saved('#workspace-save');
  await page.click('#workspace-fold > summary');
  await page.fill('#workspace-new', 'Another');
  await page.click('#workspace-create');
  await rowsShown(page, 0);
  await page.setInputFiles('#workspace-file', path);
  await page.waitForFunction((n) => document.querySelectorAll('#results-rows tr').length === n, before);

  await page.click('footer [data-trust]');
  await page.keyboard.press('Escape');
  assert.equal(await page.locator('link[rel~=preconnect], link[rel~=dns-prefetch], link[rel~=prefetch]').count(), 0, 'no hint to look ahead');
};

for (const keeps of [true, false]) {
  test(`the whole job is done without a request, ${keeps ? 'with' : 'without'} a copy of the site in the browser`, async (t) => {
    const seen = await visited(job, { keeps });
    assert.deepEqual(seen.bytes.toString(), '', 'nothing came over the wire');
    assert.deepEqual(seen.requests.filter(leaves).map((request) => request.url()), []);
    assert.deepEqual(seen.debugged, []);
    assert.deepEqual(seen.logged, []);
    assert.deepEqual(seen.moves, [], 'the page went nowhere and opened nothing');
    assert.deepEqual(seen.errors, []);
    t.diagnostic(`${seen.requests.length} requests within the browser, ${seen.bytes.length} bytes out of it`);
  });
}

test('a packed log fetches the part that opens it, and tells nothing of itself', async () => {
  const seen = await visited(async ({ page }) => {
    await drop(page, [file('Secret 2 A.csv.gz', gzipSync(plain()))]);
    await rowsShown(page, 1);
    await drop(page, [file('Secret 3 A.csv.gz', gzipSync(plain({ current: 3 })))]);
    await rowsShown(page, 2);
  });
  const sent = seen.bytes.toString('latin1');
  const lines = sent.match(/^[A-Z]+ \S+ HTTP\/1\.1$/gm) ?? [];
  assert.deepEqual(lines.map((line) => plainName(line.split(' ')[1])), ['unpack-worker.js'], 'once for both');
  assert.ok(lines.every((line) => /^GET [^?]+ /.test(line)));
  assert.doesNotMatch(sent, /secret|content-length|cookie|referer/i);
  assert.deepEqual(seen.errors, []);
});

test('the self-test asks for no name and makes no connection', async () => {
  const seen = await visited(async ({ page }) => {
    await page.click('#drop [data-trust]');
    await page.click('#trust-try');
    await page.waitForFunction(() => /each of the 10/.test(document.querySelector('#trust-sum').textContent));
    await page.goto('http://name-that-is-asked-for.invalid/').catch(() => {});
  });
  assert.equal(seen.bytes.length, 0);
  assert.deepEqual(seen.logged, []);
  assert.match(seen.log, /name-that-is-asked-for/, 'a name that is looked up is in the log');
  assert.doesNotMatch(seen.log, /plateau-check/);
});
