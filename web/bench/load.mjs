// How much a visit transfers and how long it takes, over a line of 10 Mbit/s
// with 20 ms each way: the first, and one when everything is on the machine.
// `node load.mjs [--rounds 5]`, or as a part of run.mjs.
import { cpSync, existsSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { brotliCompressSync, constants } from 'node:zlib';
import { chromium } from 'playwright-core';
import { isWhole } from '../build/parts.mjs';
import { line } from './line.mjs';
import { bar, median, spread, table } from './report.mjs';
import { serveSite } from './site.mjs';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const DIST = join(ROOT, 'web', 'dist');
const RATE = 10e6 / 8; // bytes/s
const DELAY = 20; // ms each way
const MB = 1e6;

/** The site with each file's brotli beside it, as a server would send it. */
function compressed(folder) {
  cpSync(DIST, folder, { recursive: true });
  for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
    if (!entry.isFile() || !/\.(html|js|json|css|svg|wasm|webmanifest)$/.test(entry.name) || isWhole(entry.name)) continue;
    const path = join(entry.parentPath ?? entry.path, entry.name);
    const bytes = readFileSync(path);
    writeFileSync(`${path}.br`, brotliCompressSync(bytes, {
      params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 22, [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length },
    }));
  }
}

const usable = (page) => page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0, null, { timeout: 60_000 });
const times = (page) => page.evaluate(() => ({
  paint: performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN,
  ready: performance.getEntriesByName('plateau:page')[0].startTime,
}));

/** Prints what the visits took, with the bars. */
export async function loading(browser, rounds) {
  const folder = mkdtempSync(join(tmpdir(), 'plateau-load-'));
  const close = [() => rmSync(folder, { recursive: true, force: true })];
  try {
    const dist = join(folder, 'dist');
    compressed(dist);
    const site = await serveSite(ROOT, folder, dist);
    close.push(site.close);
    const slow = await line(Number(new URL(site.address).port), { rate: RATE, delay: DELAY });
    close.push(slow.close);
    const first = [];
    const later = [];
    for (let k = 0; k < rounds; k++) {
      const context = await browser.newContext();
      const page = await context.newPage();
      slow.taken();
      await page.goto(slow.address);
      await usable(page);
      const needed = slow.taken();
      const shown = await times(page);
      // Until the browser has put everything by.
      await page.evaluate(() => navigator.serviceWorker.ready);
      await page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated', null, { timeout: 60_000 });
      await page.waitForTimeout(500);
      first.push({ ...shown, needed: needed.down, all: needed.down + slow.taken().down });
      await page.close();

      const again = await context.newPage();
      slow.taken();
      await again.goto(slow.address);
      await usable(again);
      const taken = await times(again);
      await again.waitForTimeout(1500); // the browser looks for a new version
      const { down, asked } = slow.taken();
      const parts = asked.filter((text) => !/ \/sw\.js$/.test(text));
      later.push({ ...taken, down, parts: parts.length });
      if (parts.length > 0) console.log(`  a later visit asked for ${parts.join(', ')}`);
      await context.close();
    }
    const of = (list, name) => list.map((visit) => visit[name]);
    const mb = (bytes) => `${(Math.max(...bytes) / MB).toFixed(3)} MB`;
    console.log(`\nOver a line of 10 Mbit/s, 20 ms each way, brotli 11, headers counted; ${rounds} first and ${rounds} later visits.`);
    table([
      ['First visit, until it can be used', mb(of(first, 'needed')), bar(Math.max(...of(first, 'needed')) < 1.5 * MB, 'under 1.5 MB')],
      ['  with what is put by for later', mb(of(first, 'all')), bar(Math.max(...of(first, 'all')) < 1.5 * MB, 'under 1.5 MB')],
      ['  first paint', `${spread(of(first, 'paint'))} ms`, ''],
      ['  navigation to ready', `${spread(of(first, 'ready'))} ms`, bar(median(of(first, 'ready')) < 3000, 'under 3 s')],
      ['Later visit, requests for parts of the site', String(Math.max(...of(later, 'parts'))), bar(Math.max(...of(later, 'parts')) === 0, 'none')],
      ['  bytes of the browser\'s question for a new version', spread(of(later, 'down')), ''],
      ['  first paint', `${spread(of(later, 'paint'))} ms`, ''],
      ['  navigation to ready', `${spread(of(later, 'ready'))} ms`, bar(median(of(later, 'ready')) < 1000, 'under 1 s')],
    ]);
  } finally {
    for (const end of close.reverse()) await end();
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values } = parseArgs({ options: { rounds: { type: 'string', default: '5' } } });
  if (!existsSync(join(DIST, 'index.html'))) throw new Error('web/dist has no site: run make build first');
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--disable-gpu', '--disable-quic', '--no-first-run', '--disable-component-update', '--disable-sync'],
  });
  try {
    await loading(browser, Number(values.rounds));
  } finally {
    await browser.close();
  }
}
