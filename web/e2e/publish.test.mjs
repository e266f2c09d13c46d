// The campaign as a text, a report and pictures.

import assert from 'node:assert/strict';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { inflateRawSync } from 'node:zlib';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
let folder;
before(async () => {
  site = await open();
  folder = mkdtempSync(join(tmpdir(), 'plateau-publish-'));
});
after(async () => {
  await site?.close();
  rmSync(folder, { recursive: true, force: true });
});

async function withDemo() {
  const visit = await site.page({ viewport: { width: 1300, height: 1000 } });
  await visit.page.click('#demo');
  await visit.page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length > 10);
  await visit.page.evaluate(() => document.querySelector('#publish').scrollIntoView({ behavior: 'instant' }));
  await says(visit.page, /^# Discharge test of|^# /);
  return visit;
}

const says = (page, pattern) => page.waitForFunction((source) => new RegExp(source, 'm').test(document.querySelector('#post-text').textContent), pattern.source);
const text = (page) => page.locator('#post-text').textContent();
const as = (page, format) => page.click(`#post-format label:has(input[value=${format}])`);

async function saved(page, button, name) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(button)]);
  const path = join(folder, name);
  await download.saveAs(path);
  return { path, name: download.suggestedFilename() };
}

test('a post is written in each format, of the parts that are chosen, in their order', async () => {
  const { page, errors, close } = await withDemo();
  await page.fill('#post-title', 'Four cells');
  await page.keyboard.press('Tab');
  await says(page, /^# Four cells/);
  const shown = await page.locator('#results-rows tr:first-child [data-figure=capacity] .value').textContent();
  assert.ok((await text(page)).includes(`| ${shown} ± `), 'the figures are those of the page');
  await as(page, 'bbcode');
  await says(page, /\[b\]/);
  await as(page, 'csv-comma');
  await says(page, /decimal_comma/);
  assert.match((await text(page)).split('\n')[1], /\d,\d+;/);
  await as(page, 'json');
  await says(page, /^\{/);
  assert.equal(JSON.parse((await saved(page, '#post-save', 'post.json'), readFileSync(join(folder, 'post.json'), 'utf8'))).title, 'Four cells');
  await as(page, 'markdown');
  await says(page, /^## Ranking/);

  await page.click('#publish details summary');
  await page.locator('#post-parts label', { hasText: 'Ranking' }).first().locator('input').uncheck();
  await page.waitForFunction(() => !/^## Ranking/m.test(document.querySelector('#post-text').textContent));
  const verdicts = () => text(page).then((t) => t.indexOf('## Verdicts') - t.indexOf('## Figures'));
  assert.ok((await verdicts()) > 0);
  const up = page.locator('#post-parts li', { hasText: 'Verdicts' }).locator('button[data-move=up]');
  for (let k = 0; k < 4; k += 1) await up.click();
  await page.waitForFunction(() => {
    const all = document.querySelector('#post-text').textContent;
    return all.indexOf('## Verdicts') < all.indexOf('## Figures');
  });
  assert.ok(await page.evaluate(() => document.activeElement.dataset.move === 'up'), 'the focus stays on the button');

  await page.fill('#post-private', 'nobody else’s business');
  await page.keyboard.press('Tab');
  await page.waitForTimeout(500);
  assert.doesNotMatch(await text(page), /business/);

  // The choice is there again, and the title with the workspace.
  await page.waitForFunction(() => /is kept/.test(document.querySelector('#workspace-state').textContent));
  await page.reload();
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length > 10);
  await page.evaluate(() => document.querySelector('#publish').scrollIntoView({ behavior: 'instant' }));
  await says(page, /^# Four cells/);
  const again = await text(page);
  assert.ok(again.indexOf('## Verdicts') < again.indexOf('## Figures') && !/^## Ranking/m.test(again));
  assert.deepEqual(errors, []);
  await close();
});

test('a report stands by itself, with its charts, on two printed pages', async () => {
  const { page, errors, close } = await withDemo();
  const { path, name } = await saved(page, '#post-report', 'report.html');
  assert.match(name, /\.html$/);
  const report = await page.context().newPage();
  const asked = [];
  report.on('request', (request) => asked.push(request.url()));
  await report.goto(pathToFileURL(path).href);
  assert.deepEqual(asked.filter((url) => !url.startsWith('data:')), [pathToFileURL(path).href], 'it asks for nothing else');
  const pictures = await report.locator('img').evaluateAll((list) => list.map((img) => [img.naturalWidth > 300, img.alt.length > 20]));
  assert.deepEqual(pictures, [[true, true], [true, true]]);
  assert.match(await report.locator('body').textContent(), /Cedar.*below/s);
  const pdf = await report.pdf({ format: 'A4' });
  const pages = pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g).length;
  assert.ok(pages <= 2, `${pages} pages`);
  assert.deepEqual(errors, []);
  await close();
});

test('all charts come in one zip, as SVG or PNG of the width chosen', async () => {
  const { page, errors, close } = await withDemo();
  await page.fill('#post-width', '900');
  const svg = readFileSync((await saved(page, '#post-svg', 'svg.zip')).path);
  const entries = svg.readUInt16LE(svg.length - 12); // of the directory at the end
  assert.ok(entries >= 8, `${entries} charts`);
  assert.ok(svg.includes('discharge curves.svg'));
  const png = readFileSync((await saved(page, '#post-png', 'png.zip')).path);
  const from = 30 + png.readUInt16LE(26) + png.readUInt16LE(28);
  const first = png.subarray(from, from + png.readUInt32LE(18));
  const picture = png.readUInt16LE(8) === 8 ? inflateRawSync(first) : first;
  assert.equal(picture.readUInt32BE(16), 900);
  assert.deepEqual(errors, []);
  await close();
});

test('hostile names of cells, logs and titles neither execute nor break what is published', async () => {
  const { page, errors, close } = await site.page();
  const evil = '</pre><img src=x onerror=alert(1)>|"[url=javascript:alert(1)]=1+1';
  await drop(page, [file('<script>alert(1)</script> 2 A.csv', plain())]);
  await rowsShown(page, 1);
  page.on('dialog', () => assert.fail('something was executed'));
  await page.evaluate(() => document.querySelector('#publish').scrollIntoView({ behavior: 'instant' }));
  await page.fill('#post-title', evil);
  await page.keyboard.press('Tab');
  for (const format of ['bbcode', 'html', 'csv', 'tsv', 'json', 'markdown']) {
    await as(page, format);
    await page.waitForTimeout(250);
    assert.ok((await text(page)).length > 200, format);
  }
  assert.equal(await page.locator('#publish img, #publish script').count(), 0);
  const { path } = await saved(page, '#post-report', 'evil.html');
  const report = await page.context().newPage();
  report.on('dialog', () => assert.fail('something was executed'));
  await report.goto(pathToFileURL(path).href);
  assert.equal(await report.locator('script, img[onerror], a').count(), 0);
  assert.ok((await report.locator('h1').textContent()).includes('onerror=alert(1)'), 'the title is there as text');
  assert.deepEqual(errors, []);
  await close();
});
