// The page's side of the engine: hands files and commands to the worker,
// gives every command its answer, and starts a new worker where one died.
// Files are kept as handles, not contents, so that a new engine can read them
// again.

import { spoken, words } from './words.js';

const RESTARTS = 3;
const WITHIN_MS = 60_000;
const DEMO_IDS = 100;

export class Engine {
  #events;
  #spawn;
  #unpacker;
  #used;
  #told = []; // what is wrong with the packed files opened in a row
  #module = null;
  #workspace = ''; // the one to open
  #worker = null;
  #early = []; // messages from before the first worker
  #ready = false;
  #restored = false; // from what the browser keeps
  #state = ''; // of the workspace, as told last
  #settled = () => {};
  #stopped = false;
  #deaths = [];
  #seq = 0;
  #answers = new Map(); // seq -> callback
  #nextId = 1;
  #held = []; // what came before the first engine was ready
  #again = false; // a new engine is to read the logs again
  #files = new Map(); // id -> {name, size, file, done, rules, before, packed, loose: read, and not known to be kept}
  #reading = 0; // id of the file being read
  #demo = null; // {first, ids, gone}

  /**
   * @param {import('./events.js').Events} events
   * @param {() => Worker} spawn makes a worker
   * @param {import('./unpack.js').Unpacker} unpacker
   * @param {(workspace: string) => void} used is told which workspace is open
   */
  constructor(events, spawn, unpacker, used = () => {}) {
    this.#events = events;
    this.#spawn = spawn;
    this.#unpacker = unpacker;
    this.#used = used;
  }

  /** @returns {Promise<void>} until the engine is ready, or given up */
  start(module, workspace = '') {
    this.#module = module;
    this.#workspace = workspace;
    this.#startWorker();
    for (const message of this.#early.splice(0)) this.#worker.postMessage(message);
    return new Promise((resolve) => {
      this.#settled = resolve;
    });
  }

  /**
   * Puts a command to the engine.
   * @param {string} json
   * @param {(json: string, buffers: (ArrayBuffer|Blob)[], died?: boolean) => void} answer
   *   called exactly once; died: the engine ended instead of answering
   * @param {boolean} inTurn after the files and commands that came before it
   * @param {boolean} asBlob of a Download, the text comes as a Blob in buffers
   */
  command(json, answer, inTurn = false, asBlob = false) {
    this.#ask({ type: 'command', json, inTurn, asBlob }, answer);
  }

  #ask(message, answer) {
    if (this.#stopped) {
      queueMicrotask(() => answer(failure(words.engineStopped), []));
      return;
    }
    const seq = ++this.#seq;
    this.#answers.set(seq, answer);
    this.#post({ ...message, seq });
  }

  addFiles(files) {
    // Numbers are given once it is known which are taken.
    const list = [...files];
    if (this.#held) this.#held.push({ count: list.length, act: () => this.addFiles(list) });
    else for (const file of list) this.#add(this.#nextId++, file);
  }

  #add(id, file) {
    this.#files.set(id, { name: file.name, size: file.size, file, done: false, rules: '', before: null, packed: false });
    this.#open(id, true);
  }

  /** Something dropped cannot be read at all. */
  refuse(name, why) {
    this.#events.emit('lost', { id: this.#nextId++, name, why });
  }

  /** @returns {boolean} false where the demo is on the page already */
  demo() {
    if (this.#demo && (this.#demo.ids === null || this.#demo.ids.size > 0)) return false;
    this.#demo = { first: 0, ids: null, gone: new Set() };
    if (this.#held) this.#held.push({ count: 0, act: () => this.#firstDemo() });
    else this.#firstDemo();
    return true;
  }

  #firstDemo() {
    this.#demo.first = this.reserve(DEMO_IDS);
    this.#runDemo();
  }

  /** The first of n numbers for logs that are not files. */
  reserve(n) {
    this.#nextId += n;
    return this.#nextId - n;
  }

  /**
   * Reads a log again, by a wire.Rules or '' for none, which are kept with it.
   * @returns {boolean} false where no file is at hand, or it is being read
   */
  reopen(id, rules) {
    const f = this.#files.get(id);
    if (!f?.done) return false;
    Object.assign(f, { rules, before: f.rules });
    this.#open(id);
    return true;
  }

  /** The rules a log is read by, or '' for none; null where no file is at hand. */
  rulesOf(id) {
    const f = this.#files.get(id);
    return f ? f.rules : null;
  }

  /** Puts something about workspaces to the worker, see keep/workspace.js; answer is called once. */
  workspace(ask, answer) {
    this.#ask({ type: 'workspace', ask }, answer);
  }

  /** Gives a log up; of one that was being read again, what was there stays. */
  cancel(id) {
    const f = this.#files.get(id);
    if (!f) return;
    const keep = f.before !== null;
    if (keep) Object.assign(f, { done: true, rules: f.before, before: null });
    else this.#files.delete(id);
    if (f.packed) {
      this.#unpacker.cancel(id);
      if (this.#unpacker.idle) this.#told = [];
    } else this.#post({ type: 'cancel', id, keep });
  }

  remove(id) {
    const known = this.#files.get(id);
    if (known && !known.done) {
      this.cancel(id);
      if (!this.#files.has(id)) return;
    }
    this.#files.delete(id);
    if (this.#demo?.ids?.delete(id)) this.#demo.gone.add(id);
    this.#askView({ do: 'remove', file: id });
  }

  /** How many files wait or are being read. */
  unread() {
    return (this.#held ?? []).reduce((sum, { count }) => sum + count, [...this.#files.values()].filter((f) => !f.done).length);
  }

  /** Tells a new listener how things stand. */
  retell() {
    for (const [id, f] of this.#files) if (!f.done) this.#tellQueued(id, f);
    if (this.#state) this.#events.emit('workspace', this.#state); // before all else
    if (this.#ready) this.#events.emit('ready', { restored: this.#restored });
    if (this.#stopped) this.#events.emit('stopped', { why: words.engineStopped });
    else this.#askView({ do: 'view' });
  }

  #post(message) {
    if (this.#worker) this.#worker.postMessage(message);
    else if (!this.#stopped) this.#early.push(message);
  }

  // The worker is told first, so that it reads while the page shows the entry.
  // One that was read was off the list of those that wait; not so the rest.
  #open(id, fresh = false) {
    const f = this.#files.get(id);
    const news = fresh || f.done;
    f.done = false;
    if (!this.#stopped) this.#post({ type: 'open', id, file: f.file, rules: f.rules && JSON.parse(f.rules) });
    if (news) this.#tellQueued(id, f);
    if (this.#stopped) this.#lose(id, words.engineStopped);
  }

  #tellQueued(id, { name, size }) { this.#events.emit('queued', { id, name, size }); }

  #lose(id, why) {
    const f = this.#files.get(id);
    if (!f) return;
    this.#files.delete(id);
    this.#events.emit('lost', { id, name: f.name, why });
  }

  // What the worker found to be packed is opened aside; the logs in it take its
  // place, the first of them also its number.
  #unpack(id) {
    const f = this.#files.get(id);
    if (!f) return;
    f.packed = true;
    const began = performance.now();
    this.#unpacker.open(id, f.file, {
      progress: (bytes) => {
        if (this.#files.get(id) !== f) return;
        const rate = (bytes / Math.max(performance.now() - began, 1)) * 1000;
        this.#events.emit('progress', { id, bytes, total: f.size, rows: 0, rate });
      },
      done: (logs, why) => {
        if (this.#files.get(id) === f) this.#unpacked(id, f.name, logs, why);
      },
    });
  }

  #unpacked(id, name, logs, why) {
    this.#files.delete(id);
    logs.forEach((file, k) => this.#add(k === 0 ? id : this.#nextId++, file));
    if (why !== '') this.#told.push({ name, why });
    if (this.#told.length > 0) {
      // The page shows one message: that of an earlier file is not to go under.
      const [first, ...others] = this.#told;
      const all = [first.why, ...others.map((other) => `${other.name}: ${other.why}`)].join(' ');
      this.#events.emit('lost', { id: logs.length === 0 ? id : this.#nextId++, name: first.name, why: all });
    }
    if (this.#unpacker.idle) this.#told = [];
  }

  #runDemo() {
    const demo = this.#demo;
    this.#askView({ do: 'demo', file: demo.first }, true, (reply, died) => {
      if (died) return; // it is run again with the files
      if (!reply.view) {
        this.#demo = null;
        this.refuse(words.demo, words.demoFailed(reply.error));
        return;
      }
      const ids = reply.view.files.map((f) => f.id).filter((id) => id >= demo.first && id < demo.first + DEMO_IDS);
      demo.ids = new Set(ids.filter((id) => !demo.gone.has(id)));
      for (const id of demo.gone) this.#askView({ do: 'remove', file: id });
    });
  }

  // A command that is answered with a View, which goes to the listener.
  #askView(command, inTurn = false, then = () => {}) {
    this.command(
      JSON.stringify(command),
      (json, _buffers, died) => {
        const reply = JSON.parse(json);
        if (reply.view) this.#events.emit('view', JSON.stringify(reply.view));
        then(reply, died);
      },
      inTurn,
    );
  }

  #startWorker() {
    this.#ready = false;
    const worker = this.#spawn();
    this.#worker = worker;
    worker.onmessage = ({ data }) => this.#hear(data);
    worker.onerror = (event) => {
      event.preventDefault?.();
      this.#died();
    };
    worker.onmessageerror = () => this.#died();
    worker.postMessage({ type: 'start', module: this.#module, workspace: this.#workspace, words: spoken() });
  }

  #hear(data) {
    switch (data.type) {
      case 'ready': {
        this.#ready = true;
        const files = data.files ?? [];
        this.#nextId = Math.max(this.#nextId, ...files.map((id) => id + 1));
        const held = this.#held;
        this.#held = null;
        this.#settled();
        this.#restored = files.length > 0;
        this.#events.emit('ready', { restored: this.#restored });
        if (this.#again) this.#readAgain(new Set(files));
        this.#again = false;
        for (const { act } of held ?? []) act();
        break;
      }
      case 'workspace':
        if (data.state.id !== this.#workspace) this.#used(data.state.id);
        this.#workspace = data.state.id;
        this.#state = JSON.stringify(data.state);
        if (data.state.kept === 'kept') for (const f of this.#files.values()) f.loose = false;
        this.#events.emit('workspace', this.#state);
        break;
      case 'fresh':
        // Logs that wait are read into what is there now.
        for (const [id, f] of this.#files) if (f.done) this.#files.delete(id);
        this.#demo = null;
        this.#nextId = Math.max(this.#nextId, ...data.files.map((id) => id + 1));
        this.#events.emit('fresh', {});
        break;
      case 'opened':
        this.#reading = 0;
        this.#files.delete(data.id);
        this.#events.emit('done', { id: data.id });
        break;
      case 'progress': {
        const { id, bytes, total, rows, rate } = data;
        this.#reading = id;
        if (this.#files.has(id)) this.#events.emit('progress', { id, bytes, total, rows, rate });
        break;
      }
      case 'view': {
        const f = this.#files.get(data.id);
        if (f) Object.assign(f, { done: true, before: null, loose: true });
        this.#reading = 0;
        this.#events.emit('done', { id: data.id });
        this.#events.emit('view', data.json);
        break;
      }
      case 'reply': {
        const answer = this.#answers.get(data.seq);
        this.#answers.delete(data.seq);
        answer?.(data.json, data.buffers);
        break;
      }
      case 'packed':
        this.#reading = 0;
        this.#unpack(data.id);
        break;
      case 'lost':
        this.#reading = 0;
        this.#lose(data.id, data.why);
        break;
      case 'died':
        this.#died();
        break;
    }
  }

  // The file being read is taken to be what the engine died of; it is not
  // read again. Everything else is.
  #died() {
    this.#worker.onmessage = this.#worker.onerror = null;
    this.#worker.terminate();
    this.#worker = null;
    this.#ready = false;

    const now = performance.now();
    this.#deaths = [...this.#deaths.filter((t) => now - t < WITHIN_MS), now];
    this.#stopped = this.#deaths.length > RESTARTS;
    this.#lose(this.#reading, words.lostInCrash);
    this.#reading = 0;
    this.#failAnswers();
    if (this.#stopped) {
      const held = this.#held ?? [];
      this.#held = null;
      for (const { act } of held) act();
      for (const [id, f] of this.#files) if (!f.done) this.#lose(id, words.engineStopped);
      this.#events.emit('stopped', { why: words.engineStopped });
      this.#settled();
      return;
    }
    this.#again = true;
    this.#startWorker();
  }

  #failAnswers() {
    const answers = [...this.#answers.values()];
    this.#answers.clear();
    for (const answer of answers) answer(failure(this.#stopped ? words.engineStopped : words.engineGone), [], true);
  }

  // What the browser kept is there again.
  #readAgain(there) {
    const demo = this.#demo?.ids && [...this.#demo.ids].some((id) => there.has(id)) ? null : this.#demo;
    let demoDue = demo !== null && (demo.ids === null || demo.ids.size > 0);
    for (const id of [...this.#files.keys()].sort((a, b) => a - b)) {
      if (demoDue && id > demo.first) {
        this.#runDemo();
        demoDue = false;
      }
      const f = this.#files.get(id);
      f.before = null; // the new engine has nothing to go back to
      if (!f.packed && (f.loose || !(f.done && there.has(id)))) this.#open(id);
    }
    if (demoDue) this.#runDemo();
  }
}

function failure(why) {
  return JSON.stringify({ error: why });
}
