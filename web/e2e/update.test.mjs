// A newer version of the site: it waits until it is asked for, nothing that was
// done is lost for it, and no page is ever made of two versions.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { drop, file, kept, plain, rowsShown } from './logs.mjs';
import { newsSays, ownCopy, partsUsed, ready, says, setUp, spoil, versionOf } from './offline/visit.mjs';
import { zip } from './pack.mjs';

let site;
let next;
let third;
before(async () => {
  site = await setUp();
  next = await site.next('Next');
  third = await site.next('Third');
});
after(() => site?.close());

const ofOne = (used, parts, what) => {
  assert.ok(used.size >= 6, `${what}: only ${used.size} parts were seen`);
  assert.deepEqual([...used].filter((path) => !parts.has(path)), [], what);
};
/** As the browser does when the page is loaded, and the page when it comes into view. */
const refresh = (page) => page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update().then(() => '', (error) => error.message));
const caches = (page) => page.evaluate(async () => (await window.caches.keys()).filter((name) => name.startsWith('plateau ')));
const loadedAnew = (page) => page.waitForFunction(() => !window.before && performance.getEntriesByName('plateau:page').length > 0, null, { timeout: 30_000 });

test('a newer version waits, is taken when asked for, and what was just done is there in it', async () => {
  site.front.turn(site.first.address);
  const { page, errors, close } = await site.visit();
  await ownCopy(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await kept(page);
  await page.reload();
  await ready(page);
  await rowsShown(page, 1);
  const old = await versionOf(page);
  ofOne(await partsUsed(page), site.first.parts, 'before');

  site.front.turn(next.address);
  assert.equal(await refresh(page), '');
  await page.locator('#cutoff').focus();
  await newsSays(page, /new version of Plateau is ready/);
  assert.equal(await page.evaluate(() => document.activeElement.id), 'cutoff', 'the focus stays');
  assert.equal(await versionOf(page), old);
  await page.evaluate(() => {
    window.before = true;
  });
  // An act, and at once the button: what was done a moment ago is kept first.
  await page.fill('#cutoff', '3.2');
  await page.click('#news-take');
  await loadedAnew(page);
  assert.equal(await versionOf(page), next.version);
  assert.match(await page.title(), /^Next /);
  await rowsShown(page, 1);
  assert.equal(await page.inputValue('#cutoff'), '3.2');
  await page.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value').textContent === '3.200');
  await ownCopy(page);
  await drop(page, [file('more.zip', zip({ 'Oak 3 A.csv': plain({ current: 3 }) }))]);
  await rowsShown(page, 2);
  ofOne(await partsUsed(page), next.parts, 'after');
  assert.equal(await page.locator('#news').isHidden(), true);
  assert.deepEqual(errors, []);
  await close();
});

test('dropped at the last moment: a log that is still being read is waited for', async () => {
  site.front.turn(site.first.address);
  const { page, close } = await site.visit();
  await ownCopy(page);
  await page.reload();
  await ready(page);
  site.front.turn(next.address);
  await refresh(page);
  await newsSays(page, /is ready/);
  await page.evaluate(() => {
    window.before = true;
  });
  // The engine is at something else for a while.
  const busy = page.workers()[0].evaluate(() => {
    const end = performance.now() + 5000;
    while (performance.now() < end);
  });
  await drop(page, [file('late.csv', plain())]);
  await page.click('#news-take');
  await newsSays(page, /still being read/);
  await busy;
  await rowsShown(page, 1);
  await page.click('#news-take');
  await loadedAnew(page);
  await rowsShown(page, 1);
  assert.equal(await versionOf(page), next.version);
  await close();
});

test('two tabs: the one that did not ask goes on with its own version, unpacks with it, and takes the other when it likes', async () => {
  site.front.turn(site.first.address);
  const { page: one, tab, errors, close } = await site.visit();
  await ownCopy(one);
  await drop(one, [file('Elm 2 A.csv', plain())]);
  await rowsShown(one, 1);
  await kept(one);
  const two = await tab();
  await rowsShown(two, 1);
  await one.evaluate(() => {
    window.before = true;
  });
  site.front.turn(next.address);
  await refresh(two);
  await newsSays(one, /is ready/);
  await newsSays(two, /is ready/);
  await two.evaluate(() => {
    window.before = true;
  });
  await two.click('#news-take');
  await loadedAnew(two);
  assert.equal(await versionOf(two), next.version);
  ofOne(await partsUsed(two), next.parts, 'the tab that asked');

  // The other one was not touched. What it has not loaded yet is of its version.
  assert.equal(await one.evaluate(() => window.before), true);
  await newsSays(one, /is ready/);
  await drop(one, [file('more.zip', zip({ 'Oak 3 A.csv': plain({ current: 3 }) }))]);
  await rowsShown(one, 2);
  const used = await partsUsed(one);
  assert.ok([...used].some((path) => path.includes('unpack-worker.')), 'the unpacker was loaded');
  ofOne(used, site.first.parts, 'the tab that did not');

  // Also where another version comes in between.
  site.front.turn(third.address);
  await refresh(two);
  await newsSays(two, /is ready/);
  await two.click('#news-take');
  await two.waitForFunction(() => document.title.startsWith('Third '));
  await ready(two);
  assert.equal((await caches(two)).length, 3, 'that of the tab that goes on, too');
  await one.click('#news-take');
  await loadedAnew(one);
  assert.equal(await versionOf(one), third.version);
  await rowsShown(one, 2);
  assert.deepEqual(errors, []);
  await close();
});

test('later means later: the tab goes on, and the next visit has the newer version', async () => {
  site.front.turn(site.first.address);
  const { page, context, close, tab } = await site.visit();
  await ownCopy(page);
  await page.reload();
  await ready(page);
  site.front.turn(next.address);
  await refresh(page);
  await newsSays(page, /is ready/);
  await page.click('#news-later');
  assert.equal(await page.locator('#news').isHidden(), true);
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await page.waitForTimeout(500);
  assert.equal(await page.locator('#news').isHidden(), true);
  await page.close();
  await new Promise((resolve) => setTimeout(resolve, 1000));
  const again = await tab();
  const version = await versionOf(again);
  // The browser may find out only now that no tab is open.
  if (version !== next.version) await newsSays(again, /is ready/);
  ofOne(await partsUsed(again), version === next.version ? next.parts : site.first.parts, 'one version');
  await context.close();
  await close();
});

test('a tab that comes into view looks for a newer version, once an hour at most', async () => {
  site.front.turn(site.first.address);
  const { page, errors, close } = await site.visit({
    before: (tab) =>
      tab.addInitScript(() => {
        window.later = 0;
        const { now } = Date;
        Date.now = () => now() + window.later;
      }),
  });
  await ownCopy(page);
  await page.waitForTimeout(1500);
  const look = async (later) => {
    const before = site.front.log.length;
    await page.evaluate((ms) => {
      window.later = ms;
      document.dispatchEvent(new Event('visibilitychange'));
    }, later);
    await page.waitForTimeout(700);
    return site.front.log.slice(before).map(({ path }) => path);
  };
  assert.deepEqual(await look(3_500_000), []);
  assert.deepEqual(await look(3_700_000), ['sw.js']);
  assert.deepEqual(await look(3_800_000), []);
  site.front.turn(next.address);
  assert.equal((await look(7_400_000))[0], 'sw.js');
  await newsSays(page, /is ready/);
  assert.deepEqual(errors, []);
  await close();
});

for (const [what, lie, words] of [
  ['missing', { status: 404, body: 'not here' }, /a file of Plateau is missing/],
  ['wrong', { status: 200, body: 'something(else)' }, /did not come as it should/],
]) {
  test(`a newer version with a part that is ${what} is not taken in, and the present one goes on`, async () => {
    site.front.turn(site.first.address);
    const { page, close } = await site.visit();
    await ownCopy(page);
    await page.reload();
    await ready(page);
    await ownCopy(page);
    site.front.turn(next.address);
    site.front.lie((path) => (/parts\/chart\./.test(path) ? lie : null));
    await refresh(page);
    await says(page, words);
    assert.match(await page.locator('#offline-words').textContent(), /^Ready to work without a network/);
    assert.equal((await caches(page)).length, 1, 'nothing is left of it');
    await site.front.stop();
    await page.reload();
    await ready(page);
    await page.waitForFunction(() => document.querySelector('#offline-words').textContent.startsWith('Ready'));
    ofOne(await partsUsed(page), site.first.parts, 'the present one');
    assert.equal(await page.locator('#news').isHidden(), true);
    await site.front.start();
    // Once the server is as it should be, it comes.
    site.front.lie();
    await refresh(page);
    await newsSays(page, /is ready/);
    await close();
  });
}

test('work that the browser does not keep is not thrown away without a word', async () => {
  site.front.turn(site.first.address);
  // The storage of workspaces fails from the start; the cache does not.
  const broken = "Object.defineProperty(self.navigator, 'storage', { value: { getDirectory: undefined } });\nObject.defineProperty(self, 'indexedDB', { value: undefined });\n";
  const { page, close } = await site.visit({
    before: (tab) =>
      tab.route('**/parts/worker.*.js', async (route) => {
        const response = await route.fetch();
        await route.fulfill({ response, body: broken + (await response.text()) });
      }),
  });
  await ownCopy(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  site.front.turn(next.address);
  await refresh(page);
  await newsSays(page, /is ready/);
  await page.evaluate(() => {
    window.before = true;
  });
  await page.click('#news-take');
  await newsSays(page, /^Your work is not kept: .*Save it to a file first/);
  assert.equal(await page.locator('#news-take').isHidden(), true);
  assert.equal(await page.evaluate(() => document.activeElement.id), 'news-save', 'who pressed a button goes on from there');
  assert.equal(await page.locator('#news-anyway').textContent(), 'Take it without this work');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#news-save')]);
  const path = await download.path();
  assert.ok(readFileSync(path).length > 1000);
  await newsSays(page, /being saved to a file/);
  assert.equal(await page.evaluate(() => window.before), true);
  await page.click('#news-anyway');
  await loadedAnew(page);
  assert.equal(await versionOf(page), next.version);
  await page.setInputFiles('#workspace-file', { name: 'My workspace.plateau', mimeType: 'application/zip', buffer: readFileSync(path) });
  await rowsShown(page, 1);
  await close();
});

test('an old page whose part is damaged gets it from the server, or is told', async () => {
  site.front.turn(site.first.address);
  const { page, tab, close } = await site.visit();
  await ownCopy(page);
  const two = await tab();
  site.front.turn(next.address);
  await refresh(two);
  await newsSays(two, /is ready/);
  await two.click('#news-take');
  await two.waitForFunction(() => document.title.startsWith('Next '));
  await ready(two);
  const session = await page.context().newCDPSession(page);
  await session.send('Network.clearBrowserCache');
  await spoil(page, /unpack-worker\./, 'flip');
  await drop(page, [file('more.zip', zip({ 'Oak 3 A.csv': plain({ current: 3 }) }))]);
  await page.waitForFunction(() => /more\.zip/.test(document.querySelector('#fault').textContent));
  await close();
});
