// The vertical line that follows pointer and arrow keys. It is an HTML element
// over the canvas, so that moving it does not draw the curves again.

import { markText } from './scale.js';

const STEPS = 200; // arrow-key steps across the visible range
const ZOOM = 1.5;

export class Cursor {
  #element;
  #line;
  #plot;
  #onHover;
  #onPointer;
  #x = null;
  #due = false;
  #listening = new AbortController();

  /**
   * @param {HTMLElement} element the chart's box
   * @param {{area: () => {left: number, top: number, width: number, height: number},
   *   range: () => {from: number, to: number}, span: () => {min: number, max: number}, label: () => string,
   *   zoomTo: (from: number, to: number) => void}} plot
   * @param {(x: number|null) => void} onHover
   * @param {(px: number, py: number) => void} onPointer where in the box it is
   */
  constructor(element, plot, onHover, onPointer) {
    this.#element = element;
    this.#plot = plot;
    this.#onHover = onHover;
    this.#onPointer = onPointer;
    this.#line = document.createElement('div');
    this.#line.className = 'chart-cursor';
    this.#line.hidden = true;
    this.#line.setAttribute('aria-hidden', 'true');
    element.append(this.#line);
    const { signal } = this.#listening;
    const on = (name, act) => element.addEventListener(name, act, { signal });
    on('pointermove', (event) => this.#follow(event));
    on('pointerdown', (event) => this.#follow(event));
    on('pointerleave', (event) => {
      // A finger leaves the reading where it was lifted.
      if (event.pointerType !== 'mouse') return;
      this.#move(null);
      this.#onPointer(NaN, NaN);
    });
    on('keydown', (event) => this.#key(event));
    on('blur', () => {
      this.#move(null);
      this.#onPointer(NaN, NaN);
    });
    on('focus', () => this.#describe());
    element.setAttribute('role', 'slider');
    element.tabIndex = 0;
    this.#describe();
  }

  dispose() {
    this.#listening.abort();
  }

  /** Takes the focus, and puts the line at x. */
  point(x) {
    this.#element.focus({ preventScroll: true });
    this.#go(x);
  }

  /** Puts the line where its x is now, after the plot has changed. */
  place() {
    const { from, to } = this.#plot.range();
    const { left, top, width, height } = this.#plot.area();
    const x = this.#x;
    this.#line.hidden = x === null || x < from || x > to;
    if (this.#line.hidden) return;
    const at = left + ((x - from) / (to - from)) * width;
    this.#line.style.transform = `translate(${at}px, ${top}px)`;
    this.#line.style.height = `${height}px`;
  }

  #follow(event) {
    const box = this.#element.getBoundingClientRect();
    const { left, top, width, height } = this.#plot.area();
    const px = event.clientX - box.left - left;
    const py = event.clientY - box.top - top;
    const { from, to } = this.#plot.range();
    const inside = px >= 0 && px <= width && py >= 0 && py <= height;
    this.#onPointer(event.clientX - box.left, event.clientY - box.top);
    this.#move(inside ? from + (px / width) * (to - from) : null);
  }

  #move(x) {
    if (x === this.#x) return;
    this.#x = x;
    this.place();
    this.#describe();
    if (this.#due) return;
    this.#due = true;
    requestAnimationFrame(() => {
      this.#due = false;
      this.#onHover(this.#x);
    });
  }

  // The chart is a slider to a screen reader: a value along the abscissa.
  #describe() {
    const { from, to } = this.#plot.range();
    const x = this.#x ?? from;
    const set = (name, value) => this.#element.setAttribute(name, value);
    const { min, max } = this.#plot.span();
    set('aria-valuemin', String(min));
    set('aria-valuemax', String(max));
    set('aria-valuenow', String(x));
    const unit = this.#plot.label().split(' / ')[1] ?? '';
    const digits = Math.max(0, 2 - Math.floor(Math.log10(to - from || 1)));
    set('aria-valuetext', `${markText(x, Math.min(6, digits))} ${unit}`.trim());
  }

  #key(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const { from, to } = this.#plot.range();
    const step = ((to - from) / STEPS) * (event.shiftKey ? 10 : 1);
    const x = this.#x ?? from;
    switch (event.key) {
      case 'ArrowLeft':
        this.#go(x - step);
        break;
      case 'ArrowRight':
        this.#go(this.#x === null ? from : x + step);
        break;
      case 'Home':
        this.#go(from);
        break;
      case 'End':
        this.#go(to);
        break;
      case '+':
      case '=':
        this.#zoom(1 / ZOOM);
        break;
      case '-':
        this.#zoom(ZOOM);
        break;
      case 'Escape':
        this.#element.blur();
        break;
      default:
        return;
    }
    event.preventDefault();
  }

  // Moves to x, and the visible range along with it where x lies outside.
  #go(x) {
    const { from, to } = this.#plot.range();
    const { min, max } = this.#plot.span();
    x = Math.min(Math.max(x, min), max);
    if (x < from) this.#plot.zoomTo(x, x + to - from);
    else if (x > to) this.#plot.zoomTo(x - (to - from), x);
    this.#move(x);
  }

  #zoom(factor) {
    const { from, to } = this.#plot.range();
    const about = this.#x ?? (from + to) / 2;
    this.#plot.zoomTo(about - (about - from) * factor, about + (to - about) * factor);
    this.#describe();
  }
}
