// No way out: each way to send something is tried from the page and from the
// engine's worker, and both the browser's word and what arrives at another host
// are looked at. The same from a page without a policy does arrive, so that a
// try which could not have worked is found out.

import assert from 'node:assert/strict';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { chromium } from 'playwright-core';
import { DIST, launching, open, plainName } from './harness.mjs';
import { foreign } from './trust/foreign.mjs';
import { keep, ofPage, ofWorker, pastPolicy } from './trust/tries.mjs';

const PATIENCE_MS = 4000;
const SETTLED_MS = 700;

let site;
let far;
let near; // a host without a policy, from which all of it works

before(async () => {
  [site, far, near] = await Promise.all([open(), foreign(), foreign()]);
});
after(() => Promise.all([site?.close(), far?.close(), near?.close()]));

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function until(so, ms = PATIENCE_MS) {
  const end = Date.now() + ms;
  while (Date.now() < end) {
    if (await so()) return true;
    await pause(20);
  }
  return false;
}

const addresses = () => ({ http: far.http, ws: far.ws, stun: far.stun, turn: far.turn });

/** Starts a try, whatever becomes of it: a tab that goes elsewhere never answers. */
async function begin(where, { run }) {
  await where.evaluate(() => {
    globalThis.reached = false;
    globalThis.complaints ??= [];
    globalThis.complaints.length = 0;
  });
  where.evaluate(run, addresses()).catch(() => {});
}

/** Notes what the browser complains of, in a page or a worker. */
const listen = (where) =>
  where.evaluate(() => {
    globalThis.complaints = [];
    globalThis.addEventListener('securitypolicyviolation', (e) => {
      if (e.disposition === 'enforce') globalThis.complaints.push(e.effectiveDirective);
    });
  });

const complaints = (where) => where.evaluate(() => globalThis.complaints);
const reached = (where) => where.evaluate(() => globalThis.reached);

/** A tab without a policy. */
async function bare() {
  const context = await site.browser.newContext();
  const page = await context.newPage();
  await page.addInitScript(keep);
  await page.goto(near.page);
  return { context, page };
}

async function works(where, one) {
  const count = far.arrived();
  await begin(where, one);
  const came = await until(async () => (one.runs ? reached(where) : far.arrived() > count));
  assert.ok(came, `${one.name} does not work where nothing forbids it, so that it proves nothing`);
  if (!one.runs) await pause(50);
}

async function blocked(where, one) {
  await begin(where, one);
  const told = await until(async () => !one.directive || (await complaints(where)).length > 0);
  if (!one.directive) await pause(SETTLED_MS);
  assert.ok(told, `${one.name}: the browser does not say that it was blocked`);
  assert.deepEqual([...new Set(await complaints(where))], one.directive ? [one.directive] : [], one.name);
  assert.equal(await reached(where), false, `${one.name}: code ran`);
}

test('all tries work where nothing forbids them', async () => {
  const { context, page } = await bare();
  for (const one of ofPage) {
    await works(page, one);
    for (const other of context.pages()) if (other !== page) await other.close();
    if (one.leaves) await page.goto(near.page);
  }
  const [worker] = await Promise.all([
    page.waitForEvent('worker'),
    page.evaluate((address) => {
      globalThis.worker = new Worker(address);
    }, near.worker),
  ]);
  for (const one of ofWorker) await works(worker, one);
  await context.close();
});

test('none works from the page, by the directive that is meant to stop it', async () => {
  const { page, close } = await site.page();
  await listen(page);
  const count = far.arrived();
  for (const one of ofPage) await blocked(page, one);
  await pause(SETTLED_MS);
  assert.equal(far.arrived(), count, 'nothing arrived');
  assert.equal(page.context().pages().length, 1, 'no other window');
  assert.equal(new URL(page.url()).pathname, '/', 'the page has gone nowhere');
  assert.equal(new URL(page.url()).origin, new URL(site.address).origin);
  await close();
});

test('none works from the engine’s worker', async () => {
  const { page, close } = await site.page();
  const worker = page.workers().find((one) => plainName(one.url()) === 'worker.js');
  await listen(worker);
  const count = far.arrived();
  for (const one of ofWorker) await blocked(worker, one);
  await pause(SETTLED_MS);
  assert.equal(far.arrived(), count, 'nothing arrived');
  await close();
});

test('none works from the service worker', async () => {
  const { page, close } = await site.page({ serviceWorkers: 'allow' });
  await until(() => page.context().serviceWorkers().length > 0);
  const [worker] = page.context().serviceWorkers();
  await listen(worker);
  const count = far.arrived();
  const has = ['fetch', 'fetch without CORS', 'WebSocket', 'EventSource', 'eval', 'new Function'];
  for (const one of ofWorker.filter(({ name }) => has.includes(name))) await blocked(worker, one);
  await pause(SETTLED_MS);
  assert.equal(far.arrived(), count, 'nothing arrived');
  await close();
});

test('workers and service workers of another host are refused', async () => {
  const { page, close } = await site.page({ serviceWorkers: 'allow' });
  const count = far.arrived();
  const refused = await page.evaluate(async (http) => {
    const names = [];
    try {
      new Worker(`${http}/worker.js`);
    } catch (error) {
      names.push(error.name);
    }
    await navigator.serviceWorker.register(`${http}/worker.js`).catch((error) => names.push(error.name));
    return names;
  }, far.http);
  assert.deepEqual(refused, ['SecurityError', 'SecurityError']);
  await pause(SETTLED_MS);
  assert.equal(far.arrived(), count);
  await close();
});

// The two parts say what rests on which header: a policy alone lets them out.
test('what no policy stops: going elsewhere and WebRTC', async (t) => {
  const folder = mkdtempSync(join(tmpdir(), 'plateau-trust-'));
  let without;
  const attempt = async (server, one) => {
    const context = await server.browser.newContext({ serviceWorkers: 'block' });
    const page = await context.newPage();
    await page.addInitScript(keep);
    await page.goto(server.address, { waitUntil: 'domcontentloaded' });
    const count = far.arrived();
    await begin(page, one);
    await until(() => far.arrived() > count, server === site ? SETTLED_MS : PATIENCE_MS);
    const arrived = far.arrived() - count;
    await context.close();
    return arrived;
  };
  try {
    await t.test('Connection-Allowlist stops them', async () => {
      for (const one of pastPolicy) assert.equal(await attempt(site, one), 0, one.name);
    });
    await t.test('without it they get out', async () => {
      cpSync(DIST, folder, { recursive: true });
      const rules = readFileSync(join(folder, '_headers'), 'utf8');
      assert.match(rules, /^ {2}Connection-Allowlist: \(response-origin\)$/m);
      writeFileSync(join(folder, '_headers'), rules.replace(/^ {2}Connection-Allowlist:.*\n/m, ''));
      without = await open({ dist: folder });
      for (const one of pastPolicy) assert.ok((await attempt(without, one)) > 0, one.name);
    });
  } finally {
    await without?.close();
    rmSync(folder, { recursive: true, force: true });
  }
});

// Chromium looks ahead in a lasting profile alone, and not with the flags of tests.
test('hints to connect ahead or look up a name lead nowhere', async () => {
  const seen = async (address) => {
    const folder = mkdtempSync(join(tmpdir(), 'plateau-ahead-'));
    const log = join(folder, 'net.json');
    try {
      const ahead = '--disable-background-networking';
      const { args, ...rest } = launching([`--log-net-log=${log}`]);
      const context = await chromium.launchPersistentContext(folder, { ...rest, args: args.filter((one) => one !== ahead), ignoreDefaultArgs: [ahead] });
      const page = await context.newPage();
      await page.goto(address);
      const count = far.arrived();
      const hint = (rel, href) =>
        page.evaluate(([rel, href]) => document.head.append(Object.assign(document.createElement('link'), { rel, href })), [rel, href]);
      await hint('preconnect', far.http);
      await hint('dns-prefetch', 'https://name-looked-up-ahead.invalid');
      await pause(1500);
      await context.close();
      return { connections: far.arrived() - count, lookedUp: readFileSync(log, 'utf8').includes('name-looked-up-ahead') };
    } finally {
      rmSync(folder, { recursive: true, force: true, maxRetries: 5 });
    }
  };
  assert.deepEqual(await seen(near.page), { connections: 1, lookedUp: true });
  assert.deepEqual(await seen(site.address), { connections: 0, lookedUp: false });
});

test('the page has no WebRTC, and keeps nobody from going where he wants', async () => {
  const { page, errors, close } = await site.page();
  assert.deepEqual(await page.evaluate(() => [typeof RTCPeerConnection, typeof webkitRTCPeerConnection]), ['undefined', 'undefined']);
  await page.goto(near.page); // as typed
  assert.equal(await page.title(), 'bare');
  await page.goBack();
  await page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);
  await page.click('footer a[href="licences.txt"]');
  await page.waitForURL(/licences\.txt$/);
  assert.deepEqual(errors, []);
  await close();
});
