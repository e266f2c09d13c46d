// Where the browser keeps workspaces: files by workspace and name, in the
// origin-private file system, else in IndexedDB, else nowhere.

import { later, say } from '../shared/say.js';
import { KeepError, worded } from './faults.js';
import { plain, safe } from './names.js';
import { openFiles } from './opfs.js';
import { openRecords } from './records.js';

/**
 * @param {{name: string, scope?: object}} options name: what all of it is kept
 *   under; scope: the global scope, of a worker where there is one
 * @returns {Promise<Store>} never rejects
 *
 * @typedef {object} Store all its operations reject with a KeepError
 * @property {'opfs'|'indexeddb'|'none'} kind
 * @property {string} why it is not the better kind, in words; '' where it is
 * @property {(workspace: string) => Promise<string[]>} list names in no order
 * @property {(workspace: string, name: string) => Promise<Uint8Array|null>} get
 * @property {(workspace: string, name: string, bytes: Uint8Array) => Promise<void>} put
 *   resolves once it is durable; where it fails the old content stays. The bytes
 *   must not change before, as a view of a program's memory may.
 * @property {(workspace: string, name: string) => Promise<void>} remove
 * @property {() => Promise<string[]>} workspaces
 * @property {(workspace: string) => Promise<void>} removeWorkspace
 * @property {() => Promise<{used: number, quota: number}|null>} estimate bytes;
 *   a quota may be made up
 * @property {() => Promise<boolean|null>} persist see persist below
 */
export async function openStore({ name, scope = globalThis }) {
  const { base, why } = await choose(scope, safe(name) ?? safe('store'));

  const estimate = async () => {
    try {
      const { usage, quota } = await scope.navigator.storage.estimate();
      return { used: usage, quota };
    } catch {
      return null;
    }
  };
  const guarded = async (act) => {
    try {
      return await act();
    } catch (error) {
      throw worded(error, error?.name === 'QuotaExceededError' ? (await estimate())?.used : null);
    }
  };
  const key = (text) => {
    const made = safe(text);
    if (made === null) throw new KeepError('name');
    return made;
  };
  const named = (found) => found.map(plain).filter((text) => text !== null);

  // One write after the other: they share the name they are written under.
  let last = Promise.resolve();
  const inTurn = (act) => {
    const mine = last.then(() => guarded(act));
    last = mine.catch(() => {});
    return mine;
  };

  return {
    kind: base.kind,
    why,
    list: (workspace) => guarded(async () => named(await base.list(key(workspace)))),
    get: (workspace, file) => guarded(() => base.get(key(workspace), key(file))),
    put: (workspace, file, bytes) => inTurn(() => base.put(key(workspace), key(file), bytes)),
    remove: (workspace, file) => inTurn(() => base.remove(key(workspace), key(file))),
    workspaces: () => guarded(async () => named(await base.folders())),
    removeWorkspace: (workspace) => inTurn(() => base.removeFolder(key(workspace))),
    estimate,
    persist: () => persist(scope),
  };
}

/**
 * Asks the browser not to clear what is kept here when it wants room. Browsers
 * take that question from a page only; in a worker this tells what was said.
 * @returns {Promise<boolean|null>} null where the browser cannot be asked
 */
export async function persist(scope = globalThis) {
  try {
    const { storage } = scope.navigator;
    if (storage.persist) return await storage.persist();
    return await storage.persisted();
  } catch {
    return null;
  }
}

async function choose(scope, name) {
  const whys = [];
  const attempt = async (open, lacks, refused) => {
    try {
      const base = await open();
      if (!base) whys.push(say(lacks));
      return base;
    } catch (error) {
      whys.push(say(refused, error?.message || error?.name || error));
      return null;
    }
  };

  const base =
    (await attempt(async () => {
      const files = await openFiles(scope, name);
      // A browser that comes to have private files later, with an update, must
      // not lose sight of what it kept before.
      if (files && !(await files.used()) && (await exists(scope, name))) {
        whys.push(say('Workspaces are in the database already.'));
        return openRecords(scope, name);
      }
      await files?.probe();
      return files;
    }, later('This browser has no private files.'), later('The browser refused its private files: %s.'))) ??
    (await attempt(() => openRecords(scope, name), later('This browser has no database.'), later('The browser refused its database: %s.')));
  if (base) return { base, why: whys.join(' ') };
  return { base: NOWHERE, why: `${new KeepError('refused').message} ${whys.join(' ')}` };
}

async function exists(scope, name) {
  try {
    return (await scope.indexedDB.databases()).some((found) => found.name === name);
  } catch {
    return false;
  }
}

const refuse = () => {
  throw new KeepError('refused');
};

const NOWHERE = {
  kind: 'none',
  folders: () => [],
  list: () => [],
  get: () => null,
  put: refuse,
  remove() {},
  removeFolder() {},
};
