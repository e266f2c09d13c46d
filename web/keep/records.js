// The same files as records of an IndexedDB database: its transactions leave the
// old content where they fail.

const TABLE = 'files';

/**
 * @param {object} scope the worker's global scope
 * @param {string} name of the database
 * @returns {Promise<object|null>} what store.js builds on; null where the
 *   browser has no IndexedDB, throws where it refuses it
 */
export async function openRecords(scope, name) {
  if (!scope.indexedDB) return null;
  let opening = null;

  function open() {
    opening ??= new Promise((resolve, reject) => {
      const request = scope.indexedDB.open(name, 1);
      request.onupgradeneeded = () => request.result.createObjectStore(TABLE);
      request.onerror = () => reject(request.error);
      request.onsuccess = () => {
        const base = request.result;
        base.onclose = forget;
        base.onversionchange = () => {
          forget();
          base.close();
        };
        resolve(base);
      };
    });
    opening.catch(forget);
    return opening;
  }

  function forget() {
    opening = null;
  }

  /** Does one thing in one transaction; durable once it resolves. */
  async function run(mode, act) {
    const base = await open();
    return new Promise((resolve, reject) => {
      const transaction = base.transaction(TABLE, mode, { durability: 'strict' });
      transaction.onabort = () => reject(transaction.error);
      const request = act(transaction.objectStore(TABLE));
      transaction.oncomplete = () => resolve(request.result);
    });
  }

  // Arrays come after all strings.
  const within = (dir) => scope.IDBKeyRange.bound([dir], [dir, []]);

  const records = {
    kind: 'indexeddb',

    async folders() {
      const keys = await run('readonly', (table) => table.getAllKeys());
      return [...new Set(keys.map(([dir]) => dir))];
    },

    async list(dir) {
      const keys = await run('readonly', (table) => table.getAllKeys(within(dir)));
      return keys.map(([, file]) => file);
    },

    async get(dir, file) {
      return (await run('readonly', (table) => table.get([dir, file]))) ?? null;
    },

    // A copy: of a view into a larger buffer the whole buffer would be kept.
    put: (dir, file, bytes) => run('readwrite', (table) => table.put(bytes.slice(), [dir, file])),
    remove: (dir, file) => run('readwrite', (table) => table.delete([dir, file])),
    removeFolder: (dir) => run('readwrite', (table) => table.delete(within(dir))),
  };
  await open();
  return records;
}
