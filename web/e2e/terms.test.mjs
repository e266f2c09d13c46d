// The words of the trade: each is explained where it stands, with its source, by
// mouse, keyboard and touch.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';
import { open } from './harness.mjs';
import { inDialog, states, unfold } from './states.mjs';

let site;
before(async () => {
  site = await open();
});
after(() => site?.close());

const SOURCE = /\b(IEC \d{5}|JCGM \d{3}|ILAC-G8|NIST)\b|\(\d{4}\) \d+|Ohm’s law|follows from|arithmetic|common practice, no source/;

test('each part says what it is, its formula and its source, and leads to its place in the guide', async () => {
  const guide = readFileSync(new URL('../guide.html', import.meta.url), 'utf8');
  const { page, errors, close } = await site.page();
  const parts = await page.locator('#terms > section:not(#t-keys)').evaluateAll((list) => list.map((one) => ({
    id: one.id,
    name: one.querySelector('h3').textContent,
    label: one.ariaLabel,
    said: [...one.children].map((part) => part.className || part.tagName),
    source: one.querySelector('.source').textContent,
    link: one.querySelector('a').href,
  })));
  assert.ok(parts.length >= 30);
  for (const { id, name, label, said, source, link } of parts) {
    assert.equal(label, name);
    assert.deepEqual(said, ['H3', 'P', 'formula', 'source', 'A'], id);
    assert.match(source, SOURCE, id);
    const { pathname, hash } = new URL(link);
    assert.match(pathname, /\/guide\.html$/);
    assert.ok(guide.includes(`id="${hash.slice(1)}"`), `${id}: ${hash}`);
  }
  assert.deepEqual(errors, []);
  await close();
});

test('with the demo, each part is opened by a word in some section, and each word opens one', async () => {
  const { page, close } = await site.page({ viewport: { width: 1440, height: 900 } });
  await states.demo(page);
  await unfold(page);
  const { targets, parts, left, sections } = await page.evaluate(() => ({
    targets: [...document.querySelectorAll('.term')].map((one) => one.getAttribute('popovertarget')),
    parts: [...document.querySelectorAll('#terms > section:not(#t-keys)')].map(({ id }) => id),
    left: [...document.querySelectorAll('[data-term]')].filter((one) => !one.querySelector('.term')).length,
    sections: [...new Set([...document.querySelectorAll('main > section .term')].filter((one) => one.checkVisibility()).map((one) => one.closest('main > section').id))],
  }));
  assert.equal(left, 0);
  assert.deepEqual([...new Set(targets)].sort(), parts.sort());
  assert.deepEqual(sections, ['cells', 'plan', 'curves', 'results', 'checks', 'datasheet', 'compare', 'ranking', 'load']);
  // Heads that the program writes, by column.
  for (const [box, words] of Object.entries({
    '#compare-summary': ['Down to / V', 'Reference / A', 'Capacity kept / %', 'Energy kept / %', 'Peukert’s exponent', 'Specific energy / Wh/kg', 'Energy density / Wh/l', 'Energy for the price / Wh per unit'],
    '#load-cells': ['Runtime / h:mm:ss', 'Energy / Wh', 'Charge / Ah'],
    '#ranking-rates section:first-child': ['Letters'],
  })) assert.deepEqual(await page.locator(`${box} thead .term`).allTextContents(), words);
  await close();
});

test('by keyboard: Enter opens it and tells so, Tab reaches its link, Esc closes it and gives the focus back', async () => {
  const { page, close } = await site.page({ viewport: { width: 1440, height: 900 } });
  await states.demo(page);
  const word = page.locator('th[data-figure="midPoint"] .term');
  const part = page.locator('#t-midpoint');
  await word.focus();
  assert.ok(await part.isHidden());
  await page.keyboard.press('Enter');
  assert.ok(await part.isVisible());
  assert.equal(await part.evaluate((one) => one === document.activeElement), true);
  const debug = await page.context().newCDPSession(page);
  const { result } = await debug.send('Runtime.evaluate', { expression: 'document.querySelector("th[data-figure=midPoint] .term")' });
  const { nodes } = await debug.send('Accessibility.getPartialAXTree', { objectId: result.objectId, fetchRelatives: false });
  assert.equal(nodes[0].name.value, 'Mid-point voltage / V');
  assert.equal(nodes[0].properties.find(({ name }) => name === 'expanded')?.value.value, true);
  await page.keyboard.press('Tab');
  assert.equal(await page.evaluate(() => document.activeElement.textContent), 'More in the guide');
  await page.keyboard.press('Escape');
  assert.ok(await part.isHidden());
  assert.equal(await word.evaluate((one) => one === document.activeElement), true);
  await close();
});

test('in a dialog it can be used too, and the dialog stays open', async () => {
  const { page, close } = await site.page({ viewport: { width: 1440, height: 900 } });
  await states['one log'](page);
  await inDialog(page, 'details');
  await page.locator('#details .term').first().click();
  const part = page.locator('#t-uncertainty');
  await part.waitFor();
  assert.equal(await part.evaluate((one) => one === document.activeElement), true);
  await page.keyboard.press('Escape');
  assert.ok(await part.isHidden());
  assert.ok(await page.locator('#details[open]').isVisible());
  await page.keyboard.press('Escape');
  await page.locator('th[data-figure="capacity"] .term').click();
  assert.ok(await page.locator('#t-capacity').isVisible());
  await close();
});

test('it lies within the window, by touch on a phone and at 400 % too', async () => {
  for (const viewport of [{ width: 1440, height: 900 }, { width: 390, height: 844 }, { width: 320, height: 256 }]) {
    const { page, close } = await site.page({ viewport, hasTouch: viewport.width < 1000 });
    await states['one log'](page);
    for (const term of await page.locator('.term:visible').all()) {
      await term.scrollIntoViewIfNeeded();
      await (viewport.width < 1000 ? term.tap() : term.click());
      const { box, whole } = await page.locator('.about:popover-open').evaluate((one) => {
        const { left, top, right, bottom } = one.getBoundingClientRect();
        one.scrollTop = one.scrollHeight;
        const link = one.querySelector('a').getBoundingClientRect();
        return { box: { left, top, right, bottom }, whole: link.bottom <= bottom + 1 && one.scrollWidth <= one.clientWidth };
      });
      const what = `${await term.textContent()} at ${viewport.width} px: ${JSON.stringify(box)}`;
      assert.ok(box.left >= 0 && box.top >= 0 && box.right <= viewport.width && box.bottom <= viewport.height, what);
      assert.ok(whole, what);
      await page.keyboard.press('Escape');
    }
    await close();
  }
});
