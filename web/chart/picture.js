// A chart as a picture to publish, drawn anew off screen from the chart's data.

import { LineChart } from 'echarts/charts';
import { GridSimpleComponent, MarkLineComponent } from 'echarts/components';
import { init, use } from 'echarts/core';
import { SVGRenderer } from 'echarts/renderers';
import { say } from '../shared/say.js';
import { pictured } from './picture-options.js';
import { compose } from './picture-svg.js';
import { clean, measurer } from './picture-text.js';
import { pictureTheme } from './picture-theme.js';

use([LineChart, GridSimpleComponent, MarkLineComponent, SVGRenderer]);

const NARROWEST = 320;
const WIDEST = 4096;
const MOST_SCALE = 4;

/**
 * @param {object} chart what pictured() takes
 * @param {{format?: 'svg'|'png', width?: number, scale?: number, title?: string, note?: string, source?: string,
 *   alt?: string, dark?: boolean}} options width in CSS pixels; scale, for PNG
 *   alone, is pixels for each of them; title and note are the chart's own where
 *   they are not given; alt describes the picture to those who do not see it
 * @returns {Promise<string|Blob>} the text of the SVG, or the PNG
 */
export async function picture(chart, options = {}) {
  const { format = 'svg', width = 1200, scale = 1, dark = false } = options;
  if (format !== 'svg' && format !== 'png') throw new Error(`Pictures are "svg" or "png", not "${clean(format, 20)}".`);
  if (!(width >= NARROWEST && width <= WIDEST)) throw new Error(say('A picture is %d to %d pixels wide, not %s.', NARROWEST, WIDEST, clean(width, 20)));
  if (!(scale >= 1 && scale <= MOST_SCALE)) throw new Error(`The scale of a picture is 1 to ${MOST_SCALE}, not ${clean(scale, 20)}.`);
  const made = drawn(chart, { ...options, width: Math.round(width) }, pictureTheme(dark), measurer());
  return format === 'svg' ? made.svg : rastered(made, scale);
}

/** The SVG, with its size in CSS pixels. */
export function drawn(chart, { width, title, note, source, alt }, theme, measure) {
  const parts = pictured(chart, theme, measure);
  const words = {
    title: clean(title, 300) || parts.title || say('Chart'),
    note: note === undefined ? parts.note : clean(note),
    source: clean(source),
    keys: parts.keys,
  };
  words.alt = clean(alt, 2000) || clean(say('Chart. %s.', parts.keys.map(({ name }) => name).join('; ')), 2000);
  // Letters grow with the picture, but less than it does: a wide one is often
  // shown smaller than it is, and has more room at its own size.
  const scale = Math.max(1, (14 / theme.size) * (width / 800) ** 0.7);
  return compose(words, { width, scale, theme, measure }, (box) => tree(parts.option(box), box));
}

function tree(option, { width, height }) {
  const chart = init(null, null, { renderer: 'svg', ssr: true, width, height });
  try {
    chart.setOption(option);
    // What renderToSVGString() makes text of.
    return chart.getZr().painter.renderToVNode({ animation: false, emphasis: false, willUpdate: false, compress: false });
  } finally {
    chart.dispose();
  }
}

async function rastered({ svg, width, height }, scale) {
  const across = Math.round(width * scale);
  const down = Math.round(height * scale);
  const sized = svg.replace(`width="${width}" height="${height}"`, `width="${across}" height="${down}"`);
  const address = URL.createObjectURL(new Blob([sized], { type: 'image/svg+xml' }));
  try {
    const image = new Image(across, down);
    image.src = address;
    await image.decode();
    const canvas = document.createElement('canvas');
    canvas.width = across;
    canvas.height = down;
    canvas.getContext('2d').drawImage(image, 0, 0, across, down);
    const blob = await new Promise((done) => canvas.toBlob(done, 'image/png'));
    if (blob) return blob;
  } catch {
    // said below
  } finally {
    URL.revokeObjectURL(address);
  }
  throw new Error(say('This browser could not make a picture of %d × %d pixels; take a smaller width or scale, or SVG.', across, down));
}
