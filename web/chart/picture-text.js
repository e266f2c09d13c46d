// Text in pictures: what may stand in XML, and lines that fit.

// Fonts differ from machine to machine; what is measured here gets this much
// more room, so that names do not run into each other elsewhere.
const SLACK = 1.15;
const MOST = 500; // characters of any text

/**
 * One line of text without anything that XML 1.0 forbids (section 2.2), or that
 * turns what follows round.
 */
export function clean(text, most = MOST) {
  const line = String(text ?? '').toWellFormed()
    .replace(/[\u202a-\u202e\u2066-\u2069]/g, '')
    .replace(/[\p{Cc}\ufffe\uffff]/gu, ' ')
    .replace(/[^\S\u00a0\u202f]+/g, ' ') // spaces that may not break stay
    .replace(/(\p{M}{3})\p{M}+/gu, '$1') // piles of marks run over other lines
    .trim();
  const letters = [...line];
  return letters.length > most ? `${letters.slice(0, most - 1).join('').trimEnd()}…` : line;
}

const ENTITIES = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** For text and for attributes between quotes of either kind. */
export function escaped(text) {
  return String(text).replace(/[&<>"']/g, (c) => ENTITIES[c]);
}

/**
 * A measure of text in the page's own sans-serif.
 * @returns {(text: string, size: number, weight?: number) => number} in the
 *   unit of size
 */
export function measurer() {
  const context = document.createElement('canvas').getContext('2d');
  return (text, size, weight = 400) => {
    context.font = `${weight} ${size}px sans-serif`;
    return context.measureText(text).width * SLACK;
  };
}

/**
 * Breaks text at spaces, and words that are too wide by themselves anywhere
 * between two letters. What is over the last line ends in an ellipsis.
 * @param {(text: string) => number} width of a piece of text
 */
export function wrap(text, most, width, lines = Infinity) {
  const list = [];
  let line = '';
  for (const word of text.split(' ')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (width(longer) <= most) {
      line = longer;
      continue;
    }
    if (line !== '') list.push(line);
    line = word;
    while (width(line) > most) {
      const head = fitting(line, most, width);
      if (head.length >= line.length) break;
      list.push(head);
      line = line.slice(head.length);
    }
  }
  if (line !== '') list.push(line);
  if (list.length <= lines) return list;
  const last = list[lines - 1];
  let cut = last;
  while (cut !== '' && width(`${cut}…`) > most) cut = cut.slice(0, letters(cut).at(-1).length * -1);
  return [...list.slice(0, lines - 1), `${cut}…`];
}

// A letter with what is put on it.
const letters = (text) => text.match(/\P{M}\p{M}*|\p{M}+/gu) ?? [];

// The longest head that fits, of one letter at least.
function fitting(text, most, width) {
  const parts = letters(text);
  let low = 1;
  let high = parts.length;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (width(parts.slice(0, middle).join('')) <= most) low = middle;
    else high = middle - 1;
  }
  return parts.slice(0, low).join('');
}
