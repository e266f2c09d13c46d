// Runs one instance of the Go program, in the page or in the worker, and finds
// out when it has ended, however it did: by exit (a panic does that), or by a
// trap of the machine (no memory, stack too deep), which go.run() never tells.

const KEPT_LINES = 40;

/**
 * @param {WebAssembly.Module} module
 * @returns {Promise<{exports: object, alive: () => boolean,
 *   fail: (error: unknown) => void, ended: Promise<string>}>}
 *   fail is for a caller of the exports to whom one threw; ended resolves with
 *   why, the last lines the program printed included.
 */
export async function runGo(module) {
  const go = new Go();
  const lastLines = keepOutput();
  let code = 0;
  let trapped = false;
  let settle;
  const ended = new Promise((resolve) => {
    settle = resolve;
  });

  go.exit = (status) => {
    code = status;
  };
  const end = (reason) => {
    silence(go);
    settle([reason, ...lastLines()].join('\n'));
  };
  const fail = (error) => {
    trapped = true;
    end(String(error));
  };
  const resume = go._resume.bind(go);
  go._resume = () => {
    try {
      resume();
    } catch (error) {
      fail(error);
    }
  };

  const instance = await WebAssembly.instantiate(module, go.importObject);
  go.run(instance).then(() => end(`the program ended with code ${code}`), fail);
  return {
    exports: instance.exports,
    alive: () => !go.exited && !trapped,
    fail,
    ended,
  };
}

// What is left of an ended program (timers, listeners on the page) would throw
// each time it is called.
function silence(go) {
  for (const timer of go._scheduledTimeouts.values()) clearTimeout(timer);
  go._scheduledTimeouts.clear();
  go._resume = () => {};
}

// Keeps what the program prints, which is where the Go runtime puts a panic's
// trace. wasm_exec.js has set globalThis.fs by now; it goes on printing.
function keepOutput() {
  const fs = globalThis.fs;
  const print = fs.writeSync;
  const decoder = new TextDecoder();
  let text = '';
  fs.writeSync = (fd, bytes) => {
    text = (text + decoder.decode(bytes, { stream: true })).split('\n').slice(-KEPT_LINES - 1).join('\n');
    return print.call(fs, fd, bytes);
  };
  return () => text.split('\n').filter((line) => line !== '').slice(-KEPT_LINES);
}
