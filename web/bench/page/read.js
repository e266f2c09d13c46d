// Plain reading: every byte of the file crosses into this worker, and nothing
// is done with it. One buffer goes to and fro, the fastest way tried here.
self.onmessage = async ({ data: file }) => {
  const reader = file.stream().getReader({ mode: 'byob' });
  let buffer = new ArrayBuffer(4 << 20);
  let bytes = 0;
  for (;;) {
    const { done, value } = await reader.read(new Uint8Array(buffer));
    if (done) break;
    bytes += value.length;
    buffer = value.buffer;
  }
  self.postMessage({ bytes });
};
self.onunhandledrejection = (e) => self.postMessage({ error: String(e.reason) });
self.postMessage('ready');
