// The browser's side of autosave around an engine of the tests' own, wired as
// the worker of the site wires it around the real one.

import { createKeeper } from '../../keep/keeper.js';
import { openLock } from '../../keep/lock.js';
import { openStore } from '../../keep/store.js';
import { fakeEngine } from '../../keep/testing.mjs';

let store;
let keeper;
let engine;
let lock;
const told = [];

/** The global scope without what a browser may lack, or with what it refuses. */
function scopeWithout(missing) {
  const refused = () => Promise.reject(new DOMException('not allowed here', 'SecurityError'));
  const replaced = {
    opfs: { getDirectory: undefined },
    'opfs refused': { getDirectory: refused },
  };
  const storage = new Proxy(self.navigator.storage, {
    get(target, key) {
      for (const what of missing) if (replaced[what] && key in replaced[what]) return replaced[what][key];
      const value = target[key];
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
  const navigator = { storage, locks: missing.includes('locks') ? undefined : self.navigator.locks };
  const indexedDB = missing.includes('indexeddb')
    ? undefined
    : missing.includes('indexeddb refused')
      ? { open() { throw new DOMException('not allowed here', 'SecurityError'); } }
      : self.indexedDB;
  return new Proxy(self, {
    get(target, key) {
      if (key === 'navigator') return navigator;
      if (key === 'indexedDB') return indexedDB;
      const value = target[key];
      return typeof value === 'function' && !/^[A-Z]/.test(key) ? value.bind(target) : value;
    },
  });
}

function tell(message) {
  told.push(message);
  if (message.type === 'kept') console.log(`kept ${message.act}`);
}

const act = () => keeper.acted(engine.act());
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/** Whether a file that was being written is left of the session before. */
async function draft(workspace) {
  try {
    const top = await (await navigator.storage.getDirectory()).getDirectoryHandle('n-plateau');
    await (await top.getDirectoryHandle(`n-${workspace}`)).getFileHandle('draft');
    return true;
  } catch {
    return false;
  }
}

const commands = {
  async open({ missing = [], workspace = 'bench', readOnly = false, graceMs = 60_000, sizes = {} }) {
    store = await openStore({ name: 'plateau', scope: scopeWithout(missing) });
    engine = fakeEngine(sizes);
    keeper = createKeeper({ store, engine, tell, graceMs });
    await keeper.open(workspace, { readOnly });
    return { kind: store.kind, why: store.why, act: engine.acts, draft: await draft(workspace) };
  },
  /** Acts without end. */
  run() {
    (async () => {
      while (!keeper.readOnly) {
        act();
        await pause(Math.random() * 4);
      }
    })();
  },
  async act({ times = 1 }) {
    for (let k = 0; k < times; k++) act();
    await keeper.flush();
    return engine.acts;
  },
  /** The same where it may fail. */
  async tryAct() {
    act();
    await keeper.flush().catch(() => {});
    return engine.acts;
  },
  async reopen({ workspace = 'bench' }) {
    await keeper.open(workspace, { anyway: true });
    return engine.acts;
  },
  async store({ op, args = [] }) {
    const answer = await store[op](...args);
    return answer instanceof Uint8Array ? [...answer] : answer;
  },
  put: ({ workspace, name, bytes, fill }) => store.put(workspace, name, new Uint8Array(bytes).fill(fill)),
  told: () => told,

  /** Opens under the lock: read-only where another tab has it. */
  async share({ missing = [], workspace = 'shared', answerMs }) {
    const open = () => keeper.open(workspace, { readOnly: !lock.held, anyway: true });
    lock = await openLock({
      name: workspace,
      scope: scopeWithout(missing),
      answerMs,
      letGo: () => keeper.release(),
      tell(message) {
        told.push(message);
        if (message.held) open().then(() => told.push({ type: 'opened', act: engine.acts }));
      },
    });
    store = await openStore({ name: 'plateau' });
    engine = fakeEngine({ blobBytes: 1000 });
    keeper = createKeeper({ store, engine, tell });
    await open();
    return { held: lock.held, act: engine.acts };
  },
  takeOver: () => lock.takeOver(),
  closeLock: () => lock.close(),
  held: () => ({ held: lock.held, readOnly: keeper.readOnly, act: engine.acts }),
  /** As a worker that hangs does. */
  hang({ ms }) {
    const until = performance.now() + ms;
    while (performance.now() < until);
  },
};

self.onmessage = async ({ data }) => {
  try {
    self.postMessage({ seq: data.seq, answer: await commands[data.do](data) });
  } catch (error) {
    self.postMessage({ seq: data.seq, error: { code: error.code ?? error.name, message: error.message } });
  }
};
