// Bad input: one clear message each, the page stays usable, the others are read.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { drop, file, logEntry, plain, results, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const rows = '0,4.1,2\n10,4.0,2\n20,3.9,2\n30,3.8,2\n';
const png = Buffer.from('89504e470d0a1a0a0000000d494844520000000200000002080600000072b60d24', 'hex');

const bad = [
  ['empty.csv', '', /empty\.csv: the file is empty.*Export the log again/],
  ['picture.csv', png, /picture\.csv, line 1: the file is not text.*Export the log as CSV/],
  ['prose.csv', 'It was a cold night.\nThe cells were full.\n', /prose\.csv, line 1: no table of numbers.*right file/],
  ['header.csv', 'Time / s,Voltage / V,Current / A\n', /header\.csv, line 1: the header has no rows.*stopped early/],
  ['no voltage.csv', 'Time / s,Note,Current / A\n0,rest,0\n10,on,2\n20,on,2\n', /no voltage\.csv, line 1: no column of voltage.*Voltage \/ V/],
  ['stuck.csv', 'Time / s,Voltage / V,Current / A\n5,4.1,2\n5,4.0,2\n5,3.9,2\n', /stuck\.csv, line 2, column 1: the time never advances/],
  ['nul.csv', Buffer.alloc(6000), /nul\.csv, line 1: the file is not text/],
  ['rest.csv', 'Time / s,Voltage / V,Current / A\n0,4.1,0\n10,4.1,0\n20,4.1,0\n', /rest\.csv: the log holds no discharge/],
];

for (const [name, content, message] of bad) {
  test(`${name} is refused in words, and a good log beside it is read`, async () => {
    const { page, errors, close } = await site.page();
    await drop(page, [file(name, content), file('good.csv', plain({ rows: 100 }))]);
    await rowsShown(page, 1);
    assert.match(await logEntry(page, name), message);
    assert.ok((await results(page)).has('good'));
    assert.equal(await page.locator('#logs li.refused').count(), 1);

    // A good one after it leaves no trace of the error once that is removed.
    await page.click(`#logs li.refused button`);
    await drop(page, [file('after.csv', plain({ rows: 100 }))]);
    await rowsShown(page, 2);
    assert.equal(await page.locator('#logs li.refused').count(), 0);
    assert.equal((await page.locator('#fault').textContent()).trim(), '');
    assert.deepEqual(errors, []);
    await close();
  });
}

for (const [name, content, question] of [
  ['which voltage.csv', `Time / s,Note,Current / A\n${rows}`, /Which column is the cell's voltage\?/],
  ['no current.csv', 'Time / s,Voltage / V\n0,4.1\n10,4.0\n20,3.9\n', /The log has no current\. Which current was set\?/],
  ['no time.csv', 'Voltage / V,Current / A\n4.1,0\n4.0,2\n3.9,2\n', /The log has no time\. How far apart are its rows\?/],
]) {
  test(`${name} waits for an answer, without figures, and a good log beside it is read`, async () => {
    const { page, errors, close } = await site.page();
    await drop(page, [file(name, content), file('good.csv', plain({ rows: 100 }))]);
    await rowsShown(page, 1);
    assert.match(await logEntry(page, name), question);
    assert.equal(await page.locator('#logs li.asks').count(), 1);
    assert.ok((await results(page)).has('good'));
    assert.deepEqual(errors, []);
    await close();
  });
}

test('rows that cannot be used are listed with line and reason', async () => {
  const { page, close } = await site.page();
  const text = `${plain({ rows: 100 })}oops\n2000,OL,2\n2010,\0\0,2\n2020,4.1`;
  await drop(page, [file('holes.csv', text)]);
  await rowsShown(page, 1);
  const entry = await logEntry(page, 'holes.csv');
  for (const part of ['4 rows left out', 'line 102: has 1 of 4 fields', 'line 103: ', 'line 104: holds NUL bytes', 'line 105: the last row is cut short']) {
    assert.ok(entry.includes(part), `${part} is not in ${entry}`);
  }
  await close();
});

test('a 200 MB line is given up early', async () => {
  const { page, close } = await site.page();
  await page.evaluate(() => {
    const part = new Uint8Array(20 << 20).fill(55);
    window.plateau.addFiles([new File(Array(10).fill(part), 'endless.csv')]);
  });
  await page.waitForSelector('#logs li.refused');
  assert.match(await logEntry(page, 'endless.csv'), /endless\.csv, line 1: a line is longer than 1 MiB/);
  await drop(page, [file('good.csv', plain({ rows: 100 }))]);
  await rowsShown(page, 1);
  await close();
});

/** A log of some n million rows, made inside the page. */
const makeLong = (name, rows) => {
  const head = 'Time / s,Voltage / V,Current / A\n';
  const block = [];
  const parts = [head];
  for (let k = 0; k < rows; k += 1) {
    block.push(`${(k / 10).toFixed(1)},${(4.1 - k / rows).toFixed(4)},2.0000`);
    if (block.length === 50_000) parts.push(`${block.splice(0).join('\n')}\n`);
  }
  window.plateau.addFiles([new File(parts, name)]);
};

test('reading can be stopped, and the others stay', async () => {
  const { page, close } = await site.page();
  await drop(page, [file('good.csv', plain({ rows: 100 }))]);
  await rowsShown(page, 1);
  await page.evaluate(`(${makeLong})('long.csv', 3_000_000)`);
  await page.click('#logs li.waiting button');
  await page.waitForFunction(() => !document.querySelector('#logs li.waiting'));
  await page.waitForTimeout(300);
  assert.equal(await page.locator('#logs li', { hasText: 'long.csv' }).count(), 0);
  await drop(page, [file('next.csv', plain({ rows: 100 }))]);
  await rowsShown(page, 2);
  await close();
});

test('when the engine dies it starts anew, and the other logs stay', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  // The worker as it is, but with its memory in reach of the test.
  await page.route('**/parts/worker.*.js', async (route) => {
    const response = await route.fetch();
    const hook = `{const make = WebAssembly.instantiate; WebAssembly.instantiate = async (...args) => {
      const made = await make(...args); self.testMemory = made.exports.mem; return made; };}\n`;
    await route.fulfill({ response, body: hook + (await response.text()) });
  });
  await page.goto(site.address);
  await drop(page, [file('one.csv', plain({ rows: 100 })), file('two.csv', plain({ rows: 100 }))]);
  await rowsShown(page, 2);
  await page.fill('#cutoff', '3.5');
  await page.waitForFunction(() => document.querySelector('#results-rows [data-figure=end] .value')?.textContent === '3.500');

  await page.evaluate(`(${makeLong})('culprit.csv', 3_000_000)`);
  await page.waitForFunction(() => document.querySelector('#logs li.waiting progress')?.value > 0);
  await page.workers()[0].evaluate(() => new Uint8Array(self.testMemory.buffer).fill(255));
  await page.waitForFunction(() => document.querySelector('#fault').textContent.includes('culprit.csv'), null, { timeout: 30_000 });
  await page.waitForFunction(() => !document.querySelector('#logs li.waiting'));
  await rowsShown(page, 2);
  await drop(page, [file('three.csv', plain({ rows: 100 }))]);
  await rowsShown(page, 3);
  const ends = [...(await results(page)).values()].map((row) => row.end);
  assert.deepEqual(ends, ['3.500', '3.500', '3.500'], 'the cut-off is still in force');
  await context.close();
});
