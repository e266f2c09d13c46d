// What ECharts is told for a picture: the chart's own options, without what is
// for a pointer, over the whole size that the picture has for the plot.

import { say, spoken } from '../shared/say.js';
import { axes, margins, ranges, series } from './options.js';
import { bars, places, pointAxes, pointMargins, pointSeries, spans } from './points-options.js';
import { clean } from './picture-text.js';
import { decimalsOf, markText } from './scale.js';
import { strokeOf } from './theme.js';

const MOST_SERIES = 400;
const CAP = 9; // width of a bar's ends
const DOTTED = [2, 3];
/** From the edge of a picture to its text. */
export const EDGE = 14;

/**
 * What is to be drawn, out of what the page has.
 * @param {{curves: object, buffers: ArrayBuffer[], show?: object, from?: number, to?: number}
 *   | {compared: object, buffers: ArrayBuffer[]}} chart
 * @returns {{title: string, note: string, keys: Key[], option: (box: {width: number, height: number}) => object}}
 *
 * @typedef {{name: string, color: string, type: 'solid'|number[], width: number, symbol?: string}} Key
 */
export function pictured(chart, theme, measure) {
  if (chart?.curves) return curvesOf(chart, theme, measure);
  if (chart?.compared) return pointsOf(chart, theme, measure);
  throw new Error(say('There is nothing drawn to make a picture of.'));
}

function curvesOf({ curves, buffers, show, from, to }, theme, measure) {
  const { show: what = 'voltage', temperature = false, cutoff = curves.cutoff ?? null } = show ?? {};
  const known = { ...curves, ...labels(curves), series: listed(curves.series) };
  const data = { voltage: [], temperatureOf: [], temperature: [] };
  let next = 0;
  for (const one of known.series) {
    data.voltage.push(numbers(buffers[next++], 2));
    const t = one.temperature ? numbers(buffers[next++], 2) : null;
    data.temperatureOf.push(t);
    if (t && temperature) data.temperature.push(t);
  }
  if (data.voltage.every((pairs) => pairs.length === 0)) throw new Error(say('There is no curve to make a picture of.'));
  const line = what === 'voltage' && Number.isFinite(cutoff) ? cutoff : null;
  const keys = known.series.map(({ name, colour }) => ({ name, width: 1.75, ...strokeOf(theme, colour) }));
  if (data.temperature.length > 0) keys.push({ name: say('%s, on the right', quantity(known.tLabel)), color: theme.quiet, type: DOTTED, width: 1.25 });
  const zoomed = Number.isFinite(from) && Number.isFinite(to) && to > from;
  return {
    title: titled(known),
    note: clean(curves.note),
    keys,
    option: ({ width, height }) => {
      const span = zoomed ? { min: from, max: to } : spanOf(known);
      const margin = { ...margins(width, theme, data.temperature.length > 0), bottom: Math.round(theme.size * 3.4) };
      const fit = ranges(data, { from: span.min, to: span.max }, line, height - margin.top - margin.bottom);
      margin.left = room(margin.left, fit.left.marks, theme, measure);
      if (fit.right) margin.right = room(margin.right, fit.right.marks, theme, measure);
      const { xAxis, yAxis } = axes(known, theme, fit, span, zoomed);
      return {
        animation: false,
        grid: { ...margin, outerBoundsMode: 'none' },
        xAxis,
        yAxis: yAxis.map((axis) => headed(axis, margin)),
        series: series(known, data, theme, temperature, line).map(still),
      };
    },
  };
}

function pointsOf({ compared, buffers }, theme, measure) {
  const log = compared.log === true;
  const known = { ...labels(compared), log, series: listed(compared.series) };
  const data = known.series.map((_, k) => numbers(buffers[k], 3));
  if (data.every((triples) => triples.length === 0)) throw new Error(say('There is no point to make a picture of.'));
  return {
    title: clean(compared.title) || titled(known),
    note: clean(compared.note) || (data.some((triples) => triples.some((u, i) => i % 3 === 2 && u > 0)) ? say('Bars show the expanded uncertainty (k = 2).') : ''),
    keys: known.series.map((one) => {
      const [, { symbol, lineStyle }] = pointSeries(one, [], [], theme);
      return { name: one.name, symbol, ...lineStyle };
    }),
    option: ({ width, height }) => {
      const margin = pointMargins(width, theme);
      const area = { width: width - margin.left - margin.right, height: height - margin.top - margin.bottom };
      const fit = spans(data, log, area);
      margin.left = room(margin.left, log ? fit.y.marks.map((m) => Number((10 ** m).toPrecision(3))) : fit.y.marks, theme, measure, log);
      const cap = (CAP / area.width) * (fit.x.max - fit.x.min);
      const { xAxis, yAxis } = pointAxes(known, fit, theme);
      return {
        animation: false,
        grid: { ...margin, outerBoundsMode: 'none' },
        xAxis,
        yAxis: headed(yAxis, margin),
        series: known.series
          .flatMap((one, k) => pointSeries(one, places(data[k], log), bars(data[k], log, fit.y.min, cap), theme))
          .map(still),
      };
    },
  };
}

// The name of an ordinate stands over it, flush with the text of the picture.
function headed(axis, { left, right }) {
  const padding = axis.position === 'right' ? [0, EDGE - right, 0, 0] : [0, 0, 0, EDGE - left];
  const axisLine = { ...axis.axisLine, onZero: false }; // or the name goes with the zero of the abscissa
  return { ...axis, axisLine, nameMoveOverlap: false, nameTextStyle: { ...axis.nameTextStyle, padding } };
}

// Names are in the key, and nothing is pointed at.
function still(one, k) {
  return { ...one, id: String(k), name: undefined, emphasis: undefined, blur: undefined };
}

function listed(list) {
  if (list.length > MOST_SERIES) throw new Error(say('%d curves are too many for one picture; switch some off, down to %d.', list.length, MOST_SERIES));
  return list.map((one) => ({ ...one, run: '', name: clean(one.name) || say('without a name'), colour: Math.abs(Math.trunc(one.colour)) || 0 }));
}

function labels({ xLabel, yLabel, tLabel }) {
  return { xLabel: clean(xLabel, 80), yLabel: clean(yLabel, 60), tLabel: clean(tLabel, 60) };
}

const quantity = (label) => label.split(' / ')[0];

function titled({ xLabel, yLabel }) {
  const [x, y] = [quantity(xLabel), quantity(yLabel)];
  // dQ/dV and the like stay as they are, and so do words in other languages.
  const inside = spoken() ? x : x.replace(/^\p{Lu}(?=\p{Ll})/u, (c) => c.toLowerCase());
  return x && y ? say('%s against %s', y, inside) : y || inside;
}

// Whole tuples of numbers, the page's own left as they are; what is infinite is
// as good as missing.
function numbers(buffer, each) {
  const all = new Float64Array(buffer ?? 0);
  const list = all.slice(0, all.length - (all.length % each));
  for (let i = 0; i < list.length; i += 1) if (!Number.isFinite(list[i])) list[i] = NaN;
  return list;
}

// As on the page: a little room where the curves end.
function spanOf({ xMin = 0, xMax }) {
  const some = 0.02 * (xMax - xMin);
  return some > 0 && Number.isFinite(some) ? { min: xMin === 0 ? 0 : xMin - some, max: xMax + some } : { min: 0, max: 1 };
}

// What the widest mark of an ordinate takes, where that is over the usual.
function room(usual, marks, theme, measure, log = false) {
  const decimals = log ? undefined : decimalsOf(marks);
  return Math.ceil(Math.max(usual, ...marks.map((m) => measure(markText(m, decimals), theme.size) + theme.size)));
}
