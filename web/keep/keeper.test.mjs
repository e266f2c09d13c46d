import assert from 'node:assert/strict';
import { test } from 'node:test';
import { createKeeper } from './keeper.js';
import { Crash, fakeEngine, fakeStore, unsealed } from './testing.mjs';

const SMALL = { blobBytes: 40, every: 2, most: 3 };
const soon = (act) => queueMicrotask(act);
const turns = (n) => new Promise((resolve) => (n > 0 ? setImmediate(() => turns(n - 1).then(resolve)) : resolve()));

function session(disk, options = {}, engine = fakeEngine(SMALL)) {
  const told = [];
  const store = fakeStore(disk, options);
  const keeper = createKeeper({ store, engine, tell: (message) => told.push(message), graceMs: 0, now: () => 0, later: soon, ...options });
  const act = () => keeper.acted(engine.act());
  return { keeper, engine, store, told, act, kept: () => told.filter((m) => m.type === 'kept').at(-1)?.act ?? 0 };
}

/** Acts, in bursts now and then, until the machine stops or all are made. */
async function work(disk, acts, options) {
  const s = session(disk, options);
  try {
    await s.keeper.open('w');
  } catch (error) {
    if (!(error instanceof Crash)) throw error;
    return s;
  }
  for (let k = 0; k < acts; k++) {
    s.act();
    if (k % 3 !== 1) await turns(k % 5 === 0 ? 12 : 2);
  }
  await s.keeper.flush().catch(() => {});
  return s;
}

/** Throws where what is on the disk is older than an act, or not whole. */
async function check(disk, atLeast) {
  const s = session(disk);
  await s.keeper.open('w');
  assert.ok(s.engine.acts >= atLeast, `act ${atLeast} was told as kept, act ${s.engine.acts} is there`);
  return s.engine.acts;
}

for (const tears of [false, true]) {
  test(`the last act told as kept is there whatever step the machine stops at${tears ? ', where writing tears files' : ''}`, async () => {
    const whole = await work(new Map(), 24, { tears });
    const steps = whole.store.steps;
    assert.ok(steps > 120, `${steps} steps`);
    assert.equal(whole.kept(), 24);
    let unfinished = 0;
    for (let crashAt = 1; crashAt <= steps; crashAt++) {
      const disk = new Map();
      const first = await work(disk, 24, { crashAt, tears });
      const there = await check(disk, first.kept());
      if (there < first.engine.acts) unfinished++;
      // And stopped again, elsewhere, while it goes on.
      const second = await work(disk, 6, { crashAt: 5 + ((crashAt * 7) % 60), tears });
      await check(disk, Math.max(there, second.kept()));
    }
    assert.ok(unfinished > steps / 4, `only ${unfinished} of ${steps} stops left an act undone`);
  });
}

test('the check finds a keeper that writes the document before its logs', async () => {
  let found = 0;
  for (let crashAt = 1; crashAt <= 120; crashAt++) {
    const disk = new Map();
    const engine = fakeEngine(SMALL);
    const store = fakeStore(disk, { crashAt });
    let kept = 0;
    try {
      for (let k = 0; k < 12; k++) {
        const act = engine.act();
        const { doc, logs } = engine.seal();
        await store.put('w', k % 2 ? 'slot-b' : 'slot-a', doc);
        for (const key of logs) await store.put('w', `log-${key}`, engine.blob(key));
        kept = act;
      }
    } catch {
      // stopped
    }
    await check(disk, kept).catch(() => found++);
  }
  assert.ok(found > 0);
});

test('acts made during a save are kept by one more', async () => {
  const disk = new Map();
  const s = session(disk);
  await s.keeper.open('w');
  let seals = 0;
  const seal = s.engine.seal;
  s.engine.seal = () => {
    seals++;
    return seal();
  };
  for (let k = 0; k < 50; k++) s.act();
  await Promise.resolve();
  for (let k = 0; k < 50; k++) s.act();
  await s.keeper.flush();
  assert.equal(s.kept(), 100);
  assert.ok(seals <= 2, `${seals} saves`);
});

test('a save never stands before the answer to an act', async () => {
  const s = session(new Map(), { later: (act) => setImmediate(act) });
  await s.keeper.open('w');
  let sealed = false;
  const seal = s.engine.seal;
  s.engine.seal = () => {
    sealed = true;
    return seal();
  };
  assert.equal(s.act(), undefined);
  await Promise.resolve();
  assert.equal(sealed, false);
  await s.keeper.flush();
  assert.equal(sealed, true);
});

for (const [what, fails] of [
  ['a log', (op, file) => op === 'put' && file.startsWith('log-')],
  ['the document', (op, file) => op === 'put' && file.startsWith('slot-')],
  ['the end of the document', (op, file) => op === 'putEnd' && file.startsWith('slot-')],
  ['the list', (op) => op === 'list'],
]) {
  test(`where ${what} cannot be written that is told once, nothing is lost, and the next act tries again`, async () => {
    const disk = new Map();
    let failing = false;
    const s = session(disk, {
      fail: (op, file) => {
        if (failing && fails(op, file)) throw Object.assign(new Error('full'), { code: 'full' });
      },
    });
    await s.keeper.open('w');
    for (let k = 0; k < 5; k++) {
      s.act();
      await s.keeper.flush();
    }
    failing = true;
    for (let k = 0; k < 6; k++) {
      s.act();
      await turns(20);
    }
    await assert.rejects(s.keeper.flush(), /full/);
    await assert.rejects(s.keeper.release(), /full/);
    await assert.rejects(s.keeper.open('other'), /full/);
    assert.deepEqual(s.told.filter((m) => m.type === 'not-kept').map((m) => [m.act, m.why, m.code]), [[6, 'full', 'full']]);
    await check(disk, 5);
    failing = false;
    s.act();
    await s.keeper.flush();
    assert.equal(s.kept(), 12);
    assert.equal(await check(disk, 12), 12);
  });
}

test('a log goes only once neither slot names it, and not before a while', async () => {
  const disk = new Map();
  let time = 0;
  const s = session(disk, { graceMs: 1000, now: () => time });
  await s.keeper.open('w');
  let removed = 0;
  let before = new Set();
  const since = new Map();
  for (let k = 0; k < 60; k++) {
    s.act();
    await s.keeper.flush();
    const files = disk.get('w');
    const named = new Set(['slot-a', 'slot-b'].flatMap((slot) => unsealed(files.get(slot))?.logs ?? []).map((key) => `log-${key}`));
    for (const file of named) assert.ok(files.has(file), `${file} is named and gone`);
    for (const file of before) {
      if (files.has(file)) continue;
      removed++;
      assert.ok(time - since.get(file) >= 1000, `${file} went after ${time - since.get(file)} ms`);
    }
    before = new Set([...files.keys()].filter((file) => file.startsWith('log-')));
    for (const file of before) {
      if (named.has(file)) since.delete(file);
      else if (!since.has(file)) since.set(file, time);
    }
    time += 300;
  }
  assert.ok(removed > 10, `${removed} were removed`);
  assert.ok(before.size < 12, `${before.size} logs are left`);
});

test('what another session left is not removed before both slots are known', async () => {
  const disk = new Map();
  await work(disk, 9);
  const before = [...disk.get('w').keys()];
  const s = session(disk);
  await s.keeper.open('w');
  s.act();
  await s.keeper.flush();
  for (const file of before) assert.ok(disk.get('w').has(file), `${file} is gone`);
});

test('the newest document is never the one that is written over', async () => {
  for (const acts of [1, 2, 3, 4]) {
    const disk = new Map();
    await work(disk, acts);
    for (let k = 0; k < 3; k++) {
      const s = session(disk, { crashAt: 14, tears: true });
      await s.keeper.open('w');
      s.act();
      await turns(30);
      await check(disk, acts);
    }
  }
});

test('a tab that only reads writes nothing, and says so', async () => {
  const disk = new Map();
  await work(disk, 5);
  const before = structuredClone(disk);
  const s = session(disk);
  await s.keeper.open('w', { readOnly: true });
  s.act();
  s.act();
  await turns(20);
  assert.deepEqual(disk, before);
  assert.deepEqual(s.told.map((m) => [m.type, m.code]), [['not-kept', 'locked']]);
  await s.keeper.open('w');
  s.act();
  await s.keeper.flush();
  assert.equal(await check(disk, 6), 6);
  s.act();
  await s.keeper.release();
  assert.equal(await check(disk, 7), 7);
});

test('what the engine cannot read is left as it is', async () => {
  const disk = new Map([['w', new Map([['slot-a', new Uint8Array([1])], ['slot-b', new Uint8Array([2])]])]]);
  const before = structuredClone(disk);
  const s = session(disk);
  s.engine.restore = () => {
    throw new Error('made by a later version');
  };
  await assert.rejects(s.keeper.open('w'), /later version/);
  s.act();
  await turns(20);
  assert.deepEqual(disk, before);
});

test('workspaces are made, named, opened and removed', async () => {
  const disk = new Map();
  const s = session(disk);
  const names = async () => (await s.keeper.list()).map((w) => w.name);
  const first = await s.keeper.create('  Winter packs ');
  const second = await s.keeper.create('<script>alert(1)</script>');
  assert.notEqual(first, second);
  await s.keeper.open(first);
  s.act();
  s.act();
  await s.keeper.open(second);
  assert.equal(s.engine.acts, 0);
  s.act();
  await s.keeper.rename(first, '../=Packs\u202e "2"');
  assert.deepEqual((await names()).sort(), ['../=Packs\u202e "2"', '<script>alert(1)</script>'].sort());
  await assert.rejects(s.keeper.rename(second, '../=Packs\u202e "2"'), { code: 'taken' });
  await assert.rejects(s.keeper.create(' '), { code: 'name' });
  await assert.rejects(s.keeper.create('x'.repeat(121)), { code: 'name' });
  await s.keeper.rename(first, '../=Packs\u202e "2"');
  await s.keeper.open(first);
  assert.equal(s.engine.acts, 2);
  s.act();
  await s.keeper.remove(first);
  s.act();
  await turns(20);
  assert.equal(s.keeper.workspace, null);
  assert.deepEqual(await s.keeper.list(), [{ id: second, name: '<script>alert(1)</script>' }]);
  await s.keeper.open(second);
  assert.equal(s.engine.acts, 1);
});
