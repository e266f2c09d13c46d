// The one-file build, opened from a disk as by a double click: no server, no
// network, and the whole job.

import assert from 'node:assert/strict';
import { copyFileSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';
import { parse } from 'parse5';
import { DIST, launch } from './harness.mjs';
import { drop, file, kept, plain, plainTruth, results, rowsShown } from './logs.mjs';
import { xlsx } from './pack.mjs';

const LIMIT = 3_000_000; // bytes

let browser;
let folder;
let path;
before(async () => {
  // Alone in a folder, with spaces and more in its name, as downloads have.
  folder = mkdtempSync(join(tmpdir(), 'plateau-single-'));
  path = join(folder, 'plateau (1) ü.html');
  copyFileSync(join(DIST, 'plateau.html'), path);
  browser = await launch(['--host-resolver-rules=MAP * ~NOTFOUND']);
});
after(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

async function opened(from = path) {
  const context = await browser.newContext();
  await context.setOffline(true);
  const page = await context.newPage();
  const errors = [];
  const requests = [];
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(String(error)));
  context.on('request', (request) => requests.push(request.url()));
  await page.goto(pathToFileURL(from).href);
  return { page, errors, requests, close: () => context.close() };
}

const ready = (page) => page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);

test('is one file under 3 MB that names no other', () => {
  assert.ok(statSync(path).size < LIMIT, `${statSync(path).size} bytes`);
  const found = [];
  const walk = (node) => {
    for (const { name, value } of node.attrs ?? []) {
      if (['src', 'href', 'srcset', 'action', 'poster', 'data'].includes(name) && !/^(#|data:)/.test(value)) found.push(`${node.nodeName} ${name}=${value}`);
    }
    for (const child of [...(node.childNodes ?? []), ...(node.content?.childNodes ?? [])]) walk(child);
  };
  walk(parse(readFileSync(path, 'utf8')));
  assert.deepEqual(found, []);
});

test('does the whole job from a disk without a network, and keeps it', async () => {
  const { page, errors, requests, close } = await opened();
  await ready(page);
  await drop(page, [file('Elm 2 A.csv', plain()), file('Elm 3 A.csv.gz', gzipSync(plain({ current: 3 })))]);
  await drop(page, [file('book.xlsx', xlsx({ Log: plain({ current: 1 }).trim().split('\n').map((line, k) => line.split(',').map((text) => (k ? Number(text) : text))) }))]);
  await rowsShown(page, 3);
  const rows = [...(await results(page)).values()].map(({ capacity }) => Number(capacity)).sort();
  for (const [k, current] of [1, 2, 3].entries()) {
    const { capacity } = plainTruth({ current });
    assert.ok(Math.abs(rows[k] - capacity) < 0.002, `${rows[k]} Ah, by hand ${capacity}`);
  }
  await page.waitForFunction(() => performance.getEntriesByName('plateau:drawn').length > 0);
  await page.fill('#cutoff', '3.3');
  await page.keyboard.press('Tab');
  await page.click('#demo');
  await rowsShown(page, 20);
  await page.evaluate(() => document.querySelector('#publish').scrollIntoView({ behavior: 'instant' }));
  await page.waitForFunction(() => /^# /m.test(document.querySelector('#post-text').textContent));
  const [pictures] = await Promise.all([page.waitForEvent('download'), page.click('#post-svg')]);
  assert.match(pictures.suggestedFilename(), /\.zip$/);
  await page.click('#link-fold > summary');
  await page.waitForFunction(() => document.querySelector('#link-text').value.length > 300);
  assert.ok(!(await page.locator('#card').isVisible()), 'no preview, which would need a server');
  await page.click('#link-copy');
  await page.waitForFunction(() => /on this machine alone/.test(document.querySelector('#link-said').textContent));
  const link = await page.inputValue('#link-text');
  await kept(page);
  await page.reload();
  await ready(page);
  await rowsShown(page, 20);
  assert.equal(await page.inputValue('#cutoff'), '3.3');
  await page.evaluate((text) => { window.location.hash = text; }, link);
  await page.waitForFunction(() => !document.querySelector('#linked').hidden && /Cedar/.test(document.querySelector('#linked-tables').textContent));
  assert.deepEqual(errors, []);
  // Workers are made of texts that are in the page.
  assert.deepEqual(requests.filter((url) => !/^(file:\/\/\/.*plateau%20|blob:)/.test(url)), []);
  await close();
});

test('shows itself before its program is there, and takes a log in that early', async () => {
  const { page, close } = await opened();
  await drop(page, [file('early.csv', plain())]);
  await rowsShown(page, 1);
  const { paint, program } = await page.evaluate(() => ({
    paint: performance.getEntriesByName('first-contentful-paint')[0]?.startTime,
    program: performance.getEntriesByName('plateau:page')[0].startTime,
  }));
  assert.ok(paint < program, `painted at ${paint} ms, the program at ${program} ms`);
  await close();
});

test('its own policy lets nothing out', async () => {
  const { page, close } = await opened();
  await ready(page);
  const tries = await page.evaluate(async () => {
    const seen = [];
    document.addEventListener('securitypolicyviolation', (event) => seen.push(event.effectiveDirective));
    const results = {};
    const attempt = async (name, send) => {
      seen.length = 0;
      try {
        await send();
      } catch { /* the directive tells */ }
      await new Promise((resolve) => setTimeout(resolve, 150));
      results[name] = [...seen];
    };
    await attempt('fetch', () => fetch('https://plateau.invalid/'));
    await attempt('its own', () => fetch(window.location.href));
    await attempt('beacon', () => navigator.sendBeacon('https://plateau.invalid/', 'x'));
    await attempt('socket', () => new WebSocket('wss://plateau.invalid/'));
    await attempt('image', () => { new Image().src = 'https://plateau.invalid/x.png'; });
    await attempt('script', () => { document.head.append(Object.assign(document.createElement('script'), { textContent: 'window.ran = true' })); });
    await attempt('style', () => { document.head.append(Object.assign(document.createElement('style'), { textContent: 'p{}' })); });
    await attempt('worker', () => new Worker('data:text/javascript,1'));
    await attempt('form', () => {
      const form = Object.assign(document.createElement('form'), { action: 'https://plateau.invalid/' });
      document.body.append(form);
      form.submit();
    });
    return { results, ran: window.ran ?? false };
  });
  assert.deepEqual(tries, {
    ran: false,
    results: {
      fetch: ['connect-src'], 'its own': ['connect-src'], beacon: ['connect-src'], socket: ['connect-src'], image: ['img-src'],
      script: ['script-src-elem'], style: ['style-src-elem'], worker: ['worker-src'], form: ['form-action'],
    },
  });
  await close();
});

test('a file that was cut off says so', async () => {
  const cut = join(folder, 'cut.html');
  const text = readFileSync(path, 'utf8');
  // The program is gone, the scripts are there, as after a bad copy.
  writeFileSync(cut, text.replace(/(data-part="plateau.wasm" type="text\/plain">)[^<]*/, (_, start) => start + text.slice(text.indexOf(start) + start.length).slice(0, 100_000)));
  const { page, close } = await opened(cut);
  await page.waitForFunction(() => document.querySelector('#fault').textContent !== '');
  assert.match(await page.locator('#fault').textContent(), /could not be loaded \(plateau\.wasm is damaged\)\. The file was cut off or changed/);
  await close();
});
