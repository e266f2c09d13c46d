// The keeping of a version against caches and a server that are played by the
// test: what is taken in, what is refused, what heals, what is removed.

import assert from 'node:assert/strict';
import { createHash } from 'node:crypto';
import { test } from 'node:test';
import { hashOf, label, languageOf, pathOf } from './site.js';
import { Vault } from './vault.js';

const BASE = 'https://bench.example/plateau/';
const sha = (text) => createHash('sha256').update(text).digest('hex');
const part = (name, text) => name.replace(/\.(?=\w+$)/, `.${sha(text).slice(0, 12)}.`);

/** A version: {path: text}, its parts under their hashed names. */
function version(name, texts) {
  const contents = Object.fromEntries(Object.entries(texts).map(([path, text]) => [path.startsWith('parts/') ? part(path, text) : path, text]));
  return { site: { version: name, files: Object.entries(contents).map(([path, text]) => ({ path, sha256: sha(text) })) }, contents };
}

class FakeCaches {
  all = new Map();
  fault = null;
  async has(name) {
    return this.all.has(name);
  }
  async keys() {
    return [...this.all.keys()];
  }
  async delete(name) {
    return this.all.delete(name);
  }
  async open(name) {
    if (this.fault) throw this.fault;
    if (!this.all.has(name)) this.all.set(name, new Map());
    const files = this.all.get(name);
    return {
      keys: async () => [...files.keys()].map((url) => ({ url })),
      match: async (url) => (files.has(url) ? new Response(files.get(url)) : undefined),
      put: async (url, response) => {
        const text = await response.text();
        if (this.full && text.length > this.full) throw new DOMException('no room', 'QuotaExceededError');
        files.set(url, text);
      },
    };
  }
}

function setUp(one, { caches = new FakeCaches(), served = one.contents, open = [] } = {}) {
  const asked = [];
  const server = { ...served };
  const fetch = async (url, { cache }) => {
    const path = url.slice(BASE.length) || 'index.html';
    asked.push([path, cache]);
    const text = server[`${cache} ${path}`] ?? server[path];
    if (text === 'down') throw new TypeError('network');
    return new Response(text ?? 'none', { status: text === undefined ? 404 : 200 });
  };
  const vault = new Vault(one.site, { base: BASE, caches, fetch, open: async () => open });
  const kept = () => Object.fromEntries([...(caches.all.get(label(BASE, one.site.version)) ?? [])].map(([url, text]) => [url.slice(BASE.length) || 'index.html', text]));
  return { vault, caches, server, asked, kept, spoil: (path, text) => caches.all.get(label(BASE, one.site.version)).set(BASE + (path === 'index.html' ? '' : path), text) };
}

const N = version('n', { 'index.html': 'page n', 'licences.txt': 'free', 'parts/a.js': 'same', 'parts/b.js': 'b of n', 'parts/big.wasm': 'program n' });
const M = version('m', { 'index.html': 'page m', 'licences.txt': 'free', 'parts/a.js': 'same', 'parts/b.js': 'b of m', 'parts/big.wasm': 'program m' });
const bOfN = part('parts/b.js', 'b of n');
const bOfM = part('parts/b.js', 'b of m');
const same = part('parts/a.js', 'same');
const programN = part('parts/big.wasm', 'program n');

test('a version is taken in whole, programs last, whole files not out of the browser’s cache', async () => {
  const s = setUp(N);
  await s.vault.fill();
  assert.deepEqual(s.kept(), N.contents);
  assert.equal(s.asked.at(-1)[0], programN);
  assert.deepEqual(s.asked.filter(([path]) => !path.startsWith('parts/')), [['index.html', 'no-cache'], ['licences.txt', 'no-cache']]);
});

test('parts that another version has are copied, other files never', async () => {
  const n = setUp(N);
  await n.vault.fill();
  const m = setUp(M, { caches: n.caches });
  await m.vault.fill();
  assert.deepEqual(m.kept(), M.contents);
  assert.deepEqual(m.asked.map(([path]) => path).filter((path) => [same, 'licences.txt'].includes(path)), ['licences.txt']);
  assert.deepEqual(n.kept(), N.contents);
});

test('what the other version has of a part is not copied where it is damaged', async () => {
  const n = setUp(N);
  await n.vault.fill();
  n.spoil(same, 'damaged');
  const m = setUp(M, { caches: n.caches });
  await m.vault.fill();
  assert.deepEqual(m.kept(), M.contents);
});

const D = version('d', { ...N.contents, 'de.html': 'Seite', 'guide.de.html': 'Anleitung', 'parts/words.de.json': '{}' });
const E = version('e', { ...M.contents, 'de.html': 'Seite e', 'guide.de.html': 'Anleitung', 'parts/words.de.json': '{"a":"b"}' });
const others = (contents) => Object.fromEntries(Object.entries(contents).filter(([path]) => !/\bde\b/.test(path)));

test('a language is kept where a page of it is open, and from then on', async () => {
  assert.equal(Object.keys(others(D.contents)).length, Object.keys(D.contents).length - 3);
  const none = setUp(D, { open: ['', 'guide.html'] });
  await none.vault.fill();
  assert.deepEqual(none.kept(), others(D.contents));
  assert.deepEqual(await none.vault.check(), { mended: [], left: [] });

  const d = setUp(D, { open: ['de'] });
  await d.vault.fill();
  assert.deepEqual(d.kept(), D.contents);
  const e = setUp(E, { caches: d.caches });
  await e.vault.fill();
  assert.deepEqual(e.kept(), E.contents);
});

test('a page of another language that is asked for is kept, and the rest of it with the next look', async () => {
  const s = setUp(D);
  await s.vault.fill();
  assert.equal(await (await s.vault.find('de.html')).text(), 'Seite');
  s.asked.length = 0;
  assert.deepEqual((await s.vault.check()).left, []);
  assert.deepEqual(s.kept(), D.contents);
  s.server['guide.de.html'] = 'down';
  s.spoil('guide.de.html', 'damaged');
  assert.deepEqual((await s.vault.check()).left, ['guide.de.html']);
});

test('languages are told by the paths', () => {
  for (const path of ['de', 'de.html', 'guide.de', 'guide.de.html', 'parts/words.de.0123456789ab.json']) assert.equal(languageOf(path), 'de', path);
  for (const path of ['', 'index.html', 'guide', 'guide.html', 'plateau.de.html', 'sw.js', 'parts/words.0123456789ab.json', 'parts/mark.0123456789ab.svg']) assert.equal(languageOf(path), null, path);
});

for (const [what, server, code] of [
  ['a missing file', { [bOfM]: undefined }, 'missing'],
  ['wrong bytes', { [bOfM]: 'b of n' }, 'changed'],
  ['a page of another version', { 'index.html': 'page n' }, 'changed'],
  ['no network', { [bOfM]: 'down' }, 'unreachable'],
]) {
  test(`${what}: nothing of the version stays, the other one is as it was`, async () => {
    const n = setUp(N);
    await n.vault.fill();
    const m = setUp(M, { caches: n.caches });
    Object.assign(m.server, server);
    await assert.rejects(m.vault.fill(), { code, path: Object.keys(server)[0] });
    assert.deepEqual(await n.caches.keys(), [label(BASE, 'n')]);
    assert.deepEqual(n.kept(), N.contents);
  });
}

test('where the browser’s own cache is damaged the server is asked', async () => {
  const s = setUp(N);
  s.server[`default ${bOfN}`] = 'damaged';
  await s.vault.fill();
  assert.deepEqual(s.kept(), N.contents);
});

test('going back to a version that is there yet takes nothing, and failing there leaves it', async () => {
  const s = setUp(N);
  await s.vault.fill();
  s.asked.length = 0;
  await s.vault.fill();
  assert.deepEqual(s.asked, []);
  s.spoil(bOfN, 'damaged');
  s.server[bOfN] = 'down';
  await assert.rejects(s.vault.fill(), { code: 'unreachable' });
  assert.equal(Object.keys(s.kept()).length, Object.keys(N.contents).length);
});

test('no room, or a cache that fails, is told apart', async () => {
  const s = setUp(N);
  s.caches.full = 7;
  await assert.rejects(s.vault.fill(), { code: 'full' });
  assert.deepEqual(await s.caches.keys(), []);
  s.caches.fault = new DOMException('broken', 'UnknownError');
  await assert.rejects(s.vault.fill(), { code: 'failed' });
  // What is asked for comes from the network then.
  assert.equal(await (await s.vault.find(bOfN)).text(), 'b of n');
  assert.equal(await (await s.vault.find('index.html')).text(), 'page n');
});

test('what is damaged or lost is fetched anew and kept; a program is given out as it is', async () => {
  const s = setUp(N);
  await s.vault.fill();
  s.asked.length = 0;
  s.spoil('index.html', 'page m');
  s.spoil(bOfN, '');
  assert.equal(await (await s.vault.find('index.html')).text(), 'page n');
  assert.equal(await (await s.vault.find(bOfN)).text(), 'b of n');
  assert.deepEqual(s.kept(), N.contents);
  assert.equal(s.asked.length, 2);
  s.spoil(programN, 'damaged');
  assert.equal(await (await s.vault.find(programN)).text(), 'damaged');
  assert.deepEqual(await s.vault.check(), { mended: [programN], left: [] });
  assert.equal(await (await s.vault.find(programN)).text(), 'program n');
  assert.deepEqual(await s.vault.check(), { mended: [], left: [] });
});

test('what cannot be had is refused, and told by the check', async () => {
  const s = setUp(N);
  await s.vault.fill();
  s.spoil(bOfN, 'damaged');
  s.spoil('index.html', 'damaged');
  s.server[bOfN] = 'down';
  s.server['index.html'] = 'page m';
  await assert.rejects(s.vault.find(bOfN), { code: 'unreachable' });
  await assert.rejects(s.vault.find('index.html'), { code: 'changed' });
  assert.deepEqual(await s.vault.check(), { mended: [], left: ['index.html', bOfN] });
});

test('a tab of the other version gets its parts from there, looked over as well, and the page never', async () => {
  const n = setUp(N);
  await n.vault.fill();
  const m = setUp(M, { caches: n.caches, served: { ...M.contents, ...N.contents, 'index.html': 'page m' } });
  await m.vault.fill();
  m.asked.length = 0;
  assert.equal(await (await m.vault.find(bOfN)).text(), 'b of n');
  assert.equal(await (await m.vault.find(programN)).text(), 'program n');
  assert.equal(await (await m.vault.find('index.html')).text(), 'page m');
  assert.deepEqual(m.asked, []);
  n.spoil(bOfN, 'damaged');
  assert.equal(await (await m.vault.find(bOfN)).text(), 'b of n');
  assert.deepEqual(m.asked, [[bOfN, 'default']]);
  assert.deepEqual(m.kept(), M.contents, 'it is not taken into this version');
});

test('old versions go, but not the one before, those in use, and what is not of this site', async () => {
  const s = setUp(N);
  const other = label('https://bench.example/', 'x');
  for (const name of [label(BASE, 'a'), 'another’s', label(BASE, 'b'), other, label(BASE, 'c'), label(BASE, 'd')]) await s.caches.open(name);
  await s.vault.fill();
  await s.vault.tidy([label(BASE, 'b')]);
  assert.deepEqual(await s.caches.keys(), ['another’s', label(BASE, 'b'), other, label(BASE, 'd'), label(BASE, 'n')]);
});

test('only files of the site are known by their address', () => {
  const known = (url) => {
    const path = pathOf(BASE, url);
    return path !== null && hashOf(N.site.files, path) !== null;
  };
  for (const path of ['', '?a=1#b', 'index.html', 'licences.txt', bOfN, bOfM, 'parts/x.0123456789ab.js?x']) assert.ok(known(BASE + path), path);
  for (const url of [`${BASE}card/abc`, `${BASE}card/`, `${BASE}parts/`, `${BASE}parts/x.js`, `${BASE}parts/../card/x`, `${BASE}parts/a/x.0123456789ab.js`, 'https://bench.example/', 'https://other.example/plateau/', `${BASE}sw.js`, `${BASE}404.html`]) assert.ok(!known(url), url);
});
