// The panel that says how to check that nothing is sent.

import assert from 'node:assert/strict';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { inMeta, policy } from '../build/headers.mjs';
import { DIST, open } from './harness.mjs';

const WAYS = 10;

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function tried(page) {
  await page.click('#trust-try');
  await page.waitForFunction((n) => document.querySelectorAll('#trust-tries tr').length === n, WAYS);
  return page.locator('#trust-tries tr').evaluateAll((rows) => rows.map((tr) => [tr.querySelector('td').textContent, tr.className]));
}

test('it works by keyboard, before the Go program is there, and gives the focus back', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  await page.route(/\.wasm$/, () => {}); // never answered
  await page.goto(site.address);
  const focused = (selector) => page.evaluate((wanted) => document.activeElement.matches(wanted), selector);
  for (const where of ['#drop', 'footer']) {
    const button = page.locator(`${where} [data-trust]`);
    await button.focus();
    await page.keyboard.press('Enter');
    assert.ok(await page.locator('#trust').isVisible(), where);
    assert.ok(await focused('#trust-title'), 'it begins at its title');
    await page.keyboard.press('Escape');
    assert.ok(!(await page.locator('#trust').isVisible()));
    assert.ok(await focused(`${where} [data-trust]`), where);
  }
  await page.click('footer [data-trust]');
  await page.click('#trust-close');
  assert.ok(await focused('footer [data-trust]'));
  await context.close();
});

test('it shows the policy that holds, each directive in words, and no line is cut off on a phone', async () => {
  const { page, errors, close } = await site.page({ viewport: { width: 390, height: 844 } });
  await page.click('#drop [data-trust]');
  assert.equal(await page.locator('#trust-policy').textContent(), inMeta(policy));
  assert.equal((await page.locator('#trust-directives dt').allTextContents()).join('; '), inMeta(policy));
  for (const text of await page.locator('#trust-directives dd').allTextContents()) assert.match(text, /\.$/);
  assert.deepEqual(await tried(page).then((rows) => rows.map(([, kind]) => kind)), Array(WAYS).fill(''));
  const wide = await page.locator('#trust .panel-body').evaluate((body) => body.scrollWidth - body.clientWidth);
  assert.ok(wide <= 0, `${wide} px too wide`);
  // What a browser says while it is tried is not ours.
  assert.deepEqual(errors.filter((text) => !/Content Security Policy/.test(text)), []);
  await close();
});

test('each try is told as blocked, by what has blocked it, and leaves nothing behind', async () => {
  const { page, requests, close } = await site.page();
  await page.click('#drop [data-trust]');
  const before = await page.evaluate(() => document.body.children.length);
  const by = (await tried(page)).map(([text]) => /^Blocked by (\S+)$/.exec(text)?.[1]);
  const connect = 'connect-src';
  assert.deepEqual(by, [connect, connect, 'img-src', connect, connect, connect, 'script-src-elem', 'frame-src', 'form-action', 'Connection-Allowlist']);
  assert.match(await page.locator('#trust-sum').textContent(), /each of the 10 ways/);
  assert.equal(await page.evaluate(() => document.body.children.length), before);
  const own = new URL(site.address).origin;
  assert.ok(requests.every((url) => url.startsWith(own) || /^(data|blob):/.test(url) || new URL(url).hostname === 'plateau-check.invalid'));
  await close();
});

test('a try that is not blocked is told as that', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'plateau-open-'));
  let open1;
  try {
    cpSync(DIST, folder, { recursive: true });
    const edit = (name, pattern) => {
      const text = readFileSync(join(folder, name), 'utf8');
      assert.match(text, pattern);
      writeFileSync(join(folder, name), text.replace(pattern, ''));
    };
    edit('index.html', /<meta http-equiv="Content-Security-Policy"[^>]*>/);
    edit('_headers', /^ {2}Content-Security-Policy:.*\n/m);
    edit('_headers', /^ {2}Connection-Allowlist:.*\n/m);
    open1 = await open({ dist: folder });
    const { page, close } = await open1.page();
    await page.click('#drop [data-trust]');
    assert.match(await page.locator('#trust-policy').textContent(), /no policy/);
    const rows = await tried(page);
    for (const [text, kind] of rows) {
      assert.equal(kind, 'caution', text);
      assert.match(text, /^Not (seen to be )?blocked/);
    }
    assert.match(rows.at(-1)[0], /^Not blocked by your browser/);
    assert.match(await page.locator('#trust-sum').textContent(), /block 0 of 10/);
    assert.equal(new URL(page.url()).origin, new URL(open1.address).origin, 'the form took nobody away');
    await close();
  } finally {
    await open1?.close();
    rmSync(folder, { recursive: true, force: true });
  }
});

test('the copy in one file says what holds there', async () => {
  const context = await site.browser.newContext();
  const page = await context.newPage();
  await page.goto(pathToFileURL(join(DIST, 'plateau.html')).href);
  await page.click('#drop [data-trust]');
  assert.match(await page.locator('#trust-policy').textContent(), /connect-src 'none'/);
  const told = await page.locator('#trust-directives dd').allTextContents();
  assert.ok(told.includes('No request, no beacon and no socket, to anyone.'));
  for (const text of told) assert.match(text, /\.$/);
  assert.doesNotMatch(await page.locator('#trust').textContent(), /this site|server sees that/);
  const rows = await tried(page);
  for (const [text] of rows.slice(0, -1)) assert.match(text, /^Blocked by /);
  assert.match(rows.at(-1)[0], /^Not blocked by your browser/, 'it has no headers');
  await context.close();
});
