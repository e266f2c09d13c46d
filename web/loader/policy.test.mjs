import assert from 'node:assert/strict';
import { test } from 'node:test';
import { inMeta, policy, written } from '../build/headers.mjs';
import { explained } from './policy.js';

test('each directive of the site’s policy is told in words', () => {
  for (const text of [written(policy), inMeta(policy)]) {
    const list = explained(text);
    assert.equal(list.map(({ directive }) => directive).join('; '), text);
    for (const { directive, means } of list) assert.ok(means.endsWith('.'), directive);
  }
});

test('what a directive is said to do is what it says', () => {
  const [open] = explained("connect-src 'self'");
  const [shut] = explained("connect-src 'none'");
  assert.match(open.means, /the site that this page came from and nowhere else/);
  assert.match(shut.means, /to anyone/);
  assert.match(explained("script-src 'self' 'wasm-unsafe-eval'")[0].means, /WebAssembly/);
  assert.doesNotMatch(explained("script-src 'self'")[0].means, /WebAssembly/);
  assert.deepEqual(explained(" ; odd-src 'x' ;"), [{ directive: "odd-src 'x'", means: '' }]);
});
