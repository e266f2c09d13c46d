// Has packed logs and workbooks opened, one at a time, each in a worker of its
// own that is ended afterwards, however it went. The program for it is loaded
// with the first such file.

import { advice } from './parts.js';
import { spoken, words } from './words.js';

export class Unpacker {
  #spawn;
  #load;
  #module = null;
  #jobs = []; // those that wait, and first the one under way
  #worker = null;

  /**
   * @param {() => Worker} spawn makes a worker
   * @param {() => Promise<WebAssembly.Module>} load gets the program
   */
  constructor(spawn, load) {
    this.#spawn = spawn;
    this.#load = load;
  }

  /**
   * Opens a file.
   * @param {number} id
   * @param {File} file
   * @param {{progress: (bytes: number) => void,
   *   done: (logs: File[], why: string) => void}} to done is called exactly once
   *   unless the file is given up: with the logs in it, and what cannot be read
   *   of it in words, or ''
   */
  open(id, file, to) {
    this.#jobs.push({ id, file, to, logs: [] });
    if (this.#jobs.length === 1) this.#next();
  }

  /** Whether no file waits or is being opened. */
  get idle() {
    return this.#jobs.length === 0;
  }

  /** Gives a file up. */
  cancel(id) {
    const at = this.#jobs.findIndex((job) => job.id === id);
    if (at < 0) return;
    this.#jobs.splice(at, 1);
    if (at === 0) this.#end();
  }

  async #next() {
    const job = this.#jobs[0];
    if (!job) return;
    let module;
    try {
      this.#module ??= this.#load();
      module = await this.#module;
    } catch (error) {
      this.#module = null; // to be tried again with the next file
      this.#finish(job, words.unpackNotLoaded(error.message, advice()));
      return;
    }
    if (job !== this.#jobs[0]) return; // given up meanwhile
    const worker = this.#spawn();
    this.#worker = worker;
    worker.onmessage = ({ data }) => this.#hear(job, data);
    worker.onerror = (event) => {
      event.preventDefault?.();
      this.#finish(job, words.unpackDied);
    };
    worker.onmessageerror = () => this.#finish(job, words.unpackDied);
    worker.postMessage({ module, file: job.file, words: spoken() });
  }

  #hear(job, data) {
    switch (data.type) {
      case 'progress':
        job.to.progress(data.bytes);
        break;
      case 'log':
        job.logs.push(data.file);
        break;
      case 'done':
        this.#finish(job, data.error, data.told);
        break;
      case 'died':
        this.#finish(job, words.unpackDied);
        break;
    }
  }

  // The logs that came before something went wrong are good.
  #finish(job, error, told = '') {
    if (job !== this.#jobs[0]) return; // told already, or given up
    this.#jobs.shift();
    const n = job.logs.length;
    // Where there are none, the error tells of what was left out.
    const why = n === 0 ? error : [error && words.unpackCut(n, error), told].filter(Boolean).join(' ');
    job.to.done(job.logs, why);
    this.#end();
  }

  #end() {
    if (this.#worker) {
      this.#worker.onmessage = this.#worker.onerror = this.#worker.onmessageerror = null;
      this.#worker.terminate();
      this.#worker = null;
    }
    this.#next();
  }
}
