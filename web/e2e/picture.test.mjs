// Pictures to publish: drawn on the real page, under its policy, and read by
// programs that are not ours.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { open } from './harness.mjs';
import { curves, draw, HOSTILE, points } from './picture/charts.mjs';
import { bytes, count, decoded, difference, rendered } from './picture/read.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const [light, dark] = readFileSync(join(here, '..', 'style', 'tokens.css'), 'utf8').split('@media (prefers-color-scheme: dark)')
  .map((block) => Object.fromEntries([...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map((m) => [m[1], m[2]])));
const four = ['Alder', 'Birch', 'Cedar', 'Dogwood'];

let site;
let visit;
before(async () => {
  site = await open();
  visit = await site.page({ colorScheme: 'dark' });
});
after(async () => {
  await visit?.close();
  await site?.close();
});

// Above this the picture has no key yet.
const plotBottom = (svg, height) => {
  const [, , , down] = /viewBox="([^"]+)"/.exec(svg)[1].split(' ').map(Number);
  const [, top] = /<g transform="translate\(0 ([\d.]+)\)"/.exec(svg);
  const [, plot] = /<g transform="translate\(0 [\d.]+\)"[^]*?<rect width="[\d.]+" height="([\d.]+)"/.exec(svg);
  return ((Number(top) + Number(plot)) / down) * height;
};

// Places inside the shapes of points, off their bars and lines, as shares of the
// picture.
function symbols(svg) {
  const [, , across, down] = /viewBox="([^"]+)"/.exec(svg)[1].split(' ').map(Number);
  const [, top] = /<g transform="translate\(0 ([\d.]+)\)"/.exec(svg);
  return [...svg.matchAll(/transform="matrix\([^)]*,([\d.]+),([\d.]+)\)" fill="(#[0-9a-f]{6})"/g)]
    .map(([, x, y, colour]) => ({ x: (Number(x) + 1.1) / across, y: (Number(top) + Number(y) + 1.3) / down, colour }));
}

const close = (pixel, colour) => bytes(colour).every((value, i) => Math.abs(value - pixel[i]) < 12);

const at = ({ width, data }, x, y) => [...data.subarray(4 * (y * width + x), 4 * (y * width + x) + 4)];

for (const [what, made] of [['four curves', curves(four)], ['four cells in points', points(four)], ['four cells on logarithmic axes', points(four, true)]]) {
  for (const [width, scale] of [[800, 1], [800, 2], [390, 2], [2400, 1]]) {
    test(`${what}, ${width} px at ${scale}x`, async () => {
      const { page, errors } = visit;
      const { svg, error } = await draw(page, made, { format: 'svg', width });
      assert.equal(error, undefined);
      const { png, type } = await draw(page, made, { format: 'png', width, scale });
      assert.equal(type, 'image/png');
      const picture = decoded(png);
      assert.equal(picture.width, width * scale);
      assert.equal(picture.height, Number(/ height="(\d+)"/.exec(svg)[1]) * scale);
      const other = rendered(svg, width * scale);
      assert.equal(other.height, picture.height);
      for (const one of [picture, other]) {
        // Light, though the page is dark.
        for (const [x, y] of [[0, 0], [one.width - 1, one.height - 1]]) assert.deepEqual(at(one, x, y), [255, 255, 255, 255]);
        const bottom = plotBottom(svg, one.height);
        for (let k = 0; k < 4; k += 1) {
          const inPlot = count(one, light[`curve-${k}`], { bottom });
          assert.ok(inPlot > 0.3 * one.width, `curve ${k}: ${inPlot} pixels`);
          assert.ok(count(one, light[`curve-${k}`], { top: bottom }) > 10, `curve ${k} has a swatch in the key`);
        }
      }
      if (made.key === 'compared') {
        const shapes = symbols(svg);
        assert.equal(shapes.length, 20, 'a shape for each point');
        for (const one of [picture, other]) {
          for (const { x, y, colour } of shapes) assert.ok(close(at(one, Math.floor(x * one.width), Math.floor(y * one.height)), colour), `${colour} at ${x}, ${y}`);
        }
      }
      // Letters may differ; axes, curves and points do not.
      const differ = difference(picture, other);
      assert.ok(differ < 0.03, `${(100 * differ).toFixed(1)} % of the pixels differ between two renderers`);
      assert.deepEqual(errors, []);
    });
  }
}

test('twenty curves have all colours and dashes', async () => {
  const names = Array.from({ length: 20 }, (_, k) => `Cell ${k + 1}, ${k}.00 A`);
  const { svg } = await draw(visit.page, curves(names, 2000), { width: 1200 });
  const other = rendered(svg, 1200);
  for (let k = 0; k < 8; k += 1) assert.ok(count(other, light[`curve-${k}`], { bottom: plotBottom(svg, other.height) }) > 500);
  for (const name of names) assert.ok(svg.includes(`>${name}</text>`), name);
  assert.ok(/stroke-dasharray="9,4"/.test(svg) && /stroke-dasharray="3,3"/.test(svg));
  assert.ok(svg.length < 400_000, `${svg.length} bytes`);
});

test('as the browser sets them, no two texts of a picture overlap', async () => {
  const context = await site.browser.newContext({ serviceWorkers: 'block', viewport: { width: 2500, height: 1200 } });
  const page = await context.newPage();
  const long = Array.from({ length: 12 }, (_, k) => `Cell ${k} of the second lot, measured at ${k + 1}.00 A after a rest`);
  for (const names of [four, long, HOSTILE]) {
    for (const made of [curves(names), points(names), points(names, true)]) {
      for (const width of [390, 800, 2400]) {
        const { svg } = await draw(visit.page, made, { width, title: long.join(' '), source: long.join(' ') });
        await page.setContent(`<!doctype html>${svg}`);
        const { texts, edge } = await page.evaluate(() => {
          const box = (element) => (({ left, right, top, bottom, height }) => ({ left, right, top, bottom, height }))(element.getBoundingClientRect());
          return { edge: box(document.querySelector('svg')), texts: [...document.querySelectorAll('svg text')].map((t) => ({ text: t.textContent, ...box(t) })) };
        });
        assert.ok(texts.length > 10);
        texts.forEach((a, i) => {
          assert.ok(a.left >= edge.left && a.right <= edge.right + 0.5 && a.bottom <= edge.bottom, `${width} px: ${JSON.stringify(a)} in ${JSON.stringify(edge)}`);
          for (const b of texts.slice(i + 1)) {
            // A line's box has room above and below its letters.
            const slack = 0.2 * Math.min(a.height, b.height);
            const over = Math.min(a.right, b.right) - Math.max(a.left, b.left) > 0.5 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > slack;
            assert.ok(!over, `${width} px: ${JSON.stringify(a)} on ${JSON.stringify(b)}`);
          }
        });
      }
    }
  }
  await context.close();
});

test('a picture is dark where that is asked for', async () => {
  const lit = await site.page({ colorScheme: 'light' });
  for (const page of [visit.page, lit.page]) {
    const { png } = await draw(page, curves(four), { format: 'png', width: 800, dark: true });
    const picture = decoded(png);
    assert.deepEqual(at(picture, 0, 0).slice(0, 3), bytes(dark.sheet));
    for (let k = 0; k < 4; k += 1) assert.ok(count(picture, dark[`curve-${k}`]) > 240);
  }
  await lit.close();
});

test('what is drawn on the page becomes pictures and one archive, and nothing is asked for', async () => {
  const { page, errors, requests, close } = await site.page();
  assert.match((await draw(page, 'curves', {})).error, /nothing drawn/);
  await page.click('#demo');
  await page.waitForFunction(() => document.querySelectorAll('#results-rows tr').length >= 6);
  await page.waitForFunction(() => performance.getEntriesByName('plateau:drawn').length > 0);
  await page.locator('#compare').scrollIntoViewIfNeeded();
  await page.waitForFunction(() => performance.getEntriesByName('plateau:points').length > 0);
  await page.waitForTimeout(300);
  const asked = requests.length;
  const source = 'Made with Plateau, 2026-11-25; logs\' SHA-256 in the post';
  const members = [];
  for (const chart of ['curves', 'points']) {
    const { svg, error } = await draw(page, chart, { width: 1200, source });
    assert.equal(error, undefined);
    assert.ok(svg.includes('logs&#39; SHA-256 in the post'));
    assert.ok(svg.includes('Alder'));
    members.push([`${chart}.svg`, Buffer.from(svg)]);
    const { png } = await draw(page, chart, { format: 'png', width: 1200, scale: 2, source });
    assert.equal(decoded(png).width, 2400);
    members.push([`${chart} größer, 2×.png`, png]);
  }
  members.push(['../../</script>\u202egnp.exe', Buffer.from('x')], ['CURVES.svg', Buffer.from('y')]);
  const base64 = await page.evaluate(async (list) => {
    const files = list.map(([name, text]) => ({ name, blob: new Blob([Uint8Array.from(atob(text), (c) => c.codePointAt(0))]) }));
    const zip = await window.plateau.chart.zip(files);
    const reader = new FileReader();
    await new Promise((done) => {
      reader.onload = done;
      reader.readAsDataURL(zip);
    });
    return reader.result.split(',')[1];
  }, members.map(([name, body]) => [name, body.toString('base64')]));
  const folder = mkdtempSync(join(tmpdir(), 'plateau-'));
  try {
    writeFileSync(join(folder, 'pictures.zip'), Buffer.from(base64, 'base64'));
    const list = JSON.parse(execFileSync('go', ['run', './web/e2e/picture/unzip', join(folder, 'pictures.zip')], { cwd: join(here, '..', '..'), encoding: 'utf8' }));
    assert.deepEqual(list.map(({ name }) => name), [...members.slice(0, 4).map(([name]) => name), '-..---script-gnp.exe', 'CURVES 2.svg']);
    list.forEach((one, k) => {
      assert.equal(one.size, members[k][1].length);
      assert.equal(one.sha256, createHash('sha256').update(members[k][1]).digest('hex'));
      assert.equal(one.notUTF8, false);
    });
  } finally {
    rmSync(folder, { recursive: true });
  }
  assert.deepEqual(requests.slice(asked).filter((address) => !address.startsWith('blob:')), [], 'nothing was asked for');
  assert.deepEqual(errors, []);
  await close();
});

test('hostile names do nothing, in the file by itself and in the midst of a page', async () => {
  const evil = HOSTILE[0] + HOSTILE[1];
  for (const made of [curves(HOSTILE), points(HOSTILE)]) {
    const words = { title: evil, source: evil, alt: evil, note: evil };
    const { svg, error } = await draw(visit.page, made, { width: 800, ...words });
    assert.equal(error, undefined);
    const { png } = await draw(visit.page, made, { format: 'png', width: 800, ...words });
    const picture = decoded(png);
    const whole = [picture, rendered(svg, 800)];
    for (const one of whole) for (let k = 0; k < HOSTILE.length; k += 1) assert.ok(count(one, light[`curve-${k}`], { bottom: plotBottom(svg, one.height) }) > 240, `curve ${k}`);

    // A browser without the site's policy, where script would run.
    const context = await site.browser.newContext({ serviceWorkers: 'block' });
    const page = await context.newPage();
    const asked = [];
    context.on('request', (request) => asked.push(request.url()));
    const file = join(mkdtempSync(join(tmpdir(), 'plateau-')), 'picture.svg');
    writeFileSync(file, svg);
    await page.goto(`file://${file}`);
    const found = () => page.evaluate(() => ({
      hacked: window.hacked,
      script: document.querySelectorAll('script, img, foreignObject, [onerror]').length,
      texts: [...document.querySelectorAll('svg > text')].map((t) => t.textContent),
      title: document.querySelector('svg > title').textContent,
    }));
    const alone = await found();
    assert.equal(alone.hacked, undefined);
    assert.equal(alone.script, 0);
    assert.equal(alone.title, evil);
    assert.ok(alone.texts.includes(HOSTILE[0]));
    await page.goto('about:blank');
    await page.setContent(`<!doctype html><title>post</title><p>before</p>${svg}<p id="after">after</p>`);
    assert.deepEqual(await found(), alone);
    assert.equal(await page.locator('body > #after').count(), 1, 'the picture ends where it ends');
    assert.deepEqual(asked.filter((address) => !address.startsWith('file:')), []);
    rmSync(dirname(file), { recursive: true });
    await context.close();
  }
  assert.equal(await visit.page.evaluate(() => window.hacked), undefined);
  assert.deepEqual(visit.errors, []);
});

test('zoomed, the picture shows the part in view', async () => {
  const { page, close } = await site.page();
  await page.click('#demo');
  await page.waitForFunction(() => performance.getEntriesByName('plateau:drawn').length > 0 && document.querySelectorAll('#results-rows tr').length >= 6);
  await page.evaluate(() => document.querySelector('#curves').scrollIntoView({ behavior: 'instant' }));
  const marks = async () => [...(await draw(page, 'curves', { width: 800 })).svg.matchAll(/text-anchor="middle"[^>]*>([\d.]+)</g)].map((m) => Number(m[1]));
  const all = await marks();
  assert.equal(all[0], 0);
  const box = await page.locator('#chart').boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 3);
  for (let k = 0; k < 5; k += 1) {
    await page.mouse.wheel(0, -300);
    await page.waitForTimeout(80);
  }
  await page.waitForTimeout(500);
  const part = await marks();
  assert.ok(part[0] > 0 && part.at(-1) < all.at(-1), `${part} of ${all}`);
  await page.click('#reset-zoom');
  await page.waitForTimeout(500);
  assert.deepEqual(await marks(), all);
  await close();
});
