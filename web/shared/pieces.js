// The bytes of a file piece by piece, in the ways that browsers are quick at.

const STALL_MS = 3000; // without a byte of a file
/** Bytes of a file read at a time. */
const PIECE = 4 << 20;

/**
 * The file's bytes piece by piece. Where the browser can read into buffers of
 * ours, two large ones take turns, one filled while the other is parsed: that
 * is twice as fast as the pieces it makes itself.
 */
export function pieces(file) {
  const stream = file.stream();
  let reader;
  try {
    reader = stream.getReader({ mode: 'byob' });
  } catch {
    reader = stream.getReader();
  }
  const cancel = () => reader.cancel().catch(() => {});
  if (!(reader instanceof globalThis.ReadableStreamBYOBReader)) return { read: () => reader.read(), release() {}, cancel };
  const size = Math.max(1, Math.min(PIECE, file.size));
  const spare = [new Uint8Array(size), new Uint8Array(size)];
  return {
    read: () => reader.read(spare.pop() ?? new Uint8Array(size)),
    release: (bytes) => spare.push(new Uint8Array(bytes.buffer)),
    cancel,
  };
}

/** The file's bytes from a place on, piece by piece, without a stream. */
export function slices(file, from) {
  let at = from;
  return {
    read: async () => {
      if (at >= file.size) return { done: true };
      const value = new Uint8Array(await file.slice(at, at + PIECE).arrayBuffer());
      at += value.length;
      return { done: value.length === 0, value };
    },
    release() {},
    cancel: () => Promise.resolve(),
  };
}

export const LATE = Symbol('late');

/** What a promise gives, or LATE where it takes too long. */
export function inTime(promise) {
  let timer;
  const late = new Promise((resolve) => {
    timer = setTimeout(resolve, STALL_MS, LATE);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

// A failed read is a value here, so that one nobody waits for any more is not
// an unhandled rejection.
export function quietly(promise) {
  return promise.catch((error) => ({ error }));
}
