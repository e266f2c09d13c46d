// What the browser tests share: the built site served on a free port of this
// machine, and a Chromium of their own that looks at it.

import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const web = dirname(dirname(fileURLToPath(import.meta.url)));
const top = dirname(web);
/** The folder of the built site. */
export const DIST = process.env.PLATEAU_DIST ?? join(web, 'dist');
const START_MS = 60_000;

const FLAGS = [
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/**
 * Serves the site on a free port.
 * @param {string} from its folder
 * @returns {Promise<{address: string, close: () => Promise<void>}>}
 */
export async function serve(from = DIST) {
  if (!existsSync(join(from, 'index.html'))) throw new Error(`there is no site in ${from}: run 'make build' first`);
  const folder = mkdtempSync(join(tmpdir(), 'plateau-'));
  let server;
  const close = async () => {
    if (server && server.exitCode === null) {
      server.kill();
      await once(server, 'exit');
    }
    rmSync(folder, { recursive: true, force: true });
  };
  try {
    const binary = join(folder, 'serve');
    execFileSync('go', ['build', '-buildvcs=false', '-o', binary, './web/serve'], { cwd: top, stdio: 'inherit' });
    server = spawn(binary, ['-dir', from, '-port', '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
    // A test that fails badly leaves no server behind.
    process.once('exit', () => server.kill());
    return { address: await announced(server), close };
  } catch (error) {
    await close();
    throw error;
  }
}

/**
 * Serves the site and launches the browser with a fresh profile.
 * @param {{dist?: string, args?: string[]}} options dist: another folder than
 *   web/dist; args: more for the browser
 * @returns {Promise<{browser: import('playwright-core').Browser, address: string,
 *   page: (options?: import('playwright-core').BrowserContextOptions) => Promise<Visit>,
 *   close: () => Promise<void>}>}
 *
 * @typedef {{page: import('playwright-core').Page, errors: string[],
 *   requests: string[], close: () => Promise<void>}} Visit
 *   a page in a context of its own, at the site's address with the Go program
 *   started; errors are what its console and scripts complained of, requests
 *   the addresses it asked for, workers included
 */
export async function open({ dist = DIST, args = [] } = {}) {
  const { address, close: stop } = await serve(dist);
  try {
    const browser = await launch(args);
    const close = async () => {
      await browser.close();
      await stop();
    };
    return { browser, address, page: (options) => visit(browser, address, options), close };
  } catch (error) {
    await stop();
    throw error;
  }
}

/** A Chromium of one's own, with a fresh profile. */
export const launch = (more = []) => chromium.launch(launching(more));

/** How it is launched. */
export function launching(more = []) {
  return {
    executablePath: execFileSync('sh', [join(web, 'browser.sh'), 'chromium'], { encoding: 'utf8' }).trim(),
    headless: true,
    // Chromium refuses to run as root with its sandbox, and only then goes
    // without.
    chromiumSandbox: process.getuid?.() !== 0,
    args: [...FLAGS, ...more],
  };
}

/**
 * Whether what a console says is a complaint. Where service workers are blocked,
 * the driver says so; of a page of text the browser asks for an icon by itself.
 */
export const complains = (message) =>
  ['error', 'warning'].includes(message.type()) &&
  message.text() !== 'Service Worker registration blocked by Playwright' &&
  !message.location().url.endsWith('/favicon.ico');

/** The name of a part of the site without the hash in it. */
export const plainName = (path) => path.replace(/^.*\//, '').replace(/\.[0-9a-f]{12}\./, '.');

async function announced(server) {
  const lines = createInterface({ input: server.stdout });
  const timeout = AbortSignal.timeout(START_MS);
  for (;;) {
    const [line] = await Promise.race([
      once(lines, 'line', { signal: timeout }),
      once(server, 'exit').then(([code]) => {
        throw new Error(`the server ended with code ${code}`);
      }),
    ]);
    const address = /^Plateau is at (\S+)$/.exec(line)?.[1];
    if (address) return address;
  }
}

async function visit(browser, address, options) {
  const context = await browser.newContext({ serviceWorkers: 'block', ...options });
  const page = await context.newPage();
  const errors = [];
  const requests = [];
  page.on('console', (message) => {
    if (complains(message)) errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(String(error)));
  context.on('request', (request) => requests.push(request.url()));
  await page.goto(address);
  await page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0, null, { timeout: START_MS });
  return { page, errors, requests, close: () => context.close() };
}
