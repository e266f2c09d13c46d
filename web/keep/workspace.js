// The workspace of this tab: brings back what was kept, has every change kept,
// and carries out what the user asks of workspaces. Runs in the worker, beside
// the Go engine.

import { say } from '../shared/say.js';
import { createKeeper } from './keeper.js';
import { openLock } from './lock.js';
import { openStore } from './store.js';

/** The workspace of those who never made another. */
export const FIRST = 'first';
const unnamed = () => say('My workspace');
/** Bytes of a saved file at most. */
const LARGEST = 1 << 30;
const PATIENCE_MS = 5000;
/** After an act, in which what the page asks for about it goes first. */
const QUIET_MS = 300;

/**
 * @param {object} options
 * @param {object} options.program what wasm/app/keeping.go offers
 * @param {(state: object) => void} options.tell how things stand, after each
 *   change: {kind, why, id, name, list, readOnly, lockWhy, kept, keptWhy, notes};
 *   kept is 'kept', 'saving' or 'not', changes how many of the engine's are durable
 * @param {(files: number[]) => void} options.fresh the engine holds another
 *   state: that of a workspace turned to, or a file opened
 */
export function createWorkspace({ program, tell, fresh, scope = globalThis }) {
  let store = null;
  let keeper = null;
  let lock = null;
  let seen = 0; // changes that the keeper knows of
  let turning = false;
  let entering = Promise.resolve(); // into what another tab gave
  let era = 0; // counts the states that the engine has held
  const state = { kind: 'none', why: '', id: FIRST, name: unnamed(), list: [], readOnly: false, lockWhy: '', kept: 'kept', keptWhy: '', changes: 0, notes: [] };

  const call = (name, ...args) => {
    const answer = program[name](...args);
    if (!answer) throw new Error(say('the engine gave no answer'));
    if (answer.error) throw new Error(answer.error);
    return answer;
  };

  const take = (name, bytes) => {
    era += 1;
    return [...call('openFile', name, bytes).notes];
  };

  const engine = {
    seal: () => call('seal'),
    blob: (key) => call('blob', key).bytes,
    async restore({ slots, blob }) {
      era += 1;
      const { which, logs, notes } = call('kept', slots[0], slots[1]);
      for (const key of new Set(logs)) call('give', key, key === '' ? null : await blob(key));
      call('restore');
      state.notes = [...notes];
      return which < 0 ? null : which;
    },
  };

  const told = (message) => {
    if (message.type === 'kept') Object.assign(state, { changes: message.act, kept: changes() === seen ? 'kept' : 'saving', keptWhy: '' });
    else if (message.code !== 'locked') Object.assign(state, { kept: 'not', keptWhy: message.why });
    tell(state);
  };

  const changes = () => call('changes').count;

  async function list() {
    const found = await keeper.list();
    if (!found.some(({ id }) => id === state.id)) found.push({ id: state.id, name: state.name });
    state.list = found.map(({ id, name }) => ({ id, name: name || unnamed() }));
    state.name = state.list.find(({ id }) => id === state.id).name;
  }

  async function turn(id) {
    turning = true;
    try {
      // What cannot be kept here must not be lost by turning away from it.
      if (keeper.workspace !== null && !keeper.readOnly) await keeper.flush();
      await share(id);
      await enter(id);
    } finally {
      turning = false;
    }
  }

  async function share(id) {
    const next = await openLock({
      name: id,
      scope,
      letGo: () => keeper.release(),
      tell: (message) => locked(id, message),
    });
    lock?.close();
    lock = next;
  }

  async function enter(id) {
    Object.assign(state, { id, lockWhy: '', kept: 'kept', keptWhy: '', notes: [] });
    try {
      await keeper.open(id, { readOnly: !lock.held, anyway: true });
    } catch (error) {
      // What is there may not be written over; the tab works on without.
      Object.assign(state, { kept: 'not', keptWhy: error.message });
    }
    await list();
    seen = changes();
    state.readOnly = !lock.held;
  }

  async function locked(id, message) {
    if (id !== state.id) return;
    if (message.held && state.readOnly) {
      turning = true;
      entering = enter(id).finally(() => {
        turning = false;
      });
      await entering;
      fresh(call('files').list);
    } else if (!message.held) {
      Object.assign(state, { readOnly: true, lockWhy: message.why ?? '' });
    }
    tell(state);
  }

  return {
    state,

    get era() {
      return era;
    },

    /**
     * Opens the store and the workspace. Never rejects.
     * @returns {Promise<number[]>} the logs that are there again
     */
    async start(id) {
      try {
        const late = new Promise((resolve) => {
          scope.setTimeout(resolve, PATIENCE_MS, { kind: 'none', why: say('The browser’s storage does not answer.') });
        });
        store = await Promise.race([openStore({ name: 'plateau', scope }), late]);
        Object.assign(state, { kind: store.kind, why: store.why });
        if (store.kind === 'none') return [];
        keeper = createKeeper({ store, engine, tell: told, later: (act) => scope.setTimeout(act, QUIET_MS) });
        const there = await store.workspaces();
        await turn(there.includes(id) ? id : FIRST);
        return [...call('files').list];
      } catch (error) {
        Object.assign(state, { kept: 'not', keptWhy: error.message });
        return [];
      } finally {
        tell(state);
      }
    },

    /** Whether acts are to be refused, and why; '' for no. */
    refusal() {
      if (turning) return say('The workspace is being opened: try again in a moment.');
      if (state.readOnly) return say('This workspace is open in another tab, and can only be read here. Choose “Use it here” to go on in this tab.');
      return '';
    },

    /** Has what changed kept. */
    changed() {
      const now = changes();
      if (now === seen) return;
      seen = now;
      if (!keeper || keeper.workspace === null) return;
      Object.assign(state, { kept: 'saving' });
      tell(state);
      keeper.acted(now);
    },

    /**
     * Has all that was done kept.
     * @returns {Promise<string>} '' once it is, or why it is not
     */
    async settle() {
      if (state.readOnly) return ''; // nothing can be done here
      if (!keeper || keeper.workspace === null) return changes() === 0 ? '' : state.why || state.keptWhy;
      this.changed();
      try {
        await keeper.flush();
        return '';
      } catch (error) {
        return error.message;
      }
    },

    /**
     * Carries out what the user asks: {do: 'switch', id} · {do: 'create', name} ·
     * {do: 'rename', name} · {do: 'remove', id} · {do: 'here'}.
     */
    async ask({ do: what, id, name }) {
      if (!keeper) throw new Error(say('Nothing can be kept in this browser: %s', state.why));
      switch (what) {
        case 'switch':
          await turn(id);
          fresh(call('files').list);
          break;
        case 'create':
          await turn(await keeper.create(name));
          fresh(call('files').list);
          break;
        case 'rename':
          await keeper.rename(state.id, name);
          await list();
          break;
        case 'remove':
          if (id === state.id) throw new Error(say('Turn to another workspace before you remove this one.'));
          await keeper.remove(id);
          await list();
          break;
        case 'here':
          await lock.takeOver();
          await entering;
          break;
      }
      tell(state);
    },

    /** The whole state as a file's bytes. */
    save: () => call('saveFile').bytes,

    /**
     * Takes a saved file over: in a workspace of its own where there is anything
     * in this one and the browser keeps some.
     * @param {File} file
     * @returns {Promise<void>} rejects where there is nothing to be had of it
     */
    async open(file) {
      if (file.size > LARGEST) throw new Error(say('%s is larger than 1 GB, which is more than Plateau opens.', file.name));
      const bytes = new Uint8Array(await file.arrayBuffer());
      if (keeper && (call('files').list.length > 0 || state.readOnly)) {
        const base = file.name.replace(/\.plateau$/i, '').slice(0, 100) || unnamed();
        const taken = new Set(state.list.map((other) => other.name));
        let fitting = base;
        for (let n = 2; taken.has(fitting); n += 1) fitting = `${base} ${n}`;
        const before = state.id;
        const made = await keeper.create(fitting);
        await turn(made);
        try {
          state.notes = take(file.name, bytes);
        } catch (error) {
          await turn(before);
          await keeper.remove(made);
          await list();
          fresh(call('files').list);
          throw error;
        }
      } else {
        state.notes = take(file.name, bytes);
      }
      fresh(call('files').list);
      tell(state);
    },
  };
}

/**
 * Tells a saved workspace by its name or its first bytes: a ZIP whose first part
 * is plateau.json.
 */
export function isWorkspace(name, bytes) {
  if (/\.plateau$/i.test(name)) return true;
  const first = [...'plateau.json'].map((c) => c.charCodeAt(0));
  return bytes[0] === 0x50 && bytes[1] === 0x4b && first.every((c, k) => bytes[30 + k] === c);
}
