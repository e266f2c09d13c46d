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
