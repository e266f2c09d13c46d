// The benchmark's logs: one invented discharge with a rest before and after,
// from a seed, and its charge and energy summed in whole numbers while it is
// written, so that every reader can be checked against an exact figure.
import { closeSync, existsSync, mkdirSync, openSync, readFileSync, statSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';

const VERSION = 1; // of the layout or the model: a change makes new files
const HEADER = 'Time / s,Voltage / V,Current / A,Temperature / °C\n';
const CLOCK_HEADER = 'Zeit;Spannung;Strom;Temperatur\r\nh:mm:ss;V;A;°C\r\n';
const CURRENT = 10300; // 0.1 mA: 1.03 A, about 0.2 It of a 5 Ah cell

/**
 * The logs: rows in all, rows at rest before and after, step in ms. The one
 * with a clock has semicolons, decimal commas and times as h:mm:ss,fff.
 */
export const LOGS = {
  big: { name: 'bench-100MB.csv', rows: 3_525_000, before: 24_000, after: 65_000, step: 5, seed: 20260 },
  clock: { name: 'bench-clock-100MB.csv', rows: 3_050_000, before: 24_000, after: 65_000, step: 5, seed: 20262, clock: true },
  small: { name: 'bench-5000-rows.csv', rows: 5_000, before: 40, after: 80, step: 3520, seed: 20261 },
};

/**
 * Gives a log, writing it first where the folder has none of this version.
 * Answers { path, name, bytes, rows, charge, energy }: charge in Ah, energy in
 * Wh, by the trapezoid over the discharge and the two intervals that join it
 * to the rests.
 */
export function log(folder, kind) {
  const path = join(folder, kind.name);
  const noted = `${path}.json`;
  if (existsSync(path) && existsSync(noted)) {
    const facts = JSON.parse(readFileSync(noted, 'utf8'));
    const same = facts.version === VERSION && JSON.stringify(facts.kind) === JSON.stringify(kind);
    if (same && statSync(path).size === facts.bytes) return { path, ...facts };
  }
  mkdirSync(folder, { recursive: true });
  const facts = { version: VERSION, kind, name: kind.name, rows: kind.rows, ...write(path, kind) };
  writeFileSync(noted, JSON.stringify(facts));
  return { path, ...facts };
}

/** Writes the log to path; answers its bytes, charge (Ah) and energy (Wh). */
function write(path, kind) {
  const file = openSync(path, 'w');
  const block = Buffer.alloc(1 << 20);
  const readings = model(kind);
  const mark = kind.clock ? 44 : 46;
  const part = kind.clock ? 59 : 44;
  let at = block.write(kind.clock ? CLOCK_HEADER : HEADER);
  let bytes = 0;
  let charge = 0n; // 0.1 mA · ms, twice
  let energy = 0n; // 0.1 mV · 0.1 mA · ms, twice
  let runCharge = 0;
  let runEnergy = 0;
  let i0 = 0;
  let p0 = 0;
  for (let k = 0; k < kind.rows; k++) {
    const { v, i, temperature } = readings(k);
    runCharge += (i + i0) * kind.step;
    runEnergy += (v * i + p0) * kind.step;
    i0 = i;
    p0 = v * i;
    if (k % 1000 === 0 || k === kind.rows - 1) { // whole numbers stay exact: below 2^53
      charge += BigInt(runCharge);
      energy += BigInt(runEnergy);
      runCharge = runEnergy = 0;
    }
    at = kind.clock ? clock(block, at, k * kind.step) : decimal(block, at, k * kind.step, 3, mark);
    block[at++] = part;
    at = decimal(block, at, v, 4, mark);
    block[at++] = part;
    at = decimal(block, at, i, 4, mark);
    block[at++] = part;
    at = decimal(block, at, temperature, 1, mark);
    if (kind.clock) block[at++] = 13;
    block[at++] = 10;
    if (at > block.length - 100 || k === kind.rows - 1) {
      writeSync(file, block, 0, at);
      bytes += at;
      at = 0;
    }
  }
  closeSync(file);
  return {
    bytes,
    charge: Number(charge) / (2 * 1e4 * 1e3 * 3600),
    energy: Number(energy) / (2 * 1e8 * 1e3 * 3600),
  };
}

/**
 * Gives the reading of row k, to be asked for in order: v in 0.1 mV, i in
 * 0.1 mA (0 at rest), temperature in 0.1 °C. A falling open-circuit voltage
 * with a knee, an ohmic drop, one relaxing polarisation, one thermal lag, and
 * noise of about a digit.
 */
function model(kind) {
  const random = seeded(kind.seed);
  const loaded = kind.rows - kind.before - kind.after;
  const start = 4.14;
  const end = 3.26;
  return (k) => {
    const t = ((k - kind.before) * kind.step) / 1000; // s under load
    const noise = random() + random() - 1;
    let volts = start;
    let celsius = 21.0;
    let i = 0;
    if (k >= kind.before && k < kind.before + loaded) {
      const x = (k - kind.before) / loaded;
      volts = start - 0.55 * x - 0.1 * (1 - Math.exp(-12 * x)) - 0.65 * Math.exp(30 * (x - 1))
        - 0.035 - 0.05 * (1 - Math.exp(-t / 60));
      celsius += 2.8 * (1 - Math.exp(-t / 900)) + 1.4 * Math.exp(12 * (x - 1));
      i = CURRENT + Math.round(2.4 * (random() + random() - 1));
    } else if (k >= kind.before) {
      const rested = t - (loaded * kind.step) / 1000;
      volts = end - 0.42 * Math.exp(-rested / 80);
      celsius += 4.2 * Math.exp(-rested / 900);
    }
    return {
      v: Math.round(1e4 * volts + 2 * noise),
      i,
      temperature: Math.round(10 * celsius + 0.6 * noise),
    };
  };
}

/** mulberry32: an even number in [0, 1) from a 32-bit state. */
function seeded(state) {
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let x = Math.imul(state ^ (state >>> 15), 1 | state);
    x = (x + Math.imul(x ^ (x >>> 7), 61 | x)) ^ x;
    return ((x ^ (x >>> 14)) >>> 0) / 4294967296;
  };
}

/** Writes n / 10^places (n whole, not negative) at a place; answers the next. */
function decimal(block, at, n, places, mark) {
  let digits = places + 1;
  for (let rest = Math.floor(n / 10 ** digits); rest > 0; rest = Math.floor(rest / 10)) digits++;
  let p = at + digits; // the mark takes one more place
  for (let d = 0; d < digits; d++) {
    if (d === places) block[p--] = mark;
    block[p--] = 48 + (n % 10);
    n = Math.floor(n / 10);
  }
  return at + digits + 1;
}

/** Writes ms as h:mm:ss,fff at a place; answers the next. */
function clock(block, at, ms) {
  const two = (n) => String(n).padStart(2, '0');
  const s = Math.floor(ms / 1000);
  const text = `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)},${String(ms % 1000).padStart(3, '0')}`;
  return at + block.write(text, at, 'latin1');
}
