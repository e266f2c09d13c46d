// What is kept: it is there again after a reload, acts can be taken back,
// workspaces and their files, two tabs, a browser that keeps nothing.

import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, kept, plain, rowsShown } from './logs.mjs';

let site;
let folder;
before(async () => {
  site = await open();
  folder = mkdtempSync(join(tmpdir(), 'plateau-workspace-'));
});
after(async () => {
  await site?.close();
  rmSync(folder, { recursive: true, force: true });
});

const said = (page) => page.locator('#workspace-state').textContent();
const named = (page, name) => page.waitForFunction((wanted) => document.querySelector('#workspace-name').textContent === wanted, name);
const ready = (page) => page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);
/** All that the page says of logs, cells and figures, what can be done with them aside. */
const shown = (page) =>
  page.evaluate(() => {
    const all = ['#results-rows', '#cells-list', '#logs-read', '#logs-list', '#checks-list', '#typed-state', '#tester-state'].map((id) => {
      const copy = document.querySelector(id).cloneNode(true);
      for (const part of copy.querySelectorAll('button, .cell-form')) part.remove();
      return copy.textContent;
    });
    return all.join('\n');
  });

async function campaign(page) {
  await drop(page, [file('Elm 2 A.csv', plain()), file('Elm 3 A.csv', plain({ current: 3 })), file('no log.csv', 'nothing')]);
  await rowsShown(page, 2);
  await page.waitForFunction(() => /no table of numbers/.test(document.querySelector('#logs-list').textContent));
  await page.fill('#cutoff', '3.2');
  await page.click('#cells-fold > summary');
  await page.locator('#cells-list li summary').first().click();
  await page.fill('#cells-list [data-field=rated]', '3.4');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /C \(/.test(document.querySelector('#results-rows').textContent));
  await kept(page);
}

test('what was done is there again after a reload, the cut-off and refused logs too', async () => {
  const { page, errors, close } = await site.page();
  await campaign(page);
  const before = await shown(page);
  await page.reload();
  await rowsShown(page, 2);
  await page.waitForFunction(() => /C \(/.test(document.querySelector('#results-rows').textContent));
  assert.equal(await page.inputValue('#cutoff'), '3.2');
  assert.equal(await shown(page), before);
  assert.equal(await page.locator('#undo').isDisabled(), true, 'what was done at another visit stays done');
  // A log dropped as soon as the page is there gets a number of its own.
  await drop(page, [file('Fir 2 A.csv', plain())]);
  await rowsShown(page, 3);
  assert.deepEqual(errors, []);
  await close();
});

test('acts are taken back and done again, by buttons and keys', async () => {
  const { page, errors, close } = await site.page();
  await campaign(page);
  const before = await shown(page);
  await page.click('#logs-read-title');
  await page.locator('#logs-read button[data-act=remove]').first().click();
  await rowsShown(page, 1);
  assert.match(await page.locator('#undo').getAttribute('title'), /removing Elm 2 A\.csv/);
  await page.click('#undo');
  await rowsShown(page, 2);
  assert.equal(await shown(page), before);
  await page.locator('#workspace-title').focus();
  await page.keyboard.press('Control+Shift+z');
  await rowsShown(page, 1);
  await page.keyboard.press('Control+z');
  await rowsShown(page, 2);
  // Back to before the cell's figures, and the field with them.
  await page.keyboard.press('Control+z');
  await page.waitForFunction(() => document.querySelector('#cells-list [data-field=rated]').value === '');
  await page.keyboard.press('Control+z');
  await page.waitForFunction(() => document.querySelector('#cutoff').value === '');
  // In a field the keys are the field's own.
  await page.fill('#cutoff', '3.1');
  await page.keyboard.press('Control+z');
  await rowsShown(page, 2);
  assert.deepEqual(errors, []);
  await close();
});

test('a workspace is made, named, turned to and removed; a file of it opens in one of its own', async () => {
  const { page, errors, close } = await site.page();
  await campaign(page);
  const before = await shown(page);
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#workspace-save')]);
  assert.equal(download.suggestedFilename(), 'My workspace.plateau');
  const path = join(folder, 'Spring.plateau');
  await download.saveAs(path);
  const bytes = readFileSync(path);
  assert.ok(bytes.includes('plateau.json') && bytes.includes('document.json'));

  await page.click('#workspace-fold > summary');
  await page.fill('#workspace-rename', 'Winter');
  await page.click('#workspace-renamed');
  await named(page, 'Winter');
  await page.fill('#workspace-new', 'Winter');
  await page.click('#workspace-create');
  await page.waitForFunction(() => /already/.test(document.querySelector('#workspace-error').textContent));
  await page.fill('#workspace-new', 'Empty');
  await page.keyboard.press('Enter');
  await named(page, 'Empty');
  await rowsShown(page, 0);
  await page.fill('#workspace-rename', '');

  // Into the empty one, where it can be taken back.
  await page.setInputFiles('#workspace-file', path);
  await rowsShown(page, 2);
  assert.equal(await shown(page), before);
  await page.click('#undo');
  await rowsShown(page, 0);
  await page.click('#redo');
  await rowsShown(page, 2);
  // Beside one that holds something, under the file's name; dropped, as a log is.
  await drop(page, [{ name: 'Spring.plateau', buffer: bytes }]);
  await named(page, 'Spring');
  await rowsShown(page, 2);
  assert.equal(await shown(page), before);
  await kept(page);
  await page.reload();
  await ready(page);
  await named(page, 'Spring');
  await rowsShown(page, 2);

  await page.click('#workspace-fold > summary');
  page.on('dialog', (dialog) => dialog.accept());
  await page.locator('#workspace-list li', { hasText: 'Empty' }).locator('button[data-act=remove]').click();
  await page.waitForFunction(() => document.querySelectorAll('#workspace-list li').length === 2);
  await page.locator('#workspace-list li', { hasText: 'Winter' }).locator('button[data-act=switch]').click();
  await named(page, 'Winter');
  await rowsShown(page, 2);
  assert.deepEqual(errors, []);
  await close();
});

test('a saved file says of which logs it is, by their SHA-256; a damaged one opens as far as it is good', async () => {
  const { page, close } = await site.page();
  await campaign(page);
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#workspace-save')]);
  const path = join(folder, 'whole.plateau');
  await download.saveAs(path);
  const bytes = readFileSync(path);
  // plateau.json is small and comes first; where it is stored, not deflated, it can be read here.
  const { inflateRawSync } = await import('node:zlib');
  const method = bytes.readUInt16LE(8);
  const part = bytes.subarray(30 + bytes.readUInt16LE(26), 30 + bytes.readUInt16LE(26) + bytes.readUInt32LE(18));
  const manifest = JSON.parse(method === 0 ? part : inflateRawSync(part));
  const log = manifest.logs.find(({ name }) => name === 'Elm 2 A.csv');
  assert.equal(log.sha256, createHash('sha256').update(plain()).digest('hex'));
  assert.equal(log.bytes, Buffer.byteLength(plain()));

  const cut = join(folder, 'cut.plateau');
  writeFileSync(cut, bytes.subarray(0, Math.floor(bytes.length * 0.55)));
  await page.setInputFiles('#workspace-file', cut);
  await named(page, 'cut');
  await page.waitForFunction(() => /Lost: .*Elm/.test(document.querySelector('#workspace-notes').textContent));
  const junk = join(folder, 'junk.plateau');
  writeFileSync(junk, 'no workspace at all');
  await page.setInputFiles('#workspace-file', junk);
  await page.waitForFunction(() => /junk\.plateau.*no saved workspace/.test(document.querySelector('#fault').textContent));
  await named(page, 'cut');
  await close();
});

test('a second tab reads, and takes over where it is asked to', async () => {
  const context = await site.browser.newContext();
  const first = await context.newPage();
  await first.goto(site.address);
  await ready(first);
  await campaign(first);
  const second = await context.newPage();
  await second.goto(site.address);
  await rowsShown(second, 2);
  assert.match(await said(second), /only be read/);
  await second.fill('#cutoff', '2.9');
  await second.waitForFunction(() => /open in another tab/.test(document.querySelector('#fault').textContent));
  await drop(second, [file('late.csv', plain())]);
  await second.waitForFunction(() => /late\.csv.*another tab/.test(document.querySelector('#fault').textContent));
  await rowsShown(second, 2);

  await second.click('#workspace-here');
  await kept(second);
  await first.waitForFunction(() => /only be read/.test(document.querySelector('#workspace-state').textContent));
  await second.fill('#cutoff', '3.3');
  await second.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value').textContent === '3.300');
  await kept(second);
  await first.click('#workspace-here');
  await first.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value').textContent === '3.300');
  await context.close();
});

test('where the browser keeps nothing, that is said, and all else works', async () => {
  const { page, close } = await site.page();
  await page.route('**/parts/worker.*.js', async (route) => {
    const response = await route.fetch();
    const body = `Object.defineProperty(self.navigator, 'storage', { value: { getDirectory: undefined } });\nObject.defineProperty(self, 'indexedDB', { value: undefined });\n${await response.text()}`;
    await route.fulfill({ response, body });
  });
  await page.reload();
  await ready(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  assert.match(await said(page), /is not kept: .*Save a file/);
  await page.fill('#cutoff', '3.2');
  await page.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value').textContent === '3.200');
  await page.click('#undo');
  await page.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value').textContent === '3.000');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#workspace-save')]);
  assert.ok(readFileSync(await download.path()).length > 1000);
  await close();
});

test('whenever the tab is killed, the last change that was told as kept is there', async () => {
  const context = await site.browser.newContext();
  let page = await context.newPage();
  await page.goto(site.address);
  await ready(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  let inWrite = 0;
  for (let round = 0; round < 10; round += 1) {
    await page.fill('#cutoff', '');
    await kept(page);
    // One change after the other; which of them are kept is read off at the end.
    const acts = await page.evaluate(
      async ([count]) => {
        const input = document.querySelector('#cutoff');
        const kept = () => Number(document.querySelector('#workspace').dataset.kept);
        const base = kept();
        for (let k = 1; k <= count; k += 1) {
          input.value = (3 + k / 1000).toFixed(3);
          input.dispatchEvent(new Event('input', { bubbles: true }));
          await new Promise((done) => setTimeout(done, Math.random() * 12));
        }
        return { kept: kept() - base, saving: /being kept/.test(document.querySelector('#workspace-state').textContent) };
      },
      [5 + Math.floor(Math.random() * 20)],
    );
    inWrite += acts.saving ? 1 : 0;
    const cdp = await context.newCDPSession(page);
    cdp.send('Page.crash').catch(() => {});
    await page.waitForEvent('crash');
    await page.close();
    page = await context.newPage();
    await page.goto(site.address);
    await rowsShown(page, 1);
    await page.waitForFunction(() => document.querySelector('#workspace-state').textContent.includes('is kept'));
    const there = Math.round((Number((await page.inputValue('#cutoff')) || 3) - 3) * 1000);
    assert.ok(there >= acts.kept, `round ${round}: change ${acts.kept} was told as kept, ${there} is there`);
  }
  assert.ok(inWrite >= 2, `only ${inWrite} of 10 tabs were killed while something was being kept: a weak test`);
  await context.close();
});
