// The campaign in an address: made, made to fit, opened by another, taken in.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function linked(page) {
  await page.evaluate(() => document.querySelector('#publish').scrollIntoView({ behavior: 'instant' }));
  await page.waitForFunction(() => document.querySelector('#post-text').textContent.length > 100);
  await page.click('#link-fold > summary');
  await page.waitForFunction(() => document.querySelector('#link-text').value.length > 300);
  return page.inputValue('#link-text');
}

async function opened(text, before = async () => {}) {
  const visit = await site.page();
  await before(visit.page);
  await visit.page.goto(`${site.address}#${text}`);
  await visit.page.waitForFunction(() => !document.querySelector('#linked').hidden);
  return visit;
}

const takes = (page, pattern) => page.waitForFunction((source) => new RegExp(source).test(document.querySelector('#link-size').textContent), pattern.source);

test('the demo as a link: at most 6,000 characters with all curves, and less where it has to fit', async () => {
  const { page, errors, requests, close } = await site.page();
  await page.click('#demo');
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length > 10);
  const text = await linked(page);
  assert.ok(text.length <= 6000, `${text.length} characters`);
  await page.click('#link-fit button[data-fit="2000"]');
  await takes(page, /fits where an address may have 2,000/);
  assert.ok((await page.inputValue('#link-text')).length <= 2000);
  assert.match(await page.locator('#link-did').textContent(), /curves/);
  await page.click('#link-fit button[data-fit="32000"]');
  await takes(page, /too long for 2,000/);
  await page.locator('#link-parts label', { hasText: /^curves/ }).locator('input').uncheck();
  await page.waitForFunction((n) => document.querySelector('#link-text').value.length < n - 800, text.length);
  await page.fill('#link-tolerance', 'much');
  await page.waitForFunction(() => document.querySelector('#link-tolerance').getAttribute('aria-invalid') === 'true');
  const asked = requests.length;
  await page.check('#link-parts label:has-text("curves") >> nth=0');
  await page.click('#card-copy');
  await page.waitForFunction(() => /longer than 2,000/.test(document.querySelector('#card-said').textContent));
  const long = await page.inputValue('#card-text');
  assert.ok(long.length > 2000 && long.length < 4000, `${long.length} characters`);
  await page.click('#card-short');
  await page.waitForFunction((n) => document.querySelector('#card-text').value.length < n, 2000);
  await page.waitForTimeout(300);
  assert.equal(requests.length, asked, 'nothing is sent');
  assert.deepEqual(errors, []);

  // Another reads it, beside what is his own, and takes it in.
  const other = await opened(text, async (own) => {
    await drop(own, [file('Elm 3 A.csv', plain({ current: 3 }))]);
    await rowsShown(own, 1);
  });
  const there = other.page;
  assert.match(await there.locator('#linked-tables').textContent(), /Cedar.*below/s);
  await there.waitForFunction(() => document.querySelector('#linked-picture').naturalWidth > 300);
  await rowsShown(there, 1);
  assert.ok(!other.requests.some((url) => url.includes(text.slice(0, 40)) && !url.includes('#')), 'no server sees it');
  await there.click('#linked-take');
  await rowsShown(there, 18);
  assert.ok(!(await there.locator('#linked').isVisible()));
  assert.equal(new URL(there.url()).hash, '');
  await there.click('#undo');
  await rowsShown(there, 1);
  assert.deepEqual(other.errors, []);
  await other.close();
  await close();
});

test('a link that is cut off, changed or newer says so, and changes nothing', async () => {
  const { page, close } = await site.page();
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  const text = await linked(page);
  const flipped = `${text.slice(0, 60)}${text[60] === 'A' ? 'B' : 'A'}${text.slice(61)}`;
  for (const bad of [text.slice(0, text.length - 20), flipped, `1${'A'.repeat(50_000)}`]) {
    const visit = await opened(bad);
    assert.match(await visit.page.locator('#linked-why').textContent(), /link/i);
    assert.ok(!(await visit.page.locator('#linked-take').isVisible()));
    await visit.page.click('#linked-close');
    assert.ok(!(await visit.page.locator('#linked').isVisible()));
    assert.deepEqual(visit.errors, []);
    await visit.close();
  }
  await close();
});

test('names in a link are text, whatever stands in them', async () => {
  const { page, close } = await site.page();
  await drop(page, [file('<img src=x onerror=alert(1)> 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await page.fill('#post-title', '<script>alert(1)</script>');
  await page.keyboard.press('Tab');
  const text = await linked(page);
  const visit = await opened(text);
  visit.page.on('dialog', () => assert.fail('something was executed'));
  assert.match(await visit.page.locator('#linked').textContent(), /<img src=x onerror=alert\(1\)>/);
  assert.equal(await visit.page.locator('#linked script, #linked img:not(#linked-picture)').count(), 0);
  await visit.page.click('#linked-take');
  await rowsShown(visit.page, 1);
  assert.deepEqual(visit.errors, []);
  await visit.close();
  await close();
});

test('a link with preview: short, with curves, and drawn by the server that its words name', async () => {
  const { page, errors, requests, close } = await site.page();
  await drop(page, [file('Elm 2 A.csv', plain()), file('Elm 3 A.csv', plain({ current: 3 }))]);
  await rowsShown(page, 2);
  await linked(page);
  assert.match(await page.locator('#card-means').textContent(), /sends the figures and curves in it to this site’s server/);
  const asked = requests.length;
  await page.click('#card-copy');
  await page.waitForFunction(() => document.querySelector('#card-text').value.length > 300);
  const address = await page.inputValue('#card-text');
  assert.equal(requests.length, asked, 'nothing is sent by making it');
  assert.ok(address.startsWith(`${new URL(site.address).origin}/card/1`) && address.length + '.png'.length < 2000, `${address.length} characters`);
  assert.match(await page.locator('#card-said').textContent(), /is copied|Ctrl\+C/);
  assert.deepEqual(errors, []);

  const other = await site.page();
  await other.page.goto(address);
  assert.equal(await other.page.locator('table.figures tbody tr').count(), 2);
  assert.deepEqual(await other.page.evaluate(() => [document.images[0].naturalWidth, document.images[0].naturalHeight]), [1200, 630]);
  assert.equal(await other.page.evaluate(() => getComputedStyle(document.querySelector('.button')).textDecorationLine), 'none', 'the style is let through');
  await other.page.setViewportSize({ width: 390, height: 700 });
  assert.ok(await other.page.evaluate(() => document.documentElement.scrollWidth) <= 390);
  await other.page.click('a.button');
  await other.page.waitForFunction(() => document.querySelector('#linked')?.hidden === false && document.querySelector('#linked-picture').naturalWidth > 300);
  assert.match(await other.page.locator('#linked-tables').textContent(), /Elm 3 A/);
  await other.close();
  await close();
});

test('no link with preview where the site has no server to draw one', async () => {
  const visit = await site.page();
  await visit.page.route(site.address, async (route) => {
    const answer = await route.fetch();
    await route.fulfill({ response: answer, body: (await answer.text()).replace(' data-cards="yes"', '') });
  });
  await visit.page.goto(site.address);
  await drop(visit.page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(visit.page, 1);
  await linked(visit.page);
  assert.ok(!(await visit.page.locator('#card').isVisible()) && (await visit.page.locator('#link-copy').isVisible()));
  await visit.close();
});
