import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bars, logAxis, places, pointText, spans } from './points-options.js';

const area = { width: 700, height: 400 };

test('a logarithmic axis shows what it is for, with marks at round numbers', () => {
  for (const [low, high] of [[13, 480], [180, 240], [0.02, 0.021], [5, 5], [1e-3, 1e4]]) {
    const { min, max, marks } = logAxis(low, high);
    assert.ok(10 ** min < low && 10 ** max > high, `${low} to ${high} lies inside`);
    assert.ok(marks.length >= 2, `${low} to ${high} has marks: ${marks.map((m) => 10 ** m)}`);
    for (const m of marks) {
      assert.ok(m >= min && m <= max);
      assert.equal(Number((10 ** m).toPrecision(3)), Number((10 ** m).toPrecision(6)), 'a mark reads as it stands');
    }
  }
  assert.deepEqual(logAxis(13, 480).marks.map((m) => Math.round(10 ** m)), [20, 50, 100, 200, 500]);
});

test('the ordinate holds the whole bars, the abscissa begins at zero', () => {
  const { x, y } = spans([new Float64Array([1, 5, 0.5, 3, 4, 0.2])], false, area);
  assert.ok(y.min < 3.8 && y.max > 5.5);
  assert.ok(x.min <= 0 && x.max > 3);
  const none = spans([new Float64Array(0)], false, area);
  assert.ok(none.y.max > none.y.min && none.x.max > none.x.min);
});

test('points that are not above zero have no part in a logarithmic axis', () => {
  const { x, y } = spans([new Float64Array([0, 100, 1, 10, 100, 200, 100, 90, 1])], true, area);
  for (const end of [x.min, x.max, y.min, y.max]) assert.ok(Number.isFinite(end));
  assert.ok(x.min < 1 && x.min > 0.9, 'from 10');
});

test('a bar reaches from y − U to y + U, and there is none without U', () => {
  const list = bars(new Float64Array([2, 5, 0.5, 3, 4, 0]), false, 0, 0.2);
  const ys = list.map(([, y]) => y).filter((y) => !Number.isNaN(y));
  assert.equal(Math.min(...ys), 4.5);
  assert.equal(Math.max(...ys), 5.5);
  assert.ok(list.every(([x]) => Number.isNaN(x) || Math.abs(x - 2) <= 0.1 + 1e-12));
  const below = bars(new Float64Array([10, 5, 6]), true, -1, 0.2);
  assert.equal(Math.min(...below.map(([, y]) => y).filter((y) => !Number.isNaN(y))), -1);
  assert.deepEqual(places(new Float64Array([10, 100, 6]), true), [[1, 2]]);
});

test('a point says its figures with the digits that its uncertainty leaves', () => {
  const labels = { xLabel: 'Current / A', yLabel: 'Capacity / Ah' };
  assert.equal(pointText(labels, 'Alder', 2.99987, 4.71234, 0.0567), 'Alder: 3 A, 4.712 ± 0.057 Ah');
  assert.equal(pointText(labels, 'Alder', 3, 4.71234, 0), 'Alder: 3 A, 4.712 Ah');
  assert.equal(pointText({ xLabel: '', yLabel: '' }, 'Alder', 3, 250.4, 12), 'Alder: 3, 250 ± 12');
});
