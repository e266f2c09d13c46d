// What the benchmark prints: medians, ratios, and the bars beside them.

/** The middle value (mean of the two middle ones of an even number). */
export function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

/** "median (min..max)" with so many decimals. */
export function spread(values, decimals = 0) {
  const [m, lo, hi] = [median(values), Math.min(...values), Math.max(...values)].map((v) => v.toFixed(decimals));
  return `${m} (${lo}..${hi})`;
}

/** A bar and whether it was reached. */
export function bar(reached, words) {
  return `${reached ? 'met  ' : 'SHORT'} ${words}`;
}

/** Prints rows of cells in columns; the first is set left, the others right but the last. */
export function table(rows) {
  const widths = rows[0].map((_, c) => Math.max(...rows.map((r) => (r[c] ?? '').length)));
  for (const row of rows) {
    const cells = row.map((cell, c) => (c === 0 || c === row.length - 1 ? cell.padEnd(widths[c]) : cell.padStart(widths[c])));
    console.log(`  ${cells.join('   ')}`.trimEnd());
  }
}

/** Throws unless a computed figure agrees with the exact one to 1e-9. */
export function agree(who, got, exact) {
  for (const name of ['charge', 'energy']) {
    const off = Math.abs(got[name] / exact[name] - 1);
    if (!(off <= 1e-9)) throw new Error(`${who}: ${name} is ${got[name]}, the log's is ${exact[name]} (${off} off)`);
  }
  for (const name of ['rows', 'bytes']) {
    if (name in got && got[name] !== exact[name]) throw new Error(`${who}: ${got[name]} ${name} of ${exact[name]}`);
  }
}

/**
 * Throws unless printed figures are the exact ones to their last digit, with
 * five significant digits at least.
 */
export function agreePrinted(who, got, exact) {
  for (const name of ['charge', 'energy']) {
    const text = got[name];
    const digits = text.match(/^(\d+)\.(\d+)$/);
    if (!digits || text.replace('.', '').replace(/^0+/, '').length < 5) {
      throw new Error(`${who}: ${name} is printed as ${JSON.stringify(text)}: not a number of five digits`);
    }
    const unit = 10 ** -digits[2].length;
    if (Math.abs(Number(text) - exact[name]) > 0.5001 * unit + 1e-9 * exact[name]) {
      throw new Error(`${who}: ${name} is printed as ${text}, the log's is ${exact[name]}`);
    }
  }
}
