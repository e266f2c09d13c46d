// What happened, for the one listener there is: the Go page. Events that come
// before it listens are kept and handed over in order.

export class Events {
  #listener = null;
  #waiting = [];
  #due = false;

  /**
   * @param {string} kind 'queued', 'progress', 'done', 'view', 'lost', 'ready', 'stopped',
   *   'workspace', 'fresh'
   * @param {object|string} detail plain data, or JSON already
   */
  emit(kind, detail) {
    const json = typeof detail === 'string' ? detail : JSON.stringify(detail);
    if (kind === 'progress') this.#dropOlder(detail.id);
    this.#waiting.push({ kind, json, id: detail.id });
    this.#deliver();
  }

  subscribe(listener) {
    this.#listener = listener;
    this.#deliver();
  }

  /** Forgets listener and events: a new listener is told the state instead. */
  unsubscribe() {
    this.#listener = null;
    this.#waiting = [];
  }

  // Only the newest progress of a file is worth keeping.
  #dropOlder(id) {
    this.#waiting = this.#waiting.filter((e) => e.kind !== 'progress' || e.id !== id);
  }

  // Never from within the call that caused the event: the listener is a Go
  // callback, and that call may be Go's own.
  #deliver() {
    if (this.#due || !this.#listener) return;
    this.#due = true;
    queueMicrotask(() => {
      this.#due = false;
      while (this.#listener && this.#waiting.length > 0) {
        const { kind, json } = this.#waiting.shift();
        this.#listener(kind, json);
      }
    });
  }
}
