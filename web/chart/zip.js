// A ZIP archive made in the browser, by PKWARE's APPNOTE.TXT 6.3: names in
// UTF-8, members deflated where that makes them smaller, no ZIP64.

import { say } from '../shared/say.js';

const UTF8_NAME = 0x0800;
const STORED = 0;
const DEFLATED = 8;
const VERSION = 20; // 2.0 has DEFLATE
// Made as if under Unix: of what MS-DOS made, some take UTF-8 for its code page.
const MADE_BY = (3 << 8) | VERSION;
const PLAIN_FILE = 0o100644 << 16;
const MOST_FILES = 0xffff;
const MOST_BYTES = 0xffffffff;
const MOST_NAME = 120; // characters, ending included
const NEVER = { year: 1980, month: 1, day: 1, hours: 0, minutes: 0, seconds: 0 };

const table = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k += 1) n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
  return n;
});

/** CRC-32 of bytes, as ZIP and PNG have it (ISO 3309). */
export function crc32(bytes) {
  let crc = 0xffffffff;
  for (let i = 0; i < bytes.length; i += 1) crc = (crc >>> 8) ^ table[(crc ^ bytes[i]) & 0xff];
  return ~crc >>> 0;
}

/**
 * A name that every file system takes: no folders, no characters that some
 * system keeps for itself, none that hide the ending or turn the text round.
 */
export function safeName(name) {
  const text = String(name ?? '').toWellFormed().normalize('NFC')
    .replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\ufffd]/gu, '')
    .replace(/[<>:"/\\|?*]/g, '-')
    .replace(/\s+/g, ' ')
    .replace(/^[\s.]+|[\s.]+$/g, '');
  const [, stem, ending] = /^(.*?)(\.[A-Za-z0-9]{1,8})?$/su.exec(text);
  const room = MOST_NAME - (ending?.length ?? 0);
  const short = [...stem].slice(0, room).join('').trimEnd();
  // Windows keeps these for devices, whatever their ending.
  const kept = /^(con|prn|aux|nul|com\d|lpt\d)(\.|$)/i.test(short) ? `_${short}` : short;
  return (kept === '' ? 'file' : kept) + (ending ?? '');
}

/** Names made safe and told apart, whether or not a system tells a from A. */
export function safeNames(names) {
  const taken = new Set();
  return names.map((name) => {
    const safe = safeName(name);
    const dot = safe.lastIndexOf('.') > 0 ? safe.lastIndexOf('.') : safe.length;
    let free = safe;
    for (let k = 2; taken.has(free.toLowerCase()); k += 1) free = `${safe.slice(0, dot)} ${k}${safe.slice(dot)}`;
    taken.add(free.toLowerCase());
    return free;
  });
}

/**
 * @param {{name: string, blob?: Blob|string}[]} files with what is in them under
 *   blob; a string is written in UTF-8
 * @param {{at?: Date}} options at: the time that the members bear, in local time
 * @returns {Promise<Blob>}
 */
export async function zip(files, { at } = {}) {
  const list = Array.from(files);
  if (list.length > MOST_FILES) throw new Error(say('%d files are too many for one ZIP archive; take at most %d.', list.length, MOST_FILES));
  const names = safeNames(list.map(({ name }) => name));
  const when = stamp(at);
  const parts = [];
  const directory = [];
  let offset = 0;
  for (const [k, { blob }] of list.entries()) {
    const bytes = typeof blob === 'string' ? new TextEncoder().encode(blob) : new Uint8Array(await blob.arrayBuffer());
    const name = new TextEncoder().encode(names[k]);
    const small = await deflated(bytes);
    const packed = small.length < bytes.length;
    const body = packed ? small : bytes;
    const about = [
      [2, VERSION], [2, UTF8_NAME], [2, packed ? DEFLATED : STORED], [2, when.time], [2, when.date],
      [4, crc32(bytes)], [4, body.length], [4, bytes.length], [2, name.length], [2, 0],
    ];
    parts.push(fields([[4, 0x04034b50], ...about]), name, body);
    // No comment, the one disk, no inner attributes.
    directory.push(fields([[4, 0x02014b50], [2, MADE_BY], ...about, [2, 0], [2, 0], [2, 0], [4, PLAIN_FILE], [4, offset]]), name);
    offset += 30 + name.length + body.length;
  }
  const size = directory.reduce((sum, part) => sum + part.length, 0);
  if (offset + size > MOST_BYTES) throw new Error(say('Together the files are over 4 GB, too much for one ZIP archive; take fewer.'));
  const end = fields([[4, 0x06054b50], [2, 0], [2, 0], [2, list.length], [2, list.length], [4, size], [4, offset], [2, 0]]);
  return new Blob([...parts, ...directory, end], { type: 'application/zip' });
}

async function deflated(bytes) {
  const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream('deflate-raw'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/** Numbers one after the other, each in so many bytes, the lowest first. */
function fields(list) {
  const bytes = new Uint8Array(list.reduce((sum, [width]) => sum + width, 0));
  const view = new DataView(bytes.buffer);
  let place = 0;
  for (const [width, value] of list) {
    if (width === 2) view.setUint16(place, value, true);
    else view.setUint32(place, value, true);
    place += width;
  }
  return bytes;
}

// MS-DOS date and time, which begin with 1980 and go by two seconds.
function stamp(at = new Date()) {
  const year = at.getFullYear();
  const inside = year >= 1980 && year <= 2107;
  const t = inside
    ? { year, month: at.getMonth() + 1, day: at.getDate(), hours: at.getHours(), minutes: at.getMinutes(), seconds: at.getSeconds() }
    : NEVER;
  return { date: ((t.year - 1980) << 9) | (t.month << 5) | t.day, time: (t.hours << 11) | (t.minutes << 5) | (t.seconds >> 1) };
}
