import assert from 'node:assert/strict';
import { test } from 'node:test';
import { read, sentence } from './told.js';

const line = (...pairs) => new Float64Array(pairs.flat());
const labels = { xLabel: 'Discharged charge / Ah', yLabel: 'Voltage / V', tLabel: 'Temperature / °C' };

test('a curve is read on the straight line between two points, either way round', () => {
  const falling = line([0, 4.2], [0, 4], [2, 3]);
  assert.equal(read(falling, 1), 3.5);
  assert.equal(read(falling, 0), 4, 'under load, where the load comes on');
  assert.equal(read(line([4, 1], [3, 2], [2, 5]), 2.5), 3.5);
  assert.equal(read(falling, 2.1), null);
  assert.equal(read(line(), 1), null);
});

test('the sentence has number, extent, the highest and the farthest, in view alone', () => {
  const curves = [{ name: 'Alder', points: line([0, 4.2], [1, 3.7], [5, 2.5]), second: null }, { name: 'Birch', points: line([0, 4.1], [4, 2.65]), second: line([0, 21], [4, 40]) }];
  assert.equal(sentence(labels, curves), '2 curves, Voltage / V over Discharged charge / Ah: across from 0.00 to 5.00, up from 2.50 to 4.20. Highest is Alder, farthest right Alder. Dotted, on the right axis: Temperature / °C, from 21.0 to 40.0.');
  assert.equal(sentence(labels, curves.slice(0, 1)), '1 curve, Voltage / V over Discharged charge / Ah: across from 0.00 to 5.00, up from 2.50 to 4.20.');
  assert.match(sentence(labels, curves, 3, 4.5), /across from 4\.00 to 4\.00, up from 2\.65 to 2\.65\. Highest is Birch, farthest right Birch/);
  assert.equal(sentence(labels, []), '');
  assert.match(sentence(labels, [{ name: 'A', points: new Float64Array([1, 5, 0.1, 12, 4, 0.1]), stride: 3 }, { name: 'B', points: new Float64Array([1, 6, 0.1]), stride: 3 }]), /from 1\.0 to 12\.0, up from 4\.00 to 6\.00\. Highest is B, farthest right A\./);
});
