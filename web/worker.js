// The worker's shell around the Go engine: takes files and commands from the
// page, feeds the bytes of one file at a time into the engine's memory, and
// passes the answers on. Commands and replies are those of wasm/app/wire.
//
// From the page: {type: 'start', module, workspace, words}, workspace being the id of
// the one used last, words the texts in the page's language · {type: 'open', id, file, rules},
// rules a wire.Rules or nothing · {type: 'cancel', id, keep}, where keep leaves
// what was read of it before · {type: 'command', seq, json, inTurn, asBlob},
// where inTurn waits for the files that came before, and asBlob has the text of
// a Download come as a Blob.
//
// {type: 'workspace', seq, ask}: see keep/workspace.js; ask {do: 'save'} is
// answered with the file as a Blob, {do: 'settle'} once all is kept, by {why}: ''
// or why it is not.
//
// To the page: {type: 'ready', files}, the logs that are there again ·
// {type: 'workspace', state} · {type: 'fresh', files}: the engine holds another
// state · {type: 'opened', id}: no log but a saved workspace, taken over · {type: 'progress', id, bytes, total, rows, rate},
// rate in bytes a second · {type: 'view', id, json}, a wire.View, when a file is
// done with · {type: 'reply', seq, json, buffers} · {type: 'lost', id, why} ·
// {type: 'packed', id}: no log but a file that holds some, left to the page ·
// {type: 'died', why}, after which nothing comes any more.
//
// The engine is self.plateauEngine.command(json) -> {json, buffers}, and the
// exports chunk(n) -> where n bytes go, feed(n) -> 0 or, to stop reading, 1,
// rows() -> rows so far.

import { createWorkspace, isWorkspace } from './keep/workspace.js';
import { isPacked } from './shared/packed.js';
import { LATE, inTime, pieces, quietly, slices } from './shared/pieces.js';
import { runGo } from './shared/run-go.js';
import { loadRuntime } from './shared/runtime.js';
import { say, speak } from './shared/say.js';

const PROGRESS_EVERY_MS = 100;
const BREATHE_EVERY_MS = 25;
/** Bytes of a log of which the SHA-256 is worked out. */
const HASHED = 512 << 20;
/** Commands that change the state. */
const ACTS = new Set(['open', 'close', 'remove', 'demo', 'cutoff', 'tester', 'cell', 'cells', 'drop', 'typed', 'assign', 'void', 'plan', 'take', 'undo', 'redo']);

/** Work done one after the other: files to read, commands that must wait. */
const jobs = [];
/** Commands that came before the engine was ready. */
const early = [];
let program = null;
let ready = false;
let busy = false;
let dead = false;
/** The file being read: its id, and whether the user gave it up. */
let reading = null;
let workspace = null;
let hashing = Promise.resolve();

self.onmessage = ({ data }) => {
  if (dead) return;
  switch (data.type) {
    case 'start':
      if (data.words) speak(data.words);
      start(data.module, data.workspace);
      break;
    case 'open':
      jobs.push(() => read(data.id, data.file, data.rules));
      jobs.at(-1).id = data.id;
      work();
      break;
    case 'cancel':
      cancel(data.id, data.keep);
      break;
    case 'workspace':
      jobs.push(() => askWorkspace(data));
      work();
      break;
    case 'command':
      if (data.inTurn) {
        jobs.push(() => answer(data));
        work();
      } else if (ready) {
        guarded(() => answer(data));
      } else {
        early.push(data);
      }
      break;
  }
};

async function start(module, id) {
  try {
    loadRuntime();
    self.plateauEngineReady = () => {
      ready = true;
    };
    program = await runGo(module);
    program.ended.then(die);
    self.plateauMemory = () => program.exports.mem.buffer.byteLength;
  } catch (error) {
    die(String(error));
    return;
  }
  // The engine says that it is ready within the first turn of its main, or
  // later where main has to wait for something.
  if (ready) begin(id);
  else self.plateauEngineReady = () => begin(id);
}

async function begin(id) {
  ready = false;
  workspace = createWorkspace({
    program: self.plateauEngine,
    tell: (state) => self.postMessage({ type: 'workspace', state }),
    fresh: (files) => self.postMessage({ type: 'fresh', files: [...files] }),
  });
  let files = [];
  await guarded(async () => {
    files = await workspace.start(id);
  });
  if (dead) return;
  ready = true;
  self.postMessage({ type: 'ready', files });
  for (const data of early.splice(0)) guarded(() => answer(data));
  work();
}

async function work() {
  if (busy || !ready || dead) return;
  busy = true;
  while (jobs.length > 0 && !dead) {
    const job = jobs.shift();
    await guarded(job);
  }
  busy = false;
}

// An exception out of the engine means that it trapped or exited; it is not to
// be used any more, and nothing of what it was asked is answered. go.run() does
// not tell of an exit from within an exported function, hence fail().
async function guarded(act) {
  try {
    await act();
  } catch (error) {
    program.fail(error);
  }
}

function die(why) {
  if (dead) return;
  dead = true;
  self.postMessage({ type: 'died', why });
}

/** Puts one command to the engine. Throws where the engine is gone. */
function ask(json) {
  const reply = self.plateauEngine.command(json);
  if (!program.alive() || !reply) throw new Error(say('the engine gave no answer'));
  return reply;
}

function answer({ seq, json, asBlob }) {
  const refusal = ACTS.has(JSON.parse(json).do) ? workspace.refusal() : '';
  if (refusal) {
    self.postMessage({ type: 'reply', seq, json: JSON.stringify({ error: refusal }), buffers: [] });
    return;
  }
  const reply = ask(json);
  later(() => workspace.changed());
  if (asBlob) {
    // A whole trace is long: the page, which must not stand still, only gets a
    // handle of it.
    const { download, ...rest } = JSON.parse(reply.json);
    if (download) {
      const blob = new Blob([download.text], { type: download.type });
      self.postMessage({ type: 'reply', seq, json: JSON.stringify({ ...rest, download: { ...download, text: '' } }), buffers: [blob] });
      return;
    }
  }
  self.postMessage({ type: 'reply', seq, json: reply.json, buffers: reply.buffers }, reply.buffers);
}

async function askWorkspace({ seq, ask: asked }) {
  const reply = (json, buffers = []) => self.postMessage({ type: 'reply', seq, json: JSON.stringify(json), buffers });
  try {
    if (asked.do === 'save') {
      const name = `${workspace.state.name.replace(/["*/:<>?\\|\p{Cc}]/gu, '-')}.plateau`;
      const blob = new Blob([workspace.save()], { type: 'application/zip' });
      reply({ download: { name, type: blob.type, text: '' } }, [blob]);
    } else if (asked.do === 'settle') {
      await hashing;
      reply({ why: await workspace.settle() });
    } else {
      await workspace.ask(asked);
      reply({});
    }
  } catch (error) {
    reply({ error: error.message });
  }
  if (!program.alive()) throw new Error('the engine ended');
}

/** After the answer is out. */
function later(act) {
  setTimeout(() => {
    if (!dead) guarded(act);
  });
}

/** Works out the SHA-256 of a log's file, by which it can be told again. */
function hash(id, file) {
  // In another state the number is another log's.
  const began = workspace.era;
  hashing = hashing.then(async () => {
    try {
      if (self.crypto?.subtle && file.size <= HASHED && !dead) {
        const digest = new Uint8Array(await self.crypto.subtle.digest('SHA-256', await file.arrayBuffer()));
        const hex = Array.from(digest, (b) => b.toString(16).padStart(2, '0')).join('');
        if (!dead && workspace.era === began) await guarded(() => ask(JSON.stringify({ do: 'hash', file: id, text: hex })));
      }
    } catch {
      // It was moved meanwhile: its figures stand without.
    }
    if (!dead) {
      await guarded(() => {
        if (workspace.state.kind !== 'none') self.plateauEngine.prepare(id);
        workspace.changed();
      });
    }
  });
}

/** Asks for something that is answered with a View, and passes that on. */
function view(id, command) {
  const reply = JSON.parse(ask(JSON.stringify(command)).json);
  if (command.do !== 'close') later(() => workspace.changed());
  if (reply.error || !reply.view) lose(id, reply.error ?? say('The engine gave no view of this log.'));
  else self.postMessage({ type: 'view', id, json: JSON.stringify(reply.view) });
}

function lose(id, why) {
  self.postMessage({ type: 'lost', id, why });
}

function cancel(id, keep) {
  if (reading?.id === id) {
    reading.cancelled = true;
    return;
  }
  const waiting = jobs.findIndex((job) => job.id === id);
  if (waiting >= 0) jobs.splice(waiting, 1);
  // One that was finished just before the user gave it up goes out again.
  const command = waiting >= 0 || keep ? { do: 'view' } : { do: 'remove', file: id };
  jobs.unshift(() => view(id, command));
  work();
}

async function read(id, file, rules) {
  const refusal = workspace.refusal();
  if (refusal) {
    lose(id, refusal);
    return;
  }
  reading = { id, cancelled: false };
  const opened = JSON.parse(ask(JSON.stringify({ do: 'open', file: id, name: file.name, size: file.size, rules: rules || undefined })).json);
  if (opened.error) {
    lose(id, opened.error);
  } else {
    const end = await pour(id, file);
    if (dead) return;
    if (end.fault || end.packed || end.workspace) {
      ask(JSON.stringify({ do: 'cancel', file: id, quiet: true }));
      if (end.workspace) await open(id, file);
      else if (end.packed) self.postMessage({ type: 'packed', id });
      else lose(id, end.fault);
    } else {
      view(id, { do: reading.cancelled ? 'cancel' : 'close', file: id });
      hash(id, file);
    }
  }
  reading = null;
}

/** Takes a saved workspace over. */
async function open(id, file) {
  try {
    await workspace.open(file);
    self.postMessage({ type: 'opened', id });
  } catch (error) {
    if (!program.alive()) throw error;
    lose(id, error.message);
  }
}

/**
 * Feeds the file's bytes to the engine until its end, or until the engine has
 * seen enough, or the user. The next chunk is asked for before the present one
 * is parsed, so that reading and parsing overlap.
 */
async function pour(id, file) {
  const began = performance.now();
  let told = began;
  let breathed = began;
  let bytes = 0;
  const tell = (now) => {
    const rate = now > began ? (bytes / (now - began)) * 1000 : 0;
    self.postMessage({ type: 'progress', id, bytes, total: file.size, rows: program.exports.rows(), rate });
    told = now;
  };
  tell(began);

  let source = pieces(file);
  let next = quietly(source.read());
  let stalled = false;
  try {
    for (;;) {
      const got = await (stalled ? next : inTime(next));
      if (got === LATE) {
        // Seen in Chromium with many files one after the other: a stream that
        // gives nothing and says nothing. Slices of the same file do come.
        stalled = true;
        source.cancel();
        source = slices(file, bytes);
        next = quietly(source.read());
        continue;
      }
      const { done, value, error } = got;
      if (error) return { fault: unreadable(error) };
      if (done || reading.cancelled || dead) return {};
      // Here, where its first bytes are at hand anyway, it costs logs nothing.
      if (bytes === 0 && isWorkspace(file.name, value)) return { workspace: true };
      if (bytes === 0 && isPacked(value)) return { packed: true };
      next = quietly(source.read());
      if (feed(value) !== 0) return {};
      bytes += value.length;
      source.release(value);

      const now = performance.now();
      if (now - told >= PROGRESS_EVERY_MS) tell(now);
      if (now - breathed >= BREATHE_EVERY_MS) {
        await breathe();
        breathed = performance.now();
      }
    }
  } finally {
    source.cancel();
  }
}

function feed(chunk) {
  const { chunk: reserve, feed: parse, mem } = program.exports;
  const at = reserve(chunk.length) >>> 0;
  // Made anew each time: the buffer is another one once memory has grown.
  new Uint8Array(mem.buffer, at, chunk.length).set(chunk);
  const refused = parse(chunk.length);
  if (!program.alive()) throw new Error('the engine ended while parsing');
  return refused;
}

// Chunks that are at hand already are delivered without a turn of the event
// loop, so that commands and cancelling would wait for the end of the file.
const turn = new MessageChannel();
function breathe() {
  return new Promise((resolve) => {
    turn.port1.onmessage = resolve;
    turn.port2.postMessage(0);
  });
}

function unreadable(error) {
  return say(
    error?.name === 'NotFoundError'
      ? 'The browser could not read this file to its end: it is not there any more. Nothing of it was kept. Save it again, then drop it again.'
      : 'The browser could not read this file to its end: it was moved, changed or locked meanwhile. Nothing of it was kept. Save it again, then drop it again.',
  );
}
