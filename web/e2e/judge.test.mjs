// Each cell against its datasheet, and how the page asks for what takes long.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

// Counts what the page asks, and how many questions of a kind are under way.
const watched = () => {
  const { command } = window.plateau;
  window.asked = { all: [], now: {}, most: {} };
  window.plateau.command = (json, answer) => {
    const { all, now, most } = window.asked;
    const { do: kind } = JSON.parse(json);
    all.push(kind);
    now[kind] = (now[kind] ?? 0) + 1;
    most[kind] = Math.max(most[kind] ?? 0, now[kind]);
    command(json, (...reply) => {
      now[kind] -= 1;
      answer(...reply);
    });
  };
};

async function withDemo(options) {
  const visit = await site.page(options);
  await visit.page.evaluate(watched);
  await visit.page.click('#demo');
  await visit.page.waitForSelector('.verdict', { state: 'attached' });
  return visit;
}

const cellBlock = (page, name) => page.locator('.judged', { has: page.locator(`h3:text-is("${name}")`) });

test('the rule stands before the numbers, and each claim has a verdict in words', async () => {
  const { page, errors, close } = await withDemo();
  assert.ok((await page.locator('#datasheet-rules li').count()) > 0);
  const first = await page.evaluate(() => {
    const rule = document.querySelector('#datasheet-rules li');
    const verdict = document.querySelector('.verdict');
    return Boolean(rule.compareDocumentPosition(verdict) & Node.DOCUMENT_POSITION_FOLLOWING);
  });
  assert.ok(first);
  const words = {
    pass: 'pass',
    'pass-within': 'pass, within uncertainty',
    'below-within': 'below, within uncertainty',
    below: 'below',
    above: 'above the typical value',
    under: 'below the typical value',
  };
  const verdicts = await page.locator('.verdict').evaluateAll((list) =>
    list.map((li) => ({
      grade: li.dataset.grade,
      mark: li.querySelector('.verdict-mark').dataset.grade,
      word: li.querySelector('.verdict-word').textContent,
      claim: li.querySelector('h4').textContent,
    })));
  for (const { grade, mark, word, claim } of verdicts) {
    assert.equal(mark, grade);
    assert.match(claim, /Ah.* V/);
    if (grade === 'open') assert.notEqual(word, '');
    else assert.equal(word, words[grade]);
  }
  // The demo has its Cedar claim more than it gives.
  assert.equal(await cellBlock(page, 'Cedar').locator('.verdict').first().getAttribute('data-grade'), 'below');
  assert.match(await cellBlock(page, 'Alder').locator('.hint').first().textContent(), /one sample|1 sample/i);
  assert.deepEqual(errors, []);
  await close();
});

test('a verdict unfolds what it rests on, with a reason for each discharge', async () => {
  const { page, close } = await withDemo();
  const verdict = cellBlock(page, 'Alder').locator('.verdict').first();
  assert.equal(await verdict.locator('table').count(), 0);
  await verdict.locator('summary').click();
  await verdict.locator('tbody tr').first().waitFor();
  const rows = await verdict.locator('tbody tr').evaluateAll((list) =>
    list.map((tr) => ({ side: tr.dataset.side, cells: [...tr.children].map((c) => c.textContent.trim()) })));
  assert.ok(rows.length > 1);
  assert.ok(rows.some(({ side }) => side === 'both' || side === 'pass'));
  for (const { cells } of rows) assert.ok(cells.every((text) => text !== ''), cells.join(' | '));
  // It stays unfolded while figures change, and follows them.
  await page.fill('#cutoff', '3.1');
  await page.waitForFunction(() => window.asked.now.judge === 0 && window.asked.all.filter((kind) => kind === 'judge').length > 1);
  assert.ok(await verdict.locator('details').evaluate((d) => d.open && d.querySelector('tbody tr') !== null));
  await close();
});

test('of a cell without claims one line says so, and leads to its form', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [file('Quince 2 A.csv', plain())]);
  await rowsShown(page, 1);
  const line = page.locator('#datasheet-rest li', { hasText: 'Quince' });
  await line.waitFor();
  await line.locator('button').click();
  assert.ok(await page.locator('#cells-fold').evaluate((d) => d.open && d.contains(document.activeElement)));
  assert.deepEqual(errors, []);
  await close();
});

test('a name is text, whatever it looks like', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [file('<i>Quince</i>\u001f>\u001f<hr 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await page.waitForFunction(() => /<i>Quince<\/i>/.test(document.querySelector('#datasheet-rest').textContent));
  assert.equal(await page.locator('#datasheet i, #datasheet hr, #compare i, #compare hr').count(), 0);
  assert.deepEqual(errors, []);
  await close();
});

test('the page asks one question of a kind at a time, and shows nothing anew that is the same', async () => {
  const { page, errors, close } = await withDemo();
  await page.locator('#ranking').scrollIntoViewIfNeeded();
  await page.waitForSelector('#ranking-rates tbody tr', { state: 'attached' });
  await page.locator('#datasheet').scrollIntoViewIfNeeded();
  await page.waitForFunction(() => Object.values(window.asked.now).every((n) => n === 0));
  const before = await page.evaluate(() => {
    document.querySelector('.verdict').kept = true;
    return window.asked.all.length;
  });
  // Ten views in a row.
  await page.evaluate(() => {
    const field = document.querySelector('#cutoff');
    for (let k = 0; k < 10; k += 1) {
      field.value = k % 2 ? '3.0' : '3';
      field.dispatchEvent(new Event('input', { bubbles: true }));
    }
  });
  await page.waitForFunction((n) => window.asked.all.length >= n + 10 && Object.values(window.asked.now).every((left) => left === 0), before);
  await page.waitForTimeout(300);
  const asked = await page.evaluate(() => window.asked);
  for (const kind of ['judge', 'compare', 'rank', 'load']) assert.ok(!(asked.most[kind] > 1), `${kind}: ${asked.most[kind]} at once`);
  assert.ok(asked.all.slice(before).filter((kind) => kind === 'judge').length >= 1);
  // A datasheet's claim does not depend on the cut-off on the page.
  assert.ok(await page.evaluate(() => document.querySelector('.verdict').kept === true), 'the same reply is not rendered again');
  assert.deepEqual(errors, []);
  await close();
});

test('on a phone the page does not move sideways, and tables do inside their boxes', async () => {
  const { page, errors, close } = await withDemo({ viewport: { width: 390, height: 844 } });
  for (const id of ['datasheet', 'compare', 'ranking', 'load']) {
    assert.ok(await page.locator(`nav a[href="#${id}"]`).isVisible());
    await page.locator(`#${id}`).scrollIntoViewIfNeeded();
    await page.waitForTimeout(150);
  }
  await page.fill('#load-amount', '3');
  await page.fill('#load-cutoff', '3');
  await page.waitForSelector('#load-cells tbody tr');
  for (const summary of await page.locator('.rests > summary').all()) await summary.click();
  const [wide, inner] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
  assert.ok(wide <= inner, `${wide} px in ${inner}`);
  for (const box of await page.locator('#datasheet .scroll, #compare .scroll, #ranking .scroll, #load .scroll').all()) {
    if (!(await box.isVisible())) continue;
    assert.equal(await box.getAttribute('tabindex'), '0');
    assert.notEqual(await box.evaluate((e) => e.getAttribute('aria-label') ?? e.getAttribute('aria-labelledby')), null);
  }
  assert.deepEqual(errors, []);
  await close();
});
