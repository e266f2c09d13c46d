// Without a network: the whole job is done with the server gone; a second visit
// takes nothing over the network; what was damaged on the disk heals, or is told.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { drop, file, kept, plain, plainTruth, results, rowsShown } from './logs.mjs';
import { newsSays, ownCopy, partsUsed, ready, says, setUp, spoil } from './offline/visit.mjs';
import { xlsx, zip } from './pack.mjs';

let site;
before(async () => {
  site = await setUp();
});
after(() => site?.close());

const sheet = () => plain().trim().split('\n').map((line, k) => line.split(',').map((cell) => (k === 0 ? cell : Number(cell))));
const since = (n) => site.front.log.slice(n).map(({ path }) => path);

test('with the server gone, the page is loaded again and does the whole job', async () => {
  const { page, errors, close } = await site.visit();
  await ownCopy(page);
  await site.front.stop();
  try {
    await page.reload();
    await ready(page);
    await drop(page, [file('Elm 2 A.csv', plain()), file('Fir.xlsx', xlsx({ Log: sheet() })), file('more.zip', zip({ 'Oak 3 A.csv': plain({ current: 3 }) }))]);
    await rowsShown(page, 3);
    assert.equal(Number((await results(page)).get('Elm 2 A').capacity).toFixed(3), plainTruth().capacity.toFixed(3));
    await page.waitForFunction(() => document.querySelector('#chart canvas'));
    await page.fill('#cutoff', '3.2');
    await page.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value').textContent === '3.200');
    await kept(page);

    await page.evaluate(() => document.querySelector('#publish').scrollIntoView({ behavior: 'instant' }));
    await page.waitForFunction(() => /\| *Elm/.test(document.querySelector('#post-text').textContent));
    await page.click('#link-fold > summary');
    await page.waitForFunction(() => document.querySelector('#link-text').value.length > 300);
    const link = (await page.inputValue('#link-text')).replace(/^.*#/, '');
    const [download] = await Promise.all([page.waitForEvent('download'), page.click('#workspace-save')]);
    assert.match(download.suggestedFilename(), /\.plateau$/);

    // Another visit, by the link and with a query.
    await page.goto(`${site.front.address}?from=forum#${link}`);
    await ready(page);
    await page.waitForFunction(() => !document.querySelector('#linked').hidden);
    await rowsShown(page, 3);
    await page.goto(`${site.front.address}index.html`);
    await ready(page);
    await rowsShown(page, 3);
    await says(page, /Ready to work without a network/);
    assert.deepEqual(errors, []);
    await page.goto(`${site.front.address}licences.txt`);
    assert.match(await page.locator('body').textContent(), /BSD|Apache/);
    for (const path of ['guide.html', 'guide']) {
      await page.goto(site.front.address + path);
      assert.equal(await page.locator('h1').textContent(), 'Guide');
      assert.ok(await page.evaluate(() => document.styleSheets[0].cssRules.length > 100));
    }
  } finally {
    await site.front.start();
  }
  await close();
});

test('a second visit takes no part over the network, and after it is loaded there is no request at all', async () => {
  const { page, errors, close } = await site.visit();
  await ownCopy(page);
  const first = site.front.log.length;
  await page.reload();
  await ready(page);
  await says(page, /Ready/);
  await page.waitForTimeout(3000); // the browser looks for a newer version meanwhile
  assert.deepEqual([...new Set(since(first))].filter((path) => path !== 'sw.js'), [], 'nothing but the service worker’s own file');
  assert.ok((await partsUsed(page)).size >= 6, 'the parts were used');
  const later = site.front.log.length;
  await drop(page, [file('Elm 2 A.csv', plain()), file('more.zip', zip({ 'Oak 3 A.csv': plain({ current: 3 }) }))]);
  await rowsShown(page, 2);
  await kept(page);
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.waitForTimeout(300);
  assert.deepEqual(since(later), [], 'the part for packed files is here, too');
  assert.deepEqual(errors, []);
  await close();
});

test('what is not of the site goes to the server, and is not kept', async () => {
  const { page, close } = await site.visit();
  await ownCopy(page);
  const before = site.front.log.length;
  const answers = await page.evaluate(async () => {
    const get = async (url, options) => (await fetch(url, options).catch(() => ({ status: 0 }))).status;
    return [await get('card/abc'), await get('nowhere'), await get('parts/none.js'), await get('./', { method: 'POST' })];
  });
  assert.deepEqual(answers, [400, 404, 404, 405]); // the first is a damaged link with preview
  assert.deepEqual(since(before).slice(0, 4), ['card/abc', 'nowhere', 'parts/none.js', '']);
  const names = await page.evaluate(async () => {
    const [name] = await caches.keys();
    return (await (await caches.open(name)).keys()).map(({ url }) => new URL(url).pathname);
  });
  assert.deepEqual(names.filter((path) => !/^\/($|guide\.html|licences\.txt|manifest\.webmanifest|parts\/[\w-]+\.[0-9a-f]{12}\.\w+$)/.test(path)), []);
  await close();
});

test('a damaged page, loader, style or chart is fetched anew before it is used', async () => {
  const { page, errors, close } = await site.visit();
  await ownCopy(page);
  for (const [pattern, how] of [[/^\/$/, 'flip'], [/loader\./, 'cut'], [/style\./, 'flip'], [/chart\./, 'remove'], [/wasm_exec\./, 'flip'], [/worker\./, 'cut']]) {
    assert.ok((await spoil(page, pattern, how)).length > 0, String(pattern));
  }
  await page.reload();
  await ready(page);
  await ownCopy(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await page.waitForFunction(() => document.querySelector('#chart canvas'));
  // It was written to the disk, too.
  await site.front.stop();
  await page.reload();
  await ready(page);
  await says(page, /Ready/);
  await site.front.start();
  assert.deepEqual(errors, []);
  await close();
});

test('a program that cannot be compiled any more is fetched anew and runs at once', async () => {
  const { page, close } = await site.visit();
  await ownCopy(page);
  await spoil(page, /plateau\..*wasm/, 'cut');
  await page.reload();
  await ready(page);
  await ownCopy(page);
  await drop(page, [file('more.zip', zip({ 'Oak 3 A.csv': plain({ current: 3 }) }))]);
  await rowsShown(page, 1);
  await close();
});

test('a program that compiles and does not run is fetched anew, and the page loaded once more, but only once', async () => {
  const { page, close } = await site.visit();
  await ownCopy(page);
  await spoil(page, /plateau\..*wasm/, 'empty');
  let loads = 0;
  page.on('framenavigated', () => {
    loads += 1;
  });
  await page.reload();
  await page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);
  assert.equal(loads, 2);
  await ownCopy(page);
  // The flag is gone, so that it heals another time, too.
  assert.equal(await page.evaluate(() => sessionStorage.length), 0);

  // One that was loaded again for this already is not once more.
  await spoil(page, /plateau\..*wasm/, 'empty');
  await page.evaluate(() => sessionStorage.setItem('plateau:reloaded', '1'));
  loads = 0;
  await page.reload();
  await page.waitForFunction(() => /could not be|stopped working/.test(document.querySelector('#fault').textContent));
  await page.waitForTimeout(500);
  assert.equal(loads, 1);
  await close();
});

test('a program that was changed and still runs is found, and the person told', async () => {
  const { page, close } = await site.visit();
  await ownCopy(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await kept(page);
  await spoil(page, /plateau\..*wasm/, 'extend');
  await page.reload();
  await ready(page);
  await newsSays(page, /was damaged on this machine.*reload/);
  await page.click('#news-take');
  await page.waitForFunction(() => document.querySelector('#news').hidden && performance.getEntriesByName('plateau:page').length > 0);
  await rowsShown(page, 1);
  await ownCopy(page);
  assert.equal(await page.locator('#news').isHidden(), true);
  await close();
});

test('damaged and no network: it is said what is damaged and what to do', async () => {
  const { page, close } = await site.visit();
  await ownCopy(page);
  const damage = async (pattern, how) => {
    await spoil(page, pattern, how);
    await page.reload();
  };
  await site.front.stop();
  // So that the browser's own cache does not help out, as it would.
  const session = await page.context().newCDPSession(page);
  await session.send('Network.clearBrowserCache');
  await damage(/chart\./, 'flip');
  await ready(page);
  await says(page, /Not ready.*chart\.js is damaged/);
  await damage(/plateau\..*wasm/, 'cut');
  await page.waitForFunction(() => /plateau\.wasm/.test(document.querySelector('#fault').textContent));
  assert.match(await page.locator('#fault').textContent(), /damaged on this machine.*Check the connection/);
  await spoil(page, /loader\./, 'flip');
  const other = await page.context().newPage(); // the tab has the loader in its memory
  await other.goto(site.front.address);
  await other.waitForFunction(() => /loader\.js.*Connect to the network, then reload/.test(document.querySelector('#fault').textContent));
  await other.close();
  await spoil(page, /^\/$/, 'flip');
  const answer = await page.reload();
  assert.equal(answer.status(), 503);
  assert.match(await page.locator('body').textContent(), /index\.html.*damaged.*Connect to the network/);
  await site.front.start();
  await page.goto(site.front.address);
  await ready(page);
  await ownCopy(page);
  await close();
});
