// Whether the curves of the demo are told apart by people who see fewer colours:
// the chart is taken as the browser shows it to them, curve by curve. The
// browser's emulation is another one than that of style/tokens.test.mjs.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { PNG } from 'pngjs';
import { linear, oklab } from '../style/oklab.mjs';
import { open } from './harness.mjs';
import { states } from './states.mjs';

const COLOURS = 8; // before they come again, with another dash
const VISIONS = ['none', 'protanopia', 'deuteranopia', 'tritanopia'];
// In OKLab, about five times what is just told apart side by side; the palette
// was searched for the same, see style/tokens.test.mjs.
const APART = 0.1;

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

/** The colours of a picture in OKLab, with how often each is there and in which columns; the most frequent first. */
function coloursIn({ width, data }) {
  const all = new Map();
  for (let at = 0; at < data.length; at += 4) {
    const key = (data[at] << 16) | (data[at + 1] << 8) | data[at + 2];
    let one = all.get(key);
    if (!one) all.set(key, (one = { n: 0, columns: new Set() }));
    one.n += 1;
    one.columns.add((at / 4) % width);
  }
  return [...all].sort(([, a], [, b]) => b.n - a.n).map(([key, one]) => ({ ...one, lab: oklab([key >> 16, (key >> 8) & 255, key & 255].map((c) => linear(c / 255))) }));
}

/** The colour of the one curve in a picture, and the share of the columns within it that it leaves out. */
function curveIn(picture) {
  const [ground, ...others] = coloursIn(picture);
  // The lines of the grid are nearer to the ground than this, no curve is.
  const drawn = others.filter(({ lab }) => distance(lab, ground.lab) > 0.2);
  assert.ok(drawn.length > 0 && drawn[0].n > 300, `the curve is in the picture: ${drawn[0]?.n} pixels`);
  const far = distance(drawn[0].lab, ground.lab) / 2;
  const columns = new Set(drawn.filter(({ lab }) => distance(lab, ground.lab) > far).flatMap((one) => [...one.columns]));
  const list = [...columns];
  return { lab: drawn[0].lab, gaps: 1 - columns.size / (Math.max(...list) - Math.min(...list) + 1) };
}

const distance = (a, b) => Math.hypot(...a.map((x, i) => x - b[i]));

for (const colorScheme of ['light', 'dark']) {
  test(`${colorScheme}: the first eight curves are told apart by colour, with every vision; the ninth by its dashes`, async (t) => {
    const { page, close } = await site.page({ colorScheme, deviceScaleFactor: 2, viewport: { width: 1000, height: 800 }, reducedMotion: 'reduce' });
    const debug = await page.context().newCDPSession(page);
    await states.demo(page);
    await page.evaluate(() => {
      const { chart } = window.plateau;
      const draw = chart.draw;
      chart.draw = (curves, ...more) => {
        window.drawn = curves.series.map(({ name }) => name);
        return draw.call(chart, curves, ...more);
      };
    });
    const shows = (list) => page.waitForFunction((want) => JSON.stringify(window.drawn) === want, JSON.stringify(list));
    const boxes = page.locator('#legend-rows input');
    const names = await page.locator('#legend-rows th').allTextContents();
    for (let k = await boxes.count() - 1; k >= 0; k -= 1) await boxes.nth(k).uncheck();
    const taken = async (vision, clip) => {
      await debug.send('Emulation.setEmulatedVisionDeficiency', { type: vision });
      return curveIn(PNG.sync.read(await page.screenshot({ clip })));
    };
    const curves = [];
    for (let k = 0; k <= COLOURS; k += 1) {
      await boxes.nth(k).check();
      await shows([names[k].trim()]);
      // Ticking a box may have moved the page. Inside the frame there is no axis.
      const box = await page.locator('#chart').evaluate((chart) => {
        chart.scrollIntoView({ block: 'start' });
        const { x, y, width, height } = chart.getBoundingClientRect();
        return { x, y, width, height };
      });
      const clip = { x: box.x + 60, y: box.y + 24, width: box.width - 80, height: box.height - 124 };
      await page.mouse.move(0, 0);
      await page.waitForTimeout(200);
      const seen = {};
      for (const vision of VISIONS) seen[vision] = await taken(vision, clip);
      curves.push(seen);
      await boxes.nth(k).uncheck();
    }
    await close();
    for (const vision of VISIONS) {
      const read = curves.map((seen) => seen[vision]);
      const near = [];
      let least = Infinity;
      for (let i = 0; i < COLOURS; i += 1) {
        assert.ok(read[i].gaps < 0.02, `${names[i]} is drawn without dashes: ${read[i].gaps}`);
        for (let j = i + 1; j < COLOURS; j += 1) {
          const apart = distance(read[i].lab, read[j].lab);
          least = Math.min(least, apart);
          if (apart < APART) near.push(`${names[i]} and ${names[j]}: ${apart.toFixed(3)}`);
        }
      }
      t.diagnostic(`${colorScheme}, ${vision}: at least ${least.toFixed(3)} apart; gaps of the ninth ${(100 * read[COLOURS].gaps).toFixed(0)} %`);
      assert.deepEqual(near, [], `${vision}: by colour alone, since all eight are drawn without dashes`);
      assert.ok(distance(read[0].lab, read[COLOURS].lab) < 0.02, 'the ninth has the first one’s colour');
      assert.ok(read[COLOURS].gaps > 0.1, `${names[COLOURS]} is drawn with dashes: ${read[COLOURS].gaps}`);
      if (vision === 'none') continue;
      const changed = curves.filter((seen) => distance(seen.none.lab, seen[vision].lab) > 0.02).length;
      assert.ok(changed >= COLOURS / 2, `${vision} changes what is seen: ${changed} of ${curves.length}`);
    }
  });
}
