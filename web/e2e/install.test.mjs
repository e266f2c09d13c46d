// Plateau as an application of the machine: it can be installed, opens files
// from outside, and says so where it cannot be kept.

import assert from 'node:assert/strict';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { chromium } from 'playwright-core';
import { PNG } from 'pngjs';
import { languageOf } from '../offline/site.js';
import { launching } from './harness.mjs';
import { file, plain, rowsShown } from './logs.mjs';
import { ownCopy, ready, says, setUp } from './offline/visit.mjs';

let site;
before(async () => {
  site = await setUp();
});
after(() => site?.close());

test('it can be installed: the browser finds nothing wrong with the manifest; each part has come once', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'plateau-profile-'));
  // Not in a private window, where nothing can be.
  const context = await chromium.launchPersistentContext(folder, launching());
  try {
    const page = await context.newPage();
    await page.goto(site.front.address);
    await ready(page);
    await ownCopy(page);
    // What the page had is not fetched again to be kept.
    const parts = site.front.log.map(({ path }) => path).filter((path) => path.startsWith('parts/'));
    assert.deepEqual(parts.toSorted(), [...site.first.parts].filter((path) => languageOf(path) === null).toSorted());
    const session = await context.newCDPSession(page);
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
    assert.deepEqual(installabilityErrors, []);
    const { url, errors, manifest } = await session.send('Page.getAppManifest');
    assert.equal(url, `${site.front.address}manifest.webmanifest`);
    assert.deepEqual(errors, [], 'the browser understands all of it');
    assert.equal(manifest.startUrl, site.front.address);
    assert.equal(manifest.scope, site.front.address);
    assert.equal(manifest.display, 'kStandalone');
    // It says nothing of file handlers but what is wrong with them.
    const text = await (await fetch(url)).text();
    const [{ action, accept }] = JSON.parse(text).file_handlers;
    assert.equal(new URL(action, url).href, site.front.address);
    assert.deepEqual(Object.values(accept).flat().toSorted(), ['.csv', '.gz', '.log', '.ods', '.plateau', '.tsv', '.txt', '.xlsx', '.zip']);
    site.front.lie((path) => (path === 'other.webmanifest' ? { type: 'application/manifest+json', body: text.replace('".csv"', '"csv"') } : null));
    await page.evaluate(() => document.querySelector('link[rel=manifest]').setAttribute('href', 'other.webmanifest'));
    const other = await session.send('Page.getAppManifest');
    assert.match(other.errors.map(({ message }) => message).join(), /extension/);
  } finally {
    site.front.lie();
    await context.close();
    rmSync(folder, { recursive: true, force: true });
  }
});

test('the icons are what the manifest says, and the mark stays clear of any mask', async () => {
  const manifest = await (await fetch(`${site.front.address}manifest.webmanifest`)).json();
  assert.equal(manifest.icons.length, 4);
  for (const { src, sizes, type, purpose } of manifest.icons) {
    const answer = await fetch(site.front.address + src);
    assert.equal(answer.headers.get('content-type'), type, src);
    if (type !== 'image/png') continue;
    const { width, height, data } = PNG.sync.read(Buffer.from(await answer.arrayBuffer()));
    assert.equal(`${width}x${height}`, sizes);
    const at = (x, y) => data.subarray(4 * (y * width + x), 4 * (y * width + x) + 4).toString('hex');
    assert.equal(at(0, 0), purpose === 'maskable' ? `${manifest.background_color.slice(1)}ff` : '00000000', 'the corner');
    let drawn = 0;
    let farthest = 0;
    for (let y = 0; y < height; y += 1) {
      for (let x = 0; x < width; x += 1) {
        if ([`${manifest.background_color.slice(1)}ff`, '00000000'].includes(at(x, y))) continue;
        drawn += 1;
        farthest = Math.max(farthest, Math.hypot(x + 0.5 - width / 2, y + 0.5 - height / 2) / width);
      }
    }
    assert.ok(drawn > width * height * 0.02, `${src}: ${drawn} pixels of a mark`);
    // W3C Web Application Manifest, "maskable" icons: a circle of 40 % of the width.
    if (purpose === 'maskable') assert.ok(farthest < 0.4, `${src}: the mark goes out to ${farthest}`);
  }
});

test('the bar of the browser has the colour of the paper, light and dark', async () => {
  const { page, close } = await site.visit();
  for (const scheme of ['light', 'dark']) {
    await page.emulateMedia({ colorScheme: scheme });
    const [told, shown] = await page.evaluate((wanted) => {
      const probe = document.createElement('canvas').getContext('2d');
      const rgb = (colour) => {
        probe.fillStyle = colour;
        return probe.fillStyle;
      };
      const meta = [...document.querySelectorAll('meta[name=theme-color]')].find(({ media }) => media.includes(wanted));
      return [rgb(meta.content), rgb(getComputedStyle(document.body).backgroundColor)];
    }, scheme);
    assert.equal(told, shown, scheme);
  }
  await close();
});

test('files opened with Plateau are read, and one that is gone is told', async () => {
  const { page, errors, close } = await site.visit({
    before: (tab) =>
      tab.addInitScript((log) => {
        // Plays the browser's part: files are there before anyone listens, and
        // come again while the page is open.
        let consumer = null;
        const handle = (name, text) => ({ kind: 'file', name, getFile: async () => new File([text], name) });
        window.open1 = () => consumer({ files: [handle('Elm 2 A.csv', log)], targetURL: location.href });
        window.open2 = () => consumer({ files: [handle('Fir 2 A.csv', log), { name: 'gone.csv', getFile: () => Promise.reject(new DOMException('', 'NotFoundError')) }] });
        Object.defineProperty(window, 'launchQueue', {
          value: {
            setConsumer(act) {
              consumer = act;
              window.open1();
            },
          },
        });
      }, plain()),
  });
  await rowsShown(page, 1);
  await page.evaluate(() => window.open2());
  await rowsShown(page, 2);
  await page.waitForFunction(() => /gone\.csv.*not there any more/.test(document.querySelector('#fault').textContent));
  assert.deepEqual(errors, []);
  await close();
});

test('where there is no room to keep it, that is said, and all else works', async () => {
  const { page, close } = await site.visit({
    before: async (tab) => {
      const session = await tab.context().newCDPSession(tab);
      await session.send('Storage.overrideQuotaForOrigin', { origin: site.front.address.slice(0, -1), quotaSize: 1_000_000 });
    },
  });
  await says(page, /^Not ready to work without a network: the browser’s storage is full/);
  assert.equal((await page.evaluate(() => caches.keys())).length, 0, 'half a version is not left behind');
  await page.setInputFiles('#file', file('Elm 2 A.csv', plain()));
  await rowsShown(page, 1);
  await close();
});

test('where the browser’s cache fails, or a file is wrong at the first visit, that is said', async () => {
  const answer = await (await fetch(`${site.front.address}sw.js`)).text();
  try {
    site.front.lie((path) => (path === 'sw.js' ? { body: `self.caches.open = () => Promise.reject(new DOMException('no', 'UnknownError'));\n${answer}` } : null));
    const failing = await site.visit();
    await says(failing.page, /^Not ready.*the browser could not keep it\./);
    await failing.close();
    site.front.lie((path) => (path === 'licences.txt' ? { body: 'another', type: 'text/plain' } : null));
    const wrong = await site.visit();
    await says(wrong.page, /^Not ready.*did not come as it should\./);
    await wrong.close();
    site.front.lie((path) => (path === 'sw.js' ? { status: 404 } : null));
    const missing = await site.visit();
    await says(missing.page, /^Not ready.*404|^Not ready.*script/);
    await missing.close();
  } finally {
    site.front.lie();
  }
  const refused = await site.visit({ before: (tab) => tab.addInitScript(() => Object.defineProperty(Navigator.prototype, 'serviceWorker', { get: () => undefined })) });
  await says(refused.page, /keeps no copy/);
  await refused.close();
});
