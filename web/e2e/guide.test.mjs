// The guide: every formula says where it is from, every anchor is there, nothing
// leads elsewhere; on the site, and in the one-file build.

import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { DIST, open } from './harness.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const PUBLISHED = /\b(IEC \d{5}|JCGM \d{3}|ILAC-G8|ISO\/IEC \d{5}|NIST)\b|\(\d{4}\) \d+/;

async function guide(options, address = `${site.address}guide.html`) {
  const context = await site.browser.newContext({ serviceWorkers: 'block', ...options });
  const page = await context.newPage();
  const errors = [];
  page.on('console', (message) => errors.push(message.text()));
  page.on('pageerror', (error) => errors.push(String(error)));
  await page.goto(address);
  return { page, errors, close: () => context.close() };
}

test('each part with a formula names its source, a published one or that there is none', async () => {
  const { page, errors, close } = await guide();
  const parts = await page.evaluate(() => [...new Set([...document.querySelectorAll('.formula')].map((one) => one.closest('section')))].map((section) => ({
    name: section.getAttribute('aria-labelledby'),
    formulas: section.querySelectorAll('.formula').length,
    sources: [...section.querySelectorAll(':scope > .source')].map((one) => one.textContent),
  })));
  assert.ok(parts.length >= 12, `${parts.length} parts with formulas`);
  for (const { name, sources } of parts) {
    assert.equal(sources.length, 1, `${name} has one line of sources`);
    assert.ok(PUBLISHED.test(sources[0]) || /common practice, no source/i.test(sources[0]), `${name}: ${sources[0]}`);
  }
  assert.deepEqual(errors, []);
  await close();
});

test('its ten steps, its anchors and its links', async () => {
  const { page, close } = await guide();
  assert.equal(await page.locator('.steps > li').count(), 10);
  const { ids, anchors, labels, links, listed, heads } = await page.evaluate(() => ({
    ids: [...document.querySelectorAll('[id]')].map((one) => one.id),
    anchors: [...document.querySelectorAll('a[href^="#"]')].map((one) => one.getAttribute('href').slice(1)),
    labels: [...document.querySelectorAll('[aria-labelledby]')].map((one) => one.getAttribute('aria-labelledby')),
    links: [...document.querySelectorAll('a[href]:not([href^="#"])')].map((one) => one.href),
    listed: [...document.querySelectorAll('.contents a')].map((one) => one.getAttribute('href').slice(1)),
    heads: [...document.querySelectorAll('main :is(h2, h3)')].map((one) => one.id).filter((id) => id !== 'contents'),
  }));
  assert.equal(new Set(ids).size, ids.length, 'each id once');
  for (const name of [...anchors, ...labels]) assert.ok(ids.includes(name), `there is no #${name}`);
  assert.deepEqual(listed, heads, 'the list of contents has each heading, in order');
  assert.ok(links.length > 0);
  for (const link of links) {
    assert.ok(link.startsWith(site.address), link);
    assert.equal((await fetch(link)).status, 200, link);
  }
  await page.click('.contents a[href="#verdict"]');
  await page.waitForFunction(() => Math.abs(document.querySelector('#verdict').getBoundingClientRect().top) < window.innerHeight / 2);
  await close();
});

test('it is reached from the page, and leads back', async () => {
  const { page, errors, close } = await site.page();
  await page.click('a[href="guide.html"]');
  await page.waitForURL(/guide\.html$/);
  await page.click('header a[href="./"]');
  await page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);
  assert.deepEqual(errors, []);
  await close();
});

test('on paper it is whole, without its list of contents', async () => {
  const { page, close } = await guide();
  await page.emulateMedia({ media: 'print' });
  assert.ok(await page.locator('.guide > nav').isHidden());
  assert.ok(await page.locator('.steps').isVisible());
  const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
  const pages = pdf.match(/\/Type ?\/Page\b/g).length;
  assert.ok(pages >= 3 && pages <= 12, `${pages} pages`);
  await close();
});

test('the one-file build has it as a file that needs no other', async () => {
  const whole = readFileSync(join(DIST, 'plateau.html'), 'utf8');
  const packed = /download="plateau-guide\.html" href="data:text\/html;charset=utf-8;base64,([^"]+)"/.exec(whole)?.[1];
  assert.ok(packed);
  const text = Buffer.from(packed, 'base64').toString();
  for (const [, link] of text.matchAll(/ (?:href|src)="([^"]*)"/g)) assert.match(link, /^(#|data:)/);
  const folder = mkdtempSync(join(tmpdir(), 'plateau-guide-'));
  writeFileSync(join(folder, 'guide.html'), text);
  const { page, errors, close } = await guide({}, pathToFileURL(join(folder, 'guide.html')).href);
  assert.equal(await page.locator('.steps > li').count(), 10);
  // Its own policy lets its own style in.
  assert.equal(await page.locator('.bullets').first().evaluate((one) => getComputedStyle(one).display), 'grid');
  assert.deepEqual(errors, []);
  await close();
  rmSync(folder, { recursive: true });
});
