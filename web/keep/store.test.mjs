import assert from 'node:assert/strict';
import { test } from 'node:test';
import { KeepError, worded } from './faults.js';
import { plain, safe } from './names.js';
import { openStore, persist } from './store.js';

const HOSTILE = ['', '.', '..', '../../etc/passwd', 'a/b\\c:d*e?', 'CON', 'con', 'nul.txt', 'draft', 'n-', '<script>', '=1+1', 'a\u0000b', '\u202egnp.exe', '\ud800', 'é', 'e\u0301', '_0041', 'A', 'a', ' ', '__proto__', '電池'];

test('every name becomes a file name of its own that any file system takes, and comes back', () => {
  const made = new Set();
  for (const name of HOSTILE) {
    const text = safe(name);
    assert.match(text, /^n-[a-z0-9_-]*$/);
    assert.equal(plain(text), name);
    made.add(text.toLowerCase());
  }
  assert.equal(made.size, HOSTILE.length);
  for (let unit = 0; unit < 0x10000; unit += 13) {
    const name = String.fromCharCode(unit, 97, 0xffff - unit);
    assert.equal(plain(safe(name)), name);
  }
});

test('what no name becomes is not taken for one', () => {
  for (const text of ['', 'draft', 'n', 'a', 'n-A', 'n-_004', 'n-_0061', 'n-a b', 'n-../x']) assert.equal(plain(text), null, text);
  assert.equal(safe('a'.repeat(239)), null);
  assert.equal(safe('a'.repeat(238)).length, 240);
  assert.equal(safe('電'.repeat(48)), null);
});

test('faults of the browser are said in plain words', () => {
  const of = (name, used) => worded(Object.assign(new Error('x'), { name }), used);
  assert.equal(of('QuotaExceededError', 12_345_678).message, "The browser’s storage is full: 12 MB are kept here already. Save the workspace to a file. Then remove workspaces or logs that are not needed here.");
  assert.equal(of('QuotaExceededError', null).message, "The browser’s storage is full. Save the workspace to a file. Then remove workspaces or logs that are not needed here.");
  assert.equal(of('SecurityError').code, 'refused');
  assert.equal(of('NoModificationAllowedError').code, 'locked');
  assert.equal(of('NotFoundError').code, 'gone');
  assert.match(of('UnknownError').message, /^The browser could not keep this workspace \(x\)\. Save/);
  assert.match(worded('odd').message, /\(odd\)/);
  assert.match(worded(undefined).message, /\(undefined\)/);
  const own = new KeepError('taken');
  assert.equal(worded(own), own);
});

test('a scope that has nothing, or throws at every turn, gives a store that keeps nothing and says so', async () => {
  const throwing = new Proxy({}, {
    get() {
      throw new Error('denied');
    },
  });
  for (const scope of [{}, { navigator: {} }, { navigator: throwing }, throwing, { indexedDB: throwing }]) {
    const store = await openStore({ name: 'plateau', scope });
    assert.equal(store.kind, 'none');
    assert.match(store.why, /^The browser lets this page keep nothing/);
    assert.deepEqual(await store.list('w'), []);
    assert.deepEqual(await store.workspaces(), []);
    assert.equal(await store.get('w', 'a'), null);
    await store.remove('w', 'a');
    await assert.rejects(store.put('w', 'a', new Uint8Array(1)), { name: 'KeepError', code: 'refused' });
    assert.equal(await store.estimate(), null);
    assert.equal(await store.persist(), null);
  }
});

test('the answer of the browser to a request for lasting storage is passed on', async () => {
  const page = (answer) => ({ navigator: { storage: { persist: async () => answer, persisted: async () => !answer } } });
  assert.equal(await persist(page(true)), true);
  assert.equal(await persist(page(false)), false);
  assert.equal(await persist({ navigator: { storage: { persisted: async () => true } } }), true);
});
