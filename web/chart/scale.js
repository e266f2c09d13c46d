// Numbers for axes: round steps, and ranges that end on them.

import { locale } from '../shared/say.js';

/** The smallest of 1, 2, 2.5, 5 times a power of ten that is >= x > 0. */
export function roundUp(x) {
  const power = 10 ** Math.floor(Math.log10(x));
  // A hair of slack, so that 0.3/3 is 0.1.
  const factor = [1, 2, 2.5, 5, 10].find((f) => f * power >= x * (1 - 1e-9));
  return factor * power;
}

/**
 * An axis that shows [low, high] with a little room around, and has marks at
 * round numbers, about `parts` of them.
 * @returns {{min: number, max: number, marks: number[]}}
 */
export function roundAxis(low, high, parts) {
  if (!(high > low)) {
    const around = Number.isFinite(low) ? low : 0;
    low = around - 0.5;
    high = around + 0.5;
  }
  const room = 0.04 * (high - low);
  const min = low - room;
  const max = high + room;
  const step = roundUp((high - low) / parts);
  const first = Math.ceil(min / step);
  const count = Math.floor(max / step) - first + 1;
  return { min, max, marks: Array.from({ length: count }, (_, i) => (first + i) * step) };
}

const comma = new Intl.NumberFormat(locale()).formatToParts(1.5).some((part) => part.type === 'decimal' && part.value === ',');

/**
 * A mark's number as the page's language or the reader's locale writes it, a true
 * minus sign included; with so many decimals, or as many as it takes.
 */
export function markText(x, decimals) {
  const text = decimals === undefined ? String(Number(x.toPrecision(10))) : x.toFixed(decimals);
  return (comma ? text.replace('.', ',') : text).replace('-', '\u2212');
}

/** How many decimals it takes to write all the marks. */
export function decimalsOf(marks) {
  return Math.max(0, ...marks.map((x) => (String(Number(x.toPrecision(10))).split('.')[1] ?? '').length));
}

/** Lowest and highest y of flat x, y pairs whose x lies in [from, to]. */
export function extent(pairs, from, to, so = { low: Infinity, high: -Infinity }) {
  let { low, high } = so;
  for (let i = 0; i < pairs.length; i += 2) {
    if (pairs[i] < from || pairs[i] > to) continue;
    const y = pairs[i + 1];
    if (y < low) low = y;
    if (y > high) high = y;
  }
  return { low, high };
}

/**
 * Lays finer points of a part of a curve over the coarse whole, so that
 * something is there to see when the part moves before new points come.
 * Points of the whole are only used beyond what the part shows, [from, to].
 */
export function overlay(whole, part, from, to) {
  if (part.length === 0) return whole;
  const slack = (to - from) / 100;
  const first = part[0];
  const last = part[part.length - 2];
  let before = 0;
  // A part that starts late or ends early is a curve that does: no joining.
  if (first <= from + slack) while (before < whole.length && whole[before] < Math.min(first, from)) before += 2;
  let after = whole.length;
  if (last >= to - slack) while (after > before && whole[after - 2] > Math.max(last, to)) after -= 2;
  const joined = new Float64Array(before + part.length + whole.length - after);
  joined.set(whole.subarray(0, before), 0);
  joined.set(part, before);
  joined.set(whole.subarray(after), before + part.length);
  return joined;
}
