// Pictures as SVG, read back by an XML parser that is not ours.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { DOMParser, onErrorStopParsing } from '@xmldom/xmldom';
import { drawn, picture } from './picture.js';

const theme = {
  colours: ['#0196b0', '#c26d31', '#5753d2', '#093809', '#9d3671', '#252aa5', '#5c5405', '#4f205b'],
  dashes: ['solid', [9, 4], [3, 3], [12, 3, 3, 3]],
  ink: '#1c2325', quiet: '#535c5e', rule: '#dedacd', edge: '#85857b', sheet: '#ffffff', font: 'sans-serif', size: 13,
};
// Wider than the letters of most fonts are.
const measure = (text, size) => [...text].length * size * 0.62;

const HOSTILE = [
  '</svg><script>window.hacked=1</script>', '<img src=x onerror="window.hacked=1">', '"quoted" & \'single\' ]]> <!-- &amp; {a|b} %s',
  'x'.repeat(200), '\u202eright to left שלום עולם مرحبا\u200f', 'z\u0301'.repeat(100), 'a\u0301\u0302'.repeat(9) + '\u0303'.repeat(500),
  '\u0000\u0008\ud800 \uffff\u2028', '=1+1|*b*\n# line', '', undefined, '🔋'.repeat(150),
];

/** Curves in straight lines from (0, top) to (end, bottom). */
function lines(list, names = []) {
  const series = list.map((_, k) => ({ run: `1.${k}`, name: names[k] ?? `Cell ${k}`, colour: k, temperature: false }));
  const buffers = list.map(([end, top, bottom]) =>
    Float64Array.from({ length: 202 }, (_, i) => (i % 2 === 0 ? (i / 200) * end : top + ((i - 1) / 200) * (bottom - top))).buffer);
  const xMax = Math.max(...list.map(([end]) => end));
  return { curves: { axis: 'charge', xLabel: 'Discharged charge / Ah', yLabel: 'Voltage / V', tLabel: 'Temperature / °C', series, xMin: 0, xMax }, buffers };
}

function points(list, log, names = []) {
  const series = list.map((_, k) => ({ run: `cell ${k}`, name: names[k] ?? `Cell ${k}`, colour: k }));
  return { compared: { title: 'Capacity', xLabel: 'Current / A', yLabel: 'Capacity / Ah', log, series }, buffers: list.map((one) => new Float64Array(one).buffer) };
}

const draw = (chart, options) => drawn(chart, { width: 800, ...options }, theme, measure);
const parse = (svg) => new DOMParser({ onError: onErrorStopParsing }).parseFromString(svg, 'image/svg+xml');
const all = (node, name) => Array.from(node.getElementsByTagName(name));
const number = (element, name) => Number(element.getAttribute(name) || 0);
const shift = (element) => (/translate\((\S+) (\S+)\)/.exec(element.getAttribute('transform')) ?? [0, 0, 0]).slice(1).map(Number);

/** The scale of an axis, by the marks that a reader sees: where a value is. */
function axis(doc, anchor, k) {
  const marks = all(doc, 'text')
    .filter((t) => t.getAttribute('text-anchor') === anchor && /^[\d.,\u2212]+$/.test(t.textContent))
    .map((t) => [Number(t.textContent.replace('\u2212', '-').replace(',', '.')), shift(t)[k]]);
  assert.ok(marks.length >= 2, 'an axis has marks');
  const [first, last] = [marks[0], marks.at(-1)];
  return (place) => first[0] + ((place - first[1]) / (last[1] - first[1])) * (last[0] - first[0]);
}

const curve = (doc, colour) => {
  const path = all(doc, 'path').find((p) => p.getAttribute('stroke') === colour && p.getAttribute('d').includes('L'));
  return path.getAttribute('d').split(/[ML]/).filter(Boolean).map((pair) => pair.trim().split(' ').map(Number));
};

test('a curve read off the picture by its axes is the curve that was given', () => {
  const doc = parse(draw(lines([[3, 4.1, 3], [1.5, 3.9, 2.6]])).svg);
  const x = axis(doc, 'middle', 0);
  const y = axis(doc, 'end', 1);
  for (const [colour, end, top, bottom] of [[theme.colours[0], 3, 4.1, 3], [theme.colours[1], 1.5, 3.9, 2.6]]) {
    const read = curve(doc, colour).map(([px, py]) => [x(px), y(py)]);
    assert.ok(read.length > 50);
    for (const [q, v] of read) assert.ok(Math.abs(v - (top + (q / end) * (bottom - top))) < 0.003, `${v} V at ${q} Ah`);
    assert.ok(Math.abs(read[0][0]) < 0.003 && Math.abs(read.at(-1)[0] - end) < 0.003, `from ${read[0][0]} to ${read.at(-1)[0]} Ah`);
  }
});

test('points on logarithmic axes stand where their marks say, with bars from y − U to y + U', () => {
  const doc = parse(draw(points([[10, 200, 50, 400, 100, 20]], true)).svg);
  const logOf = (anchor, k) => {
    const marks = all(doc, 'text').filter((t) => t.getAttribute('text-anchor') === anchor && /^\d+$/.test(t.textContent)).map((t) => [Math.log10(Number(t.textContent)), shift(t)[k]]);
    const [[a, b], [c, d]] = [marks[0], marks.at(-1)];
    return (place) => 10 ** (a + ((place - b) / (d - b)) * (c - a));
  };
  const x = logOf('middle', 0);
  const y = logOf('end', 1);
  const near = (is, want) => assert.ok(Math.abs(is / want - 1) < 0.005, `${is}, not ${want}`);
  const joined = all(doc, 'path').find((p) => p.getAttribute('stroke') === theme.colours[0] && p.getAttribute('stroke-width') === '1.75');
  const ends = joined.getAttribute('d').split(/[ML]/).filter(Boolean).map((pair) => pair.trim().split(' ').map(Number));
  [[10, 200], [400, 100]].forEach(([px, py], k) => {
    near(x(ends[k][0]), px);
    near(y(ends[k][1]), py);
  });
  const bars = all(doc, 'path').find((p) => p.getAttribute('stroke') === theme.colours[0] && p.getAttribute('stroke-width') === '1.25');
  const heights = bars.getAttribute('d').split(/[ML]/).filter(Boolean).map((pair) => y(Number(pair.trim().split(' ')[1])));
  near(Math.max(...heights), 250);
  assert.ok(all(doc, 'text').some((t) => /expanded uncertainty/.test(t.textContent)), 'what bars are is said');
  near(Math.min(...heights), 80);
});

test('axes are named with their units, the key has every name, colour and dash', () => {
  const chart = lines(Array.from({ length: 10 }, (_, k) => [3 - 0.1 * k, 4.1, 3]));
  chart.curves.cutoff = 3.2;
  const doc = parse(draw({ ...chart, show: { show: 'voltage', temperature: false, cutoff: 3.2 } }, { title: 'Ten cells', source: 'Made on a bench' }).svg);
  const texts = all(doc, 'text').map((t) => t.textContent);
  for (const text of ['Ten cells', 'Made on a bench', 'Voltage / V', 'Discharged charge / Ah', 'cut-off 3.2 V', 'Cell 0', 'Cell 9']) assert.ok(texts.includes(text), `${text}: ${texts}`);
  const swatch = (k) => {
    const name = all(doc, 'text').find((t) => t.textContent === `Cell ${k}`);
    return all(doc, 'path').findLast((p) => p.getAttribute('stroke') === theme.colours[k % 8] && Math.abs(Number(/^M\S+ (\S+?)h/.exec(p.getAttribute('d'))?.[1]) + 4.03 - number(name, 'y')) < 1);
  };
  for (let k = 0; k < 10; k += 1) assert.equal(swatch(k).getAttribute('stroke-dasharray') ?? '', k < 8 ? '' : '9 4', `Cell ${k}`);
});

test('a temperature has an axis of its own and a line in the key', () => {
  const chart = lines([[3, 4, 3]]);
  chart.curves.series[0].temperature = true;
  chart.buffers.push(new Float64Array([0, 21, 1, 25, 3, 34]).buffer);
  const texts = (show) => all(parse(draw({ ...chart, show: { show: 'voltage', temperature: show } }).svg), 'text').map((t) => t.textContent);
  assert.ok(texts(true).includes('Temperature / °C') && texts(true).includes('Temperature, on the right'));
  assert.ok(!texts(false).some((t) => t.includes('Temperature')));
});

test('the part in view alone is drawn where the chart is zoomed', () => {
  const doc = parse(draw({ ...lines([[3, 4, 3]]), from: 1, to: 2 }).svg);
  const x = axis(doc, 'middle', 0);
  const clips = all(doc, 'clipPath').map((c) => /^M(\S+) \S+l(\S+)/.exec(all(c, 'path')[0].getAttribute('d')).slice(1).map(Number));
  for (const [left, width] of clips) assert.ok(Math.abs(x(left) - 1) < 0.02 && Math.abs(x(left + width) - 2) < 0.02, `${x(left)} to ${x(left + width)}`);
  assert.ok(clips.length > 0);
});

/** Boxes of the texts that are ours: those that ECharts places have a transform. */
function boxes(doc) {
  const outer = doc.documentElement;
  return Array.from(outer.childNodes).filter((n) => n.nodeName === 'text').map((t) => {
    const size = Number(t.getAttribute('font-size') || outer.getAttribute('font-size'));
    const [left, base] = [number(t, 'x'), number(t, 'y')];
    return { text: t.textContent, left, right: left + measure(t.textContent, size), top: base - 0.8 * size, bottom: base + 0.25 * size };
  });
}

const long = (k) => `Cell ${k} of the second lot, measured at ${k + 1}.00 A after one hour of rest at 22 °C`;
for (const [what, count, name] of [['four short', 4, (k) => `C${k}`], ['twelve long', 12, long], ['twenty', 20, (k) => `Alder ${k}, 3 A`], ['hostile', HOSTILE.length, (k) => HOSTILE[k]], ['two hundred', 200, long]]) {
  for (const width of [390, 800, 2400]) {
    test(`${what} names at ${width} px lie in the picture and on no other text`, () => {
      const list = Array.from({ length: count }, (_, k) => [3, 4 - 0.01 * k, 3]);
      const { svg, height } = draw(lines(list, list.map((_, k) => name(k))), { width, title: long(0).repeat(3), source: long(1).repeat(3) });
      const doc = parse(svg);
      const [, , across, down] = doc.documentElement.getAttribute('viewBox').split(' ').map(Number);
      assert.equal(number(doc.documentElement, 'width'), width);
      assert.equal(number(doc.documentElement, 'height'), height);
      assert.ok(Math.abs(across / down - width / height) < 0.002, 'undistorted');
      const list2 = boxes(doc);
      assert.ok(list2.length >= Math.min(count, 80));
      for (const box of list2) assert.ok(box.left >= 0 && box.right <= across + 0.5 && box.top >= 0 && box.bottom <= down, `${JSON.stringify(box)} in ${across} × ${down}`);
      list2.forEach((a, i) => list2.slice(i + 1).forEach((b) => {
        assert.ok(a.right <= b.left || b.right <= a.left || a.bottom <= b.top + 0.01 || b.bottom <= a.top + 0.01, `${JSON.stringify(a)} on ${JSON.stringify(b)}`);
      }));
      if (what === 'twelve long') for (const k of [0, 11]) assert.ok(list2.map((b) => b.text).join(' ').includes(name(k)), 'whole names');
    });
  }
}

test('names and titles stay text, and nothing in the file runs or refers to another', () => {
  for (const evil of HOSTILE) {
    const given = { title: evil, note: evil, source: evil, alt: evil };
    const named = lines([[3, 4, 3], [2, 4, 3]], [evil, evil]);
    Object.assign(named.curves, { xLabel: evil, yLabel: evil, note: evil });
    for (const chart of [named, points([[1, 2, 0.1, 2, 3, 0.1]], false, [evil])]) {
      const { svg } = draw(chart, given);
      const doc = parse(svg);
      assert.equal(doc.documentElement.getAttribute('role'), 'img');
      assert.equal(all(doc, 'title').length, 1);
      assert.equal(all(doc, 'desc').length, 1);
      assert.notEqual(all(doc, 'title')[0].textContent, '');
      assert.ok(!/[\u202a-\u202e\u2066-\u2069]/.test(doc.documentElement.textContent), 'nothing turns text round');
      for (const element of all(doc, '*')) {
        assert.ok(['svg', 'title', 'desc', 'defs', 'clipPath', 'g', 'path', 'rect', 'text'].includes(element.nodeName), element.nodeName);
        for (const { name, value } of Array.from(element.attributes)) {
          assert.ok(!/^on|href|^style$|^class$|^data|:/.test(name), `${name}="${value}"`);
          assert.ok(!/url\((?!#)|javascript:/i.test(value), `${name}="${value}"`);
        }
      }
    }
  }
  const title = all(parse(draw(lines([[3, 4, 3]]), { title: HOSTILE[0] }).svg), 'title')[0];
  assert.equal(title.textContent, HOSTILE[0], 'what can be kept is kept');
});

test('the same chart gives the same file, and keeps its numbers', () => {
  const chart = lines([[3, 4, 3], [2, 4, 3]]);
  const numbers = new Float64Array(chart.buffers[0]);
  numbers[21] = Infinity;
  const was = [...numbers];
  assert.equal(draw(chart).svg, draw(chart).svg);
  assert.deepEqual([...numbers], was);
  assert.ok(!/NaN|Infinity|undefined/.test(draw(chart).svg));
});

test('what cannot be drawn is said', async () => {
  await assert.rejects(picture({}, { format: 'gif' }), /"svg" or "png", not "gif"/);
  for (const width of [0, 319, 4097, NaN, '<b>', null]) await assert.rejects(picture({}, { width }), /320 to 4096 pixels wide/);
  for (const scale of [0, 5, NaN]) await assert.rejects(picture({}, { scale }), /scale of a picture is 1 to 4/);
  for (const chart of [undefined, null, {}]) assert.throws(() => draw(chart), /nothing drawn/);
  assert.throws(() => draw(lines([])), /no curve/);
  assert.throws(() => draw(points([[]], false)), /no point/);
  assert.throws(() => draw(lines(Array.from({ length: 401 }, () => [1, 2, 1]))), /401 curves are too many/);
});

test('odd numbers draw an empty plot at worst', () => {
  for (const list of [[NaN, NaN], [0, Infinity, 1, -Infinity], [5, 5], [1e300, 1e-300, -1e300, 3], [0, 3, 1]]) {
    const chart = lines([[3, 4, 3]]);
    chart.buffers[0] = new Float64Array(list).buffer;
    for (const xMax of [3, NaN, 0, -1, 1e308]) parse(draw({ ...chart, curves: { ...chart.curves, xMax } }).svg);
  }
  for (const log of [true, false]) for (const list of [[0, 0, 0], [-1, 2, 3], [NaN, 1, 1], [1, 1, 1e9]]) parse(draw(points([list], log)).svg);
});
