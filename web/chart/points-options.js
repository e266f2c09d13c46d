// What ECharts is told of the chart of points. Of logarithmic axes it gets the
// logarithms, so that the marks stand where we want them.

import { decimalsOf, markText, roundAxis } from './scale.js';
import { strokeOf } from './theme.js';

const SYMBOLS = ['circle', 'rect', 'triangle', 'diamond'];

/** The plot's margins in CSS pixels, for a chart of that width. */
export function pointMargins(width, theme) {
  const s = theme.size;
  return {
    left: Math.round(s * (width < 480 ? 3.2 : 3.8)),
    right: Math.round(s * 1.4),
    top: Math.round(s * 2.4),
    bottom: Math.round(s * 3.6),
  };
}

const at = (value, log) => (log ? Math.log10(value) : value);

/** Where points are on the axes, of x, y, U triples. */
export function places(triples, log) {
  const list = [];
  for (let i = 0; i + 2 < triples.length; i += 3) list.push([at(triples[i], log), at(triples[i + 1], log)]);
  return list;
}

/**
 * Bars from y − U to y + U with a cap at each end, reaching half as far to each
 * side as `cap`, and gaps between. Those that go below zero end at the floor of
 * a logarithmic axis.
 */
export function bars(triples, log, floor, cap) {
  const list = [];
  const gap = [NaN, NaN];
  for (let i = 0; i + 2 < triples.length; i += 3) {
    const [x, y, u] = triples.subarray(i, i + 3);
    if (!(u > 0)) continue;
    const middle = at(x, log);
    const low = log && y - u <= 0 ? floor : at(y - u, log);
    const high = at(y + u, log);
    for (const end of [low, high]) list.push([middle - cap / 2, end], [middle + cap / 2, end], gap);
    list.push([middle, low], [middle, high], gap);
  }
  return list;
}

/** Ranges and marks of both axes, in the axes' own terms. */
export function spans(data, log, { width, height }) {
  const x = { low: Infinity, high: -Infinity };
  const y = { low: Infinity, high: -Infinity };
  const take = (e, value) => {
    if (!Number.isFinite(value) || (log && value <= 0)) return;
    e.low = Math.min(e.low, value);
    e.high = Math.max(e.high, value);
  };
  for (const triples of data) {
    for (let i = 0; i + 2 < triples.length; i += 3) {
      take(x, triples[i]);
      take(y, triples[i + 1] - triples[i + 2]);
      take(y, triples[i + 1]);
      take(y, triples[i + 1] + triples[i + 2]);
    }
  }
  for (const e of [x, y]) if (!(e.high >= e.low)) Object.assign(e, log ? { low: 1, high: 10 } : { low: 0, high: 1 });
  const parts = (size, each) => Math.max(2, Math.min(8, Math.floor(size / each)));
  if (log) return { x: logAxis(x.low, x.high), y: logAxis(y.low, y.high) };
  return { x: roundAxis(Math.min(0, x.low), x.high, parts(width, 70)), y: roundAxis(y.low, y.high, parts(height, 48)) };
}

/**
 * A logarithmic axis that shows [low, high] with a little room around: marks at
 * 1, 2 and 5 times the powers of ten, or closer where that leaves too few.
 */
export function logAxis(low, high) {
  const room = Math.max(0.05 * Math.log10(high / low), 0.02);
  const min = Math.log10(low) - room;
  const max = Math.log10(high) + room;
  const inside = (factors) => {
    const marks = [];
    for (let power = Math.floor(min); power <= max; power++) {
      for (const factor of factors) {
        const mark = Math.log10(factor) + power;
        if (mark >= min && mark <= max) marks.push(mark);
      }
    }
    return marks;
  };
  let marks = inside([1, 2, 5]);
  if (marks.length < 3) marks = inside([1, 1.5, 2, 3, 4, 5, 7]);
  if (marks.length < 3) marks = roundAxis(10 ** min, 10 ** max, 4).marks.filter((m) => m > 0 && Math.log10(m) >= min && Math.log10(m) <= max).map(Math.log10);
  return { min, max, marks };
}

export function pointAxes({ xLabel, yLabel, log }, { x, y }, theme) {
  const label = { color: theme.quiet, fontSize: theme.size, fontFamily: theme.font };
  const title = { color: theme.ink, fontSize: theme.size, fontFamily: theme.font };
  const axis = ({ min, max, marks }) => {
    const decimals = decimalsOf(marks);
    const text = (value) => (log ? markText(Number((10 ** value).toPrecision(3))) : markText(value, decimals));
    return {
      type: 'value',
      min,
      max,
      axisLine: { show: true, onZero: false, lineStyle: { color: theme.edge } },
      axisTick: { show: true, customValues: marks, lineStyle: { color: theme.edge } },
      axisLabel: { ...label, customValues: marks, formatter: text, hideOverlap: true },
      splitLine: { show: log, lineStyle: { color: theme.rule } },
      nameTextStyle: title,
    };
  };
  return {
    xAxis: { ...axis(x), name: xLabel, nameLocation: 'middle', nameGap: theme.size * 1.9 },
    yAxis: {
      ...axis(y),
      name: yLabel,
      axisLine: { show: false },
      axisTick: { show: false, customValues: y.marks }, // grid lines follow these
      nameTextStyle: { ...title, align: 'left', padding: [0, 0, 0, -theme.size * 2.8] },
      splitLine: { lineStyle: { color: theme.rule } },
    },
  };
}

/** Two ECharts series for a cell: its bars, then its points. */
export function pointSeries({ name, colour }, points, uncertainties, theme) {
  const stroke = strokeOf(theme, colour);
  const shared = {
    type: 'line',
    name,
    silent: true,
    animation: false,
    showAllSymbol: true,
    itemStyle: { color: stroke.color },
    emphasis: { focus: 'series' },
    blur: { lineStyle: { opacity: 0.2 }, itemStyle: { opacity: 0.2 } },
  };
  return [
    {
      ...shared,
      data: uncertainties,
      lineStyle: { color: stroke.color, width: 1.25 },
      showSymbol: false,
    },
    {
      ...shared,
      data: points,
      lineStyle: { ...stroke, width: 1.75, cap: 'butt' },
      symbol: SYMBOLS[colour % SYMBOLS.length],
      symbolSize: 7.5,
    },
  ];
}

/** A point in words: "Alder: 3.00 A, 4.71 ± 0.06 Ah". */
export function pointText({ xLabel, yLabel }, name, x, y, u) {
  const unit = (label) => (label.includes(' / ') ? ` ${label.split(' / ')[1]}` : '');
  const decimals = u > 0 ? Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(u)))) : 3;
  const value = u > 0 ? `${markText(y, decimals)} ± ${markText(u, decimals)}` : markText(Number(y.toPrecision(4)));
  return `${name}: ${markText(Number(x.toPrecision(3)))}${unit(xLabel)}, ${value}${unit(yLabel)}`;
}
