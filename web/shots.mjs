// Pictures of the page in all its states, to be looked at: light, dark and as
// printed, at four widths.
//
//   node shots.mjs [--out FOLDER] [--only WORDS]
//
// --only takes those whose name has all of the words: --only "demo dark 390".

import { mkdirSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { open } from './e2e/harness.mjs';
import { dialogs, inDialog, panels, states } from './e2e/states.mjs';
import { top } from './build/go.mjs';

const { values: given } = parseArgs({
  options: {
    out: { type: 'string', default: join(top, '.build', 'shots') },
    only: { type: 'string', default: '' },
  },
});
const out = resolve(given.out);
const words = given.only.split(' ').filter(Boolean);
const SIZES = [[390, 844], [768, 1024], [1440, 900], [3840, 2160]];
// Taller ones are made in pieces, since the browser draws no more at once.
const TALLEST = 8000;
let taken = 0;

rmSync(out, { recursive: true, force: true });
mkdirSync(out, { recursive: true });
const site = await open();
try {
  for (const [name, into] of Object.entries(states)) await shots(name, into);
  for (const name of Object.keys(dialogs)) {
    await shots(`dialog ${name}`, async (page) => {
      await states['one log'](page);
      await inDialog(page, name);
    });
  }
  for (const [name, into] of Object.entries(panels)) {
    await shots(`dialog ${name}`, async (page) => {
      await states['one log'](page);
      await into(page);
    });
  }
  await shots('demo German', async (page) => {
    await page.goto(`${site.address}de.html`);
    await page.waitForFunction(() => !document.querySelector('#demo').disabled);
    await states.demo(page);
  });
  for (const path of ['guide.html', 'nowhere']) await shots(path.replace('.html', ''), (page) => page.goto(site.address + path));
} finally {
  await site.close();
}
console.log(`${taken} pictures in ${out}`);

async function shots(state, into) {
  const wanted = [];
  for (const [width, height] of SIZES) {
    for (const look of ['light', 'dark', 'print']) {
      // Paper has one width.
      if (look === 'print' && (width !== 768 || state.startsWith('dialog'))) continue;
      const name = `${state} ${look} ${width}`.replaceAll(' ', '-');
      if (words.every((word) => name.includes(word))) wanted.push({ name, look, width, height });
    }
  }
  if (wanted.length === 0) return;
  const { page, close } = await site.page({ viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' });
  await into(page);
  for (const { name, look, width, height } of wanted) {
    await page.setViewportSize({ width, height });
    await page.emulateMedia(look === 'print' ? { media: 'print', colorScheme: 'light' } : { media: 'screen', colorScheme: look });
    // What the page does before it is printed, the chart among it.
    if (look === 'print') await page.evaluate(() => window.dispatchEvent(new Event('beforeprint')));
    await page.evaluate(() => {
      window.scrollTo(0, 0); // where the head is
      const panel = document.querySelector(':popover-open');
      const opened = panel && [...document.querySelectorAll(`[popovertarget="${panel.id}"]`)].find((one) => one.checkVisibility());
      opened?.scrollIntoView({ block: 'center' });
    });
    await page.waitForTimeout(400);
    const { tall, wide } = await page.evaluate(() => ({ tall: document.documentElement.scrollHeight, wide: document.documentElement.scrollWidth }));
    const whole = state.startsWith('dialog') ? height : Math.max(height, tall);
    for (let y = 0, piece = 1; y < whole; y += TALLEST, piece += 1) {
      const path = join(out, `${name}${whole > TALLEST ? `-${piece}` : ''}.png`);
      await page.screenshot({ path, fullPage: whole > height, clip: { x: 0, y, width: Math.max(width, wide), height: Math.min(TALLEST, whole - y) } });
      taken += 1;
    }
    if (look === 'print') await page.evaluate(() => window.dispatchEvent(new Event('afterprint')));
  }
  await close();
}
