// The real site: built, served by its own server, and measured in its own page.
import { execFile, spawn } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { promisify } from 'node:util';
import { late } from './rivals.mjs';

const exec = promisify(execFile);
const WATCH = new URL('page/watch.js', import.meta.url).pathname;

/** Builds and starts web/serve on a free port; answers { address, close }. */
export async function serveSite(root, scratch, dist = join(root, 'web', 'dist')) {
  const program = join(scratch, 'serve');
  await exec('go', ['build', '-o', program, './web/serve'], { cwd: root });
  const server = spawn(program, ['-dir', dist, '-port', '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  for await (const line of createInterface(server.stdout)) {
    const address = line.match(/http:\/\/[\w.:[\]]+\//)?.[0];
    if (address) return { address, close: () => server.kill() };
  }
  throw new Error('the site\'s server ended before it said where it is');
}

/**
 * Opens the site in a fresh profile, drops a log on it and waits for row and
 * curve. Answers times in ms: engine and usable from navigation; row, curve
 * from the drop; task, gap (longest of each up to the row), taskToCurve,
 * gapToCurve; memory of the engine in bytes; csv, the downloaded results.
 */
export async function site(browser, address, path) {
  const context = await browser.newContext();
  try {
    const page = await context.newPage();
    const broken = new Promise((_, reject) => page.on('pageerror', reject));
    broken.catch(() => {});
    return await Promise.race([measure(page, address, path), broken, late('the site')]);
  } finally {
    await context.close();
  }
}

async function measure(page, address, path) {
  await page.addInitScript({ path: WATCH });
  await page.goto(address);
  await page.waitForFunction(() => window.benchWatch.engine && window.benchWatch.usable);
  await page.waitForLoadState('networkidle');
  const started = await page.evaluate(() => {
    const input = document.createElement('input');
    input.type = 'file';
    input.id = 'bench-file';
    document.body.append(input);
    const { engine, usable } = window.benchWatch;
    return { engine, usable };
  });
  await page.setInputFiles('#bench-file', path);
  const times = await page.evaluate(() => window.benchDrop(document.querySelector('#bench-file')));
  const rows = await page.locator('#results-rows tr').count();
  if (rows !== 1) throw new Error(`the site shows ${rows} discharges where the log has one`);
  const memory = Math.max(...await Promise.all(
    page.workers().map((w) => w.evaluate(() => self.plateauMemory?.() ?? 0))));
  if (!(memory > 0)) throw new Error('the engine does not tell its memory (plateauMemory)');
  const [download] = await Promise.all([page.waitForEvent('download'), page.click('#download')]);
  return { ...started, ...times, memory, csv: await readFile(await download.path(), 'utf8') };
}

/** Takes the one discharge's figures, as text, out of the downloaded results. */
export function figures(csv) {
  const [head, ...lines] = csv.replace(/^\uFEFF/, '').trim().split(/\r?\n/).map((l) => l.split(','));
  if (lines.length !== 1) throw new Error(`the downloaded results have ${lines.length} rows where one was expected`);
  const at = (name) => {
    const k = head.indexOf(name);
    if (k < 0) throw new Error(`the downloaded results have no column ${name}`);
    return lines[0][k];
  };
  return { charge: at('capacity_Ah'), energy: at('energy_Wh') };
}
