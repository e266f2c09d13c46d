// One tab at a time writes to a workspace; the others are told, and can ask for
// it. Web Locks where there are any: the browser frees them whatever becomes of
// the tab. Else tabs say on a channel every second that they are there.

import { say } from '../shared/say.js';

const BEAT_MS = 1000;
/** Without a beat for so long, a tab counts as gone. */
const SILENCE_MS = 3500;
const HELLO_MS = 500;
const ANSWER_MS = 5000;

/**
 * @param {object} options
 * @param {string} options.name of what is locked
 * @param {() => Promise<void>} options.letGo called before another tab gets it;
 *   rejects where it cannot be given, with the reason as message
 * @param {(message: object) => void} options.tell {type: 'lock', held: false}
 *   where another tab has taken it, with why where the one that has it does not
 *   answer · {type: 'lock', held: true} where this one has it at last: what is
 *   stored is to be read anew
 * @returns {Promise<Lock>}
 *
 * @typedef {object} Lock
 * @property {boolean} held
 * @property {() => Promise<void>} takeOver asks the tab that has it; resolves
 *   once it is held here, rejects with the reason, in words, where it is not
 *   given. Where nothing answers it still comes as soon as it is free.
 * @property {() => void} close
 */
export async function openLock({ name, letGo, tell, scope = globalThis, answerMs = ANSWER_MS }) {
  const key = `plateau:${name}`;
  const me = Math.random().toString(36).slice(2);
  const channel = scope.BroadcastChannel ? new scope.BroadcastChannel(key) : null;
  const post = (type, why) => channel?.postMessage({ type, why, from: me });
  let held = false;
  let wanted = null; // {resolve, reject, timer} while this tab asks for it
  let giving = false;
  let closed = false;
  const way = (await locks()) ?? (await beats());

  if (channel) {
    channel.onmessage = ({ data }) => {
      way.heard?.(data);
      switch (data.type) {
        case 'give':
          if (held && !giving) give();
          break;
        case 'giving':
          scope.clearTimeout(wanted?.timer);
          break;
        case 'mine': // a tab has just got it, maybe before this one in the queue
          if (wanted) post('give');
          break;
        case 'kept':
          settle(new Error(say('The other tab could not hand the workspace over: %s', data.why)));
          way.cancel();
          break;
      }
    };
  }

  function takeOver() {
    if (held) return Promise.resolve();
    if (!wanted) {
      wanted = {};
      wanted.promise = new Promise((resolve, reject) => Object.assign(wanted, { resolve, reject }));
    }
    scope.clearTimeout(wanted.timer);
    wanted.timer = scope.setTimeout(() => tell({ type: 'lock', held: false, why: say('The other tab does not answer. Close it; this one then writes to the workspace.') }), answerMs);
    post('give');
    way.wait();
    return wanted.promise;
  }

  function close() {
    closed = true;
    lose();
    way.cancel();
    settle(new Error(say('The workspace was closed.')));
    channel?.close();
  }

  async function give() {
    giving = true;
    post('giving');
    try {
      await letGo();
      lose();
    } catch (error) {
      post('kept', error.message);
    }
    giving = false;
  }

  function lose(toAnother = false) {
    if (!held) return;
    held = false;
    way.free(toAnother);
    if (!closed) tell({ type: 'lock', held: false });
  }

  function got() {
    held = true;
    if (closed) {
      lose();
      return;
    }
    post('mine');
    if (!wanted) return;
    tell({ type: 'lock', held: true });
    settle();
  }

  function settle(error) {
    scope.clearTimeout(wanted?.timer);
    if (error) wanted?.reject(error);
    else wanted?.resolve();
    wanted = null;
  }

  /** By Web Locks; null where there are none. */
  async function locks() {
    const manager = scope.navigator?.locks;
    let free = () => {};
    let stop = null;
    const request = (options) =>
      new Promise((resolve, reject) => {
        const asked = manager.request(key, options, (lock) => {
          resolve(lock !== null);
          if (!lock) return undefined;
          return new Promise((done) => {
            free = done;
            got();
          });
        });
        asked.catch(reject);
      });
    try {
      if (!manager) return null;
      await request({ ifAvailable: true });
    } catch {
      return null; // a page without an origin of its own
    }
    return {
      free: () => free(),
      cancel: () => stop?.abort(),
      wait() {
        if (stop && !stop.signal.aborted) return; // queued already
        stop = new scope.AbortController();
        const mine = stop;
        request({ signal: stop.signal }).catch(() => {}).finally(() => {
          if (stop === mine) stop = null;
        });
      },
    };
  }

  /** By what tabs say on the channel, for browsers without Web Locks. */
  async function beats() {
    let since = 0; // when this tab took it
    let heardAt = -Infinity; // the last beat of another
    let timer = null;
    const beat = () => channel?.postMessage({ type: 'beat', since, from: me });
    const take = () => {
      since = Date.now();
      scope.clearInterval(timer);
      timer = scope.setInterval(beat, BEAT_MS);
      got();
      beat();
    };
    const self = {
      free(toAnother) {
        scope.clearInterval(timer);
        if (!toAnother) post('free');
      },
      cancel() {
        if (!held) scope.clearInterval(timer);
      },
      wait() {
        scope.clearInterval(timer);
        timer = scope.setInterval(() => {
          if (scope.performance.now() - heardAt > SILENCE_MS) take();
        }, BEAT_MS);
      },
      heard(data) {
        if (data.type === 'hello' && held) beat();
        if (data.type === 'free' && wanted) take();
        if (data.type !== 'beat') return;
        heardAt = scope.performance.now();
        if (!held) return;
        // Both believe that they have it: the one that had it first does.
        if (data.since < since || (data.since === since && data.from < me)) lose(true);
        else beat();
      },
    };
    if (channel) {
      channel.onmessage = ({ data }) => self.heard(data);
      post('hello');
      await new Promise((resolve) => {
        scope.setTimeout(resolve, HELLO_MS);
      });
    }
    if (heardAt === -Infinity) take();
    return self;
  }

  return {
    get held() {
      return held;
    },
    takeOver,
    close,
  };
}
