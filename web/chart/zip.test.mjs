import assert from 'node:assert/strict';
import { randomBytes } from 'node:crypto';
import { test } from 'node:test';
import { crc32 as zlibCrc32, inflateRawSync } from 'node:zlib';
import { crc32, safeName, safeNames, zip } from './zip.js';

test('the checksum is that of zlib, and of the usual check', () => {
  assert.equal(crc32(new TextEncoder().encode('123456789')), 0xcbf43926);
  for (const n of [0, 1, 7, 4096, 70001]) {
    const bytes = randomBytes(n);
    assert.equal(crc32(bytes), zlibCrc32(bytes));
  }
});

test('names lead nowhere, and every system takes them', () => {
  for (const [name, want] of [
    ['capacity over current.png', 'capacity over current.png'],
    ['../../etc/passwd', '-..-etc-passwd'],
    ['C:\\boot.ini', 'C--boot.ini'],
    ['a\u202egnp.exe', 'agnp.exe'],
    ['CON.svg', '_CON.svg'],
    ['  .hidden. ', 'hidden'],
    ['a\u0000b\nc.svg', 'abc.svg'],
    ['', 'file'],
    [undefined, 'file'],
    ['Zelle größer.svg', 'Zelle größer.svg'],
    ['\ud800.png', 'png'],
  ]) assert.equal(safeName(name), want, JSON.stringify(name));
  const long = safeName(`${'x'.repeat(500)}.svg`);
  assert.ok(long.length <= 120 && long.endsWith('.svg'));
  assert.deepEqual(safeNames(['a.svg', 'A.svg', 'a.svg', 'b']), ['a.svg', 'A 2.svg', 'a 3.svg', 'b']);
});

test('what goes in comes out', async () => {
  const noise = randomBytes(5000);
  const text = '<svg>ä</svg>'.repeat(500);
  const bytes = Buffer.from(await (await zip([{ name: 'noise.png', blob: new Blob([noise]) }, { name: 'größe.svg', blob: text }])).arrayBuffer());
  const read = [];
  for (let at = 0; bytes.readUInt32LE(at) === 0x04034b50;) {
    assert.equal(bytes.readUInt16LE(at + 6), 0x0800, 'names are in UTF-8');
    const [method, crc, packed, size, name] = [bytes.readUInt16LE(at + 8), bytes.readUInt32LE(at + 14), bytes.readUInt32LE(at + 18), bytes.readUInt32LE(at + 22), bytes.readUInt16LE(at + 26)];
    const body = bytes.subarray(at + 30 + name, at + 30 + name + packed);
    const whole = method === 8 ? inflateRawSync(body) : body;
    assert.equal(whole.length, size);
    assert.equal(zlibCrc32(whole), crc);
    read.push([bytes.toString('utf8', at + 30, at + 30 + name), method, whole]);
    at += 30 + name + packed;
  }
  assert.deepEqual(read.map(([name, method]) => [name, method]), [['noise.png', 0], ['größe.svg', 8]]);
  assert.ok(read[0][2].equals(noise));
  assert.equal(read[1][2].toString('utf8'), text);
  assert.equal((await zip([])).size, 22, 'an empty archive is its end record');
});
