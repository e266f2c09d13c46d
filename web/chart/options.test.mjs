import assert from 'node:assert/strict';
import { test } from 'node:test';
import { axes } from './options.js';

// ECharts calls a formatter with the mark's value and its number on the axis.
test('marks on the abscissa show no more decimals than they have', () => {
  const theme = { size: 12, font: 'sans-serif', ink: '#000', quiet: '#555', rule: '#ddd', strong: '#888', sheet: '#fff' };
  const fit = { left: { min: 2, max: 4, marks: [2, 3, 4] }, right: null };
  const { xAxis } = axes({ xLabel: 'Discharged charge / Ah' }, theme, fit, { min: 0, max: 3.7 }, false);
  assert.deepEqual([0, 1, 2, 3].map((x, k) => xAxis.axisLabel.formatter(x, k)), ['0', '1', '2', '3']);
  assert.equal(xAxis.axisLabel.formatter(0.5, 1), '0.5');
});
