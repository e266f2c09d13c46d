import assert from 'node:assert/strict';
import { test } from 'node:test';
import { gzipSync } from 'node:zlib';
import { isPacked } from '../shared/packed.js';

test('packed files are known by their first bytes', () => {
  const bytes = (text) => Buffer.from(text, 'latin1');
  for (const packed of ['PK\x03\x04 and so on', 'PK\x05\x06', 'PK\x07\x08PK', '\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1']) assert.ok(isPacked(bytes(packed)), packed);
  assert.ok(isPacked(gzipSync('Time / s')));
  for (const plain of ['', 'P', 'PK', 'PK cells\n', 'Time / s,Voltage / V', '\x1f', '\x89PNG', '\xff\xfeT\0']) assert.ok(!isPacked(bytes(plain)), plain);
});
