// Logs that are not UTF-8: in the browser their characters come from its own
// TextDecoder, which the Go tests do not see.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { open } from './harness.mjs';
import { drop, file, results, rowsShown } from './logs.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const messy = join(dirname(fileURLToPath(import.meta.url)), '..', '..', 'testdata', 'messy');
const truth = new Map(
  readFileSync(join(messy, 'truth.csv'), 'utf8')
    .split('\n')
    .slice(1)
    .map((line) => line.split(','))
    .map(([name, , , whole]) => [name, Number(whole)]),
);

test('logs in other encodings are read by the browser’s decoder', async () => {
  const { page, errors, close } = await site.page();
  const names = ['de_semicolon_comma.csv', 'ru_tab_cp1251.txt', 'zh_gb18030.csv', 'utf16le_tab.txt'];
  await drop(page, names.map((name) => file(name, readFileSync(join(messy, name)))));
  await rowsShown(page, names.length);
  const rows = await results(page);
  for (const name of names) {
    const row = rows.get(name.replace(/\.[a-z]+$/, ''));
    assert.equal(Number(row.capacity).toFixed(3), truth.get(name).toFixed(3), name);
  }
  const said = await page.locator('#logs').textContent();
  for (const word of ['windows-1252', 'windows-1251', 'GB18030', 'UTF-16']) assert.ok(said.includes(word), word);
  for (const word of ['Spannung', 'Напряжение', '电压']) assert.ok(said.includes(word), word);
  assert.deepEqual(errors, []);
  await close();
});

// 時間(s),電圧(V),電流(A) in Shift-JIS; 2 A for an hour are 2 Ah. Longer than one
// piece of the file's stream, so that characters fall on its seams.
test('Shift-JIS is read', async () => {
  const { page, errors, close } = await site.page();
  const head = Buffer.from([0x8e, 0x9e, 0x8a, 0xd4, 0x28, 0x73, 0x29, 0x2c, 0x93, 0x64, 0x88, 0xb3, 0x28, 0x56, 0x29, 0x2c, 0x93, 0x64, 0x97, 0xac, 0x28, 0x41, 0x29, 0x2c, 0x94, 0xf5, 0x8d, 0x6c, 0x0a]);
  const note = Buffer.from([0x93, 0x64, 0x88, 0xb3]);
  const parts = [head];
  for (let k = 0; k <= 36000; k += 1) parts.push(Buffer.from(`${k / 10},${(4.1 - k / 36000).toFixed(4)},2.000,`), note, Buffer.from('\n'));
  await drop(page, [file('japan.csv', Buffer.concat(parts))]);
  await rowsShown(page, 1);
  assert.equal((await results(page)).get('japan').capacity, '2.000');
  const said = await page.locator('#logs').textContent();
  assert.ok(said.includes('Shift-JIS') && said.includes('電圧'), said);
  assert.ok(!/left out/.test(said), said);
  assert.deepEqual(errors, []);
  await close();
});
