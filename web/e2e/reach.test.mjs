// What axe-core cannot see: the way through the page by Tab, targets, zoom to
// 400 % and motion. The numbers are those of WCAG 2.2.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { dialogs, inDialog, states, unfold } from './states.mjs';

const TARGET = 24; // CSS px, 2.5.8
const ZOOMED = { width: 320, height: 256 }; // 1280 × 1024 at 400 %, 1.4.10
const MOST = 600; // stops of Tab

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

/** Tabs from the top of what is open until it comes round. */
async function tabbed(page) {
  const debug = await page.context().newCDPSession(page);
  const stops = [];
  if (!(await page.locator('dialog[open]').count())) {
    await page.focus('.skip');
    await page.keyboard.press('Shift+Tab');
  }
  for (;;) {
    await page.keyboard.press('Tab');
    const stop = await page.evaluate(() => {
      const one = document.activeElement;
      if (one === document.body || one === null) return null;
      if (one.dataset.stop) return { again: true };
      one.dataset.stop = 'yes';
      // A choice is drawn by the words beside it.
      const drawn = one.matches('.choice input') ? one.closest('label') : one;
      const box = drawn.getBoundingClientRect();
      const bars = [one, ...drawn.querySelectorAll('*')].map((part) => getComputedStyle(part));
      const at = (x, y) => {
        const hit = document.elementFromPoint(x, y);
        return hit !== null && (drawn.contains(hit) || hit.contains(drawn));
      };
      const left = Math.max(box.left, 0);
      const top = Math.max(box.top, 0);
      const right = Math.min(box.right, window.innerWidth);
      const bottom = Math.min(box.bottom, window.innerHeight);
      return {
        what: `${one.tagName.toLowerCase()}${one.id && `#${one.id}`} “${(one.textContent || one.getAttribute('aria-label') || '').trim().slice(0, 40)}”`,
        seen: right - left > 1 && bottom - top > 1 && at((left + right) / 2, (top + bottom) / 2),
        marked: bars.some(({ outlineStyle, outlineWidth }) => outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2),
        place: one.closest('header, main > section, footer, dialog')?.id ?? '',
        up: box.top + window.scrollY,
      };
    });
    if (stop === null || stop.again) break;
    const { result } = await debug.send('Runtime.evaluate', { expression: 'document.activeElement' });
    const { nodes } = await debug.send('Accessibility.getPartialAXTree', { objectId: result.objectId, fetchRelatives: false });
    stops.push({ ...stop, name: nodes[0]?.name?.value ?? '' });
    assert.ok(stops.length < MOST, 'Tab comes round');
  }
  return stops;
}

function sound(stops) {
  const bad = [];
  for (const { what, seen, marked, name } of stops) {
    if (!name.trim()) bad.push(`${what}: has no name`);
    if (!seen) bad.push(`${what}: cannot be seen while it has the focus`);
    if (!marked) bad.push(`${what}: does not show that it has the focus`);
  }
  assert.equal(bad.length, 0, `\n${bad.join('\n')}`);
}

test('by Tab through the empty page: each stop is seen, marked and named', async () => {
  const { page, close } = await site.page({ reducedMotion: 'reduce' });
  const stops = await tabbed(page);
  assert.match(stops[0].what, /Skip to the logs/);
  for (const id of ['pick', 'demo', 'type-in']) assert.ok(stops.some(({ what }) => what.startsWith(`button#${id} `)), id);
  sound(stops);
  await close();
});

test('by Tab through the demo, in the order of its sections', async (t) => {
  const { page, close } = await site.page({ viewport: { width: 1300, height: 900 }, reducedMotion: 'reduce' });
  await states.demo(page);
  const stops = await tabbed(page);
  t.diagnostic(`${stops.length} stops`);
  sound(stops);
  const order = await page.locator('main > section').evaluateAll((list) => list.map(({ id }) => id));
  const met = stops.map(({ place }) => order.indexOf(place)).filter((n) => n >= 0);
  assert.deepEqual(met, met.toSorted((a, b) => a - b), 'sections are met in their order');
  const shown = await page.locator('main > section:not([hidden])').evaluateAll((list) => list.map(({ id }) => id));
  const missed = shown.filter((id) => !stops.some(({ place }) => place === id));
  assert.deepEqual(missed, [], 'every section has a stop');
  assert.equal(await page.locator('[tabindex]:not([tabindex="0"], [tabindex="-1"])').count(), 0);
  await close();
});

test('by Tab through each dialog, and no farther than it', async () => {
  const { page, close } = await site.page({ viewport: { width: 1300, height: 900 }, reducedMotion: 'reduce' });
  await states['one log'](page);
  for (const name of Object.keys(dialogs)) {
    await inDialog(page, name);
    const stops = await tabbed(page);
    assert.ok(stops.length > 0, name);
    sound(stops);
    assert.deepEqual([...new Set(stops.map(({ place }) => place))], [name]);
    await page.keyboard.press('Escape');
    await page.locator(`#${name}[open]`).waitFor({ state: 'detached' });
    await page.evaluate(() => {
      for (const one of document.querySelectorAll('[data-stop]')) delete one.dataset.stop;
    });
  }
  await close();
});

test('buttons, fields and choices are 24 px at least, both ways', async () => {
  for (const width of [1300, 390]) {
    const { page, close } = await site.page({ viewport: { width, height: 900 } });
    await states.demo(page);
    await unfold(page);
    const small = await page.evaluate((least) => [...document.querySelectorAll('button, select, input:is([type=text], [type=search], [type=date]), textarea, summary, .choice label, label.tick-box, .top a')]
      .filter((one) => one.checkVisibility())
      .map((one) => ({ one, box: one.getBoundingClientRect() }))
      .filter(({ box }) => box.width > 0 && (box.width < least || box.height < least - 0.01))
      .map(({ one, box }) => `${one.tagName.toLowerCase()}${one.id && `#${one.id}`}.${one.className} “${one.textContent.trim().slice(0, 30)}” ${box.width.toFixed(1)} × ${box.height.toFixed(1)}`), TARGET);
    assert.equal(small.length, 0, `${width} px:\n${small.join('\n')}`);
    await close();
  }
});

/** What sticks out of the page to the side, where that makes it move sideways. */
const sideways = (page) => page.evaluate(() => {
  const wide = document.documentElement.clientWidth;
  const root = document.querySelector('dialog[open] .panel-body') ?? document.documentElement;
  if (root.scrollWidth <= root.clientWidth && document.documentElement.scrollWidth <= wide) return [];
  const inBox = (one) => one.closest('.scroll, pre, textarea, svg') !== null && !one.matches('.scroll, pre, textarea, svg');
  return [`${root.scrollWidth} px`, ...[...root.querySelectorAll('*')].filter((one) => !inBox(one) && one.getBoundingClientRect().right > wide + 0.5).map((one) => `${one.tagName.toLowerCase()}#${one.id}.${one.className} in #${one.closest('[id]')?.id} “${one.textContent.trim().slice(0, 40)}”`)].slice(0, 12);
});

test('at 400 % no page moves sideways', async () => {
  const wrong = [];
  const look = async (page, what) => wrong.push(...(await sideways(page)).map((line) => `${what}: ${line}`));
  for (const name of Object.keys(states)) {
    const { page, close } = await site.page({ viewport: ZOOMED });
    await states[name](page);
    await look(page, name);
    await unfold(page);
    await page.waitForTimeout(200);
    await look(page, `${name}, unfolded`);
    if (name === 'one log') {
      for (const dialog of Object.keys(dialogs)) {
        await inDialog(page, dialog);
        await look(page, dialog);
        const foot = await page.locator(`#${dialog} .panel-foot button`).first().evaluate((one) => {
          one.scrollIntoView();
          const box = one.getBoundingClientRect();
          return box.top >= 0 && box.bottom <= window.innerHeight;
        });
        if (!foot) wrong.push(`${dialog}: its first button cannot be reached`);
        await page.keyboard.press('Escape');
      }
    }
    if (name === 'empty') {
      for (const path of ['guide.html', 'nowhere']) {
        await page.goto(site.address + path);
        await look(page, path);
      }
    }
    await close();
  }
  assert.equal(wrong.length, 0, `\n${wrong.join('\n')}`);
});

test('who asks for less motion gets none', async () => {
  const { page, close } = await site.page({ reducedMotion: 'reduce' });
  await states.demo(page);
  const moving = await page.evaluate(() => [...document.querySelectorAll('*')].filter((one) => {
    const { transitionDuration, animationName, scrollBehavior } = getComputedStyle(one);
    return transitionDuration.split(', ').some((s) => parseFloat(s) > 0) || animationName !== 'none' || scrollBehavior === 'smooth';
  }).map((one) => one.tagName));
  assert.deepEqual(moving, []);
  assert.equal(await page.evaluate(() => document.getAnimations().length), 0);
  // A jump within the page is one, and does not glide.
  await page.evaluate(() => {
    window.scrollTo(0, 0);
    document.querySelector('.top nav a[href="#checks"]').click();
  });
  const after = await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(window.scrollY)))));
  await page.waitForTimeout(500);
  assert.ok(after > 0);
  assert.equal(await page.evaluate(() => window.scrollY), after);
  await close();
});
