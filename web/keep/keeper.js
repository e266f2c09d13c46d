// Keeps the engine's state in the store after every act: first the logs that
// the store does not have, then the document that names them, in the older of
// two slots, so that whatever ends the page at whatever moment leaves the last
// document that was told as kept, whole and with its logs.

import { KeepError } from './faults.js';

const SLOTS = ['slot-a', 'slot-b'];
const LOG = 'log-';
const NAME = 'name';
const LONGEST_NAME = 120;
/** A log that nothing names stays so long, since another tab may be reading it. */
const GRACE_MS = 60_000;

/**
 * @typedef {object} Engine its functions may be asynchronous; bytes are copies,
 *   not views of its memory
 * @property {() => {doc: Uint8Array, logs: string[]}} seal the state, with a
 *   sequence number higher than any before and a checksum, and the keys of the
 *   logs that it names
 * @property {(key: string) => Uint8Array} blob
 * @property {(from: Loaded) => 0|1|null} restore takes over the newest whole
 *   document, or starts empty; says in which slot it was, null for none. Where
 *   it throws, the workspace is left as it is.
 *
 * @typedef {{slots: [Uint8Array|null, Uint8Array|null],
 *   blob: (key: string) => Promise<Uint8Array|null>}} Loaded
 */

/**
 * @param {object} options
 * @param {import('./store.js').Store} options.store
 * @param {Engine} options.engine
 * @param {(message: object) => void} options.tell {type: 'kept', act} once that
 *   act and all before it are durable · {type: 'not-kept', act, why, code} once
 *   where it fails; the next act tries again
 * @param {number} [options.graceMs]
 * @param {() => number} [options.now] ms
 * @param {(act: () => void) => void} [options.later] puts off a save, so that
 *   the answer to an act is out before
 */
export function createKeeper({ store, engine, tell, graceMs = GRACE_MS, now = () => globalThis.performance.now(), later = (act) => globalThis.setTimeout(act) }) {
  let workspace = null; // none is open
  let readOnly = false;
  let target = 0; // the slot that is written next
  let named = [null, null]; // keys of the logs that each slot names, where known
  let unnamed = new Map(); // file of a log that nothing names -> since when
  let made = 0; // acts so far
  let kept = 0; // how many of them are durable
  let label = 0; // what the last one is called
  let fault = null; // why the last save failed
  let saving = null; // a promise while a save is under way

  /** @param {number} [act] what it is called when it is told as kept */
  function acted(act = made + 1) {
    if (readOnly) {
      failed(act, new KeepError('locked'));
      return;
    }
    made++;
    label = act;
    if (workspace !== null && !saving) start();
  }

  function start() {
    saving = new Promise((resolve) => {
      later(() => keep().then(resolve, resolve));
    });
  }

  async function keep() {
    const tried = made;
    try {
      if (workspace !== null) await attempt(workspace);
    } finally {
      saving = null;
      // Where acts came during a save that failed, the next one tries again.
      if (tried !== made && workspace !== null) start();
    }
  }

  async function attempt(id) {
    const count = made;
    const act = label;
    try {
      await save(id);
    } catch (error) {
      failed(act, error);
      return;
    }
    kept = count;
    fault = null;
    tell({ type: 'kept', act });
    await collect(id).catch(() => {}); // the next save tries again
  }

  function failed(act, error) {
    if (fault?.message !== error.message) tell({ type: 'not-kept', act, why: error.message, code: error.code ?? 'failed' });
    fault = error;
  }

  async function save(id) {
    const { doc, logs } = await engine.seal();
    // Looked up each time: the browser may have cleared it meanwhile.
    const have = new Set(await store.list(id));
    for (const key of new Set(logs)) {
      if (!have.has(LOG + key)) await store.put(id, LOG + key, await engine.blob(key));
    }
    // Until it is known which document the slot holds, both may be.
    if (named[target]) named[target] = [...new Set([...named[target], ...logs])];
    await store.put(id, SLOTS[target], doc);
    named[target] = logs;
    target = 1 - target;
  }

  /** Removes logs that neither slot has named for a while. */
  async function collect(id) {
    if (!named[0] || !named[1]) return;
    const wanted = new Set(named.flat().map((key) => LOG + key));
    const before = unnamed;
    unnamed = new Map();
    for (const file of await store.list(id)) {
      if (!file.startsWith(LOG) || wanted.has(file)) continue;
      const since = before.get(file) ?? now();
      if (now() - since >= graceMs) await store.remove(id, file);
      else unnamed.set(file, since);
    }
  }

  /** Resolves once all acts so far are kept; rejects where they cannot be. */
  async function flush() {
    const all = made;
    const done = () => kept >= all || workspace === null;
    while (saving && !done()) await saving;
    if (done()) return;
    start();
    await saving;
    if (!done()) throw fault;
  }

  async function load(id) {
    const slots = [];
    for (const slot of SLOTS) slots.push(await store.get(id, slot));
    return { slots, blob: (key) => store.get(id, LOG + key) };
  }

  /**
   * Turns to a workspace, once all acts on the present one are kept, and gives
   * its state to the engine. Acts must wait until it resolves.
   * @param {string} id one that is not there yet starts empty
   * @param {{readOnly?: boolean, anyway?: boolean}} how anyway: even where the
   *   last acts on the present one could not be kept
   */
  async function open(id, how = {}) {
    await flush().catch((error) => {
      if (!how.anyway) throw error;
    });
    // Nothing is written where the engine could not read what is there.
    workspace = null;
    while (saving) await saving;
    const from = await load(id);
    const slot = await engine.restore(from);
    workspace = id;
    readOnly = Boolean(how.readOnly);
    target = slot === 0 ? 1 : 0;
    // An empty slot names nothing.
    named = from.slots.map((bytes) => (bytes ? null : []));
    unnamed = new Map();
    kept = made;
    fault = null;
  }

  /**
   * Takes no more acts, and saves those so far; open() ends that. Rejects, and
   * takes acts again, where they cannot be kept.
   */
  async function release() {
    readOnly = true;
    try {
      await flush();
      while (saving) await saving;
    } catch (error) {
      readOnly = false;
      throw error;
    }
  }

  /** @returns {Promise<{id: string, name: string}[]>} by name; '' for one without */
  async function list() {
    const found = [];
    for (const id of await store.workspaces()) {
      const bytes = await store.get(id, NAME);
      found.push({ id, name: bytes ? new globalThis.TextDecoder().decode(bytes).slice(0, LONGEST_NAME) : '' });
    }
    return found.sort((a, b) => a.name.localeCompare(b.name) || (a.id < b.id ? -1 : 1));
  }

  /** Names a workspace, whether it is there yet or not. */
  async function rename(id, name) {
    const text = String(name).trim();
    if (text === '' || text.length > LONGEST_NAME) throw new KeepError('name');
    if ((await list()).some((other) => other.name === text && other.id !== id)) throw new KeepError('taken');
    await store.put(id, NAME, new globalThis.TextEncoder().encode(text));
  }

  return {
    acted,
    flush,
    load,
    open,
    release,
    list,
    rename,

    /** @returns {Promise<string>} the id of a new workspace, to be opened */
    async create(name) {
      const id = Date.now().toString(36) + Math.random().toString(36).slice(2, 8);
      await rename(id, name);
      return id;
    },

    /** Removes a workspace; the open one is closed, and its acts are not kept. */
    async remove(id) {
      if (id === workspace) {
        workspace = null;
        while (saving) await saving;
      }
      await store.removeWorkspace(id);
    },

    get workspace() {
      return workspace;
    },
    get readOnly() {
      return readOnly;
    },
  };
}
