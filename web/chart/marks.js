// The places of checks on the curves: small shapes over the canvas, a shape for
// each severity. Under the pointer, or pointed at from the list of checks, one
// says what it is about. To screen readers the list is all there is.

const NEAR_PX = 12;

export class Marks {
  #layer = document.createElement('div');
  #tip = document.createElement('p');
  #plot;
  #shapes = []; // {mark, element, x, y}: x and y in pixels, or null out of view
  #held = null; // the mark that was pointed at from elsewhere

  /**
   * @param {HTMLElement} element the chart's box
   * @param {{area: () => {left: number, top: number, width: number, height: number},
   *   range: () => {from: number, to: number}, ordinate: () => {min: number, max: number}}} plot
   */
  constructor(element, plot) {
    this.#plot = plot;
    this.#layer.className = 'chart-marks';
    this.#layer.setAttribute('aria-hidden', 'true');
    this.#tip.className = 'chart-tip';
    this.#tip.hidden = true;
    this.#layer.append(this.#tip);
    element.append(this.#layer);
  }

  /** @param {{run: string, x: number, y: number, severity: string, text: string}[]} marks */
  draw(marks) {
    for (const { element } of this.#shapes) element.remove();
    this.#shapes = marks.map((mark) => {
      const element = document.createElement('span');
      element.className = `shape ${mark.severity}`;
      this.#layer.append(element);
      return { mark, element, x: null, y: null };
    });
    this.place();
  }

  /** Puts all where they are now, after the plot has changed. */
  place() {
    const { from, to } = this.#plot.range();
    const { left, top, width, height } = this.#plot.area();
    const { min, max } = this.#plot.ordinate();
    for (const shape of this.#shapes) {
      const { x, y } = shape.mark;
      const inside = x >= from && x <= to && y >= min && y <= max;
      shape.x = inside ? left + ((x - from) / (to - from)) * width : null;
      shape.y = inside ? top + ((max - y) / (max - min)) * height : null;
      shape.element.hidden = !inside;
      if (inside) shape.element.style.translate = `${shape.x}px ${shape.y}px`;
    }
    this.#say(this.#shapes.find(({ mark }) => mark === this.#held));
  }

  /** Says what the nearest mark is about, if one is near. */
  under(px, py) {
    let nearest;
    let least = NEAR_PX;
    for (const shape of this.#shapes) {
      const far = shape.x === null ? Infinity : Math.hypot(shape.x - px, shape.y - py);
      if (far < least) [nearest, least] = [shape, far];
    }
    this.#held = null;
    this.#say(nearest);
  }

  /** Says what a mark of a run is about that is at x; of none, nothing. */
  hold(run, x) {
    const shape = this.#shapes.find(({ mark }) => mark.run === run && mark.x === x);
    this.#held = shape?.mark ?? null;
    this.#say(shape);
  }

  #say(shape) {
    const there = shape !== undefined && shape.x !== null;
    this.#tip.hidden = !there;
    if (!there) return;
    this.#tip.textContent = shape.mark.text;
    const { left, width } = this.#plot.area();
    const right = shape.x > left + width / 2;
    this.#tip.classList.toggle('to-left', right);
    this.#tip.classList.toggle('to-top', shape.y > 90);
    this.#tip.style.translate = `${shape.x}px ${shape.y}px`;
  }
}
