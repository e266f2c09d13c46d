// How a log is read can be seen and settled by a person: questions, the panel,
// what is remembered, diagnostics, the trace to keep.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { open } from './harness.mjs';
import { anew, drop, file, kept, logEntry, plain, results, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const here = dirname(fileURLToPath(import.meta.url));
const messy = (name, as = name) => file(as, readFileSync(join(here, '..', '..', 'testdata', 'messy', name)));

// Of two columns of voltage the reader takes the measured one.
const twoVolts = 't/s,U measured/V,U load/V,I/A\n0,4.2,4.1,2\n1800,4.0,3.9,2\n3600,3.8,3.5,2\n';

const focused = (page) => page.evaluate(() => document.activeElement.id);
const shut = (page) => page.waitForFunction(() => !document.querySelector('dialog[open]'));
const button = (name, act) => `#logs li:has(strong:text-is("${name}")) button[data-act=${act}]`;

/** Waits until a log is done with, and gives its state. */
async function state(page, name) {
  const item = page.locator('#logs li:not(.waiting)', { has: page.locator(`strong:text-is("${name}")`) });
  await item.waitFor({ state: 'attached' });
  return item.evaluate((li) => li.className.replace('log ', ''));
}

async function openPanel(page, name, act = 'map') {
  await page.locator(button(name, act)).waitFor({ state: 'attached' });
  // The entry may be folded away.
  if (!(await page.locator(button(name, act)).isVisible())) await page.click('#logs-read-title');
  await page.click(button(name, act));
  await page.waitForSelector('#mapping[open]');
}

/** Sets a select by hand of the page: with the focus on it. */
async function choose(page, selector, value) {
  await page.focus(selector);
  await page.selectOption(selector, value);
}

/** Waits for the preview's head to read as given, column by column. */
async function heads(page, want) {
  await page.waitForFunction(
    (list) => JSON.stringify([...document.querySelectorAll('#mapping-head [data-what=kind]')].map((s) => s.value)) === list,
    JSON.stringify(want),
  );
}

// voltage_only.csv by hand: 30 s at 1 A are 30 As = 0.008333 Ah; 10 s each at a
// mean of 4.125, 4.09 and 4.075 V and 1 A are 122.9 J = 0.03414 Wh.
test('a log without current asks for it, with keys alone, and the others go on', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [messy('voltage_only.csv'), file('good.csv', plain({ rows: 100 }))]);
  await rowsShown(page, 1);
  assert.equal(await state(page, 'voltage_only.csv'), 'asks');
  assert.match(await logEntry(page, 'voltage_only.csv'), /Which current was set\? No figures are given until it is answered/);
  assert.ok((await results(page)).has('good'));

  await page.focus(button('voltage_only.csv', 'remove'));
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await page.waitForSelector('#mapping[open]');
  assert.equal(await focused(page), 'mapping-current');
  assert.match(await page.locator('#mapping-question').textContent(), /Which current was set/);
  assert.ok(await page.locator('#mapping-interval-field').isHidden(), 'it has a time');

  await page.keyboard.press('Enter');
  await page.keyboard.type('lots');
  await page.waitForFunction(() => /lots\W+is no current/.test(document.querySelector('#mapping-fault').textContent));
  await page.keyboard.press('Enter');
  assert.ok(await page.locator('#mapping').isVisible(), 'what is not answered is not read');
  assert.equal(await focused(page), 'mapping-current');
  assert.equal((await results(page)).size, 1);

  await page.keyboard.press('Control+A');
  await page.keyboard.type('1 A');
  await page.waitForFunction(() => document.querySelector('#mapping-question').textContent === '');
  assert.equal(await focused(page), 'mapping-current', 'the answer to each key leaves the focus where it is');
  await page.keyboard.press('Enter');
  await shut(page);
  await rowsShown(page, 2);
  assert.equal((await results(page)).get('voltage_only').current, '1.000');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#download')]);
  const saved = readFileSync(await download.path(), 'utf8').split('\r\n').find((row) => row.startsWith('voltage_only,'));
  const [, , capacity, energy] = saved.split(',').map(Number);
  assert.ok(Math.abs(capacity - 30 / 3600) < 1e-6, saved);
  assert.ok(Math.abs(energy - 122.9 / 3600) < 1e-5, saved);
  assert.deepEqual(errors, []);
  await close();
});

test('a set current is not taken for the next log with the same header, only filled in', async () => {
  const { page, close } = await site.page();
  await drop(page, [messy('voltage_only.csv', 'first.csv')]);
  await openPanel(page, 'first.csv', 'answer');
  await page.keyboard.type('1 A');
  await page.keyboard.press('Enter');
  await rowsShown(page, 1);

  await drop(page, [messy('voltage_only.csv', 'second.csv')]);
  assert.equal(await state(page, 'second.csv'), 'asks');
  await page.waitForTimeout(300);
  assert.equal((await results(page)).size, 1);
  await openPanel(page, 'second.csv', 'answer');
  assert.equal(await page.inputValue('#mapping-current'), '1 A');
  assert.equal(await focused(page), 'mapping-current');
  assert.match(await page.locator('#mapping-suggested').textContent(), /earlier log with the same header/);
  await page.fill('#mapping-current', '2 A');
  await page.keyboard.press('Enter');
  await rowsShown(page, 2);
  assert.deepEqual([...(await results(page)).values()].map((r) => r.current), ['1.000', '2.000']);
  await close();
});

// 20 s at 1 A are 0.005556 Ah; the last voltage is 4,101. The header tells no
// unit of time, and 20 s are short for a discharge: only reading it raises that.
test('comma_twice.csv asks for the decimal mark, then for the unit of time', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [messy('comma_twice.csv')]);
  assert.equal(await state(page, 'comma_twice.csv'), 'asks');
  await openPanel(page, 'comma_twice.csv', 'answer');
  assert.equal(await focused(page), 'mapping-decimal');
  await choose(page, '#mapping-decimal', ',');
  await heads(page, ['time', 'voltage', 'current']);
  assert.equal(await focused(page), 'mapping-decimal');
  await page.click('#mapping-read');
  await shut(page);
  await page.waitForFunction(() => document.querySelector('#logs li.asks')?.textContent.includes('Is the time in column 1 in s?'));
  assert.equal((await results(page)).size, 0);
  await openPanel(page, 'comma_twice.csv', 'answer');
  assert.match(await page.locator('#mapping-question').textContent(), /Is the time in column 1 in s/);
  assert.deepEqual(await page.evaluate(() => ({ ...document.activeElement.dataset })), { column: '0', what: 'unit' });
  await page.click('#mapping-read'); // as it stands: in s
  await shut(page);
  await rowsShown(page, 1);
  const { capacity, end } = (await results(page)).get('comma_twice');
  assert.equal(Number(capacity).toFixed(6), (20 / 3600).toFixed(6));
  assert.equal(end, '4.101');
  assert.deepEqual(errors, []);
  await close();
});

test('rules outrank guesses, are remembered by header across visits, and are dropped by Reset', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [file('a.csv', twoVolts)]);
  await rowsShown(page, 1);
  assert.equal((await results(page)).get('a').end, '3.800');

  await openPanel(page, 'a.csv');
  await heads(page, ['time', 'voltage', 'ignore', 'current']);
  await choose(page, 'select[data-column="1"][data-what=kind]', 'ignore');
  await choose(page, 'select[data-column="2"][data-what=kind]', 'voltage');
  await heads(page, ['time', 'ignore', 'voltage', 'current']);
  await choose(page, 'select[data-column="3"][data-what=unit]', 'mA');
  await page.waitForFunction(() => document.activeElement.dataset.what === 'unit');
  await page.click('#mapping-read');
  await page.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value')?.textContent === '3.500');
  const ruled = (await results(page)).get('a');
  assert.equal(Number(ruled.capacity).toFixed(6), '0.002000'); // 1 h at 2 mA
  assert.match(await logEntry(page, 'a.csv'), /Read the way you set/);

  // A later log, in a later visit.
  await anew(page);
  await drop(page, [file('b.csv', twoVolts), file('other.csv', plain({ rows: 100 }))]);
  await page.waitForFunction(() => document.querySelector('#logs-list')?.textContent.includes('were remembered'));
  await rowsShown(page, 2);
  assert.equal((await results(page)).get('b').end, '3.500');
  assert.doesNotMatch(await logEntry(page, 'other.csv'), /remembered/);

  await page.click(button('b.csv', 'reset'));
  await page.waitForFunction(() => [...document.querySelectorAll('#results-rows tr')].some((tr) => tr.textContent.includes('3.800')));
  assert.equal((await results(page)).get('b').capacity, '2.000');
  await drop(page, [file('c.csv', twoVolts)]);
  await rowsShown(page, 3);
  assert.equal((await results(page)).get('c').end, '3.800', 'nothing is remembered any more');
  assert.equal(await page.evaluate(() => localStorage.getItem('plateau:rules')), null);
  assert.deepEqual(errors, []);
  await close();
});

test('Escape and Cancel change nothing and give the focus back', async () => {
  const { page, close } = await site.page();
  await drop(page, [file('a.csv', twoVolts)]);
  await rowsShown(page, 1);
  for (const leave of [() => page.keyboard.press('Escape'), () => page.click('#mapping-cancel')]) {
    await openPanel(page, 'a.csv');
    await choose(page, 'select[data-column="1"][data-what=kind]', 'ignore');
    await heads(page, ['time', 'ignore', 'voltage', 'current']);
    await leave();
    await shut(page);
    await page.waitForFunction(() => document.activeElement.dataset.act === 'map');
    assert.equal((await results(page)).get('a').end, '3.800');
  }
  await openPanel(page, 'a.csv');
  await heads(page, ['time', 'voltage', 'ignore', 'current']);
  await choose(page, '#mapping-delimiter', ';');
  await page.waitForFunction(() => document.querySelector('#mapping-fault').textContent !== '');
  await page.click('#mapping-read');
  await page.waitForTimeout(300);
  assert.ok(await page.locator('#mapping').isVisible(), 'what cannot be read is not tried');
  await page.click('#mapping-reset');
  await heads(page, ['time', 'voltage', 'ignore', 'current']);
  await close();
});

test('columns without names are asked about each time, with the last answer filled in', async () => {
  const rows = Array.from({ length: 40 }, (_, k) => `${k * 10},${(4.1 - k * 0.01).toFixed(3)},${k < 3 || k > 36 ? 0 : 2},25\n`).join('');
  const { page, close } = await site.page();
  await drop(page, [file('first.csv', rows)]);
  assert.equal(await state(page, 'first.csv'), 'asks');
  await openPanel(page, 'first.csv', 'answer');
  await choose(page, 'select[data-column="2"][data-what=kind]', 'current');
  await page.waitForFunction(() => document.querySelector('select[data-column="2"][data-what=kind]').value === 'current');
  await page.click('#mapping-read');
  await shut(page);
  await rowsShown(page, 1);
  const want = (2 * 340) / 3600; // 33 whole intervals of 10 s and two halves
  assert.ok(Math.abs(Number((await results(page)).get('first').capacity) - want) < 1e-4);

  await drop(page, [file('second.csv', rows)]);
  assert.equal(await state(page, 'second.csv'), 'asks');
  await openPanel(page, 'second.csv', 'answer');
  assert.equal(await page.inputValue('select[data-column="2"][data-what=kind]'), 'current');
  assert.equal((await results(page)).size, 1);
  await page.click('#mapping-read');
  await rowsShown(page, 2);
  await close();
});

test('without storage the panel works, and rules are remembered until the page is closed', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  const errors = [];
  page.on('pageerror', (error) => errors.push(String(error)));
  await page.addInitScript(() => {
    Object.defineProperty(window, 'localStorage', {
      get() {
        throw new DOMException('denied', 'SecurityError');
      },
    });
  });
  await page.goto(site.address);
  await drop(page, [file('a.csv', twoVolts)]);
  await rowsShown(page, 1);
  await openPanel(page, 'a.csv');
  await choose(page, 'select[data-column="1"][data-what=kind]', 'ignore');
  await heads(page, ['time', 'ignore', 'voltage', 'current']);
  await page.click('#mapping-read');
  await page.waitForFunction(() => document.querySelector('#results-rows')?.textContent.includes('3.500'));
  await drop(page, [file('b.csv', twoVolts)]);
  await page.waitForFunction(() => document.querySelector('#logs-list')?.textContent.includes('were remembered'));
  assert.deepEqual(errors, []);
  await context.close();
});

test('rules outlive the engine', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  await page.route('**/parts/worker.*.js', async (route) => {
    const response = await route.fetch();
    const hook = `{const make = WebAssembly.instantiate; WebAssembly.instantiate = async (...args) => {
      const made = await make(...args); self.testMemory = made.exports.mem; return made; };}\n`;
    await route.fulfill({ response, body: hook + (await response.text()) });
  });
  await page.goto(site.address);
  await drop(page, [messy('voltage_only.csv')]);
  await openPanel(page, 'voltage_only.csv', 'answer');
  await page.keyboard.type('1 A');
  await page.keyboard.press('Enter');
  await rowsShown(page, 1);
  await kept(page); // an engine that dies before has, now and then, the log ask again
  const [old] = page.workers();
  const gone = old.waitForEvent('close');
  await old.evaluate(() => new Uint8Array(self.testMemory.buffer).fill(255));
  await page.fill('#cutoff', '3'); // something to die of
  await gone;
  await page.fill('#cutoff', '');
  await page.waitForFunction(() => document.querySelectorAll('#logs li.read').length === 1);
  await rowsShown(page, 1);
  assert.equal((await results(page)).get('voltage_only').current, '1.000');
  await context.close();
});

test('diagnostics are shown before they are copied, every digit masked', async () => {
  const { page, errors, close } = await site.page({ permissions: ['clipboard-read', 'clipboard-write'] });
  await drop(page, [file('cell 47.csv', `Client 4711;secret 99\nt/s;U/V;I/A\n0;4,15;2\n10;4,05;2\n20;3,95;2\n30;x;2\n`)]);
  await rowsShown(page, 1);
  await page.click(button('cell 47.csv', 'report'));
  await page.waitForSelector('#report[open]');
  const words = await page.locator('#report').textContent();
  assert.match(words, /Every digit is masked, and nothing was sent anywhere/);
  const text = await page.inputValue('#report-text');
  assert.ok(await page.locator('#report-text').evaluate((e) => e.readOnly));
  assert.match(text, /Client ####/);
  assert.ok(text.includes(await page.evaluate(() => navigator.userAgent)));
  for (const digits of ['4711', '99', '4,15', '3,95']) assert.ok(!text.includes(digits), digits);
  await page.click('#report-copy');
  await page.waitForFunction(() => document.querySelector('#report-copied').textContent === 'Copied.');
  assert.equal(await page.evaluate(() => navigator.clipboard.readText()), text);
  await page.evaluate(() => {
    Object.defineProperty(navigator, 'clipboard', { value: undefined });
  });
  await page.click('#report-copy');
  await page.waitForFunction(() => document.querySelector('#report-copied').textContent.includes('Ctrl+C'));
  assert.deepEqual(
    await page.evaluate(() => [document.activeElement.id, window.getSelection().toString() || document.activeElement.value.slice(document.activeElement.selectionStart, document.activeElement.selectionEnd)]),
    ['report-text', text],
  );
  await page.keyboard.press('Escape');
  await page.waitForFunction(() => document.activeElement.dataset.act === 'report');
  assert.deepEqual(errors, []);
  await close();
});

test('a trace saved as BDF is read again with the same figures', async () => {
  const { page, errors, close } = await site.page();
  await drop(page, [file('Alder.csv', plain({ rows: 200 }))]);
  await rowsShown(page, 1);
  await page.click('#logs-read-title');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(button('Alder.csv', 'bdf'))]);
  assert.equal(download.suggestedFilename(), 'Alder.bdf.csv');
  const text = readFileSync(await download.path(), 'utf8');
  await drop(page, [file('again.csv', text)]);
  await rowsShown(page, 2);
  const [a, b] = [...(await results(page)).values()];
  assert.deepEqual(b, a);
  assert.deepEqual(errors, []);
  await close();
});

test('the panel fits 390 px, scrolls the preview in its own box, and shows a hostile header as text', async () => {
  const { page, errors, close } = await site.page({ viewport: { width: 390, height: 780 } });
  const hostile = '<img src=x onerror=document.title=1>';
  const extra = Array.from({ length: 8 }, (_, k) => `note ${k}`).join(',');
  const text = `t/s,U/V,I/A,${hostile},${extra}\n${Array.from({ length: 30 }, (_, k) => `${k * 10},${(4 - k / 100).toFixed(2)},2,<b>x</b>,1,2,3,4,5,6,7,8`).join('\n')}\n`;
  await drop(page, [file('wide.csv', text)]);
  await rowsShown(page, 1);
  await openPanel(page, 'wide.csv');
  const { body, box, rows, cells } = await page.evaluate(() => {
    const size = (e) => [e.scrollWidth, e.clientWidth];
    return {
      body: size(document.querySelector('#mapping .panel-body')),
      box: size(document.querySelector('#mapping .preview')),
      rows: document.querySelectorAll('#mapping-rows tr').length,
      cells: document.querySelectorAll('#mapping img, #mapping b').length,
    };
  });
  assert.equal(body[0], body[1], 'nothing sticks out of the panel');
  assert.ok(box[0] > box[1], 'the preview scrolls');
  assert.equal(rows, 10);
  assert.equal(cells, 0);
  assert.ok((await page.locator('#mapping-head').textContent()).includes('<img src=x'));
  assert.notEqual(await page.title(), '1');
  for (const selector of ['#mapping-read', '#mapping-reset', '#mapping-cancel']) {
    const { x, y, width, height } = await page.locator(selector).boundingBox();
    assert.ok(x >= 0 && x + width <= 390 && y + height <= 780, selector);
  }
  assert.deepEqual(errors, []);
  await close();
});
