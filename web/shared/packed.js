// Tells a packed log from a plain one by its first bytes; names say nothing.

const MARKS = [
  [0x50, 0x4b, 0x03, 0x04], // zip, and so .xlsx and .ods
  [0x50, 0x4b, 0x05, 0x06], // one without files
  [0x50, 0x4b, 0x07, 0x08], // one in several volumes
  [0x1f, 0x8b, 0x08], // gzip
  [0xd0, 0xcf, 0x11, 0xe0], // old workbooks and locked ones, which are refused in words
];

/** @param {Uint8Array} bytes the beginning of a file */
export function isPacked(bytes) {
  return MARKS.some((mark) => mark.every((byte, k) => bytes[k] === byte));
}
