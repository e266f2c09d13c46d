// Runs in the site's own page before its scripts, and only watches: when the
// engine is ready, when the dropped log's row stands in the table of results,
// when its curve is on the screen, and how long the page was busy meanwhile.
(() => {
  const CURVE_POINTS = 100; // axes and grid lines have fewer corners
  const watch = { engine: 0, usable: 0, row: 0, drawn: false, curve: 0, longTasks: [], gap: 0, gapToCurve: 0 };
  window.benchWatch = watch;

  // The engine is ready when its worker says so; the page is usable when its
  // own program has asked the engine for the first view and has the answer.
  window.Worker = class extends window.Worker {
    constructor(...args) {
      super(...args);
      this.addEventListener('message', ({ data }) => {
        if (data.type === 'ready') watch.engine ||= performance.now();
        if (data.type === 'reply') watch.usable ||= performance.now();
      });
    }
  };

  new PerformanceObserver((list) => {
    for (const { startTime, duration } of list.getEntries()) watch.longTasks.push({ startTime, duration });
  }).observe({ type: 'longtask', buffered: true });

  // A curve is drawn when a line of many corners is stroked after the row is
  // there; it is on the screen by the next frame.
  const { beginPath, lineTo, stroke } = CanvasRenderingContext2D.prototype;
  let corners = 0;
  Object.assign(CanvasRenderingContext2D.prototype, {
    beginPath() {
      corners = 0;
      beginPath.call(this);
    },
    lineTo(x, y) {
      corners++;
      lineTo.call(this, x, y);
    },
    stroke(...args) {
      stroke.apply(this, args);
      if (corners < CURVE_POINTS || !watch.row || watch.curve || watch.drawn) return;
      watch.drawn = true;
      requestAnimationFrame(() => { watch.curve = performance.now(); });
    },
  });

  /**
   * Drops the file chosen in the input on the page, and answers once its row
   * and its curve are there: times in ms from the drop.
   */
  window.benchDrop = async (input) => {
    const transfer = new DataTransfer();
    transfer.items.add(input.files[0]);
    const send = (type) => document.querySelector('#drop').dispatchEvent(
      new DragEvent(type, { bubbles: true, cancelable: true, dataTransfer: transfer }));
    const table = new MutationObserver(() => {
      if (document.querySelector('#results-rows tr')) watch.row ||= performance.now();
    });
    table.observe(document.body, { childList: true, subtree: true });
    watch.longTasks.length = 0;
    let last = performance.now();
    const ticks = setInterval(() => {
      const now = performance.now();
      if (!watch.row || last < watch.row) watch.gap = Math.max(watch.gap, now - last);
      watch.gapToCurve = Math.max(watch.gapToCurve, now - last);
      last = now;
    }, 4);
    send('dragenter');
    send('dragover');
    const t0 = performance.now();
    send('drop');
    while (!watch.row || !watch.curve) await new Promise((resolve) => { setTimeout(resolve, 20); });
    await new Promise((resolve) => { setTimeout(resolve, 200); }); // long tasks are told late
    clearInterval(ticks);
    table.disconnect();
    const longest = (until) => Math.max(0, ...watch.longTasks
      .filter((l) => l.startTime + l.duration > t0 && l.startTime < until).map((l) => l.duration));
    return {
      row: watch.row - t0,
      curve: watch.curve - t0,
      task: longest(watch.row),
      taskToCurve: longest(watch.curve),
      gap: watch.gap,
      gapToCurve: watch.gapToCurve,
    };
  };
})();
