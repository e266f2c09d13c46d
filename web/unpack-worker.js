// Opens one packed log or workbook, then is ended by the page. Runs the Go
// program's third part, wasm/unpack, which reads the file here and there as it needs it, and
// takes the logs in it one after the other.
//
// From the page: {module, file, words}, once; words are the texts in its language. To the page: {type: 'progress', bytes} ·
// {type: 'log', file}, a File, for each · {type: 'done', told, error} in words ·
// {type: 'died', why}.

import { runGo } from './shared/run-go.js';
import { loadRuntime } from './shared/runtime.js';
import { speak } from './shared/say.js';

const PROGRESS_EVERY_MS = 100;

self.onmessage = async ({ data: { module, file, words } }) => {
  try {
    if (words) speak(words);
    loadRuntime();
    self.plateauRole = 'unpack';
    const program = await runGo(module);
    program.ended.then(die);
    const { told, error } = self.plateauUnpack(file.name, file.size, host(file));
    self.postMessage({ type: 'done', told, error });
  } catch (error) {
    die(String(error)); // out of memory, most likely
  }
};

function die(why) {
  self.postMessage({ type: 'died', why });
}

/** What the program asks of the browser; see wasm/unpack. */
function host(file) {
  const reader = new FileReaderSync();
  let name = '';
  let pieces = [];
  let told = 0;
  let reached = 0;
  return {
    read(at, n) {
      reached = Math.max(reached, at + n);
      if (performance.now() - told >= PROGRESS_EVERY_MS) {
        told = performance.now();
        self.postMessage({ type: 'progress', bytes: reached });
      }
      try {
        return new Uint8Array(reader.readAsArrayBuffer(file.slice(at, at + n)));
      } catch {
        return null;
      }
    },
    begin(log) {
      name = log;
      pieces = [];
    },
    // A Blob copies the bytes, to where the browser keeps files: not for ever
    // in the memory of a page.
    write(bytes) {
      pieces.push(new Blob([bytes]));
    },
    end(whole) {
      if (whole) self.postMessage({ type: 'log', file: new File(pieces, name, { type: 'text/plain', lastModified: file.lastModified }) });
      pieces = [];
    },
  };
}
