// The page's side of the service worker: what it asks of it. See sw.js.

const PATIENCE_MS = 20_000;
const RELOADED = 'plateau:reloaded';

/** This page's version, or '' where the build gave none. */
export const version = () => document.querySelector('meta[name=version]')?.content ?? '';

/** @returns {Promise<object|null>} the answer; null where none comes */
export function ask(worker, type) {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    const give = (answer) => {
      clearTimeout(late);
      port1.close();
      resolve(answer);
    };
    const late = setTimeout(give, PATIENCE_MS, null);
    port1.onmessage = ({ data }) => give(data);
    try {
      worker.postMessage({ type }, [port2]);
    } catch {
      give(null);
    }
  });
}

/**
 * Has the files that this page was loaded from looked over.
 * @returns {Promise<{version: string, mended: string[], left: string[]}|null>}
 *   null where there is no service worker
 */
export async function check() {
  try {
    const worker = navigator.serviceWorker?.controller;
    return worker ? await ask(worker, 'check') : null;
  } catch {
    return null; // a page in a box of its own may not even look
  }
}

/**
 * Loads the page once more where that may help: what was damaged is mended, or
 * the page is of a version whose parts are gone.
 * @returns {Promise<boolean>} whether it does
 */
export async function again() {
  const found = await check();
  if (!found || (found.mended.length === 0 && found.version === version())) return false;
  try {
    if (window.sessionStorage.getItem(RELOADED)) return false;
    window.sessionStorage.setItem(RELOADED, '1');
  } catch {
    return false; // nothing would end it
  }
  window.location.reload();
  return true;
}

/** The page works: the next fault may have it loaded again. */
export function works() {
  try {
    window.sessionStorage.removeItem(RELOADED);
  } catch {
    // It was never set either.
  }
}
