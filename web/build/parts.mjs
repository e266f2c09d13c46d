// The files of the site as they are made.

import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** The one-file build, for those who take it away, in each language. */
export const isWhole = (path) => /^plateau(\.[a-z]{2})?\.html$/.test(path);

export class Parts {
  #out;
  #hashed = new Map(); // name -> name with its hash
  #files = []; // {path, sha256}

  /** @param {string} out the folder of the site */
  constructor(out) {
    this.#out = out;
    mkdirSync(join(out, 'parts'), { recursive: true });
  }

  /** Adds a part, which can be kept for good since its name has its hash. */
  add(name, bytes) {
    const dot = name.lastIndexOf('.');
    const hashed = `${name.slice(0, dot)}.${sha256(bytes).slice(0, 12)}${name.slice(dot)}`;
    this.#hashed.set(name, hashed);
    this.write(`parts/${hashed}`, bytes);
  }

  /** What was added under a name. */
  read(name) {
    return readFileSync(join(this.#out, 'parts', this.#hashed.get(name)));
  }

  /** Writes a file under its own name. */
  write(path, bytes) {
    writeFileSync(join(this.#out, path), bytes);
    this.#files.push({ path, sha256: sha256(bytes) });
  }

  /** The paths of the parts by their plain names, as seen from elsewhere. */
  names(before) {
    return Object.fromEntries([...this.#hashed].map(([name, hashed]) => [name, before + hashed]));
  }

  /** Those that a browser may ask for. */
  paths() {
    return this.#files.map(({ path }) => path).filter((path) => !path.startsWith('_'));
  }

  /** Those that the site works with, each with its SHA-256. */
  files() {
    return this.#files.filter(({ path }) => !path.startsWith('_') && !isWhole(path));
  }
}

const sha256 = (bytes) => createHash('sha256').update(bytes).digest('hex');
