// Languages: with a table in which each text stands in brackets, nothing that a
// person reads stands outside of them; the German pages work as the English
// ones do, without a network too, and English visits know nothing of it.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { NAMES } from '../words/pages.mjs';
import { allTexts } from '../words/texts.mjs';
import { DIST, open } from './harness.mjs';
import { drop, file, kept, plain, results, rowsShown } from './logs.mjs';
import { ownCopy, ready, setUp } from './offline/visit.mjs';
import { dialogs, inDialog, states, unfold } from './states.mjs';

const web = dirname(dirname(fileURLToPath(import.meta.url)));
const german = JSON.parse(readFileSync(join(web, 'words', 'de.json'), 'utf8'));
const inGerman = (english) => german[english] || english;

let folder;
let marked; // the site in a language that is English in brackets
let site;
before(async () => {
  folder = mkdtempSync(join(tmpdir(), 'plateau-words-'));
  writeFileSync(join(folder, 'xx.json'), JSON.stringify(Object.fromEntries([...allTexts().keys()].map((text) => [text, `⟦${text}⟧`]))));
  const built = readdirSync(join(DIST, 'parts')).find((name) => name.endsWith('.wasm'));
  execFileSync('node', [join(web, 'build.mjs'), '--words', folder, '--out', join(folder, 'dist'), '--program', join(DIST, 'parts', built)], { stdio: ['ignore', 'ignore', 'inherit'] });
  marked = await open({ dist: join(folder, 'dist') });
  site = await setUp();
}, { timeout: 120_000 });
after(async () => {
  await marked?.close();
  await site?.close();
  rmSync(folder, { recursive: true, force: true });
});

// Names, units, and what is written alike everywhere.
const ALIKE = new RegExp(
  String.raw`(?<!\p{L})(?:${[
    'Alder|Birch|Cedar|Dogwood|Elm|Oak|Demo bench|Demo', // cells, their logs by them, and the demo’s tester
    'at a market stall|from the crew’s usual shop|the print is smeared and carries no date code|many', // typed of them, in the demo and in states.mjs
    'Deutsch|English',
    String.raw`[\w-]+\.(?:csv|txt|plateau|zip|xlsx|js|json|html|invalid)`,
    'm?V|[mµ]?A|mΩ|m?Ah|m?Wh|Wh/kg|Wh/l|ml|kB|MB|ms|min|mm|It|px|kHz|h:mm:ss',
    'ICR|INR|IFR|IMR', // designations of IEC 61960-3
    String.raw`GB18030|Shift-JIS|UTF-16 [BL]E|windows-125\d`,
    String.raw`(?:ISO/)?(?:IEC|ISO|JCGM|ILAC|QCVN|UTF|SHA|RFC)(?:[ -]?[A-Z]?\d[\d.:-]*)?`,
    '[0-9a-f]{8,64}', // versions and checksums
    'CSV|SVG|PNG|EUR',
    ...NAMES,
  ].join('|')})(?!\p{L})`,
  'gu',
);

const MARKUP = /<\/?[a-z]\d?[^<>]*>|\[\/?[a-z]+\]/g; // of posts

/** What of a page stands outside the brackets, each with the nearest element that has a name. */
async function bare(page) {
  const found = await page.evaluate(() => {
    const SILENT = 'script, style, noscript, textarea, code, #trust-policy, .formula, [translate=no], #report-text, datalist';
    const BLOCK = 'p, li, td, th, dt, dd, h1, h2, h3, h4, caption, legend, label, summary, option, button, figcaption, div, section, pre, title, dialog';
    const list = [];
    const place = (element) => element.closest('[id]')?.id ?? element.localName;
    const walk = document.createTreeWalker(document.documentElement, NodeFilter.SHOW_TEXT);
    let depth = 0;
    let block = null;
    while (walk.nextNode()) {
      const element = walk.currentNode.parentElement;
      if (element.closest(SILENT)) continue;
      const own = element.closest(BLOCK);
      // A text that was cut short closes no bracket.
      if (own !== block && !own?.contains(block) && !block?.contains(own)) depth = 0;
      block = own;
      let outside = '';
      for (const c of walk.currentNode.data) {
        if (c === '⟦') depth += 1;
        if (depth === 0) outside += c;
        if (c === '⟧') depth = Math.max(0, depth - 1);
      }
      if (outside.trim()) list.push([place(element), outside]);
    }
    for (const element of document.querySelectorAll('[aria-label], [alt], [title], [placeholder], [aria-valuetext]')) {
      for (const name of ['aria-label', 'alt', 'title', 'placeholder', 'aria-valuetext']) {
        const text = element.getAttribute(name);
        if (text && !/^⟦[^]*⟧$/.test(text)) list.push([`${place(element)} ${name}`, text.replace(/⟦[^⟦⟧]*⟧/g, '')]);
      }
    }
    return list;
  });
  return found.flatMap(([where, text]) => {
    const left = text.replace(MARKUP, ' ').replace(ALIKE, ' ').match(/\p{L}{2,}/gu);
    return left ? [`${where.replace(/\d+/g, 'N')}: ${text.replace(/\s+/g, ' ').trim().slice(0, 120)} (${left.slice(0, 12).join(' ')})`] : [];
  });
}

const none = (lines) => {
  const each = [...new Set(lines)].sort();
  assert.equal(each.length, 0, `${each.length} texts are in no table:\n${each.join('\n')}`);
};

test('all words of the pages and of their scripts are in the table', async () => {
  const context = await marked.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  const lines = [];
  // Without the Go program the page has to speak for itself.
  await page.route(/\.wasm$/, (route) => setTimeout(() => route.abort(), 1500));
  await page.goto(`${marked.address}xx.html`);
  await page.waitForFunction(() => /\w/.test(document.querySelector('#trust-directives').textContent));
  lines.push(...await bare(page));
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await page.waitForFunction(() => document.querySelector('#status').textContent !== '');
  lines.push(...await bare(page));
  await inDialog(page, 'trust');
  await page.click('#trust-try');
  await page.waitForFunction(() => document.querySelectorAll('#trust-tries tr').length === 10);
  await page.waitForFunction(() => !document.querySelector('#fault').hidden && document.querySelector('#fault').textContent !== '');
  lines.push(...await bare(page));
  assert.ok((await page.locator('#fault').textContent()).startsWith('⟦Plateau could not be loaded'));
  for (const path of ['guide.xx.html']) {
    await page.goto(marked.address + path);
    lines.push(...await bare(page));
  }
  none(lines);
  await context.close();
});

test('all words of the Go program are in the table', async () => {
  const context = await marked.browser.newContext();
  const page = await context.newPage();
  await page.goto(`${marked.address}xx.html`);
  await ready(page);
  const lines = [];
  const look = async () => lines.push(...await bare(page));
  await look();
  await states.demo(page);
  await drop(page, [file('bad.csv', 't / s,U / V,I / A\n0,4.1,0\n'), file('odd.csv', 'a;b\nx;y\n')]);
  await page.waitForTimeout(1000);
  await unfold(page);
  await page.waitForTimeout(500);
  await look();
  for (const show of ['incremental', 'resistance', 'voltage']) {
    await page.check(`#show-${show}`, { force: true });
    await page.waitForTimeout(300);
    await look();
  }
  for (const format of ['bbcode', 'html', 'markdown']) {
    await page.check(`[name=post-format][value=${format}]`, { force: true });
    await page.waitForTimeout(300);
    await look();
  }
  for (const name of Object.keys(dialogs)) {
    await inDialog(page, name);
    await page.waitForTimeout(200);
    await unfold(page);
    await look();
    await page.keyboard.press('Escape');
  }
  await context.close();
  none(lines);
});

test('the page goes over to another language with what stands behind the #, and what was done stays', async () => {
  const { page, errors, close } = await site.visit();
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await kept(page);
  const english = (await results(page)).get('Elm 2 A').capacity;
  await page.evaluate(() => window.history.replaceState(null, '', '#results'));
  await page.click('header a[hreflang=de]');
  await page.waitForURL(/\/de\.html#results$/);
  await ready(page);
  await rowsShown(page, 1);
  assert.equal(await page.evaluate(() => document.documentElement.lang), 'de');
  assert.equal((await page.locator('nav a[href="#results"]').textContent()), inGerman('Results'));
  // The browser speaks English, the page German: so do its numbers.
  const shown = await page.locator('#results-rows [data-figure=capacity] .value').first().textContent();
  assert.match(shown, /^\d+,\d+$/);
  assert.equal(Number(shown.replace(',', '.')).toFixed(2), Number(english).toFixed(2));
  await page.click('a[href="guide.de.html"]');
  await page.waitForURL(/guide\.de\.html$/);
  await page.click('footer a[hreflang=en]');
  await page.waitForURL(/guide\.html$/);
  assert.deepEqual(errors, []);
  await close();
});

test('German without a network, at once where a German page is the first; the next version has it again', async () => {
  const { page, errors, close, context } = await site.visit({ path: 'de.html' });
  const says = (text) => page.waitForFunction((text) => document.querySelector('#offline-words').textContent === text, text, { timeout: 30_000 });
  const readyText = inGerman('Ready to work without a network.');
  await says(readyText);
  await site.front.stop();
  for (const path of ['de.html', 'de']) {
    await page.goto(site.front.address + path);
    await ready(page);
    await says(readyText);
    assert.equal(await page.locator('#undo').textContent(), inGerman('Undo'));
  }
  await page.goto(`${site.front.address}guide.de.html`);
  assert.equal(await page.locator('h1').textContent(), inGerman('Guide'));
  await site.front.start();

  const next = await site.next('later');
  site.front.turn(next.address);
  await page.goto(`${site.front.address}de.html`);
  await page.locator('#news-take').click({ timeout: 30_000 });
  await page.waitForFunction((version) => document.querySelector('meta[name=version]')?.content === version, next.version, { timeout: 30_000 });
  await ready(page);
  await says(readyText);
  await site.front.stop();
  await page.reload();
  await ready(page);
  assert.match(await page.title(), /^later /);
  assert.equal(await page.locator('#undo').textContent(), inGerman('Undo'));
  await page.goto(`${site.front.address}guide.de.html`);
  assert.equal(await page.locator('h1').textContent(), inGerman('Guide'));
  site.front.turn(site.first.address);
  await site.front.start();
  assert.deepEqual(errors, []);
  await context.close();
  await close();
});

test('an English visit fetches nothing of another language, and keeps nothing of it', async () => {
  const begun = site.front.log.length;
  const { page, close } = await site.visit();
  await ownCopy(page);
  const asked = site.front.log.slice(begun).map(({ path }) => path);
  assert.ok(asked.includes('sw.js'));
  const other = /(^|\.)de\.html$|words\./;
  assert.deepEqual(asked.filter((path) => other.test(path)), []);
  const names = await page.evaluate(async () => {
    const all = [];
    for (const name of await caches.keys()) all.push(...(await (await caches.open(name)).keys()).map(({ url }) => new URL(url).pathname));
    return all;
  });
  assert.ok(names.length > 10);
  assert.deepEqual(names.filter((path) => other.test(path)), []);
  // What is not kept and cannot be fetched is there in English.
  await site.front.stop();
  await page.goto(`${site.front.address}de.html`);
  await ready(page);
  assert.equal(await page.evaluate(() => document.documentElement.lang), 'en');
  await site.front.start();
  await close();
});

test('without its table the page is in English and works', async () => {
  const context = await marked.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  await page.route(/words\.xx\./, (route) => route.abort());
  await page.goto(`${marked.address}xx.html`);
  await ready(page);
  await drop(page, [file('Elm 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await context.close();
});

test('the one-file build in German is under 3 MB', () => {
  assert.ok(statSync(join(DIST, 'plateau.de.html')).size < 3e6);
  assert.ok(readFileSync(join(DIST, 'plateau.de.html'), 'utf8').includes('data-part="words.json"'));
});
