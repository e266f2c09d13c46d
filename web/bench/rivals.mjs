// The other ways to read the log: four pages in the browser, and pandas beside
// it where this machine has it.
import { execFile } from 'node:child_process';
import { promisify } from 'node:util';

const exec = promisify(execFile);

export const RIVALS = {
  read: 'reading the file, nothing else',
  scan: 'hand-written byte scanner',
  duckdb: 'DuckDB-WASM, read_csv + window',
  papa: 'papaparse in a worker + loop',
};

/** Runs one rival on a log in a fresh page; answers { ms, bytes, rows, charge, energy }. */
export async function rival(browser, address, method, path) {
  const context = await browser.newContext();
  try {
    const page = await context.newPage();
    const broken = new Promise((_, reject) => page.on('pageerror', reject));
    broken.catch(() => {});
    await page.goto(`${address}?method=${method}`);
    await page.waitForFunction(() => window.bench);
    await Promise.race([page.evaluate(() => window.bench.ready), broken]);
    await page.setInputFiles('#file', path);
    return await Promise.race([page.evaluate(() => window.bench.run()), broken, late(method)]);
  } finally {
    await context.close();
  }
}

/** Rejects after three minutes. */
export function late(what) {
  return new Promise((_, reject) => {
    setTimeout(() => reject(new Error(`${what}: no answer within three minutes`)), 180_000).unref();
  });
}

/** Finds a Python that has pandas: { run(path), versions }, or null. */
export async function findPandas(script) {
  for (const python of ['python3', '/usr/bin/python3']) {
    try {
      const { stdout } = await exec(python, [script, '--version']);
      return {
        versions: stdout.trim(),
        run: async (path) => JSON.parse((await exec(python, [script, path])).stdout),
      };
    } catch {
      // this one is absent or has no pandas: try the next
    }
  }
  return null;
}
