// The site on the platform's own runtime: what it answers, what it refuses, and
// how it bears up. The platform serves the files; PLATEAU_DIST names a built
// site, and without it a small one is made here.

import assert from 'node:assert/strict';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import autocannon from 'autocannon';
import { start } from './runtime.mjs';

const edge = dirname(fileURLToPath(import.meta.url));
const top = dirname(dirname(edge));
const built = join(top, '.build', 'edge');
const sample = (name) => readFileSync(join(top, 'wasm', 'edge', 'card', 'testdata', `${name}.txt`), 'utf8').trim();
const folder = mkdtempSync(join(tmpdir(), 'plateau-edge-test-'));
const dist = process.env.PLATEAU_DIST ? resolve(process.env.PLATEAU_DIST) : smallSite(join(folder, 'dist'));
const hashed = readdirSync(join(dist, 'parts')).find((name) => name.endsWith('.js'));

let site;
before(async () => {
  assert.ok(existsSync(join(built, 'worker.mjs')), "the Worker is not built: run 'node web/edge/build.mjs'");
  site = await start({ dist });
}, { timeout: 90_000 });
after(async () => {
  await site?.stop();
  rmSync(folder, { recursive: true, force: true });
});

const get = (path, options = {}) => fetch(site.address + path, { redirect: 'manual', signal: AbortSignal.timeout(20_000), ...options });

test('a card, its picture, HEAD and 304', async () => {
  for (const name of ['one', 'three', 'many', 'none', 'names', 'demo', 'whole']) {
    for (const [end, type, across] of [['', 'text/html; charset=utf-8', 'same-origin'], ['.png', 'image/png', 'cross-origin']]) {
      const path = `/card/${sample(name)}${end}`;
      const answer = await get(path);
      const body = Buffer.from(await answer.arrayBuffer());
      assert.equal(answer.status, 200, name);
      assert.equal(answer.headers.get('content-type'), type);
      assert.equal(answer.headers.get('cross-origin-resource-policy'), across);
      for (const [header, want] of [['content-security-policy', /^default-src 'none'; img-src 'self'; style-src 'sha256-[\w+/=]+'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'$/],
        ['referrer-policy', /^no-referrer$/], ['x-content-type-options', /^nosniff$/], ['x-robots-tag', /^noindex$/], ['cache-control', /^public, max-age=\d+$/]]) {
        assert.match(answer.headers.get(header), want, header);
      }
      if (end) assert.deepEqual([body.readUInt32BE(0), body.readUInt32BE(16), body.readUInt32BE(20)], [0x89504e47, 1200, 630]); // PNG 3rd edition, 5.2 and 11.2.1
      else {
        const text = body.toString();
        assert.ok(text.includes(`<meta property="og:image" content="${site.address}${path}.png">`), name);
        assert.ok(!/<script|<img src=x/.test(text), name);
      }
      const head = await get(path, { method: 'HEAD' });
      assert.equal(head.status, 200);
      assert.equal(head.headers.get('content-length'), String(body.length));
      assert.equal((await head.arrayBuffer()).byteLength, 0);
      const tag = answer.headers.get('etag');
      for (const sent of [tag, `W/${tag}`, `"other", ${tag}`]) {
        const same = await get(path, { headers: { 'If-None-Match': sent } });
        assert.equal(same.status, 304, sent);
        assert.equal(same.headers.get('etag'), tag);
      }
    }
  }
});

test('files come with the headers of _headers, and what is none with the 404 page', async () => {
  const rules = headersOf(readFileSync(join(dist, '_headers'), 'utf8'));
  for (const [path, status] of [['/', 200], [`/parts/${hashed}`, 200], ['/none', 404], ['/none.js', 404], ['/index.html', 307]]) {
    const answer = await get(path);
    const body = await answer.text();
    assert.equal(answer.status, status, path);
    for (const { pattern, name, value } of rules) {
      if (pattern === '/*' && name.toLowerCase() !== 'cache-control') assert.equal(answer.headers.get(name), value, `${path}: ${name}`);
    }
    if (status === 404) assert.equal(body, readFileSync(join(dist, '404.html'), 'utf8'), path);
    if (status === 307) assert.equal(answer.headers.get('location'), '/');
  }
  const answer = await get(`/parts/${hashed}`);
  assert.match(answer.headers.get('cache-control'), /immutable/);
  assert.equal((await get(`/parts/${hashed}`, { headers: { 'If-None-Match': answer.headers.get('etag') } })).status, 304);
  assert.equal((await get('/_headers')).status, 404);
  assert.equal((await get('/', { method: 'POST', body: 'x' })).status, 405);
});

test('hostile requests, as bytes on a socket', async () => {
  const payload = sample('one');
  const cases = [
    ['GET /card/../../etc/passwd HTTP/1.1', [400, 404]],
    ['GET /card/%2e%2e/%2e%2e/etc/passwd HTTP/1.1', [400, 404]],
    ['GET /card/%2e%2e%2fx HTTP/1.1', [400, 404]],
    ['GET //card/x HTTP/1.1', [307, 400, 404]],
    ['GET //evil.example/x HTTP/1.1', [307, 400, 404]],
    ['GET /card\\..\\x HTTP/1.1', [400, 404]],
    ['GET /card/%00 HTTP/1.1', [400, 404]],
    ['GET /card/x%0d%0aSet-Cookie:%20a=b HTTP/1.1', [400]],
    [`GET /card/${payload} HTTP/1.1\r\nHost: a"><script>`, [400, 500]], // no address: the runtime refuses it before us
    [`GET /card/${payload} HTTP/1.1\r\nHost: a_b.example`, [400]],
    [`GET /card/1${'A'.repeat(12_000)} HTTP/1.1`, [414]],
    [`GET /card/${payload}?${'x'.repeat(9000)} HTTP/1.1`, [414]],
    [`GET /${'x'.repeat(100_000)} HTTP/1.1`, [400, 404, 414, 431]],
    [`POST /card/${payload} HTTP/1.1\r\nContent-Length: 1\r\n\r\nx`, [405]],
    [`DELETE /card/${payload} HTTP/1.1`, [405]],
    [`BREW /card/${payload} HTTP/1.1`, [400, 405, 501]],
    ['GET http://evil.example/card/x HTTP/1.1', [400, 404, 500]], // the local runtime’s front refuses it
    ['GET /card/x\u0001 HTTP/1.1', [400, 404]],
    ['nonsense', [400, 501]],
  ];
  for (const [request, want] of cases) {
    let answer = await raw(request);
    // The local runtime looks out for changed files, which those just built are.
    for (let k = 0; k < 5 && answer.includes('worker restarted mid-request'); k++) answer = await raw(request);
    const status = Number(/^HTTP\/1\.1 (\d+)/.exec(answer)?.[1]);
    assert.ok(want.includes(status), `${request.slice(0, 80)}: ${answer.slice(0, 200)}`);
    assert.ok(!/^set-cookie|^location: (?!\/\w)/im.test(answer.split('\r\n\r\n')[0]) && !answer.includes('root:') && !answer.includes('<script>'), request.slice(0, 80));
  }
  assert.equal((await get(`/card/${payload}`)).status, 200, 'it goes on answering');
});

test('10,000 requests for files and 1,000 for cards, without an error, and memory stays level', { timeout: 240_000 }, async (t) => {
  const file = await load(`/parts/${hashed}`, 10_000);
  t.diagnostic(`files: ${file.requests.average.toFixed(0)} a second, ${(site.rss() / 1e6).toFixed(0)} MB`);
  const [page, picture] = [`/card/${sample('three')}`, `/card/${sample('three')}.png`];
  await load(page, 100); // once through all that is kept
  await load(picture, 50);
  const levels = [site.rss()];
  const used = site.cpu();
  for (const [path, amount] of [[page, 400], [picture, 200], [page, 200], [picture, 200]]) {
    const from = site.cpu();
    const result = await load(path, amount);
    levels.push(site.rss());
    t.diagnostic(`${path.endsWith('.png') ? 'pictures' : 'pages'}: ${amount}, ${result.requests.average.toFixed(0)} a second, ${(1000 * (site.cpu() - from) / amount).toFixed(1)} ms of CPU each in all of the runtime`);
  }
  t.diagnostic(`cards: ${(site.cpu() - used).toFixed(1)} s of CPU in all; resident ${levels.map((x) => (x / 1e6).toFixed(0)).join(', ')} MB`);
  // The local runtime grows by some 10 kB a request, whatever is asked for; a Go
  // program that stayed behind each time would be 15 MB.
  assert.ok(Math.max(...levels) < levels[0] + 100e6, `resident: ${levels}`);
});

test('files do not pass through Go: a site whose program is broken still has them', { timeout: 90_000 }, async () => {
  const broken = join(folder, 'broken');
  cpSync(built, broken, { recursive: true });
  // A module that has nothing of what is asked of it: magic number and version alone.
  writeFileSync(join(broken, 'card.wasm'), Buffer.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]));
  const other = await start({ dist, worker: join(broken, 'worker.mjs') });
  try {
    const ask = (path) => fetch(other.address + path, { redirect: 'manual', signal: AbortSignal.timeout(20_000) });
    for (const [path, status] of [['/', 200], [`/parts/${hashed}`, 200], ['/none', 404]]) assert.equal((await ask(path)).status, status, path);
    for (let k = 0; k < 3; k += 1) {
      const answer = await ask(`/card/${sample('one')}`);
      assert.equal(answer.status, 500);
      assert.equal(answer.headers.get('x-content-type-options'), 'nosniff');
      assert.match(await answer.text(), /plain link/);
    }
  } finally {
    await other.stop();
  }
});

/** So many requests over a few connections; an error or another status fails. */
async function load(path, amount) {
  const result = await autocannon({ url: site.address + path, amount, connections: 8, timeout: 20, duration: 100 });
  assert.deepEqual([result.errors, result.timeouts, result.non2xx, result['2xx']], [0, 0, 0, amount], path.slice(0, 30));
  return result;
}

/** Sends a request as it is, with a host if it has none, and gives the answer. */
function raw(request) {
  return new Promise((done, fail) => {
    const socket = connect(site.port, '127.0.0.1');
    let answer = '';
    socket.setTimeout(15_000, () => socket.destroy(answer ? undefined : new Error(`no answer to ${request.slice(0, 80)}`)));
    // The runtime leaves the connection open for a while, whatever it is told.
    socket.on('data', (data) => {
      answer += data.toString('latin1');
      if (answer.includes('\r\n\r\n')) socket.setTimeout(500, () => socket.destroy());
    });
    socket.on('close', () => done(answer));
    socket.on('error', (error) => (answer ? done(answer) : fail(error)));
    const [head, body = ''] = request.split('\r\n\r\n');
    socket.write(`${head}${/\r\nhost:/i.test(head) ? '' : `\r\nHost: 127.0.0.1:${site.port}`}\r\nConnection: close\r\n\r\n${body}`, 'latin1');
  });
}

function headersOf(text) {
  let pattern = '';
  return text.split('\n').flatMap((line) => {
    if (line.trim() === '' || line.startsWith('#')) return [];
    if (!/^\s/.test(line)) {
      pattern = line.trim();
      return [];
    }
    const [, name, value] = /^\s+([^:]+):\s*(.*)$/.exec(line);
    return [{ pattern, name, value }];
  });
}

function smallSite(into) {
  mkdirSync(join(into, 'parts'), { recursive: true });
  writeFileSync(join(into, 'index.html'), '<!doctype html><title>home</title>');
  writeFileSync(join(into, '404.html'), '<!doctype html><title>There is no such page</title>');
  writeFileSync(join(into, 'parts', 'app.0123abcd.js'), `/* ${'x'.repeat(20_000)} */`);
  writeFileSync(join(into, '_headers'), "/*\n  Content-Security-Policy: default-src 'none'\n  Referrer-Policy: no-referrer\n  X-Content-Type-Options: nosniff\n\n/parts/*\n  Cache-Control: public, max-age=31536000, immutable\n");
  return into;
}
