// A Firefox of the tests' own, spoken to by WebDriver BiDi.

import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import puppeteer from 'puppeteer-core';

const web = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const START_MS = 60_000;

/** @returns {{path: string} | {why: string}} where there is a Firefox, or why there is none */
export function found() {
  const { status, stdout, stderr } = spawnSync('sh', [join(web, 'browser.sh'), 'firefox'], { encoding: 'utf8' });
  return status === 0 ? { path: stdout.trim() } : { why: stderr.trim().split('\n').at(-1) };
}

/**
 * Launches it with a home and a profile of its own.
 * @returns {Promise<{page: (address: string) => Promise<{page: import('puppeteer-core').Page,
 *   errors: string[], requests: string[], close: () => Promise<void>}>,
 *   saved: (name: RegExp) => Promise<Buffer>, version: () => Promise<string>,
 *   close: () => Promise<void>}>} page: one in a context of its own, at an
 *   address, with the Go program started; saved: a file that it saved
 */
export async function launch(path) {
  const home = mkdtempSync(join(tmpdir(), 'plateau-firefox-'));
  const downloads = join(home, 'saved');
  let browser;
  const close = async () => {
    await browser?.close();
    rmSync(home, { recursive: true, force: true, maxRetries: 5 });
  };
  try {
    browser = await puppeteer.launch({
      browser: 'firefox',
      executablePath: path,
      headless: true,
      env: { ...process.env, HOME: home, TMPDIR: home },
      extraPrefsFirefox: {
        'browser.download.folderList': 2,
        'browser.download.dir': downloads,
        'browser.download.useDownloadDir': true,
        'browser.download.always_ask_before_handling_new_types': false,
      },
      timeout: START_MS,
    });
  } catch (error) {
    await close();
    throw error;
  }
  return {
    version: () => browser.version(),
    page: (address) => visit(browser, address),
    async saved(name) {
      for (const end = Date.now() + 20_000; Date.now() < end; await new Promise((resolve) => setTimeout(resolve, 100))) {
        const files = existsSync(downloads) ? readdirSync(downloads) : [];
        const one = files.find((file) => name.test(file));
        // While it is being written it stands beside its .part.
        if (!one || files.includes(`${one}.part`)) continue;
        const bytes = readFileSync(join(downloads, one));
        if (bytes.length > 0) return bytes;
      }
      throw new Error(`nothing like ${name} was saved`);
    },
    close,
  };
}

async function visit(browser, address) {
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  const errors = [];
  const requests = [];
  page.on('console', (message) => {
    if (['error', 'warn'].includes(message.type())) errors.push(message.text());
  });
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('request', (request) => requests.push(request.url()));
  await page.setViewport({ width: 1300, height: 1000 });
  await page.goto(address);
  await ready(page);
  return { page, errors, requests, close: () => context.close() };
}

export const ready = (page) => page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0, { timeout: START_MS });

/** Drops files on the page by the events that a real drop makes. */
export function drop(page, files) {
  return page.evaluate(
    (list) => {
      const dataTransfer = new DataTransfer();
      for (const [name, text] of list) dataTransfer.items.add(new File([text], name));
      for (const type of ['dragenter', 'dragover', 'drop']) {
        document.body.dispatchEvent(new DragEvent(type, { dataTransfer, bubbles: true, cancelable: true }));
      }
    },
    files.map(({ name, buffer }) => [name, buffer.toString()]),
  );
}
