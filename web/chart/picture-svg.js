// A picture as SVG: title, plot, key, remarks and source one below the other.
// ECharts draws the plot; here it is written down, with what is around it, so
// that nothing is in the file that need not be: no style, script or reference.

import { say } from '../shared/say.js';
import { crc32 } from './zip.js';
import { EDGE } from './picture-options.js';
import { escaped, wrap } from './picture-text.js';

// Of what ECharts makes, these are written, with these attributes and no others.
const TAGS = new Set(['g', 'path', 'circle', 'polyline', 'polygon', 'rect', 'text']);
const ATTRIBUTES = new Set([
  'd', 'points', 'cx', 'cy', 'r', 'x', 'y', 'width', 'height', 'transform', 'fill', 'fill-opacity', 'stroke', 'stroke-width',
  'stroke-opacity', 'stroke-dasharray', 'stroke-dashoffset', 'stroke-linecap', 'stroke-linejoin', 'stroke-miterlimit',
  'paint-order', 'opacity', 'text-anchor',
]);
const GAP = EDGE; // between the parts
const SWATCH = 35; // two gaps of the second dash
const LINE = 1.35; // height of a line, over the size of its letters
const MOST_KEYS = 80;

/**
 * @param {{title: string, alt: string, note: string, source: string, keys: import('./picture-options.js').Key[]}} words
 * @param {{width: number, scale: number, theme: object, measure: Function}} look width
 *   in CSS pixels, scale of the picture's own unit in them
 * @param {(box: {width: number, height: number}) => object} plot draws the plot,
 *   as a tree of {tag, attrs, children, text}
 * @returns {{svg: string, width: number, height: number}} size in CSS pixels
 */
export function compose(words, { width: across, scale, theme, measure }, plot) {
  const width = across / scale;
  const { size } = theme;
  const out = [];
  let y = GAP;
  const block = (text, { letters, weight, fill, lines }) => {
    if (text === '') return;
    const fits = wrap(text, width - 2 * EDGE, (piece) => measure(piece, letters, weight), lines);
    for (const line of fits) {
      y += letters * LINE;
      out.push(label(line, EDGE, y - 0.35 * letters, { 'font-size': letters, 'font-weight': weight, fill }));
    }
  };
  block(words.title, { letters: size * 1.3, weight: 600, fill: theme.ink, lines: 3 });
  y += GAP / 2;

  const box = { width, height: Math.round(Math.min(560, Math.max(260, 0.5 * width))) };
  out.push(tag('g', { transform: `translate(0 ${short(y)})` }, written(plot(box))));
  y += box.height + GAP / 2;

  y = key(words.keys, { x: EDGE, y, width: width - 2 * EDGE }, theme, measure, out) + GAP / 2;
  const small = { letters: size * 0.85, weight: 400, fill: theme.quiet };
  block(words.note, { ...small, lines: 4 });
  if (words.note !== '') y += GAP / 4;
  block(words.source, { ...small, lines: 4 });
  y += GAP;

  const height = Math.ceil(y * scale);
  const head = {
    xmlns: 'http://www.w3.org/2000/svg', role: 'img', width: across, height,
    viewBox: `0 0 ${short(width)} ${short(height / scale)}`, 'font-family': theme.font, 'font-size': size,
  };
  const svg = tag('svg', head, [
    tag('title', {}, escaped(words.title)),
    tag('desc', {}, escaped(words.alt)),
    tag('rect', { width: short(width), height: short(height / scale), fill: theme.sheet }),
    ...out,
  ].join('\n'));
  return { svg: `${svg}\n`, width: across, height };
}

/**
 * The key in columns: as many as take the fewest lines, with no name cut short
 * and none over more than two lines. In one column four have to do.
 */
function key(all, { x, y, width }, theme, measure, out) {
  const { size } = theme;
  const keys = all.slice(0, MOST_KEYS);
  if (all.length > keys.length) keys.push({ name: say('and %d more', all.length - keys.length), color: 'none', type: 'solid', width: 0 });
  if (keys.length === 0) return y;
  const gap = SWATCH + size * 0.6;
  const between = size * 1.5;
  const widths = new Map(keys.map(({ name }) => [name, measure(name, size)]));
  const widest = Math.max(...widths.values());
  const tryWith = (columns) => {
    const each = Math.min(width / columns, widest + gap + between);
    const room = each - gap - (columns > 1 ? between : 0) + 0.01;
    const fit = (name) => (widths.get(name) <= room ? [name] : wrap(name, room, (piece) => measure(piece, size), 4));
    const texts = keys.map(({ name }) => fit(name));
    const rows = [];
    for (let k = 0; k < texts.length; k += columns) rows.push(Math.max(...texts.slice(k, k + columns).map((t) => t.length)));
    return { columns, each, texts, rows, lines: rows.reduce((sum, n) => sum + n, 0) };
  };
  const whole = ({ texts }) => texts.every((lines, k) => lines.length <= 2 && lines.join(' ') === keys[k].name);
  let best = tryWith(1);
  for (let columns = 2; columns <= Math.min(keys.length, 8) && width / columns >= 110; columns += 1) {
    const other = tryWith(columns);
    if (other.lines < best.lines && whole(other)) best = other;
  }
  const high = size * LINE;
  keys.forEach((one, k) => {
    const left = x + (k % best.columns) * best.each;
    const row = Math.floor(k / best.columns);
    const top = y + best.rows.slice(0, row).reduce((sum, n) => sum + n, 0) * high;
    out.push(swatch(one, left, top + high / 2));
    best.texts[k].forEach((line, i) => out.push(label(line, left + gap, top + (i + 0.73) * high, { fill: theme.ink })));
  });
  return y + best.lines * high;
}

function swatch({ color, type, width, symbol }, x, y) {
  const line = tag('path', {
    d: `M${short(x)} ${short(y)}h${SWATCH}`, fill: 'none', stroke: color, 'stroke-width': width * 1.15,
    'stroke-dasharray': Array.isArray(type) ? type.join(' ') : null,
  });
  const r = 3.75;
  const at = `M${short(x + SWATCH / 2)} ${short(y)}`;
  const shapes = {
    circle: `${at}m${-r} 0a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`,
    rect: `${at}m${-r} ${-r}h${2 * r}v${2 * r}h${-2 * r}z`,
    triangle: `${at}m0 ${-r}l${r} ${2 * r}h${-2 * r}z`,
    diamond: `${at}m0 ${-r}l${r} ${r}l${-r} ${r}l${-r} ${-r}z`,
  };
  return shapes[symbol] ? `${line}\n${tag('path', { d: shapes[symbol], fill: color })}` : line;
}

const label = (text, x, y, attributes) => tag('text', { x: short(x), y: short(y), ...attributes }, escaped(text));

/** ECharts' tree of the plot, its parts only and its own size left out. */
function written({ children = [] }) {
  const clips = new Map(); // ECharts' name -> ours
  const defs = new Map(); // ours -> what it is
  for (const { attrs, children: shapes } of children.flatMap((child) => (child.tag === 'defs' ? child.children : []))) {
    const shape = shapes.map((one) => node(one, clips)).join('');
    // Named by their shape: where several pictures stand in one page, the same
    // name is the same shape, and the same chart always gives the same file.
    const id = `clip-${crc32(new TextEncoder().encode(shape)).toString(16)}`;
    clips.set(attrs.id, id);
    defs.set(id, tag('clipPath', { id }, shape));
  }
  return [tag('defs', {}, [...defs.values()].join('')), ...children.map((child) => node(child, clips))].filter(Boolean).join('\n');
}

function node({ tag: name, attrs = {}, children = [], text = '' }, clips) {
  if (!TAGS.has(name) || attrs.d === '') return '';
  const kept = {};
  for (const [attribute, value] of Object.entries(attrs)) {
    if (ATTRIBUTES.has(attribute)) kept[attribute] = typeof value === 'string' ? rounded(attribute, value) : value;
  }
  const clip = clips.get(/^url\(#([\w-]+)\)$/.exec(attrs['clip-path'] ?? '')?.[1]);
  if (clip) kept['clip-path'] = `url(#${clip})`;
  if (name === 'text') return tag(name, { ...kept, ...type(attrs) }, escaped(text));
  const inside = children.map((child) => node(child, clips)).filter(Boolean).join('\n');
  return name === 'g' && inside === '' ? '' : tag(name, kept, inside);
}

// Not every program knows dominant-baseline; all know dy.
function type({ style = '', 'dominant-baseline': baseline }) {
  const size = /font-size:\s*([\d.]+)px/.exec(style)?.[1];
  return { 'font-size': size, dy: baseline === 'central' ? '0.35em' : null };
}

function rounded(attribute, value) {
  // A circle is an arc that all but closes: rounding would close it to nothing.
  if (!['d', 'points', 'transform'].includes(attribute) || value.includes('A')) return value;
  const digits = attribute === 'transform' ? 1e4 : 100;
  return value.replace(/-?\d+\.\d+(e[-+]?\d+)?/g, (number) => String(Math.round(Number(number) * digits) / digits));
}

const short = (x) => (typeof x === 'number' ? Math.round(x * 100) / 100 : x);

function tag(name, attributes, inside = '') {
  const list = Object.entries(attributes)
    .filter(([, value]) => value !== null && value !== undefined && value !== false)
    .map(([attribute, value]) => ` ${attribute}="${escaped(short(value))}"`)
    .join('');
  return inside === '' ? `<${name}${list}/>` : `<${name}${list}>${inside}</${name}>`;
}
