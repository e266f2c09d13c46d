// Files in the origin-private file system. A file is written under another name
// and moved, so that one with its own name is always whole.

/** What is being written; safe names are never this. */
const DRAFT = 'draft';
// A file that was open in a tab that has just died is free some moments later;
// one that is read while it is replaced can be read again.
const TRIES = 12;
const PAUSE_MS = 40;
const PASSING = ['NoModificationAllowedError', 'NotReadableError', 'InvalidStateError'];

/**
 * @param {object} scope the worker's global scope
 * @param {string} name of the folder that holds all
 * @returns {Promise<object|null>} what store.js builds on; null where the
 *   browser has no such file system, throws where it refuses it
 */
export async function openFiles(scope, name) {
  const storage = scope.navigator?.storage;
  if (!storage?.getDirectory || !scope.FileSystemFileHandle?.prototype.move) return null;
  // Asked for anew each time: handles do not outlive a clearing of site data.
  const top = async (options) => (await storage.getDirectory()).getDirectoryHandle(name, options);
  const folder = async (dir, options) => (await top(options)).getDirectoryHandle(dir, options);

  return {
    kind: 'opfs',

    /** @returns {Promise<boolean>} whether anything was ever kept here */
    async used() {
      return (await orNull(top())) !== null;
    },

    async folders() {
      return names(await orNull(top()), 'directory');
    },

    async list(dir) {
      return names(await orNull(folder(dir)), 'file');
    },

    get(dir, file) {
      return again(scope, async () => {
        const handle = await orNull(folder(dir).then((found) => found.getFileHandle(file)));
        return handle && new Uint8Array(await (await handle.getFile()).arrayBuffer());
      });
    },

    async put(dir, file, bytes) {
      const into = await folder(dir, { create: true });
      await again(scope, async () => {
        const draft = await into.getFileHandle(DRAFT, { create: true });
        await (draft.createSyncAccessHandle ? writeAtOnce(draft, bytes) : writeStream(draft, bytes));
        await move(draft, into, file);
      });
    },

    async remove(dir, file) {
      const from = await orNull(folder(dir));
      if (from) await again(scope, () => orNull(from.removeEntry(file)));
    },

    async removeFolder(dir) {
      const from = await orNull(top());
      if (from) await again(scope, () => orNull(from.removeEntry(dir, { recursive: true })));
    },

    /**
     * Throws where nothing can be written, as in some private modes. Where there
     * are files already they must not go out of sight for a passing fault.
     */
    async probe() {
      if (await this.used()) return;
      // Of its own for each tab: two may be the first at the same moment.
      const trial = DRAFT + Math.random();
      try {
        await this.put(trial, DRAFT, new Uint8Array(1));
      } catch (error) {
        if (!['QuotaExceededError', 'NotFoundError', ...PASSING].includes(error.name)) throw error;
      }
      await this.removeFolder(trial).catch(() => {});
    },
  };
}

async function writeAtOnce(draft, bytes) {
  const handle = await draft.createSyncAccessHandle();
  try {
    handle.truncate(0);
    for (let at = 0; at < bytes.length;) {
      const written = handle.write(bytes.subarray(at), { at });
      // Where storage is full, Chromium's private windows do not throw but give
      // the code of the error, -8, as an unsigned number of 32 bits.
      if (!(written > 0 && written <= bytes.length - at)) throw full();
      at += written;
    }
    handle.flush();
    if (handle.getSize() !== bytes.length) throw full();
  } catch (error) {
    // Where storage is full, half a file must not take room as well.
    quietly(() => handle.truncate(0));
    throw error;
  } finally {
    handle.close();
  }
}

function full() {
  return Object.assign(new Error('there is no room'), { name: 'QuotaExceededError' });
}

async function writeStream(draft, bytes) {
  const stream = await draft.createWritable();
  try {
    await stream.write(bytes);
    await stream.close();
  } catch (error) {
    await stream.abort().catch(() => {});
    throw error;
  }
}

async function move(draft, folder, name) {
  try {
    await draft.move(folder, name);
  } catch (error) {
    // Not every browser moves a file onto another.
    if (!['InvalidModificationError', 'TypeMismatchError'].includes(error.name)) throw error;
    await folder.removeEntry(name);
    await draft.move(folder, name);
  }
}

async function names(folder, kind) {
  const found = [];
  if (folder) for await (const [name, handle] of folder.entries()) if (handle.kind === kind && name !== DRAFT) found.push(name);
  return found;
}

async function orNull(promise) {
  try {
    return await promise;
  } catch (error) {
    if (error.name === 'NotFoundError') return null;
    throw error;
  }
}

async function again(scope, act) {
  for (let left = TRIES; ; left--) {
    try {
      return await act();
    } catch (error) {
      if (left <= 1 || !PASSING.includes(error.name)) throw error;
      await new Promise((resolve) => {
        scope.setTimeout(resolve, PAUSE_MS);
      });
    }
  }
}

function quietly(act) {
  try {
    act();
  } catch {
    // What went wrong before is what is told.
  }
}
