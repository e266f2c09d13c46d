// The bench: what is said of the tester and of the cells, what it does to the
// figures, and the details of a discharge.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { anew, drop, file, plain, plainTruth, results, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

async function withLogs(...logs) {
  const visit = await site.page();
  await drop(visit.page, logs.length > 0 ? logs : [file('Alder 2 A.csv', plain())]);
  await rowsShown(visit.page, Math.max(1, logs.length));
  return visit;
}

const row = (page, name) => page.locator('#results-rows tr', { has: page.locator(`.run-name:text-is("${name}")`) });
const unfold = (page, id) => page.click(`#${id} > summary`);
const field = (page, name) => page.locator(`#cells-list [data-field=${name}]`).first();
const openRow = (page, k = 0) => page.locator('#cells-list > li').nth(k).locator('summary').click();

async function openDetails(page, name) {
  await row(page, name).locator('button[data-details]').click();
  await page.waitForSelector('#details[open]');
}

// A limit of error g of the gain, evenly spread, is u = g Q / √3 (JCGM 100:2008,
// 4.3.7); with k = 2 and a gain that outweighs the rest, U = 2 g Q / √3.
const byGain = (percent) => (2 * (percent / 100) * plainTruth().capacity) / Math.sqrt(3);

async function gainIs(page, percent) {
  const want = byGain(percent);
  await page.waitForFunction(
    ([least, most]) => {
      const u = Number(document.querySelector('#results-rows [data-figure=capacity] .u')?.textContent.replace('± ', ''));
      return u > least && u < most;
    },
    [want * 0.93, want * 1.07],
  );
}

test('the tester goes into the uncertainty, and is there again at the next visit', async () => {
  const { page, errors, close } = await withLogs();
  assert.match(await page.locator('#tester-state').textContent(), /not described.*IEC 61960-3/);
  assert.ok(await page.locator('#results-assumed').isVisible());
  await page.click('#results-assumed button');
  assert.ok(await page.locator('#tester').evaluate((d) => d.open));
  assert.ok(await page.evaluate(() => document.activeElement.closest('#tester') !== null), 'the focus is where the form begins');

  await page.fill('#tester-name', 'Bench one');
  await page.fill('#tester-current-0-gain', '3');
  await page.keyboard.press('Enter');
  await gainIs(page, 3);
  assert.match(await page.locator('#tester-state').textContent(), /Bench one/);
  assert.match(await page.locator('#results-assumed').textContent(), /described in part/);
  await page.fill('#tester-voltage-0-gain', '0.1');
  await page.fill('#tester-time', '0.01');
  await page.fill('#tester-temperature', '0.5');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('#results-assumed').hidden, null, { timeout: 5000 });

  await anew(page);
  await drop(page, [file('Alder 2 A.csv', plain())]);
  await rowsShown(page, 1);
  await gainIs(page, 3);
  assert.equal(await page.inputValue('#tester-current-0-gain'), '3');
  assert.equal(await page.inputValue('#tester-name'), 'Bench one');

  await unfold(page, 'tester');
  await page.click('#tester-forget');
  await page.waitForFunction(() => /not described/.test(document.querySelector('#tester-state').textContent));
  assert.equal(await page.inputValue('#tester-name'), '');
  assert.equal(await page.evaluate(() => localStorage.getItem('plateau:bench')), null);
  assert.deepEqual(errors, []);
  await close();
});

test('what is wrong is said at its field, and the rest is taken', async () => {
  const { page, close } = await withLogs();
  await unfold(page, 'tester');
  await page.fill('#tester-current-0-gain', '3');
  await page.keyboard.press('Tab');
  await gainIs(page, 3);
  await page.click('#current-add');
  assert.equal(await page.evaluate(() => document.activeElement.id), 'tester-current-1-upTo');
  await page.fill('#tester-time', 'slow');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => document.querySelector('#tester-time').getAttribute('aria-invalid') === 'true');
  const said = await page.locator('#tester-time').getAttribute('aria-describedby');
  assert.match(await page.locator(`#${said}`).textContent(), /slow/);
  assert.equal(await page.inputValue('#tester-time'), 'slow', 'it stays to be put right');
  await gainIs(page, 3);
  await page.fill('#tester-time', '0.01');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => document.querySelector('#tester-time').getAttribute('aria-invalid') === 'false');
  assert.equal((await page.locator(`#${said}`).textContent()).trim(), '');
  assert.equal(await page.locator('#current-ranges tr').count(), 2);
  await page.click('#current-ranges tr:first-child button');
  await page.waitForFunction(() => document.querySelectorAll('#current-ranges tr').length === 1);
  assert.equal(await page.inputValue('#tester-current-0-gain'), '', 'the range that is left is the second');
  await close();
});

test('two-wire asks for the leads', async () => {
  const { page, close } = await withLogs();
  await unfold(page, 'tester');
  assert.ok(await page.locator('#tester-lead').isHidden());
  await page.locator('#tester-two-wire').check({ force: true });
  await page.locator('#tester-lead').waitFor();
  // 2 A through 50 mΩ are 0.1 V that the cell gives and the tester does not see.
  const before = Number((await results(page)).get('Alder 2 A').average);
  await page.fill('#tester-lead-resistance', '50');
  await page.keyboard.press('Enter');
  await page.waitForFunction((was) => Math.abs(Number(document.querySelector('[data-figure=average] .value').textContent) - was - 0.1) < 0.002, before);
  await close();
});

test('a datasheet gives rate, cut-off and a name, and is remembered', async () => {
  const { page, errors, close } = await withLogs(file('Alder 2 A.csv', plain()), file('Birch 2 A.csv', plain()));
  await unfold(page, 'cells-fold');
  assert.equal(await page.locator('#cells-list > li').count(), 2);
  await openRow(page);
  await field(page, 'rated').fill('5');
  await field(page, 'cutoff').fill('3,2');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /0\.4C \(0\.4 It\)/.test(document.querySelector('#results-rows tr th').textContent));
  await page.waitForFunction(() => /3\.200 V/.test(document.querySelector('#cutoffs-head').textContent));
  // plain() falls from 4.1 V to 3.0 V in a straight line: 9/11 of it lie above 3.2 V.
  const column = await page.locator('#cutoffs-head th').evaluateAll((heads) => heads.findIndex((th) => th.textContent.includes('3.200 V')));
  const at = Number(await page.locator(`#cutoffs-rows tr:first-child :nth-child(${column + 1}) .value`).textContent());
  assert.ok(Math.abs(at - (plainTruth().capacity * 9) / 11) < 0.01, String(at));
  await page.click('label:has(#cutoffs-energy)');
  await page.waitForFunction(([k, ah]) => Number(document.querySelector(`#cutoffs-rows :nth-child(${k + 1}) .value`).textContent) > 3 * ah, [column, at]);

  await field(page, 'rated').fill('much');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /much/.test(document.querySelector('#cells-list .field-error')?.textContent));
  await field(page, 'rated').fill('5');
  await page.keyboard.press('Enter');

  // Another name; the focus stays in the row.
  await field(page, 'name').fill('Alder A1');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => /Alder A1/.test(document.querySelector('#results-rows tr th').textContent));
  assert.equal(await page.evaluate(() => document.activeElement.dataset.field), 'model');

  await anew(page);
  await drop(page, [file('x.csv', plain())]);
  await rowsShown(page, 1);
  await openDetails(page, 'x');
  await page.fill('#details-cell', 'Alder A1');
  await page.click('#details-assign');
  await page.click('#details-close');
  await page.waitForFunction(() => /0\.4C/.test(document.querySelector('#results-rows tr th').textContent));
  await unfold(page, 'cells-fold');
  await page.locator('#cells-list > li', { hasText: 'Alder A1' }).locator('summary').click();
  assert.equal(await page.locator('#cells-list > li:has-text("earlier visit") [data-field=rated]').inputValue(), '5');
  await page.click('#cells-list > li:has-text("earlier visit") [data-act=forget]');
  await page.waitForFunction(() => !/It\)/.test(document.querySelector('#results-rows tr th').textContent));
  assert.deepEqual(errors, []);
  await close();
});

test('details unfold an uncertainty budget, with keys alone', async () => {
  const { page, errors, close } = await withLogs();
  await page.focus('#results-rows button[data-details]');
  await page.keyboard.press('Enter');
  await page.waitForSelector('#details[open]');
  assert.equal(await page.evaluate(() => document.activeElement.id), 'details-title');
  const first = page.locator('#details .budget').first();
  await first.locator('summary').focus();
  await page.keyboard.press('Enter');
  await first.locator('tbody tr').first().waitFor();
  const shares = await first.locator('tbody tr td:last-child').allTextContents();
  const numbers = shares.map((s) => (s.includes('<') ? 0 : Number(s.replace('%', '').trim())));
  const sum = numbers.reduce((a, b) => a + b, 0);
  assert.ok(Math.abs(sum - 100) < 3, `the shares of the variance add up to ${sum} %`);
  assert.ok(numbers[0] >= Math.max(...numbers), 'the largest stands first');
  assert.match(await first.textContent(), /Combined standard uncertainty u = [\d.]+ m?Ah; expanded by k = 2/);
  for (const part of ['Figures', 'Resistance', 'Charge and efficiency', 'The log’s own counters', 'Conditions', 'Checks', 'Method']) {
    const section = page.locator('#details section', { has: page.locator(`h3:text-is("${part}")`) });
    assert.ok((await section.textContent()).length > part.length + 5, `${part}: something, or why there is nothing`);
  }
  assert.doesNotMatch(await page.locator('#details').textContent(), /NaN|Infinity|undefined/);
  await page.keyboard.press('Escape');
  await page.waitForFunction(() => document.activeElement.dataset.details !== undefined);
  assert.deepEqual(errors, []);
  await close();
});

test('a discharge that does not count says why, and is kept', async () => {
  const { page, errors, close } = await withLogs(file('Alder 2 A a.csv', plain()), file('Alder 2 A b.csv', plain({ rows: 594 })));
  const name = 'Alder 2 A a';
  await openDetails(page, name);
  await page.click('#details-void');
  assert.match(await page.locator('#details-reason-error').textContent(), /why/i);
  await page.fill('#details-reason', 'the clip slipped');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /the clip slipped/.test(document.querySelector('#details-voided').textContent));
  await page.keyboard.press('Escape');
  assert.match(await row(page, name).textContent(), /Does not count: the clip slipped/);
  assert.match(await row(page, name).locator('.value').first().evaluate((e) => getComputedStyle(e).textDecorationLine), /line-through/);
  assert.equal((await results(page)).size, 2, 'it is kept');
  await openDetails(page, name);
  await page.click('#details-count');
  await page.waitForFunction(() => document.querySelector('#details-voided').textContent === '');
  await page.click('#details-close');
  assert.doesNotMatch(await row(page, name).textContent(), /Does not count/);
  assert.deepEqual(errors, []);
  await close();
});

test('a new engine is told of the bench and of what was settled', async () => {
  const { page, close } = await withLogs();
  await unfold(page, 'tester');
  await page.fill('#tester-current-0-gain', '3');
  await page.keyboard.press('Enter');
  await gainIs(page, 3);
  await openDetails(page, 'Alder 2 A');
  await page.fill('#details-reason', 'the clip slipped');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => /slipped/.test(document.querySelector('#details-voided').textContent));
  await page.keyboard.press('Escape');
  const [old] = page.workers();
  const gone = new Promise((resolve) => {
    old.on('close', resolve);
  });
  await old.evaluate(() => self.postMessage({ type: 'died', why: 'a test' }));
  await gone;
  await rowsShown(page, 1);
  await page.waitForFunction(() => /slipped/.test(document.querySelector('#results-rows tr')?.textContent ?? ''));
  await gainIs(page, 3);
  await close();
});
