// An engine for the tests of keeper.js, in the browser too: its document grows
// with every act, now and then an act brings a log or removes one.

const HELD_ACTS = 3000;

/**
 * @param {{blobBytes?: number, every?: number, most?: number}} options size of a
 *   log, acts from one log to the next, logs named at most
 */
export function fakeEngine({ blobBytes = 100_000, every = 5, most = 6 } = {}) {
  let state = empty();
  return {
    act() {
      state.act++;
      state.acts.push(`act ${state.act} at a cut-off of ${(2.5 + (state.act % 7) / 10).toFixed(2)} V`);
      if (state.acts.length > HELD_ACTS) state.acts.shift();
      if (state.act % every === 0) state.logs.push(`${blobBytes}-${state.act}`);
      if (state.logs.length > most) state.logs.splice(state.act % most, 1);
      return state.act;
    },
    seal() {
      state.seq++;
      return { doc: sealed(state), logs: [...state.logs] };
    },
    blob: contents,

    /** Throws where the newest whole document names a log that is not whole. */
    async restore({ slots, blob }) {
      const found = slots.map(unsealed);
      const newest = found.reduce((best, doc, k) => (doc && (best < 0 || doc.seq > found[best].seq) ? k : best), -1);
      state = newest < 0 ? empty() : found[newest];
      for (const key of state.logs) {
        const bytes = await blob(key);
        if (!bytes) throw new Error(`log ${key} of act ${state.act} is missing`);
        if (!same(bytes, contents(key))) throw new Error(`log ${key} of act ${state.act} is damaged`);
      }
      return newest < 0 ? null : newest;
    },
    get acts() {
      return state.act;
    },
  };
}

const empty = () => ({ seq: 0, act: 0, acts: [], logs: [] });

/** What a log holds, made of its key: '<bytes>-<number>'. */
function contents(key) {
  const [size, seed] = key.split('-').map(Number);
  const words = new Uint32Array(Math.ceil(size / 4));
  let x = (seed * 2654435761) | 1;
  for (let k = 0; k < words.length; k++) {
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    words[k] = x;
  }
  return new Uint8Array(words.buffer, 0, size);
}

export function sealed(state) {
  const text = new TextEncoder().encode(JSON.stringify(state));
  const doc = new Uint8Array(text.length + 4);
  doc.set(text);
  new DataView(doc.buffer).setUint32(text.length, checksum(text));
  return doc;
}

/** @returns {object|null} null where the bytes are none, cut or damaged */
export function unsealed(doc) {
  if (!doc || doc.length < 4) return null;
  const text = doc.subarray(0, -4);
  if (new DataView(doc.buffer, doc.byteOffset).getUint32(text.length) !== checksum(text)) return null;
  return JSON.parse(new TextDecoder().decode(text));
}

// FNV-1a, 32 bits.
function checksum(bytes) {
  let sum = 0x811c9dc5;
  for (const byte of bytes) sum = Math.imul(sum ^ byte, 0x01000193);
  return sum >>> 0;
}

function same(a, b) {
  return a.length === b.length && a.every((byte, k) => byte === b[k]);
}

/** Thrown where the machine stops; nothing is written after it. */
export class Crash extends Error {}

/**
 * A store in memory that stops at a given step.
 * @param {Map<string, Map<string, Uint8Array>>} disk what outlives it
 * @param {{crashAt?: number, tears?: boolean, fail?: (what: string, file: string) => void}} options
 *   crashAt: the step, from 1, at which the machine stops; tears: a slot is
 *   written over in place, half of it first; fail throws where an
 *   operation shall fail
 */
export function fakeStore(disk, { crashAt = Infinity, tears = false, fail = () => {} } = {}) {
  let steps = 0;
  const step = async () => {
    await null;
    if (++steps >= crashAt) throw new Crash('the machine stopped');
  };
  const folder = (id, make) => {
    if (!disk.has(id) && make) disk.set(id, new Map());
    return disk.get(id) ?? new Map();
  };
  return {
    kind: 'fake',
    why: '',
    get steps() {
      return steps;
    },
    async list(id) {
      await step();
      fail('list', '');
      return [...folder(id).keys()];
    },
    async get(id, file) {
      await step();
      return folder(id).get(file) ?? null;
    },
    async put(id, file, bytes) {
      await step();
      fail('put', file);
      const copy = bytes.slice();
      if (tears && file.startsWith('slot-')) folder(id, true).set(file, copy.slice(0, copy.length >> 1));
      await step();
      folder(id, true).set(file, copy);
      await step();
      fail('putEnd', file);
    },
    async remove(id, file) {
      await step();
      fail('remove', file);
      folder(id).delete(file);
      await step();
    },
    async workspaces() {
      return [...disk.keys()];
    },
    async removeWorkspace(id) {
      await step();
      disk.delete(id);
    },
  };
}
