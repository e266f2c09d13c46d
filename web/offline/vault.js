// Keeps the files of one version of the site in a cache of its own. Nothing is
// put in, and nothing but a program given out, whose SHA-256 is not the one that
// the build wrote down; what was damaged or lost is fetched anew.

import { addressOf, hashOf, isProgram, label, languageOf, pathOf, sha256, versionOf } from './site.js';

/**
 * Why a file cannot be had. code: 'unreachable', 'missing' (the server has no
 * such file), 'changed' (it has another), 'full' (no room here), 'failed'.
 */
export class VaultError extends Error {
  constructor(code, path, cause) {
    super(`${path}: ${code}`, { cause });
    this.code = code;
    this.path = path;
  }
}

export class Vault {
  #site;
  #base;
  #caches;
  #fetch;
  #open;
  #name;

  /**
   * @param {{version: string, files: {path: string, sha256: string}[]}} site
   * @param {object} of
   * @param {string} of.base the address of the site's folder
   * @param {CacheStorage} of.caches
   * @param {typeof fetch} of.fetch
   * @param {() => Promise<string[]>} of.open the paths of the pages that are open
   */
  constructor(site, { base, caches, fetch, open = async () => [] }) {
    this.#site = site;
    this.#base = base;
    this.#caches = caches;
    this.#fetch = fetch;
    this.#open = open;
    this.#name = label(base, site.version);
  }

  /**
   * Takes the whole version in, but for languages that nobody reads here: what
   * another version has is copied, the rest is fetched, programs last. Rejects with a VaultError, and leaves nothing behind
   * where it began with nothing.
   */
  async fill() {
    const began = await this.#caches.has(this.#name);
    const files = (await this.#wanted()).toSorted((a, b) => isProgram(a.path) - isProgram(b.path));
    try {
      const cache = await this.#caches.open(this.#name);
      for (const { path } of files) {
        if (await this.#soundIn(this.#name, path)) continue;
        const found = (await this.#elsewhere(path, true)) ?? (await this.#fetched(path));
        await cache.put(addressOf(this.#base, path), found);
      }
    } catch (error) {
      if (!began) await this.#caches.delete(this.#name);
      throw worded(error);
    }
  }

  /** Whether a path is a file of this or another version. */
  knows(path) {
    return hashOf(this.#site.files, path) !== null;
  }

  /**
   * A file of the site. A part may come from another version's cache, since its
   * name says what is in it; other files are of this version.
   * @returns {Promise<Response>} rejects with a VaultError
   */
  async find(path) {
    const look = !isProgram(path);
    const kept = look ? await this.#soundIn(this.#name, path) : await this.#in(this.#name, path);
    return kept ?? (await this.#elsewhere(path, look)) ?? (await this.#mended(path));
  }

  /**
   * Looks over all that is kept, and mends what is damaged or lost.
   * @returns {Promise<{mended: string[], left: string[]}>} paths
   */
  async check() {
    const mended = [];
    const left = [];
    for (const { path } of await this.#wanted()) {
      if (await this.#soundIn(this.#name, path)) continue;
      try {
        const found = (await this.#elsewhere(path, true)) ?? (await this.#fetched(path));
        await (await this.#caches.open(this.#name)).put(addressOf(this.#base, path), found);
        mended.push(path);
      } catch {
        left.push(path);
      }
    }
    return { mended, left };
  }

  /**
   * Removes old versions but the one before this, which a tab may just be
   * loading, and those in use.
   * @param {string[]} used labels
   */
  async tidy(used) {
    const others = await this.#others();
    for (const name of others.slice(0, -1)) if (!used.includes(name)) await this.#caches.delete(name);
  }

  // A language is read here where a page of it is open, or anything of it is kept.
  async #wanted() {
    const read = new Set((await this.#open()).map(languageOf));
    const keys = async (name) => (await this.#caches.open(name)).keys();
    for (const name of await this.#versions().catch(() => [])) {
      for (const { url } of await keys(name).catch(() => [])) read.add(languageOf(pathOf(this.#base, url)));
    }
    return this.#site.files.filter(({ path }) => languageOf(path) === null || read.has(languageOf(path)));
  }

  async #versions() {
    return (await this.#caches.keys()).filter((name) => versionOf(this.#base, name) !== null);
  }

  async #others() {
    return (await this.#versions()).filter((name) => name !== this.#name);
  }

  // A disk that fails is a file that is not there.
  async #in(name, path) {
    try {
      const cache = await this.#caches.open(name);
      return (await cache.match(addressOf(this.#base, path), { ignoreVary: true })) ?? null;
    } catch {
      return null;
    }
  }

  async #soundIn(name, path) {
    const kept = await this.#in(name, path);
    return kept && (await this.#isSound(kept, path)) ? kept : null;
  }

  async #isSound(response, path) {
    try {
      return (await sha256(await response.clone().arrayBuffer())).startsWith(hashOf(this.#site.files, path));
    } catch {
      return false;
    }
  }

  async #elsewhere(path, look) {
    if (!path.startsWith('parts/')) return null;
    for (const name of await this.#others().catch(() => [])) {
      const kept = look ? await this.#soundIn(name, path) : await this.#in(name, path);
      if (kept) return kept;
    }
    return null;
  }

  // One of another version goes to who asked, and is not kept in this one.
  async #mended(path) {
    const found = await this.#fetched(path);
    if (this.#site.files.some((file) => file.path === path)) {
      const copy = found.clone();
      await this.#caches.open(this.#name).then((cache) => cache.put(addressOf(this.#base, path), copy)).catch(() => {}); // the next one tries again
    }
    return found;
  }

  // The browser's own cache may hold something damaged, too.
  async #fetched(path) {
    const modes = path.startsWith('parts/') ? ['default', 'reload'] : ['no-cache', 'reload'];
    let code = 'failed';
    for (const cache of modes) {
      let response;
      try {
        response = await this.#fetch(addressOf(this.#base, path), { cache });
      } catch (error) {
        throw new VaultError('unreachable', path, error);
      }
      code = response.ok ? 'changed' : 'missing';
      if (response.ok && (await this.#isSound(response, path))) return unredirected(response);
    }
    throw new VaultError(code, path);
  }
}

// An answer to a navigation may not be one that was redirected.
function unredirected(response) {
  if (!response.redirected) return response;
  return new Response(response.body, { headers: response.headers });
}

function worded(error) {
  if (error instanceof VaultError) return error;
  return new VaultError(error?.name === 'QuotaExceededError' ? 'full' : 'failed', '', error);
}
