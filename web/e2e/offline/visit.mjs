// A visit by a browser that keeps the site, and what can be seen of that.

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DIST, complains, open, serve } from '../harness.mjs';
import { gate } from './gate.mjs';
import { nextVersion, partsOf } from './version.mjs';

/** The site behind a gate, and on demand other versions of it. */
export async function setUp() {
  const site = await open();
  const front = await gate(site.address);
  const folder = mkdtempSync(join(tmpdir(), 'plateau-versions-'));
  const servers = [];
  const close = async () => {
    await front.stop();
    for (const server of servers) await server.close();
    await site.close();
    rmSync(folder, { recursive: true, force: true });
  };
  const next = async (mark) => {
    const out = join(folder, mark);
    const made = await nextVersion(DIST, out, mark);
    const server = await serve(out);
    servers.push(server);
    return { ...made, address: server.address };
  };
  return { ...site, front, first: { parts: partsOf(DIST), address: site.address }, next, close, visit: (options) => visit(site.browser, front.address, options) };
}

/** Opens the site in a context of its own that may keep it. */
async function visit(browser, address, { before = async () => {}, path = '' } = {}) {
  const context = await browser.newContext({ serviceWorkers: 'allow' });
  const errors = [];
  const tab = async (url = address + path) => {
    const page = await context.newPage();
    page.on('console', (message) => {
      if (complains(message)) errors.push(`${message.text()} ${message.location().url}`);
    });
    page.on('pageerror', (error) => errors.push(String(error)));
    await before(page);
    await page.goto(url);
    await ready(page);
    return page;
  };
  return { context, errors, tab, page: await tab(), close: () => context.close() };
}

export const ready = (page) => page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0, null, { timeout: 30_000 });

export const says = (page, pattern) =>
  page.waitForFunction((source) => new RegExp(source).test(document.querySelector('#offline-words').textContent), pattern.source, { timeout: 30_000 });

/** Until all is kept. */
export const ownCopy = (page) => says(page, /^Ready to work without a network\.$/);

export const newsSays = (page, pattern) =>
  page.waitForFunction((source) => new RegExp(source).test(document.querySelector('#news:not([hidden]) #news-text')?.textContent ?? ''), pattern.source, { timeout: 30_000 });

export const versionOf = (page) => page.locator('meta[name=version]').getAttribute('content');

/** The parts that a page and its workers were loaded from. */
export async function partsUsed(page) {
  const own = () => [self.location.href, ...performance.getEntriesByType('resource').map((entry) => entry.name)];
  const all = await page.evaluate(own);
  for (const worker of page.workers()) all.push(...(await worker.evaluate(own)));
  return new Set(all.map((url) => new URL(url).pathname.slice(1)).filter((path) => path.startsWith('parts/')));
}

/** Writes over what is kept of a file: what `change` makes of its bytes, or nothing is left. */
export async function spoil(page, pattern, change) {
  return page.evaluate(
    async ([source, how]) => {
      const hit = [];
      for (const name of (await caches.keys()).filter((key) => key.startsWith('plateau '))) {
        const cache = await caches.open(name);
        for (const request of await cache.keys()) {
          if (!new RegExp(source).test(new URL(request.url).pathname)) continue;
          hit.push(request.url);
          if (how === 'remove') {
            await cache.delete(request);
            continue;
          }
          const response = await cache.match(request);
          let bytes = new Uint8Array(await response.arrayBuffer());
          if (how === 'flip') bytes[bytes.length >> 1] ^= 1;
          if (how === 'cut') bytes = bytes.slice(0, bytes.length >> 1);
          // The browser's own check of a program's form passes: a custom section more.
          if (how === 'extend') bytes = new Uint8Array([...bytes, 0, 2, 1, 120]);
          if (how === 'empty') bytes = new Uint8Array([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]); // a program without anything in it
          await cache.put(request, new Response(bytes, { headers: response.headers }));
        }
      }
      return hit;
    },
    [pattern.source, change],
  );
}
