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

import { Plot } from './chart/plot.js';

let plot = null;

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
};

matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => plot?.retheme());

// Paper is white, whatever the screen is.
const onPaper = (paper) => () => {
  document.documentElement.toggleAttribute('data-print', paper);
  plot?.highlight(null);
  plot?.retheme();
};
window.addEventListener('beforeprint', onPaper(true));
window.addEventListener('afterprint', onPaper(false));
