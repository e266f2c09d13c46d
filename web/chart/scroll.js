// The wheel zooms the chart, but a scroll of the page that merely passes over
// it goes on as a scroll.

const PAUSE_MS = 250;

/**
 * @param {HTMLElement} element the chart's box
 * @returns {() => void} undoes it
 */
export function scrollOn(element) {
  let last = -Infinity;
  let passing = false;
  const wheel = (event) => {
    const inside = element.contains(event.target);
    if (event.timeStamp - last > PAUSE_MS) passing = !inside;
    last = event.timeStamp;
    // Kept from the chart, whose listener would take it.
    if (inside && passing && !event.ctrlKey) event.stopPropagation();
  };
  window.addEventListener('wheel', wheel, { capture: true, passive: true });
  return () => window.removeEventListener('wheel', wheel, { capture: true });
}
