// The folders of the test served on a free port of this machine, and a Chromium
// with a profile on disk that can be killed outright and started again.

import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { chromium } from 'playwright-core';

const web = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const FLAGS = [
  '--headless',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--remote-debugging-port=0',
];

/** @returns {Promise<{origin: string, address: string, close: () => Promise<void>}>} */
export async function serve() {
  // Bundled, as in the site, since pages are opened by the hundred.
  const { outputFiles } = await build({
    absWorkingDir: join(web, 'e2e', 'keep-store'),
    entryPoints: ['page.js', 'worker.js'],
    outdir: '.',
    bundle: true,
    format: 'iife',
    write: false,
    logLevel: 'warning',
  });
  const files = new Map(outputFiles.map(({ path, contents }) => [`/${basename(path)}`, ['text/javascript', contents]]));
  files.set('/', ['text/html', readFileSync(join(web, 'e2e', 'keep-store', 'page.html'))]);
  const server = createServer((request, response) => {
    const [type, body] = files.get(request.url) ?? [];
    if (body) response.writeHead(200, { 'Content-Type': type, 'Cache-Control': 'max-age=600' }).end(body);
    else response.writeHead(404).end();
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const origin = `http://127.0.0.1:${server.address().port}`;
  return {
    origin,
    address: `${origin}/`,
    async close() {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
}

/** A folder for a profile. */
export function profile() {
  const folder = mkdtempSync(join(tmpdir(), 'plateau-keep-'));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true, maxRetries: 10, retryDelay: 100 }) };
}

/**
 * @param {string} folder a profile
 * @returns {Promise<{browser: import('playwright-core').Browser,
 *   context: import('playwright-core').BrowserContext, kill: () => Promise<void>}>}
 *   context is the one that is on disk; kill ends all processes at once
 */
export async function launch(folder) {
  const binary = execFileSync('sh', [join(web, 'browser.sh'), 'chromium'], { encoding: 'utf8' }).trim();
  const root = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  const running = spawn(binary, [...FLAGS, ...root, `--user-data-dir=${folder}`, 'about:blank'], {
    detached: true,
    stdio: ['ignore', 'ignore', 'pipe'],
    env: { ...process.env, TMPDIR: folder }, // what a killed one leaves goes with the profile
  });
  const end = () => {
    try {
      process.kill(-running.pid, 'SIGKILL');
    } catch {
      // It has ended.
    }
  };
  process.once('exit', end);
  const ended = once(running, 'exit');
  const kill = async () => {
    end();
    await ended;
    // One that is still going holds what the next browser opens.
    for (let k = 0; k < 300 && going(running.pid); k++) await new Promise((resolve) => setTimeout(resolve, 10));
    process.removeListener('exit', end);
  };
  try {
    const browser = await chromium.connectOverCDP(await announced(running));
    return { browser, context: browser.contexts()[0], kill };
  } catch (error) {
    await kill();
    throw error;
  }
}

/** Whether a process of the group is left that has not ended: proc(5), stat. */
function going(group) {
  return readdirSync('/proc').some((id) => {
    if (!/^\d+$/.test(id)) return false;
    try {
      const [state, , itsGroup] = readFileSync(`/proc/${id}/stat`, 'utf8').split(') ').at(-1).split(' ');
      return Number(itsGroup) === group && state !== 'Z';
    } catch {
      return false; // it has ended meanwhile
    }
  });
}

function announced(running) {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error('Chromium did not start')), 60_000);
    running.once('exit', (code) => reject(new Error(`Chromium ended with code ${code}`)));
    createInterface({ input: running.stderr }).on('line', (line) => {
      const address = /^DevTools listening on (\S+)$/.exec(line)?.[1];
      if (!address) return;
      clearTimeout(timer);
      resolve(address);
    });
  });
}

/** A page of the test with its worker, and the acts that were told as kept. */
export async function visit(context, address) {
  const page = await context.newPage();
  const noted = { act: 0 };
  const errors = [];
  page.on('console', (message) => {
    const act = /^kept (\d+)$/.exec(message.text())?.[1];
    if (act) noted.act = Math.max(noted.act, Number(act));
    else errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(String(error)));
  await page.goto(address);
  const ask = (what, more = {}) => page.evaluate((command) => window.ask(command), { do: what, ...more });
  return { page, noted, errors, ask };
}
