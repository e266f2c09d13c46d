// Colours, dashes and type of the chart, read from the style sheet so that it
// is the one place where they are said.

export const COLOURS = 8;
const DASHES = 4;

export function readTheme(element) {
  const style = getComputedStyle(element);
  const value = (name) => style.getPropertyValue(name).trim();
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  return {
    colours: numbered(COLOURS, (i) => value(`--curve-${i}`)),
    dashes: numbered(DASHES, (i) => dash(value(`--dash-${i}`))),
    ink: value('--ink'),
    quiet: value('--ink-2'),
    rule: value('--rule'),
    edge: value('--rule-strong'),
    accent: value('--accent'),
    wash: value('--wash'),
    sheet: value('--sheet'),
    fault: value('--fault'),
    font: style.fontFamily,
    size: Math.round(0.8125 * rem),
  };
}

/** Colour by number, with another dash each time the colours start again. */
export function strokeOf(theme, index) {
  return {
    color: theme.colours[index % COLOURS],
    type: theme.dashes[Math.floor(index / COLOURS) % DASHES],
  };
}

function numbered(count, of) {
  return Array.from({ length: count }, (_, i) => of(i));
}

function dash(text) {
  const lengths = text.split(/\s+/).map(Number);
  return lengths.length > 1 && lengths.every(Number.isFinite) ? lengths : 'solid';
}
