// Figures of cells over the current: for each cell points joined by a line, with
// bars for their uncertainty. Under the pointer a point says what it is; to
// screen readers the table beside the chart is all there is.

import { LineChart } from 'echarts/charts';
import { GridSimpleComponent } from 'echarts/components';
import { init, use } from 'echarts/core';
import { CanvasRenderer } from 'echarts/renderers';
import { bars, places, pointAxes, pointMargins, pointSeries, pointText, spans } from './points-options.js';
import { readTheme } from './theme.js';

use([LineChart, GridSimpleComponent, CanvasRenderer]);

const NEAR_PX = 16;
const CAP_PX = 9;
const nothing = { xLabel: '', yLabel: '', log: false, series: [] };

export class Points {
  #element;
  #chart;
  #theme;
  #watch;
  #tip = document.createElement('p');
  #compared = nothing;
  #data = []; // x, y, U triples of each series
  #fit = null;
  #frame = 0;
  #listening = new AbortController();

  constructor(element) {
    this.#element = element;
    this.#theme = readTheme(element);
    const canvas = document.createElement('div');
    canvas.className = 'chart-canvas';
    this.#tip.className = 'chart-tip';
    this.#tip.hidden = true;
    this.#tip.setAttribute('aria-hidden', 'true');
    element.replaceChildren(canvas, this.#tip);
    this.#chart = init(canvas, null, { renderer: 'canvas', ...this.#size() });
    const { signal } = this.#listening;
    element.addEventListener('pointermove', (event) => this.#under(event), { signal });
    element.addEventListener('pointerdown', (event) => this.#under(event), { signal });
    element.addEventListener('pointerleave', () => this.#say(null), { signal });
    this.#watch = new ResizeObserver(() => this.#resize());
    this.#watch.observe(element);
  }

  dispose() {
    cancelAnimationFrame(this.#frame);
    this.#watch.disconnect();
    this.#listening.abort();
    this.#chart.dispose();
  }

  draw(compared, buffers) {
    this.#compared = compared;
    this.#data = compared.series.map((_, k) => new Float64Array(buffers?.[k] ?? 0));
    // After the tables beside it are laid out, so that neither waits for both.
    cancelAnimationFrame(this.#frame);
    this.#frame = requestAnimationFrame(() => setTimeout(() => this.#paint()));
  }

  /** Lifts a cell's points out of the rest. */
  highlight(run) {
    this.#chart.dispatchAction({ type: 'downplay' });
    const seriesIndex = this.#compared.series.findIndex((one) => one.run === run);
    // Bars stand before points in the list.
    if (seriesIndex >= 0) this.#chart.dispatchAction({ type: 'highlight', seriesIndex: [2 * seriesIndex, 2 * seriesIndex + 1] });
  }

  retheme() {
    this.#theme = readTheme(this.#element);
    this.#paint();
  }

  #paint() {
    if (this.#element.clientWidth === 0 || this.#chart.isDisposed()) return; // not on screen
    const { log } = this.#compared;
    const margin = pointMargins(this.#element.clientWidth, this.#theme);
    const area = this.#area();
    this.#fit = spans(this.#data, log, area);
    const { x, y } = this.#fit;
    const cap = (CAP_PX / area.width) * (x.max - x.min);
    const series = this.#compared.series.flatMap((one, k) =>
      pointSeries(one, places(this.#data[k], log), bars(this.#data[k], log, y.min, cap), this.#theme));
    // Either call draws the whole chart: with another size, only the second.
    const resized = this.#outgrown();
    this.#chart.setOption(
      { animation: false, grid: { ...margin, outerBoundsMode: 'none' }, ...pointAxes(this.#compared, this.#fit, this.#theme), series },
      { replaceMerge: ['series'], lazyUpdate: resized },
    );
    if (resized) this.#chart.resize(this.#size());
    this.#say(null);
    if (series.length > 0) {
      performance.clearMarks('plateau:points');
      performance.mark('plateau:points');
    }
  }

  #resize() {
    if (this.#outgrown() || this.#fit === null) this.#paint();
  }

  #outgrown() {
    const { width, height } = this.#size();
    return width !== this.#chart.getWidth() || height !== this.#chart.getHeight();
  }

  #area() {
    const { left, right, top, bottom } = pointMargins(this.#element.clientWidth, this.#theme);
    const { width, height } = this.#size();
    return { left, top, width: Math.max(1, width - left - right), height: Math.max(1, height - top - bottom) };
  }

  #size() {
    return { width: Math.max(1, this.#element.clientWidth), height: Math.max(1, this.#element.clientHeight) };
  }

  // Says the point that is nearest to the pointer, if one is near.
  #under(event) {
    if (this.#fit === null) return;
    const box = this.#element.getBoundingClientRect();
    const { left, top, width, height } = this.#area();
    const { x, y } = this.#fit;
    let nearest = null;
    let least = NEAR_PX;
    this.#data.forEach((triples, k) => {
      places(triples, this.#compared.log).forEach(([px, py], i) => {
        const at = { x: left + ((px - x.min) / (x.max - x.min)) * width, y: top + ((y.max - py) / (y.max - y.min)) * height };
        const far = Math.hypot(at.x - (event.clientX - box.left), at.y - (event.clientY - box.top));
        if (far < least) [nearest, least] = [{ k, i, ...at }, far];
      });
    });
    this.#say(nearest);
  }

  #say(point) {
    this.#tip.hidden = point === null;
    if (point === null) return;
    const { k, i, x, y } = point;
    const [px, py, u] = this.#data[k].subarray(3 * i, 3 * i + 3);
    this.#tip.textContent = pointText(this.#compared, this.#compared.series[k].name, px, py, u);
    this.#tip.classList.toggle('to-left', x > this.#element.clientWidth / 2);
    this.#tip.classList.toggle('to-top', y > 90);
    this.#tip.style.translate = `${x}px ${y}px`;
  }
}
