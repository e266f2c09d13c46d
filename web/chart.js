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

import { Plot } from './chart/plot.js';
import { Points } from './chart/points.js';

let plot = null;
let points = null;

window.plateau.chart = {
  mount(element, on) {
    plot?.dispose();
    plot = new Plot(element, on);
  },
  draw: (curves, buffers, show) => plot?.draw(curves, buffers, show),
  point: (run, x) => plot?.point(run, x),
  highlight: (run) => plot?.highlight(run),
  resetZoom: () => plot?.resetZoom(),
  retheme: () => plot?.retheme(),
  pixels: () => plot?.pixels() ?? 1000,
  mountPoints(element) {
    points?.dispose();
    points = new Points(element);
  },
  drawPoints: (compared, buffers) => points?.draw(compared, buffers),
  highlightPoints: (run) => points?.highlight(run),
};

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
