import assert from 'node:assert/strict';
import { test } from 'node:test';
import { decimalsOf, extent, markText, overlay, roundAxis, roundUp } from './scale.js';

const pairs = (...xy) => Float64Array.from(xy);

test('steps are 1, 2, 2.5 or 5 times a power of ten', () => {
  for (const [x, want] of [
    [1, 1],
    [1.01, 2],
    [0.3 / 3, 0.1],
    [0.021, 0.025],
    [26, 50],
    [700, 1000],
  ]) {
    assert.ok(Math.abs(roundUp(x) - want) < 1e-12, `${x} gives ${roundUp(x)}, not ${want}`);
  }
});

test('an axis shows all of its range and has its marks within', () => {
  for (const [low, high] of [
    [1.999, 4.19],
    [3.2501, 3.2502],
    [-3, 61],
    [3.6, 3.6],
    [Infinity, -Infinity],
  ]) {
    const { min, max, marks } = roundAxis(low, high, 8);
    assert.ok(Number.isFinite(min) && Number.isFinite(max) && min < max);
    if (low <= high) assert.ok(min <= low && max >= high);
    assert.ok(marks.length >= 2 && marks.length <= 10, `${marks.length} marks`);
    for (const mark of marks) assert.ok(mark >= min && mark <= max);
  }
});

test('the extent is that of the visible part', () => {
  const curve = pairs(0, 4.2, 1, 3.7, 2, 3.6, 3, 2.5);
  assert.deepEqual(extent(curve, 0.5, 2.5), { low: 3.6, high: 3.7 });
  assert.deepEqual(extent(curve, 5, 6), { low: Infinity, high: -Infinity });
});

test('finer points take the place of the coarse ones where they are known', () => {
  const whole = pairs(0, 4.2, 1, 3.7, 2, 3.6, 3, 2.5);
  const part = pairs(1, 3.7, 1.5, 3.66, 2, 3.6);
  assert.deepEqual([...overlay(whole, part, 1, 2)], [0, 4.2, 1, 3.7, 1.5, 3.66, 2, 3.6, 3, 2.5]);
});

test('a part that ends within the visible range is a curve that ends there', () => {
  const whole = pairs(0, 4.2, 1, 3.7, 2, 3.6, 3, 2.5);
  const cut = pairs(1, 3.7, 1.2, 3.69);
  assert.deepEqual([...overlay(whole, cut, 1, 2)], [0, 4.2, 1, 3.7, 1.2, 3.69]);
  assert.deepEqual([...overlay(whole, pairs(), 1, 2)], [...whole]);
});

test('marks of one axis have the same decimals', () => {
  assert.equal(decimalsOf([2.5, 3, 3.5]), 1);
  assert.equal(decimalsOf([10, 20]), 0);
  assert.equal(decimalsOf([0.1 + 0.2]), 1);
  assert.equal(markText(3, 2).replace(',', '.'), '3.00');
  assert.equal(markText(-0.5).replace(',', '.'), '\u22120.5');
});
