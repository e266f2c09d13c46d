// A byte scanner written for this one file: it knows the order of the columns,
// the decimals of each and where every digit stands, skips the temperature,
// keeps no column, and reckons in whole numbers (ms, 0.1 mV, 0.1 mA). The next
// read is asked for before a chunk is scanned, into one of two buffers used in
// turn: of the ways to read tried here the fastest.
let bytes = 0;
let rows = 0;
let t0 = 0;
let i0 = 0;
let p0 = 0;
let charge = 0; // 0.1 mA · ms, twice
let energy = 0; // 0.1 mV · 0.1 mA · ms, twice
let carry = new Uint8Array(0); // an unfinished row
let headed = false;

self.onmessage = async ({ data: file }) => {
  const reader = file.stream().getReader({ mode: 'byob' });
  let spare = new ArrayBuffer(4 << 20);
  let next = reader.read(new Uint8Array(new ArrayBuffer(4 << 20)));
  for (let r = await next; !r.done; r = await next) {
    next = reader.read(new Uint8Array(spare));
    bytes += r.value.length;
    take(r.value);
    spare = r.value.buffer;
  }
  if (carry.length > 0) throw new Error('the last row has no end');
  self.postMessage({
    bytes,
    rows,
    charge: charge / (2 * 1e4 * 1e3 * 3600),
    energy: energy / (2 * 1e8 * 1e3 * 3600),
  });
};

/** Scans the whole rows of a chunk and keeps the rest for the next one. */
function take(chunk) {
  let from = 0;
  if (!headed) { // the header is in the first chunk
    from = chunk.indexOf(10) + 1;
    headed = true;
  }
  if (carry.length > 0) {
    const end = chunk.indexOf(10) + 1;
    const row = new Uint8Array(carry.length + end);
    row.set(carry);
    row.set(chunk.subarray(0, end), carry.length);
    scan(row, 0, row.length);
    from = end;
  }
  const end = chunk.lastIndexOf(10) + 1;
  scan(chunk, from, end);
  carry = chunk.slice(end);
}

/** Scans rows "12345.678,3.1234,1.0300,25.2\n" that fill b from p to end. */
function scan(b, p, end) {
  let ta = t0;
  let ia = i0;
  let pa = p0;
  let q = 0;
  let e = 0;
  let n = 0;
  while (p < end) {
    let t = b[p++] - 48;
    for (let c = b[p++]; c !== 46; c = b[p++]) t = t * 10 + c - 48;
    t = t * 1000 + b[p] * 100 + b[p + 1] * 10 + b[p + 2] - 48 * 111;
    const v = b[p + 4] * 10000 + b[p + 6] * 1000 + b[p + 7] * 100 + b[p + 8] * 10 + b[p + 9] - 48 * 11111;
    const i = b[p + 11] * 10000 + b[p + 13] * 1000 + b[p + 14] * 100 + b[p + 15] * 10 + b[p + 16] - 48 * 11111;
    if (b[p + 22] !== 10) throw new Error(`row ${rows + n + 1} is not of the known layout`);
    p += 23;
    const power = v * i;
    if (i + ia > 0) { // one end at least is under load
      q += (i + ia) * (t - ta);
      e += (power + pa) * (t - ta);
    }
    ta = t;
    ia = i;
    pa = power;
    n++;
  }
  t0 = ta;
  i0 = ia;
  p0 = pa;
  charge += q;
  energy += e;
  rows += n;
}
self.onunhandledrejection = (e) => self.postMessage({ error: String(e.reason) });
self.postMessage('ready');
