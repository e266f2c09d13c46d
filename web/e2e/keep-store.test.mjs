// What the browser keeps, in a real browser with a profile on disk: tabs and the
// whole browser are killed while they write; storage is full or refused; several
// tabs are on one workspace. The engine is one of the tests' own.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, profile, serve, visit } from './keep-store/harness.mjs';

const TAB_KILLS = { opfs: +(process.env.K ?? 200), indexeddb: 50 };
const BROWSER_KILLS = 3;
const LANES = 3;
const MISSING = { opfs: [], indexeddb: ['opfs'] };

let site;
let disk;
let chromium;

before(async () => {
  site = await serve();
  disk = profile();
  chromium = await launch(disk.folder);
});

after(async () => {
  await chromium?.kill();
  disk?.remove();
  await site?.close();
});

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
const tab = () => visit(chromium.context, site.address);

/** Opens what an earlier tab has left, checks it, and sets it going. */
async function resume(kind, workspace, atLeast) {
  const visited = await tab();
  const opened = await visited.ask('open', { missing: MISSING[kind], workspace, graceMs: 0 });
  assert.equal(opened.kind, kind);
  assert.ok(opened.act >= atLeast, `act ${atLeast} was told as kept, act ${opened.act} is there`);
  assert.deepEqual(visited.errors, []);
  return { ...visited, opened };
}

async function crash(page) {
  const crashed = page.waitForEvent('crash');
  const session = await page.context().newCDPSession(page);
  session.send('Page.crash').catch(() => {});
  await crashed;
  await page.close();
}

for (const [kind, kills] of Object.entries(TAB_KILLS)) {
  test(`the last act told as kept is there, with its logs, after each of ${kills} kills of the tab (${kind})`, async (t) => {
    let left = kills;
    let drafts = 0;
    let acts = 0;
    const lane = async (workspace) => {
      let noted = 0;
      while (left-- > 0) {
        const visited = await resume(kind, workspace, noted);
        if (visited.opened.draft) drafts++;
        visited.ask('run').catch(() => {});
        await pause(10 + Math.random() * 80);
        await crash(visited.page);
        noted = Math.max(noted, visited.opened.act, visited.noted.act);
      }
      const { page } = await resume(kind, workspace, noted);
      await page.close();
      acts += noted;
    };
    await Promise.all(Array.from({ length: LANES }, (_, k) => lane(`${kind}-${k}`)));
    t.diagnostic(`${acts} acts kept${kind === 'opfs' ? `, ${drafts} kills while a file was written` : ''}`);
    // How many depends on the machine; none would prove nothing.
    assert.ok(acts > kills / 4, `only ${acts} acts were kept between ${kills} kills`);
    if (kind === 'opfs') assert.ok(drafts > kills / 20, `only ${drafts} of ${kills} kills came while a file was written`);
  });

  test(`the same after ${BROWSER_KILLS} kills of the whole browser (${kind})`, async () => {
    let noted = 0;
    for (let k = 0; k < BROWSER_KILLS; k++) {
      const visited = await resume(kind, `whole-${kind}`, noted);
      visited.ask('run').catch(() => {});
      await pause(100 + Math.random() * 200);
      await chromium.kill();
      noted = Math.max(visited.opened.act, visited.noted.act);
      chromium = await launch(disk.folder);
    }
    const { page } = await resume(kind, `whole-${kind}`, noted);
    assert.ok(noted >= BROWSER_KILLS, `${noted} acts were kept`);
    await page.close();
  });

  test(`a full store is said, and loses nothing (${kind})`, async () => {
    const context = await chromium.browser.newContext();
    const { page, ask } = await visit(context, site.address);
    const session = await context.newCDPSession(page);
    // From before the first write: what is left is remembered for a while.
    await session.send('Storage.overrideQuotaForOrigin', { origin: site.origin, quotaSize: 1_500_000 });
    const how = { missing: MISSING[kind], sizes: { every: 1, most: 50, blobBytes: 200_000 } };
    assert.equal((await ask('open', how)).kind, kind);
    let made = await ask('act', { times: 3 });
    while (!(await ask('told')).some((m) => m.type === 'not-kept')) {
      made = await ask('tryAct');
      assert.ok(made < 40, 'the quota does not count');
    }
    const told = await ask('told');
    const said = told.find((m) => m.type === 'not-kept');
    assert.equal(said.code, 'full');
    assert.match(said.why, /^The browser’s storage is full: [\d.]+ MB are kept here already\. Save the workspace to a file\./);
    const kept = told.filter((m) => m.type === 'kept').at(-1).act;
    assert.ok(kept >= 3 && kept < made);

    const other = await visit(context, site.address);
    assert.equal((await other.ask('open', how)).act, kept);

    await session.send('Storage.overrideQuotaForOrigin', { origin: site.origin });
    made = await ask('act');
    assert.equal((await other.ask('open', how)).act, made);
    await context.close();
  });

  test(`names are kept as they are, however hostile (${kind})`, async () => {
    const { page, ask, errors } = await tab();
    await ask('open', { missing: MISSING[kind], workspace: 'names' });
    const names = ['', '.', '..', '../../etc', 'a/b\\c', 'CON', 'con', 'draft', 'n-', 'Nul.txt', '<img src=x onerror=alert(1)>', '=1+1', 'a\u0000b', '\u202egnp', '\ud800', '\u00e9', 'e\u0301', '_0041', 'A', 'a', ' a ', '__proto__', '電池'.repeat(20)];
    for (const [k, name] of names.entries()) {
      await ask('put', { workspace: name, name: `log-${name}`.slice(0, 40), bytes: 3, fill: k });
    }
    const listed = await ask('store', { op: 'workspaces' });
    for (const [k, name] of names.entries()) {
      assert.ok(listed.includes(name), `${JSON.stringify(name)} is not listed`);
      assert.deepEqual(await ask('store', { op: 'list', args: [name] }), [`log-${name}`.slice(0, 40)]);
      assert.deepEqual(await ask('store', { op: 'get', args: [name, `log-${name}`.slice(0, 40)] }), [k, k, k]);
    }
    await ask('put', { workspace: 'a', name: 'b', bytes: 1, fill: 1 });
    await ask('put', { workspace: 'a', name: 'b', bytes: 2, fill: 2 });
    assert.deepEqual(await ask('store', { op: 'get', args: ['a', 'b'] }), [2, 2]);
    await ask('store', { op: 'remove', args: ['a', 'b'] });
    await ask('store', { op: 'remove', args: ['a', 'b'] });
    assert.equal(await ask('store', { op: 'get', args: ['a', 'b'] }), null);
    await assert.rejects(ask('put', { workspace: 'x'.repeat(4000), name: 'a', bytes: 1, fill: 1 }), /name: A name needs/);
    for (const name of names) await ask('store', { op: 'removeWorkspace', args: [name] });
    const left = await ask('store', { op: 'workspaces' });
    for (const name of names) assert.ok(!left.includes(name), `${JSON.stringify(name)} is still there`);
    assert.deepEqual(errors, []);
    await page.close();
  });
}

test('where the better storage is refused the next is used; where all are, that is said at the first act', async () => {
  const { page, ask } = await tab();
  const second = await ask('open', { missing: ['opfs refused'] });
  assert.equal(second.kind, 'indexeddb');
  assert.match(second.why, /refused its private files/);
  for (const missing of [['opfs refused', 'indexeddb refused'], ['opfs', 'indexeddb']]) {
    const none = await ask('open', { missing });
    assert.equal(none.kind, 'none');
    assert.match(none.why, /^The browser lets this page keep nothing/);
    assert.equal(none.act, 0);
    const before = (await ask('told')).length;
    await ask('tryAct');
    await ask('tryAct');
    const told = (await ask('told')).slice(before);
    assert.deepEqual(told.map((m) => [m.type, m.code]), [['not-kept', 'refused']]);
    assert.match(told[0].why, /Save the workspace to a file\.$/);
    assert.deepEqual(await ask('store', { op: 'workspaces' }), []);
  }
  await page.close();
});

test('what is in the database stays in sight of a browser that comes to have private files', async () => {
  const context = await chromium.browser.newContext();
  const { ask } = await visit(context, site.address);
  await ask('open', { missing: ['opfs'] });
  await ask('act', { times: 4 });
  const later = await ask('open');
  assert.equal(later.kind, 'indexeddb');
  assert.equal(later.act, 4);
  await context.close();
});

test('what was cleared meanwhile is written whole by the next act', async () => {
  for (const missing of Object.values(MISSING)) {
    const context = await chromium.browser.newContext();
    const { page, ask } = await visit(context, site.address);
    await ask('open', { missing });
    await ask('act', { times: 12 });
    const session = await context.newCDPSession(page);
    await session.send('Storage.clearDataForOrigin', { origin: site.origin, storageTypes: 'all' });
    const act = await ask('act');
    const other = await visit(context, site.address);
    assert.equal((await other.ask('open', { missing })).act, act);
    await context.close();
  }
});

for (const [way, missing] of [['Web Locks', []], ['a channel alone', ['locks']]]) {
  test(`of two tabs one reads; it takes over once the other's acts are kept (${way})`, async () => {
    const workspace = `shared-${missing.length}`;
    const share = { missing, workspace, answerMs: 400 };
    const [a, b] = [await tab(), await tab()];
    assert.deepEqual(await a.ask('share', share), { held: true, act: 0 });
    await a.ask('act', { times: 5 });
    assert.deepEqual(await b.ask('share', share), { held: false, act: 5 });
    assert.equal((await b.ask('held')).readOnly, true);

    // Acts right up to the moment.
    a.ask('run').catch(() => {});
    await pause(100);
    await b.ask('takeOver');
    while (!(await b.ask('told')).some((m) => m.type === 'opened')) await pause(10);
    const first = await a.ask('held');
    assert.deepEqual([first.held, first.readOnly], [false, true]);
    const second = await b.ask('held');
    assert.deepEqual([second.held, second.readOnly], [true, false]);
    const kept = (await a.ask('told')).filter((m) => m.type === 'kept').at(-1).act;
    assert.ok(kept > 5);
    assert.equal(second.act, kept);
    assert.equal(await b.ask('act'), kept + 1);

    // Back again, then the tab that has it dies.
    await a.page.close();
    const c = await tab();
    assert.deepEqual(await c.ask('share', share), { held: false, act: kept + 1 });
    await crash(b.page);
    if (missing.length === 0) {
      const d = await tab();
      assert.deepEqual(await d.ask('share', share), { held: true, act: kept + 1 });
      await d.page.close();
    }
    await c.ask('takeOver');
    assert.equal((await c.ask('held')).held, true);
    await c.page.close();
  });

  test(`a tab that hangs is told of, and gives its workspace once it can (${way})`, async () => {
    const share = { missing, workspace: `hangs-${missing.length}`, answerMs: 300 };
    const [a, b] = [await tab(), await tab()];
    await a.ask('share', share);
    assert.equal((await b.ask('share', share)).held, false);
    a.ask('hang', { ms: 1200 }).catch(() => {});
    await pause(50);
    await b.ask('takeOver');
    const told = (await b.ask('told')).filter((m) => m.type === 'lock');
    assert.deepEqual(told.map((m) => m.held), [false, true]);
    assert.match(told[0].why, /does not answer/);
    assert.equal((await a.ask('held')).held, false);
    await a.page.close();
    await b.page.close();
  });
}

test('a tab whose last act cannot be kept does not give its workspace away', async () => {
  const share = { workspace: 'keeps', answerMs: 2000 };
  const context = await chromium.browser.newContext();
  const [a, b] = [await visit(context, site.address), await visit(context, site.address)];
  await a.ask('share', share);
  await a.ask('act', { times: 2 });
  assert.equal((await b.ask('share', share)).held, false);
  const session = await context.newCDPSession(a.page);
  await session.send('Storage.overrideQuotaForOrigin', { origin: site.origin, quotaSize: 1 });
  await a.ask('tryAct');
  await assert.rejects(b.ask('takeOver'), /could not hand the workspace over: The browser’s storage is full/);
  assert.equal((await a.ask('held')).held, true);
  await session.send('Storage.overrideQuotaForOrigin', { origin: site.origin });
  await b.ask('takeOver');
  assert.equal((await b.ask('held')).held, true);
  await context.close();
});
