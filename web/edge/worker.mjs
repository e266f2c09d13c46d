// The Worker: requests below /card/ go to the Go program, all others to the
// platform's own serving of files, which has the site's headers. The build puts
// Go's wasm_exec.js and the program beside this file.

import './wasm_exec.mjs';
import program from './card.wasm';

const MOST_MEMORY = 64 * 2 ** 20; // bytes; the platform allows an isolate 128 MB
const CARDS = '/card/';

// One instance answers many requests: to start one takes longer than to draw a
// card. The program has nothing to wait for, so that each call is over, answer
// and all, before another begins; nothing of one request is there at the next.
let running;

function start() {
  const go = new Go();
  const binding = {};
  const instance = new WebAssembly.Instance(program, { ...go.importObject, workers: { ready() {} } });
  globalThis.context = { binding }; // where the program looks for it as it starts
  try {
    go.run(instance).catch(() => {});
  } finally {
    delete globalThis.context;
  }
  return { go, binding, memory: instance.exports.mem };
}

async function card(request) {
  try {
    running ??= start();
    const { go, binding, memory } = running;
    const answer = binding.handleRequest(request);
    if (go.exited) throw new Error('the program ended');
    if (memory.buffer.byteLength > MOST_MEMORY) running = undefined;
    return await answer;
  } catch {
    running = undefined; // the next request has a new one
    return new Response('This preview could not be drawn. Try again later, or ask for the plain link.\n', {
      status: 500,
      headers: {
        'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store', 'Content-Security-Policy': "default-src 'none'; frame-ancestors 'none'",
        'X-Content-Type-Options': 'nosniff', 'Referrer-Policy': 'no-referrer', 'X-Robots-Tag': 'noindex',
      },
    });
  }
}

export default {
  fetch(request, env) {
    // What is no file comes here too, for its 404 page.
    return new URL(request.url).pathname.startsWith(CARDS) ? card(request) : env.ASSETS.fetch(request);
  },
};
