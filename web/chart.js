// window.plateau.chart: the curves, for the Go page.
//
//   mount(element, {onHover(x or null), onRange(from, to or null, null for
//     all), onSize(width of the plot in device pixels)})
//   draw(curves, buffers, {show, temperature, cutoff}): a wire.Curves, and of
//     each series a buffer of float64 x, y pairs, that of the right axis (its
//     temperature's, as a rule) right after it; where the chart is zoomed,
//     points of the visible part will do; show is the command's
//   point(run, x): puts cursor and focus there, on the place of a check
//   highlight(run or null), resetZoom(), retheme(), pixels()
//
// and the chart of points, the figures of cells over the current:
//
//   mountPoints(element)
//   drawPoints(compared, buffers): a wire.Compared, and of each series a buffer
//     of float64 x, y, U triples
//   highlightPoints(run or null)
//
// and what is made of them for others to see:
//
//   picture(chart, {format: 'svg' or 'png', width, scale, title, note, source,
//     alt, dark}): a promise of the SVG's text or the PNG's Blob. chart is
//     'curves' or 'points', what is drawn now (of curves, the part in view); or
//     {curves, buffers, show} or {compared, buffers}, what draw() and
//     drawPoints() take. Pictures are light unless dark is asked for.
//   zip([{name, blob: Blob or string}]): a promise of a Blob

import { picture } from './chart/picture.js';
import { Plot } from './chart/plot.js';
import { Points } from './chart/points.js';
import { fillTable, sentence } from './chart/told.js';
import { zip } from './chart/zip.js';

let plot = null;
let points = null;
let range = {}; // of the abscissa that is in view; empty for all
const shown = { curves: null, points: null };

window.plateau.chart = {
  mount(element, on) {
    plot?.dispose();
    plot = new Plot(element, {
      ...on,
      onRange: (from, to) => {
        range = from === null ? {} : { from, to };
        on?.onRange?.(from, to);
      },
    });
  },
  draw(curves, buffers, show) {
    shown.curves = { curves, buffers, show, ...range };
    plot?.draw(curves, buffers, show);
    tell();
  },
  point: (run, x) => plot?.point(run, x),
  highlight: (run) => plot?.highlight(run),
  resetZoom: () => plot?.resetZoom(),
  retheme: () => plot?.retheme(),
  pixels: () => plot?.pixels() ?? 1000,
  mountPoints(element) {
    points?.dispose();
    points = new Points(element);
  },
  drawPoints(compared, buffers) {
    shown.points = { compared, buffers };
    points?.draw(compared, buffers);
    byId('compare-said').textContent = sentence(compared, compared.series.map(({ name }, k) => ({ name, points: new Float64Array(buffers[k]), stride: 3 })));
  },
  highlightPoints: (run) => points?.highlight(run),
  picture: (chart, options) => picture(typeof chart === 'string' ? shown[chart] : chart, options),
  zip,
};

const byId = (id) => document.getElementById(id);

// In words, and where that is unfolded as a table.
function tell() {
  const fold = byId('chart-fold');
  const table = () => plot && fold.open && fillTable(byId('chart-table'), ...plot.drawn());
  fold.hidden = !plot || plot.drawn()[1].length === 0;
  fold.ontoggle = table;
  if (fold.hidden) return;
  byId('chart-said').textContent = sentence(...plot.drawn());
  table();
}

const retheme = () => {
  plot?.retheme();
  points?.retheme();
};
matchMedia('(prefers-color-scheme: dark)').addEventListener('change', retheme);

// Paper is white, whatever the screen is.
const onPaper = (paper) => () => {
  document.documentElement.toggleAttribute('data-print', paper);
  plot?.highlight(null);
  points?.highlight(null);
  retheme();
};
window.addEventListener('beforeprint', onPaper(true));
window.addEventListener('afterprint', onPaper(false));
