// Charts for who does not see them: a sentence on what is drawn, and a table of
// it. The curves are those drawn, {name, points, second}: flat x, y pairs, of
// second (the right axis) or null, or with stride 3 x, y, U.

import { say } from '../shared/say.js';
import { decimalsOf, extent, markText, roundAxis } from './scale.js';

const PARTS = 10; // of the abscissa, a column each

/** How many decimals tell a hundredth of a span. */
const decimals = (low, high) => Math.min(6, Math.max(0, 2 - Math.floor(Math.log10(high - low || Math.abs(high) || 1))));

/** @param {{xLabel: string, yLabel: string, tLabel?: string}} labels */
export function sentence({ xLabel, yLabel, tLabel }, curves, from = -Infinity, to = Infinity) {
  const x = { low: Infinity, high: -Infinity };
  const y = { low: Infinity, high: -Infinity };
  for (const { name, points, stride = 2 } of curves) {
    for (let i = 0; i < points.length; i += stride) {
      const [at, value] = [points[i], points[i + 1]];
      if (at < from || at > to) continue;
      x.low = Math.min(x.low, at);
      y.low = Math.min(y.low, value);
      if (at > x.high) [x.high, x.name] = [at, name];
      if (value > y.high) [y.high, y.name] = [value, name];
    }
  }
  if (!(x.high >= x.low)) return '';
  const ends = ({ low, high }) => [low, high].map((end) => markText(end, decimals(low, high)));
  const said = [yLabel, xLabel, ...ends(x), ...ends(y)];
  const main = curves.length === 1
    ? say('1 curve, %s over %s: across from %s to %s, up from %s to %s.', ...said)
    : say('%s curves, %s over %s: across from %s to %s, up from %s to %s. Highest is %s, farthest right %s.', curves.length, ...said, y.name, x.name);
  const second = curves.reduce((so, one) => (one.second ? extent(one.second, from, to, so) : so), undefined);
  return second?.high >= second?.low ? `${main} ${say('Dotted, on the right axis: %s, from %s to %s.', tLabel, ...ends(second))}` : main;
}

/** Fills a table with what the curves read at round places of the abscissa. */
export function fillTable(table, { xLabel, yLabel, tLabel }, curves, from, to) {
  const places = roundAxis(from, to, PARTS).marks.filter((x) => x >= from && x <= to);
  const exact = decimalsOf(places);
  const [, unit = ''] = xLabel.split(' / ');
  const heads = places.map((x) => cell('th', `${markText(x, exact)} ${unit}`, 'col'));
  const head = table.createTHead();
  head.replaceChildren(row(cell('th', say('%s over %s', yLabel, xLabel), 'col'), heads));
  const lines = (name, pairs) => {
    const { low, high } = extent(pairs, from, to);
    return row(cell('th', name, 'row'), places.map((x) => {
      const y = read(pairs, x);
      return cell('td', y === null ? '–' : markText(y, decimals(low, high) + 1));
    }));
  };
  const body = table.tBodies[0] ?? table.createTBody();
  body.replaceChildren(...curves.flatMap(({ name, points, second }) => [lines(name, points), ...(second ? [lines(`${name}, ${tLabel}`, second)] : [])]));
}

/** y at x on a straight line between two points; the last of several; or null. */
export function read(pairs, x) {
  for (let i = pairs.length - 4; i >= 0; i -= 2) {
    const [x0, y0, x1, y1] = pairs.subarray(i, i + 4);
    if ((x0 <= x && x <= x1) || (x1 <= x && x <= x0)) return x1 === x0 ? y1 : y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
  }
  return null;
}

function cell(tag, text, scope) {
  const one = document.createElement(tag);
  one.textContent = text;
  if (scope) one.scope = scope;
  return one;
}

function row(head, rest) {
  const one = document.createElement('tr');
  one.append(head, ...rest);
  return one;
}
