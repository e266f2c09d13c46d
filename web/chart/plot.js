// The curves on ECharts: keeps what was drawn last, the zoom, and the sizes.

import { LineChart } from 'echarts/charts';
import { DataZoomInsideComponent, DataZoomSliderComponent, GridSimpleComponent, MarkLineComponent } from 'echarts/components';
import { init, use } from 'echarts/core';
import { CanvasRenderer } from 'echarts/renderers';
import { Cursor } from './cursor.js';
import { Marks } from './marks.js';
import { axes, margins, ranges, series, temperatureId, voltageId, zooms } from './options.js';
import { overlay } from './scale.js';
import { scrollOn } from './scroll.js';
import { readTheme } from './theme.js';

use([LineChart, GridSimpleComponent, DataZoomInsideComponent, DataZoomSliderComponent, MarkLineComponent, CanvasRenderer]);

const SETTLE_MS = 60;
const nothing = () => {};
const noCurves = { axis: '', xLabel: '', yLabel: '', tLabel: '', series: [], xMin: 0, xMax: 0 };

export class Plot {
  #element;
  #on;
  #chart;
  #cursor;
  #marks;
  #theme;
  #watch;
  #scrolling; // undoes scrollOn
  #settling = 0;
  #curves = noCurves;
  #show = { what: 'voltage', temperature: false, cutoff: null };
  #ordinate = { min: 0, max: 1 };
  #wholes = new Map(); // run -> {voltage, temperature} over the whole abscissa
  #data = { voltage: [], temperatureOf: [], temperature: [] };
  #zoom = { start: 0, end: 100 }; // in percent of the abscissa, as ECharts has it
  #told = { from: null, to: null };
  #highlit = null;

  constructor(element, { onHover = nothing, onRange = nothing, onSize = nothing } = {}) {
    this.#element = element;
    this.#on = { onRange, onSize };
    this.#theme = readTheme(element);
    const canvas = document.createElement('div');
    canvas.className = 'chart-canvas';
    element.replaceChildren(canvas);
    this.#chart = init(canvas, null, { renderer: 'canvas', ...this.#size() });
    const looks = {
      area: () => this.#area(),
      range: () => this.#range(),
      span: () => this.#span(),
      ordinate: () => this.#ordinate,
      label: () => this.#curves.xLabel,
      zoomTo: (from, to) => this.#zoomTo(from, to),
    };
    this.#marks = new Marks(element, looks);
    this.#cursor = new Cursor(element, looks, onHover, (px, py) => {
      this.#marks.under(px, py);
      if (Number.isNaN(px) && this.#highlit !== null) this.highlight(null);
    });
    this.#chart.on('datazoom', (event) => this.#zoomed(event.batch?.[0] ?? event));
    this.#scrolling = scrollOn(element);
    this.#watch = new ResizeObserver(() => this.#resize());
    this.#watch.observe(element);
    this.#paint(); // so that the first curves find the code warm
  }

  dispose() {
    this.#watch.disconnect();
    clearTimeout(this.#settling);
    this.#cursor.dispose();
    this.#scrolling();
    this.#chart.dispose();
  }

  draw(curves, buffers, { show = 'voltage', temperature = false, cutoff = curves.cutoff ?? null } = {}) {
    const otherAxis = curves.axis !== this.#curves.axis || show !== this.#show.what;
    if (otherAxis) this.#wholes.clear();
    const kept = this.#range();
    const whole = otherAxis || this.#isWhole();
    this.#curves = curves;
    this.#show = { what: show, temperature, cutoff };
    if (otherAxis) this.#zoom = { start: 0, end: 100 };
    else if (!whole) this.#zoom = this.#percent(kept.from, kept.to);
    this.#take(buffers, whole, kept);
    this.#paint();
    this.#marks.draw(curves.marks ?? []);
    if (otherAxis) this.#settle();
  }

  /** Puts the cursor, and the focus, on a place of a run's curve. */
  point(run, x) {
    this.highlight(run);
    this.#cursor.point(x);
    this.#marks.hold(run, x);
  }

  highlight(run) {
    this.#highlit = run;
    this.#chart.dispatchAction({ type: 'downplay' });
    if (run === null) return;
    const i = this.#curves.series.findIndex((one) => one.run === run);
    if (i < 0) return;
    const seriesId = [voltageId(run)];
    if (this.#show.temperature && this.#data.temperatureOf[i]) seriesId.push(temperatureId(run));
    this.#chart.dispatchAction({ type: 'highlight', seriesId });
  }

  resetZoom() {
    this.#chart.dispatchAction({ type: 'dataZoom', start: 0, end: 100 });
  }

  /** What is drawn, for told.js: labels, curves, and the part in view. */
  drawn() {
    const { voltage, temperatureOf } = this.#data;
    const { from, to } = this.#range();
    return [
      this.#curves,
      this.#curves.series.map(({ name }, i) => ({ name, points: voltage[i], second: this.#show.temperature ? temperatureOf[i] : null })),
      from,
      to,
    ];
  }

  /** Reads the style sheet again, and the size it gives. */
  retheme() {
    this.#theme = readTheme(this.#element);
    this.#paint();
  }

  /** Width of the plot in device pixels. */
  pixels() {
    return Math.max(1, Math.round(this.#area().width * window.devicePixelRatio));
  }

  // Sorts the buffers to their curves. Points of a part are laid over those of
  // the whole curve, where these are known.
  #take(buffers, whole, { from, to }) {
    const seen = new Set();
    const data = { voltage: [], temperatureOf: [], temperature: [] };
    let next = 0;
    for (const one of this.#curves.series) {
      let points = { voltage: new Float64Array(buffers[next++]), temperature: null };
      if (one.temperature) points.temperature = new Float64Array(buffers[next++]);
      const known = this.#wholes.get(one.run);
      if (whole) this.#wholes.set(one.run, points);
      else if (known) {
        points = {
          voltage: overlay(known.voltage, points.voltage, from, to),
          temperature: points.temperature && known.temperature && overlay(known.temperature, points.temperature, from, to),
        };
      }
      seen.add(one.run);
      data.voltage.push(points.voltage);
      data.temperatureOf.push(points.temperature);
      if (points.temperature && this.#show.temperature) data.temperature.push(points.temperature);
    }
    if (whole) for (const run of this.#wholes.keys()) if (!seen.has(run)) this.#wholes.delete(run);
    this.#data = data;
  }

  #paint() {
    const zoom = zooms(this.#theme, this.#margins());
    for (const z of zoom) Object.assign(z, this.#zoom);
    // Either call draws the whole chart: with another size, only the second.
    const resized = this.#outgrown();
    this.#chart.setOption(
      {
        animation: false,
        grid: { ...this.#margins(), outerBoundsMode: 'none' },
        ...this.#axes(),
        dataZoom: zoom,
        series: series(this.#curves, this.#data, this.#theme, this.#show.temperature, this.#show.cutoff),
      },
      { replaceMerge: ['series'], lazyUpdate: resized },
    );
    if (resized) this.#chart.resize(this.#size());
    this.#cursor.place();
    this.#marks.place();
    if (this.#highlit !== null) this.highlight(this.#highlit);
    if (this.#curves.series.length > 0) {
      performance.clearMarks('plateau:drawn');
      performance.mark('plateau:drawn');
    }
  }

  #axes() {
    const { cutoff } = this.#show;
    const fit = ranges(this.#data, this.#range(), cutoff, this.#area().height);
    this.#ordinate = fit.left;
    return axes(this.#curves, this.#theme, fit, this.#span(), !this.#isWhole());
  }

  #margins() {
    return margins(this.#element.clientWidth, this.#theme, this.#show.temperature && this.#data.temperature.length > 0);
  }

  #area() {
    const { left, right, top, bottom } = this.#margins();
    const { clientWidth, clientHeight } = this.#element;
    return { left, top, width: Math.max(1, clientWidth - left - right), height: Math.max(1, clientHeight - top - bottom) };
  }

  // A little room at the end, so that a curve does not end on the frame; at the
  // beginning too, where that is not zero.
  #span() {
    const { xMin = 0, xMax } = this.#curves;
    const room = 0.02 * (xMax - xMin);
    return room > 0 ? { min: xMin === 0 ? 0 : xMin - room, max: xMax + room } : { min: 0, max: 1 };
  }

  #isWhole() {
    return this.#zoom.start <= 0 && this.#zoom.end >= 100;
  }

  #range() {
    const { min, max } = this.#span();
    const at = (percent) => min + (percent / 100) * (max - min);
    return { from: at(this.#zoom.start), to: at(this.#zoom.end) };
  }

  #percent(from, to) {
    const { min, max } = this.#span();
    const clip = (x) => Math.min(100, Math.max(0, ((x - min) / (max - min)) * 100));
    const zoom = { start: clip(from), end: clip(to) };
    return zoom.end > zoom.start ? zoom : { start: 0, end: 100 };
  }

  #zoomTo(from, to) {
    this.#chart.dispatchAction({ type: 'dataZoom', ...this.#percent(from, to) });
  }

  #zoomed({ start, end }) {
    this.#zoom = { start, end };
    this.#cursor.place();
    this.#marks.place();
    this.#settle();
  }

  // Once the zoom rests for a moment, tells the range: finer points come by
  // draw(), which fits the ordinates to them.
  #settle() {
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => {
      const { from, to } = this.#isWhole() ? { from: null, to: null } : this.#range();
      if (from === this.#told.from && to === this.#told.to) return;
      this.#told = { from, to };
      this.#on.onRange(from, to);
    }, SETTLE_MS);
  }

  #resize() {
    if (this.#element.clientWidth === 0) return; // not on screen
    if (this.#curves.series.length > 0 && this.#outgrown()) this.#paint();
    this.#on.onSize(this.pixels());
  }

  #outgrown() {
    const { width, height } = this.#size();
    return width !== this.#chart.getWidth() || height !== this.#chart.getHeight();
  }

  // Given, since ECharts warns of a box that is not on screen yet.
  #size() {
    return { width: Math.max(1, this.#element.clientWidth), height: Math.max(1, this.#element.clientHeight) };
  }
}
