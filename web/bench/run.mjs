// The benchmark: one log of 100 MB through the real site and through four
// other ways in the same browser, turn and turn about in random order, and
// through pandas where there is one. `node run.mjs [--rounds 5] [--papa 3]
// [--small 7]`. A figure that is wrong ends it; a bar that is missed is
// printed as SHORT and does not.
import { existsSync } from 'node:fs';
import { cpus, loadavg } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { chromium } from 'playwright-core';
import { loading } from './load.mjs';
import { log, LOGS } from './log.mjs';
import { agree, agreePrinted, bar, median, spread, table } from './report.mjs';
import { findPandas, rival, RIVALS } from './rivals.mjs';
import { serve } from './serve.mjs';
import { figures, serveSite, site } from './site.mjs';
import { sizes } from './sizes.mjs';

const HERE = fileURLToPath(new URL('.', import.meta.url));
const ROOT = join(HERE, '..', '..');
const DIST = join(ROOT, 'web', 'dist');
const DATA = join(HERE, 'data');
const MB = 1e6;
const NUMERIC_COLUMNS = 4;

const { values } = parseArgs({
  options: {
    rounds: { type: 'string', default: '5' },
    papa: { type: 'string', default: '3' },
    small: { type: 'string', default: '7' },
  },
});
const rounds = Number(values.rounds);
const papaRounds = Math.min(rounds, Number(values.papa));

if (!existsSync(join(DIST, 'index.html'))) throw new Error('web/dist has no site: run make build first');
const big = log(DATA, LOGS.big);
const small = log(DATA, LOGS.small);
const clock = log(DATA, LOGS.clock);
const pandas = await findPandas(join(HERE, 'native.py'));
const closing = [];
try {
  await main();
} finally {
  for (const close of closing.reverse()) await close();
}

async function main() {
  const ours = await serveSite(ROOT, DATA);
  closing.push(ours.close);
  const theirs = await serve(HERE);
  closing.push(theirs.close);
  const browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--disable-gpu', '--disable-quic', '--no-first-run', '--disable-component-update', '--disable-sync'],
  });
  closing.push(() => browser.close());
  console.log(`Chromium ${browser.version()}, Node ${process.versions.node}, ${cpus().length} cores, ` +
    `load ${loadavg()[0].toFixed(2)} at the start; ${pandas ? pandas.versions : 'no Python with pandas here: that row is left out'}`);
  console.log(`Log: ${big.rows} rows, ${(big.bytes / MB).toFixed(1)} MB, ${big.charge} Ah, ${big.energy} Wh (exact, in whole numbers)`);

  const runs = { site: [], ...Object.fromEntries(Object.keys(RIVALS).map((m) => [m, []])), pandas: [] };
  const turn = async (method) => {
    if (method === 'site') {
      const run = await site(browser, ours.address, big.path);
      agreePrinted('the site', figures(run.csv), big);
      runs.site.push({ ...run, ms: run.row });
      return;
    }
    const run = method === 'pandas' ? await pandas.run(big.path) : await rival(browser, theirs.address, method, big.path);
    if (method === 'read') agree('reading', { ...run, charge: big.charge, energy: big.energy }, big);
    else agree(method, run, big);
    runs[method].push(run);
  };

  await rival(browser, theirs.address, 'read', big.path); // brings the file into memory; not counted
  for (let round = 0; round < rounds; round++) {
    const methods = ['site', 'read', 'scan', 'duckdb'];
    if (round < papaRounds) methods.push('papa');
    if (pandas) methods.push('pandas');
    for (const method of shuffled(methods)) await turn(method);
    console.log(`round ${round + 1} of ${rounds} done; all figures agree`);
  }
  const clocks = [];
  for (let k = 0; k < papaRounds; k++) {
    const run = await site(browser, ours.address, clock.path);
    agreePrinted('the site, clock', figures(run.csv), clock);
    clocks.push(run);
  }
  const drops = [];
  for (let k = 0; k < Number(values.small); k++) {
    const run = await site(browser, ours.address, small.path);
    agreePrinted('the site, 5000 rows', figures(run.csv), small);
    drops.push(run);
  }
  speed(runs);
  rest(runs.site, drops, clocks);
  await loading(browser, rounds);
}

/** Prints MB/s of each method, its ratio to ours, and the bars. */
function speed(runs) {
  const rate = (list) => list.map((r) => big.bytes / MB / (r.ms / 1000));
  const own = median(rate(runs.site));
  const least = { papa: 8, duckdb: 1, pandas: 1, scan: 0.7 };
  const names = { site: 'Plateau, drop to results', ...RIVALS, pandas: 'pandas + numpy, native' };
  const rows = [['', 'MB/s, median (min..max)', 'rounds', 'Plateau is', 'bar']];
  for (const [method, list] of Object.entries(runs)) {
    if (list.length === 0) continue;
    const ratio = own / median(rate(list));
    const wanted = least[method];
    rows.push([names[method], spread(rate(list)), String(list.length), method === 'site' ? '' : `${ratio.toFixed(2)} x`,
      wanted ? bar(ratio >= wanted, `at least ${wanted} x`) : '']);
  }
  console.log(`\nEach run in a fresh page of the same browser; all give the same Ah and Wh (1e-9; the site to its printed digits).`);
  table(rows);
  if (!pandas) console.log('  pandas + numpy: not measured, no Python with pandas on this machine');
}

/** Prints memory, times and sizes with their bars. */
function rest(runs, drops, clocks) {
  const of = (list, name) => list.map((r) => r[name]);
  const memory = Math.max(...of(runs, 'memory'));
  const limit = 2 * big.rows * NUMERIC_COLUMNS * 8 + 32 * MB;
  const task = Math.max(...of(runs, 'task'));
  const taskToCurve = Math.max(...of(runs, 'taskToCurve'));
  const dropped = of(drops, 'curve');
  const { wasm, all, one } = sizes(DIST);
  const mb = (bytes) => `${(bytes / MB).toFixed(2)} MB`;
  const tasks = (ms) => (ms > 0 ? `${ms.toFixed(0)} ms` : 'none of 50 ms or more');
  console.log();
  table([
    ['Engine memory after the 100 MB log', mb(memory), bar(memory <= limit, `at most ${mb(limit)}`)],
    [`Semicolons, decimal commas, h:mm:ss,fff (${(clock.bytes / MB).toFixed(0)} MB)`,
      `${spread(clocks.map((r) => clock.bytes / MB / (r.row / 1000)))} MB/s`, ''],
    ['  engine memory after it', mb(Math.max(...of(clocks, 'memory'))),
      bar(Math.max(...of(clocks, 'memory')) <= 3 * clock.rows * NUMERIC_COLUMNS * 8, `at most ${mb(3 * clock.rows * NUMERIC_COLUMNS * 8)}`)],
    ['Longest page task, drop to results', tasks(task), bar(task <= 50, 'at most 50 ms')],
    ['  and on to the curve', tasks(taskToCurve), ''],
    ['  longest gap of a 4 ms timer, to results', `${spread(of(runs, 'gap'))} ms`, ''],
    ['  longest gap of a 4 ms timer, to the curve', `${spread(of(runs, 'gapToCurve'))} ms`, ''],
    ['Drop to curve, 100 MB', `${spread(of(runs, 'curve'))} ms`, ''],
    [`Drop to first curve, ${small.rows} rows`, `${spread(dropped)} ms`, bar(median(dropped) <= 200, 'at most 200 ms')],
    ['  drop to results', `${spread(of(drops, 'row'))} ms`, ''],
    ['Navigation to engine ready', `${spread(of([...runs, ...drops], 'engine'))} ms`, ''],
    ['  to page usable as well', `${spread(of([...runs, ...drops], 'usable'))} ms`, ''],
    ['WASM, raw', mb(wasm.raw), ''],
    ['WASM, brotli 11', mb(wasm.brotli), bar(wasm.brotli <= 1.2 * MB, 'at most 1.20 MB')],
    [`Whole site, raw, ${all.files} files`, mb(all.raw), ''],
    ['Whole site, brotli 11', mb(all.brotli), ''],
    ['The site as one file', mb(one), bar(one < 3 * MB, 'under 3 MB')],
  ]);
}

/** The same items in random order (Fisher and Yates). */
function shuffled(items) {
  for (let k = items.length - 1; k > 0; k--) {
    const j = Math.floor(Math.random() * (k + 1));
    [items[k], items[j]] = [items[j], items[k]];
  }
  return items;
}
