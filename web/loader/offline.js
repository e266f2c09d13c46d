// Has the site kept on this machine, says in the footer whether it is, and
// tells of newer versions. A tab goes on with its own version, whose parts stay
// there for it, until the person takes the newer one; it is loaded anew only
// once what was done in it is kept.

import { label } from '../offline/site.js';
import { news } from './news.js';
import { ask, version } from './site-worker.js';
import { words } from './words.js';

const HOUR_MS = 3_600_000;
const PATIENCE_MS = 20_000;

/**
 * To be called once the page works.
 * @param {object} page
 * @param {() => number} page.unread how many logs wait or are being read
 * @param {() => Promise<string>} page.settle resolves once all that was done is
 *   kept: '' or why it is not
 * @param {() => Promise<boolean>} page.save saves it to a file
 */
export async function offline(page) {
  const line = document.getElementById('offline-state');
  const script = line?.dataset.worker;
  if (!script) return; // the page is one file
  const container = navigator.serviceWorker;
  if (!container || !window.isSecureContext) {
    say(words.offlineNever);
    return;
  }
  hold();

  let registration = null;
  let fault = null; // why the newest version could not be taken in
  let taking = false;
  let damaged = false;
  let overtaken = false; // this tab has another version's service worker
  let told = ''; // the version that was told of
  const bar = news({ take: () => take(), anyway: () => reload(), save });

  container.addEventListener('message', ({ data }) => {
    if (data?.type !== 'refused') return;
    fault = words.offlineFault(data.code);
    tell();
  });
  container.addEventListener('controllerchange', () => {
    overtaken = true;
    if (taking) window.location.reload();
    else look();
  });

  say(words.offlineBegun);
  try {
    registration = await container.register(script, { updateViaCache: 'none' });
    if (!registration) throw new Error(words.offlineBlocked);
  } catch (error) {
    say(words.offlineNot(error?.name === 'SecurityError' ? words.offlineBlocked : worded(error)));
    return;
  }
  registration.addEventListener('updatefound', () => follow(registration.installing));
  for (const worker of [registration.installing, registration.waiting, registration.active]) if (worker) follow(worker);
  tell();
  look();
  refresh();

  function follow(worker) {
    worker?.addEventListener('statechange', () => {
      if (worker.state === 'installed' || worker.state === 'activated') fault = null;
      if (worker.state === 'redundant' || worker.state === 'activated') tell();
      if (worker.state === 'installed' || worker.state === 'activated') look();
    });
  }

  // What is kept is looked over at each visit.
  async function tell() {
    const { active, installing } = registration ?? {};
    if (!active) {
      if (fault) say(words.offlineNot(fault));
      else if (!installing) say(words.offlineNot(words.offlineFault('failed')));
      return;
    }
    const found = await ask(active, 'check');
    if (!found) {
      say(words.offlineNot(words.offlineSilent));
      return;
    }
    if (found.left.length > 0) say(words.offlineDamaged(found.left));
    else say(fault ? words.offlineOlder(fault) : words.offlineReady);
    if (found.version === version() && found.mended.some((path) => path.includes('/plateau.')) && container.controller) {
      damaged = true;
      bar.mended();
    }
  }

  async function look() {
    if (taking || !registration) return;
    // A page that the server gave may be newer than what is kept.
    const newest = registration.waiting ?? (overtaken ? registration.active : null);
    if (!newest) return;
    const about = await ask(newest, 'about');
    if (!about || about.version === version() || about.version === told) return;
    told = about.version;
    bar.ready();
  }

  async function take() {
    if (page.unread() > 0) {
      bar.reading();
      return;
    }
    bar.keeping();
    const late = new Promise((resolve) => {
      setTimeout(resolve, PATIENCE_MS, words.settleSilent);
    });
    const why = await Promise.race([page.settle(), late]);
    if (why) bar.unkept(why);
    else if (page.unread() > 0) bar.reading();
    else reload();
  }

  async function save() {
    if (await page.save()) bar.saved();
  }

  function reload() {
    // Nothing more is to be done here that would not be kept.
    document.querySelector('main').inert = true;
    const { waiting } = registration;
    if (!waiting || damaged) {
      window.location.reload();
      return;
    }
    taking = true;
    bar.keeping();
    waiting.postMessage({ type: 'take' });
    setTimeout(() => {
      taking = false;
      document.querySelector('main').inert = false;
      bar.stuck();
    }, PATIENCE_MS);
  }

  // The browser looks for a newer version when a page is loaded. A tab may stay
  // open for days.
  function refresh() {
    let last = Date.now();
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState !== 'visible' || Date.now() - last < HOUR_MS) return;
      last = Date.now();
      registration.update().catch(() => {}); // no network
    });
  }

  function say(text) {
    document.getElementById('offline-words').textContent = text;
  }
}

// As long as a tab holds it, its version is not removed.
function hold() {
  const name = label(new URL('./', window.location.href).href, version());
  navigator.locks?.request(name, { mode: 'shared' }, () => new Promise(() => {})).catch(() => {});
}

const worded = (error) => error?.message || String(error);
