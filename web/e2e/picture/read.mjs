// Pictures read by programs that are not ours: SVG drawn by resvg, PNG decoded
// by pngjs.

import { Resvg } from '@resvg/resvg-js';
import { PNG } from 'pngjs';

/** @returns {{width: number, height: number, data: Buffer}} RGBA */
export const decoded = (bytes) => PNG.sync.read(bytes);

/** The SVG as another renderer draws it. */
export function rendered(svg, width) {
  return decoded(Buffer.from(new Resvg(svg, { fitTo: { mode: 'width', value: width } }).render().asPng()));
}

export const bytes = (colour) => [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16));

/** How many pixels have the colour, or all but, in lines from top to bottom. */
export function count({ width, height, data }, colour, { top = 0, bottom = height } = {}) {
  const [r, g, b] = bytes(colour);
  let found = 0;
  for (let i = Math.round(top) * width * 4; i < Math.round(bottom) * width * 4; i += 4) {
    if (Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b) <= 12) found += 1;
  }
  return found;
}

/** The share of pixels that differ plainly between two pictures of one size. */
export function difference(a, b) {
  let differ = 0;
  for (let i = 0; i < a.data.length; i += 4) {
    if (Math.abs(a.data[i] - b.data[i]) + Math.abs(a.data[i + 1] - b.data[i + 1]) + Math.abs(a.data[i + 2] - b.data[i + 2]) > 150) differ += 1;
  }
  return differ / (a.width * a.height);
}
