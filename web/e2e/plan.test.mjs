// The plan: made before the first log, ticked off by logs, what cannot be done
// said at its field, kept, undone, and written out.

import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before, test } from 'node:test';
import { Parser } from 'commonmark';
import ICAL from 'ical.js';
import papa from 'papaparse';
import { open } from './harness.mjs';
import { drop, file, kept, plain, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

/** A page on which one cell was entered by way of the plan. */
async function withCell(options, fields = { rated: '4.9', cutoff: '2.5', chargeVoltage: '4.2', chargeCurrent: '2.45', maxCurrent: '10' }) {
  const visit = await site.page(options);
  const { page } = visit;
  await page.click('#plan-add');
  await page.waitForFunction(() => document.activeElement.matches('#cells-list [data-field=name]'));
  for (const [field, text] of Object.entries(fields)) {
    await page.locator(`#cells-list [data-field=${field}]`).fill(text);
    await page.keyboard.press('Tab');
  }
  await page.locator('#plan-runs tr').first().waitFor();
  return visit;
}

async function type(page, id, text) {
  await page.fill(`#${id}`, text);
  await page.keyboard.press('Tab');
}

const column = (page, n) => page.locator(`#plan-runs tr > :nth-child(${n})`).allTextContents();
const runs = (page, n) => page.waitForFunction((count) => document.querySelectorAll('#plan-runs tr').length === count, n);
/** What is said at a field, by what its aria-describedby names. */
const saidAt = (page, id) => page.evaluate((field) => {
  const e = document.getElementById(field);
  return document.getElementById(e.getAttribute('aria-describedby'))?.textContent ?? '';
}, id);
const wrong = (page, id, state = true) => page.locator(`#${id}[aria-invalid=${state}]`).waitFor();

async function saved(page, button) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(button)]);
  return { name: download.suggestedFilename(), text: await readFile(await download.path(), 'utf8') };
}

test('with no cell it says what to do, and the first cell has its plan', async () => {
  const visit = await site.page();
  assert.ok(await visit.page.locator('#plan').isVisible());
  assert.ok(await visit.page.locator('nav a[href="#plan"]').isVisible());
  assert.ok(await visit.page.locator('#plan-fold').isHidden());
  // A cell that is only known from a log's name: its figures are wanted.
  await drop(visit.page, [file('Alder 2 A.csv', plain())]);
  await rowsShown(visit.page, 1);
  assert.ok(await visit.page.locator('#plan-fold').isHidden());
  await visit.page.click('#plan-add');
  await visit.page.waitForFunction(() => document.activeElement.matches('#cells-list [data-cell=Alder] [data-field=rated]'));
  assert.deepEqual(visit.errors, []);
  await visit.close();

  const { page, errors, close } = await withCell();
  assert.ok(await page.locator('#plan-fold').evaluate((e) => e.open), 'with nothing else there it is unfolded');
  // 0.2 It of 4.9 Ah.
  assert.deepEqual(await column(page, 3), ['0.98 A']);
  assert.match(await page.textContent('#plan-next'), /^Next: Cell 1 at 0\.98 A/);
  // Without a start there are no dates.
  assert.ok(await page.locator('#plan-table .when').first().isHidden());
  assert.ok(await page.locator('#plan-calendar').isDisabled());
  await page.locator('#cells-list [data-act=drop]').click();
  await page.waitForFunction(() => document.querySelector('#plan-fold').hidden);
  assert.ok(await page.locator('#plan-add').isVisible());
  assert.deepEqual(errors, []);
  await close();
});

test('set-points follow the tester’s steps, and what cannot be done is said at its field while the rest stands', async () => {
  const { page, errors, close } = await withCell();
  await page.click('#tester > summary');
  await type(page, 'tester-step', '50');
  // 0.98 A in steps of 0.05 A is 1 A: +2.04 %.
  await page.waitForFunction(() => /1 A/.test(document.querySelector('#plan-runs td:nth-child(3)').textContent));
  assert.deepEqual(await column(page, 5), ['+2.04 %']);
  assert.match((await column(page, 4))[0], /^0\.204C/);

  await type(page, 'plan-current-0', '3 A; 1 It; 12');
  await runs(page, 3);
  assert.deepEqual(await page.locator('#plan-currents input').evaluateAll((all) => all.map((e) => e.value)), ['3 A', '1 It', '12', '']);
  await wrong(page, 'plan-current-2');
  assert.match(await saidAt(page, 'plan-current-2'), /12 A is over the 10 A/);
  assert.match(await page.textContent('#plan-left-list'), /Cell 1 at 12 A/);
  assert.match(await page.textContent('#plan-dangers'), /can vent and burn/);
  assert.equal(await page.locator('#plan-current-0').getAttribute('aria-invalid'), 'false');

  await type(page, 'plan-current-3', 'three');
  await wrong(page, 'plan-current-3');
  assert.ok((await saidAt(page, 'plan-current-3')).includes('three'));
  await type(page, 'plan-repeats', 'many');
  await wrong(page, 'plan-repeats');
  assert.match(await saidAt(page, 'plan-repeats'), /no number of runs/);
  assert.equal(await page.locator('#plan-runs tr').count(), 3, 'the rest of the plan stands');
  await type(page, 'plan-repeats', '2');
  await runs(page, 6);
  await wrong(page, 'plan-repeats', false);
  assert.equal(await saidAt(page, 'plan-repeats'), '');

  // A step over the current.
  await type(page, 'tester-step', '5000');
  await page.waitForFunction(() => /0\.2 It/.test(document.querySelector('#plan-left-list').textContent));
  assert.equal(await page.inputValue('#tester-step'), '5000');
  await type(page, 'tester-step', '10');
  await runs(page, 6);
  await type(page, 'tester-current', '2');
  await runs(page, 2);
  await wrong(page, 'plan-current-0');

  // A remark leads to the field that it is of.
  await page.click('#plan-findings > summary');
  await page.locator('#plan-findings [data-field-of="tester.maxPower"]').click();
  await page.waitForFunction(() => document.activeElement.id === 'tester-power');
  await page.locator('#plan-dangers [data-field-of=maxCurrent]').first().click();
  await page.waitForFunction(() => document.activeElement.matches('#cells-list [data-field=maxCurrent]'));
  assert.deepEqual(errors, []);
  await close();
});

test('the demo’s logs tick its plan off', async () => {
  const { page, errors, close } = await site.page();
  await page.click('#demo');
  await page.waitForFunction(() => /^15 of 17 done/.test(document.querySelector('#plan-state').textContent), null, { timeout: 60_000 });
  const states = await column(page, 2);
  // What demo's logs are of stands in their names.
  assert.equal(states.filter((s) => /done: (Alder|Birch|Cedar|Dogwood) \d/.test(s)).length, 15);
  assert.equal(states.filter((s) => s === 'next').length, 1);
  assert.equal(states.filter((s) => s === 'missing').length, 1);
  assert.match(await page.textContent('#plan-next'), /^Next: /);
  assert.equal(await page.textContent('#plan-off-count'), '2');
  assert.ok(!(await page.locator('#plan-fold').evaluate((e) => e.open)), 'beside curves it is folded');

  await page.click('#plan-fold > summary');
  await page.locator('#plan-cells label', { hasText: 'Birch' }).click();
  await runs(page, 12);
  assert.ok(await page.evaluate(() => document.activeElement.dataset.planCell === 'Birch'), 'the focus stays');
  await page.click('#undo');
  await runs(page, 17);
  assert.ok(await page.locator('#plan-cells label', { hasText: 'Birch' }).locator('input').isChecked());
  await page.click('#redo');
  await runs(page, 12);

  await page.click('#plan-checklist > summary');
  await page.locator('#plan-tasks li').first().waitFor();
  const tasks = await page.locator('#plan-tasks li').count();
  assert.ok(tasks > 40 && await page.locator('#plan-tasks li.done').count() > 20, `${tasks} steps`);
  assert.deepEqual(errors, []);
  await close();
});

test('it is kept over a reload, and written as a calendar, CSV and Markdown that others can read', async () => {
  const { page, errors, close } = await withCell({ timezoneId: 'Europe/Berlin', permissions: ['clipboard-read', 'clipboard-write'] });
  await type(page, 'plan-current-0', '2 It');
  await runs(page, 2);
  await page.check('#plan-hours');
  await page.locator('#plan-working').waitFor();
  await page.uncheck('#plan-day-5');
  await type(page, 'plan-hoursFrom', '9:00');
  // The Friday before clocks are put back.
  await type(page, 'plan-start', '2026-10-23T20:00');
  await page.waitForFunction(() => /UTC/.test(document.querySelector('#plan-summary').textContent));
  await page.waitForFunction(() => document.querySelector('#plan-calendar').disabled === false);
  await kept(page);
  await page.reload();
  await runs(page, 2);
  assert.equal(await page.inputValue('#plan-current-0'), '2 It');
  assert.equal(await page.inputValue('#plan-start'), '2026-10-23T20:00');
  assert.equal(await page.isChecked('#plan-day-5'), false);
  assert.equal(await page.isChecked('#plan-day-4'), true);

  const starts = await column(page, 12);
  assert.match(starts[0], /^Mon 2026-10-26 09:00$/, 'the first hour of work after it');
  const { name, text } = await saved(page, '#plan-calendar');
  assert.equal(name, 'plan.ics');
  const events = new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map((c) => new ICAL.Event(c));
  // 9:00 in central Europe in winter is 8:00 in UTC.
  assert.equal(Math.min(...events.map((e) => e.startDate.toJSDate().getTime())), Date.UTC(2026, 9, 26, 8));

  const csv = await saved(page, '#plan-csv');
  assert.equal(csv.name, 'plan.csv');
  const read = papa.parse(csv.text, { header: true, skipEmptyLines: true });
  assert.deepEqual(read.errors, []);
  assert.equal(read.data.length, 2);
  assert.ok(read.data.every((row) => row.cell === 'Cell 1'));

  await page.click('#plan-copy');
  await page.waitForFunction(() => /copied/.test(document.querySelector('#plan-said').textContent));
  const copied = await page.evaluate(() => navigator.clipboard.readText());
  assert.equal(copied.replaceAll('\r\n', '\n'), await page.textContent('#plan-text'));
  assert.equal(new Parser().parse(copied).firstChild.type, 'heading');
  assert.deepEqual(errors, []);
  await close();
});

test('printed, it stands alone with its checklist', async () => {
  const { page, errors, close } = await withCell();
  await page.evaluate(() => {
    window.print = () => {
      window.printed = document.documentElement.hasAttribute('data-print-plan');
    };
  });
  await page.click('#plan-print');
  assert.equal(await page.evaluate(() => window.printed), true);
  await page.emulateMedia({ media: 'print' });
  assert.ok(await page.locator('#plan-tasks li').first().isVisible());
  assert.ok(await page.locator('#plan-table').isVisible());
  for (const other of ['#logs', '#cells', '#plan-form', '#plan-print', '.top', 'footer']) assert.ok(await page.locator(other).isHidden(), other);
  await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
  assert.equal(await page.evaluate(() => document.documentElement.hasAttribute('data-print-plan')), false);
  assert.deepEqual(errors, []);
  await close();
});

test('40 cells with long names fit on a small screen', async () => {
  const { page, errors, close } = await withCell({ viewport: { width: 390, height: 844 } });
  const table = ['Cell;Rated / Ah;Cut-off / V;Max. current / A'];
  for (let k = 1; k <= 40; k++) table.push(`${'Bench sample of the second lot from the river station, '.repeat(1)}number ${k};2.5;2.5;10`);
  await page.click('#cells-paste-open');
  await page.fill('#cells-paste-text', table.join('\n'));
  await page.click('#cells-paste-take:not([disabled])');
  await type(page, 'plan-current-0', '3;6;20');
  await runs(page, 3 * 41);
  // The same of many is said once: of those pasted, and of the one typed.
  assert.deepEqual((await page.locator('#plan-left-list li').allTextContents()).map((s) => s.replace(/.* and (\d+ more)/, '$1')), ['35 more at 20 A: 20 A is over the 10 A that the cell may give continuously: left out.']);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), 'no sideways scroll');
  const outside = await page.evaluate(() => [...document.querySelectorAll('#plan :is(input, button, p, legend, summary)')]
    .filter((e) => e.checkVisibility() && !e.closest('.scroll') && e.getBoundingClientRect().right > innerWidth + 0.5).map((e) => e.id || e.textContent));
  assert.deepEqual(outside, []);
  assert.deepEqual(errors, []);
  await close();
});
