// Packed logs, workbooks and cells out of a spreadsheet: read as the plain log
// is, or refused in words, and what is made to break things breaks nothing.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { gzipSync } from 'node:zlib';
import { open, plainName } from './harness.mjs';
import { drop, file, plain, plainTruth, rowsShown } from './logs.mjs';
import { ods, xlsx, zip } from './pack.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const cells = () => plain().trim().split('\n').map((line) => line.split(','));
const numbers = (rows) => rows.map((row, k) => (k === 0 ? row : row.map(Number)));

/** The rows as those of a date-time, from 2026-02-14 08:00 on. */
function dated() {
  const [head, ...rows] = numbers(cells());
  return [['Date and time', ...head.slice(1)], ...rows.map(([s, ...rest]) => [{ serial: 46067 + (8 * 3600 + s) / 86400 }, ...rest])];
}

function clocked() {
  const [head, ...rows] = numbers(cells());
  return [['Time', ...head.slice(1)], ...rows.map(([s, ...rest]) => [{ seconds: s }, ...rest])];
}

/** Capacity and average voltage of each discharge, by the log it is from. */
async function bySource(page) {
  const rows = await page.locator('#results-rows tr').evaluateAll((list) =>
    list.map((tr) => [tr.querySelector('th').title, ...['capacity', 'average'].map((name) => tr.querySelector(`[data-figure=${name}] .value`).textContent)]),
  );
  return new Map(rows.map(([source, capacity, average]) => [source, { capacity, average }]));
}

const faultOf = (page) => page.locator('#fault').textContent();

test('packed logs and sheets give the figures of the plain log', async () => {
  const { page, errors, requests, close } = await site.page();
  await drop(page, [file('plain.csv', plain())]);
  await rowsShown(page, 1);
  assert.deepEqual(requests.filter((url) => url.includes('unpack')), [], 'nothing for packed files is loaded yet');
  await drop(page, [
    file('alone.csv.gz', gzipSync(plain())),
    file('logs.zip', zip({
      'a.csv': plain(),
      '__MACOSX/._a.csv': '\0\x05\x16\x07',
      'deep/b.csv.gz': gzipSync(plain()),
      'photo.png': Buffer.from('89504e470d0a1a0a0000', 'hex'),
      'book.xlsx': xlsx({ Inner: numbers(cells()) }),
    })),
    // What it is shows in its bytes, not in its name.
    file('book.bin', xlsx({ About: [['Cell', 'Alder'], ['Rated / Ah', 5]], Seconds: numbers(cells()), Dates: dated() })),
    file('book.ods', ods('Clock', clocked())),
  ]);
  await rowsShown(page, 8);
  const shown = await bySource(page);
  const sources = ['plain.csv', 'alone.csv', 'logs.zip › a.csv', 'logs.zip › deep/b.csv', 'logs.zip › book.xlsx › Inner', 'book.bin › Seconds', 'book.bin › Dates', 'book.ods › Clock'];
  assert.deepEqual([...shown.keys()].sort(), sources.toSorted());
  const truth = plainTruth();
  for (const [source, { capacity, average }] of shown) {
    assert.equal(Number(capacity).toFixed(3), truth.capacity.toFixed(3), source);
    assert.equal(average, shown.get('plain.csv').average, source);
  }
  await page.waitForFunction(() => !document.querySelector('#logs li.waiting'));
  assert.match(await faultOf(page), /^logs\.zip: left out: photo\.png \(it is a picture\)\.$/);
  assert.doesNotMatch(await faultOf(page), /MACOSX|About/);
  assert.equal(await page.locator('#logs li.waiting').count(), 0);
  const asked = [...new Set(requests.map((url) => new URL(url).pathname))];
  assert.ok(asked.some((path) => plainName(path) === 'unpack-worker.js'));
  assert.deepEqual(requests.filter((url) => !url.startsWith(site.address)), [], 'nothing is sent');
  assert.deepEqual(errors, []);
  assert.equal(page.workers().length, 1, 'the workers that opened them have ended');
  await close();
});

test('while a packed file is opened its entry waits and can be stopped; plain logs are read meanwhile', async () => {
  const { page, close } = await site.page();
  let release;
  const held = new Promise((resolve) => {
    release = resolve;
  });
  await page.route('**/parts/unpack-worker.*.js', async (route) => {
    await held;
    await route.continue();
  });
  await drop(page, [file('one.zip', zip({ 'a.csv': plain() })), file('two.zip', zip({ 'b.csv': plain(), 'c.csv': plain() })), file('plain.csv', plain())]);
  await rowsShown(page, 1);
  const waiting = () => page.locator('#logs li.waiting .log-name').allTextContents();
  assert.deepEqual(await waiting(), ['one.zip', 'two.zip']);
  await page.click('#logs li.waiting button[aria-label="Stop reading one.zip"]');
  assert.deepEqual(await waiting(), ['two.zip']);
  release();
  await rowsShown(page, 3);
  assert.deepEqual([...(await bySource(page)).keys()].sort(), ['plain.csv', 'two.zip › b.csv', 'two.zip › c.csv']);
  assert.deepEqual(await waiting(), []);
  await close();
});

const bad = [
  ['cut.csv.gz', gzipSync(plain()).subarray(0, 900), /cut\.csv\.gz: it is damaged or was cut short.*Copy or download it again[^:]*$/],
  ['locked.zip', zip({ 'a.csv': plain() }, { locked: true }), /locked\.zip: a\.csv: it is locked by a password.*drop the logs/],
  ['old.xls', Buffer.from('d0cf11e0a1b11ae10000', 'hex'), /old\.xls: it is a workbook of the old kind \(\.xls\), or one locked by a password.*save it as \.xlsx/],
  ['bomb.gz', gzipSync(Buffer.alloc(300 << 20)), /bomb\.gz: .*unpacks to far more than its size/],
  ['empty.zip', zip({}), /empty\.zip: there is no log in it/],
  ['words.xlsx', xlsx({ Notes: [['It was a cold night.']] }), /words\.xlsx: there is no log in it/],
];

for (const [name, content, message] of bad) {
  test(`${name} is refused in words, and a good log beside it is read`, async () => {
    const { page, errors, close } = await site.page();
    await drop(page, [file(name, content), file('good.csv', plain({ rows: 100 }))]);
    await rowsShown(page, 1);
    await page.waitForFunction(() => document.querySelector('#fault').textContent !== '');
    assert.match(await faultOf(page), message);
    assert.equal(await page.locator('#logs li.waiting').count(), 0);
    await drop(page, [file('after.zip', zip({ 'a.csv': plain({ rows: 100 }) }))]);
    await rowsShown(page, 2);
    assert.equal(await faultOf(page), '');
    assert.deepEqual(errors, []);
    await close();
  });
}

test('a fault of the program that opens them is told, and the next file is opened', async () => {
  const { page, close } = await site.page();
  let broken = true;
  await page.route('**/parts/unpack-worker.*.js', async (route) => {
    const response = await route.fetch();
    const hook = broken ? 'FileReaderSync.prototype.readAsArrayBuffer = () => { WebAssembly = null; postMessage({type: "died", why: "test"}); for (;;); };\n' : '';
    await route.fulfill({ response, body: hook + (await response.text()) });
  });
  await drop(page, [file('bad.zip', zip({ 'a.csv': plain() }))]);
  await page.waitForFunction(() => document.querySelector('#fault').textContent.includes('bad.zip'));
  assert.match(await faultOf(page), /bad\.zip: the browser has too little memory to open it/);
  broken = false;
  await drop(page, [file('good.zip', zip({ 'a.csv': plain() }))]);
  await rowsShown(page, 1);
  await close();
});

test('when the engine dies the logs out of packed files are read again', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block' });
  const page = await context.newPage();
  await page.route('**/parts/worker.*.js', async (route) => {
    const response = await route.fetch();
    const hook = `{const make = WebAssembly.instantiate; WebAssembly.instantiate = async (...args) => {
      const made = await make(...args); self.testMemory = made.exports.mem; return made; };}\n`;
    await route.fulfill({ response, body: hook + (await response.text()) });
  });
  const workers = [];
  page.on('worker', (worker) => workers.push(new URL(worker.url()).pathname));
  await page.goto(site.address);
  await drop(page, [file('logs.zip', zip({ 'a.csv': plain(), 'b.csv': plain() }))]);
  await rowsShown(page, 2);
  await page.workers()[0].evaluate(() => new Uint8Array(self.testMemory.buffer).fill(255));
  await drop(page, [file('after.csv', plain())]);
  await rowsShown(page, 3);
  assert.deepEqual([...(await bySource(page)).keys()].sort(), ['after.csv', 'logs.zip › a.csv', 'logs.zip › b.csv']);
  assert.deepEqual(workers.map(plainName), ['worker.js', 'unpack-worker.js', 'worker.js'], 'a new engine, and nothing opened twice');
  await context.close();
});

// What a copy out of a spreadsheet puts on the clipboard: the cells as text
// with tabs, as HTML, and as a picture.
for (const [mark, shown] of [['point', (text) => text], ['comma', (text) => text.replaceAll('.', ',')]]) {
  test(`cells pasted from a spreadsheet are read, with a decimal ${mark}`, async () => {
    const { page, errors, close } = await site.page();
    const rows = cells().map((row) => row.join('\t'));
    const text = `${[rows[0], ...rows.slice(1).map(shown)].join('\r\n')}\r\n`;
    await page.evaluate((pasted) => {
      const data = new DataTransfer();
      data.setData('text/plain', pasted);
      data.setData('text/html', '<table><tr><td>0</td></tr></table>');
      data.items.add(new File([new Uint8Array([0x89, 0x50, 0x4e, 0x47])], 'image.png', { type: 'image/png' }));
      document.body.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }));
    }, text);
    await rowsShown(page, 1);
    const [[source, { capacity, average }]] = await bySource(page);
    assert.match(source, /^pasted text/);
    assert.equal(Number(capacity).toFixed(3), plainTruth().capacity.toFixed(3));
    assert.ok(Math.abs(Number(average) - plainTruth().average) < 0.002, average);
    assert.deepEqual(errors, []);
    await close();
  });
}
