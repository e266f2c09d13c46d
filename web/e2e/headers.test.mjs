// The headers of the built site as they are served, file by file, by the rules of
// those who publish such rules.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, sep } from 'node:path';
import { after, before, test } from 'node:test';
import { parse } from 'parse5';
import { DIST, serve } from './harness.mjs';

let site;
before(async () => {
  site = await serve();
});
after(() => site?.close());

const get = (path, options) => fetch(new URL(path, site.address), { redirect: 'manual', ...options });

/** A policy by its directives. */
const directives = (text) =>
  new Map(
    text.split(';').map((one) => {
      const [name, ...sources] = one.trim().split(/\s+/);
      return [name, sources];
    }),
  );
const policyOf = (response) => directives(response.headers.get('content-security-policy'));
/** The sources of a directive, or those that it falls back to. */
const sources = (policy, name) => policy.get(name) ?? policy.get('default-src') ?? ['*'];
const is = (name, value) => (r) => assert.equal(r.headers.get(name), value);
const lacks = (name) => (r) => assert.equal(r.headers.get(name), null);

// OWASP: the recommended values of the OWASP Secure Headers Project,
// owasp.org/www-project-secure-headers. Observatory: the tests and scoring of
// Mozilla's HTTP Observatory, developer.mozilla.org/observatory. Evaluator: the
// checks of Google's CSP Evaluator, csp-evaluator.withgoogle.com. Left out, since
// they are not for a page without sessions or answers about a person:
// Clear-Site-Data, which would delete the reader's work, and no-store.
// All three lists are from memory.
const rules = [
  ['OWASP: HSTS for a year, subdomains too', is('strict-transport-security', 'max-age=31536000; includeSubDomains')],
  ['OWASP: no frames, for old browsers', is('x-frame-options', 'DENY')],
  ['OWASP: types are as said', is('x-content-type-options', 'nosniff')],
  ['OWASP: no policy files of other domains', is('x-permitted-cross-domain-policies', 'none')],
  ['OWASP: no referrer', is('referrer-policy', 'no-referrer')],
  ['OWASP: embedder policy', is('cross-origin-embedder-policy', 'require-corp')],
  ['OWASP: opener policy', is('cross-origin-opener-policy', 'same-origin')],
  ['OWASP: resource policy', is('cross-origin-resource-policy', 'same-origin')],
  ['OWASP: no names looked up ahead', is('x-dns-prefetch-control', 'off')],
  ['OWASP: features are closed', (r) => {
    const said = r.headers.get('permissions-policy');
    for (const name of ['accelerometer', 'autoplay', 'camera', 'display-capture', 'geolocation', 'gyroscope', 'magnetometer', 'microphone', 'midi', 'payment', 'serial', 'usb']) {
      assert.ok(said.includes(`${name}=()`), name);
    }
    assert.doesNotMatch(said, /\*/);
  }],
  ...['server', 'x-powered-by', 'x-aspnet-version', 'x-generator', 'x-runtime', 'x-sourcemap', 'sourcemap', 'via'].map((name) => [`OWASP: ${name} tells nothing`, lacks(name)]),
  ...['public-key-pins', 'expect-ct', 'feature-policy', 'x-xss-protection'].map((name) => [`OWASP: ${name} is of the past`, lacks(name)]),
  ['Observatory: no cookies', lacks('set-cookie')],
  ['Observatory: no other origin may read it', lacks('access-control-allow-origin')],
  ['Observatory: default-src is none', (r) => assert.deepEqual(policyOf(r).get('default-src'), ["'none'"])],
  ['Observatory: frame-ancestors is none', (r) => assert.deepEqual(policyOf(r).get('frame-ancestors'), ["'none'"])],
  ['Observatory: form-action and base-uri are none', (r) => {
    assert.deepEqual([policyOf(r).get('form-action'), policyOf(r).get('base-uri')], [["'none'"], ["'none'"]]);
  }],
  ['Observatory, Evaluator: no unsafe-inline, no unsafe-eval', (r) => assert.doesNotMatch(r.headers.get('content-security-policy'), /'unsafe-(inline|eval|hashes)'/)],
  ['Evaluator: no host, no wildcard, no scheme but data: and blob: of pictures', (r) => {
    for (const [name, list] of policyOf(r)) {
      for (const source of list) {
        assert.ok(["'none'", "'self'"].includes(source) || (name === 'script-src' && source === "'wasm-unsafe-eval'") || (name === 'img-src' && ['data:', 'blob:'].includes(source)), `${name} ${source}`);
      }
    }
  }],
  ['Evaluator: no objects', (r) => assert.deepEqual(sources(policyOf(r), 'object-src'), ["'none'"])],
  ['Evaluator: no directive twice, and none by the wrong name', (r) => {
    const names = r.headers.get('content-security-policy').split(';').map((one) => one.trim().split(' ')[0]);
    assert.equal(new Set(names).size, names.length);
    for (const name of names) assert.match(name, /^((default|script|connect|style|img|font|worker|manifest)-src|form-action|frame-ancestors|base-uri)$/);
  }],
  ['WICG Connection Allowlists: the site alone', is('connection-allowlist', '(response-origin)')],
];

/** Every file that a browser can ask for. */
const files = () =>
  readdirSync(DIST, { recursive: true, withFileTypes: true })
    .filter((one) => one.isFile())
    .map((one) => relative(DIST, join(one.parentPath ?? one.path, one.name)).split(sep).join('/'))
    .filter((path) => !path.startsWith('_') && path !== '404.html' && !path.endsWith('.br'));

test('each file comes with all of them', async (t) => {
  const paths = ['/', ...files().map((path) => `/${path}`)];
  assert.ok(paths.length > 10);
  for (const path of paths) {
    const response = await get(path);
    await response.arrayBuffer();
    assert.equal(response.status, 200, path);
    assert.equal(response.headers.get('cache-control'), path.startsWith('/parts/') ? 'public, max-age=31536000, immutable' : 'no-cache', path);
    for (const [name, holds] of rules) {
      try {
        holds(response);
      } catch (error) {
        error.message = `${path}: ${name}: ${error.message}`;
        throw error;
      }
    }
  }
  t.diagnostic(`${paths.length} files, ${rules.length} rules`);
});

test('so do answers other than files', async () => {
  const tag = (await get('/')).headers.get('etag');
  for (const [path, options, status] of [
    ['/none', {}, 404],
    ['/_headers', {}, 404],
    ['/404.html', {}, 404],
    ['/', { method: 'HEAD' }, 200],
    ['/', { method: 'POST', body: 'x' }, 405],
    ['/', { headers: { 'If-None-Match': tag } }, 304],
  ]) {
    const response = await get(path, options);
    assert.equal(response.status, status, path);
    for (const [name, holds] of rules) assert.doesNotThrow(() => holds(response), `${status} ${path}: ${name}`);
  }
});

// A meta element cannot carry frame-ancestors, report-uri or sandbox: Content
// Security Policy Level 3, section 3.3.
test('the policy in each page is that of the header but for frame-ancestors, and stands before all that it is to rule', async () => {
  for (const [path, shown] of [['index.html', '/'], ['404.html', '/none'], ['guide.html', '/guide.html']]) {
    const header = policyOf(await get(shown));
    const head = parse(readFileSync(join(DIST, path), 'utf8')).childNodes.find((node) => node.nodeName === 'html').childNodes.find((node) => node.nodeName === 'head');
    const elements = head.childNodes.filter((node) => node.attrs);
    const value = (node, name) => node.attrs.find((one) => one.name === name)?.value;
    const at = elements.findIndex((node) => value(node, 'http-equiv') === 'Content-Security-Policy');
    assert.ok(at >= 0, path);
    for (const node of elements.slice(0, at)) assert.equal(node.nodeName, 'meta', `${path}: ${node.nodeName} stands before the policy`);
    header.delete('frame-ancestors');
    assert.deepEqual(directives(value(elements[at], 'content')), header, path);
  }
});
