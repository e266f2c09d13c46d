// Runs the Go program that fills the page, and starts it again where it ended.
// What it shows is the engine's, so nothing is lost by that.

import { runGo } from '../shared/run-go.js';
import { response } from './parts.js';
import { check } from './site-worker.js';
import { words } from './words.js';

const RESTARTS = 3;

/**
 * @param {WebAssembly.Module} module
 * @param {() => void} ended called after each end but the last, before the
 *   program is started again
 * @param {() => void} gaveUp called after the last end
 */
export async function runPage(module, ended, gaveUp) {
  const main = document.querySelector('main');
  const pristine = main.cloneNode(true);
  for (let restarts = 0; ; restarts++) {
    const program = await runGo(module);
    await program.ended;
    if (restarts === RESTARTS) break;
    restore(pristine);
    ended();
  }
  gaveUp();
}

// A fresh copy of the page's main part carries no listeners of the program
// that ended. What the user has set stays.
function restore(pristine) {
  const old = document.querySelector('main');
  const fresh = pristine.cloneNode(true);
  for (const field of old.querySelectorAll('input[id], textarea[id], input[name]')) {
    const same = field.id ? fresh.querySelector(`#${field.id}`) : fresh.querySelector(`[name="${field.name}"][value="${field.value}"]`);
    if (!same || field.type === 'file') continue;
    if (field.type === 'radio' || field.type === 'checkbox') same.checked = field.checked;
    else same.value = field.value;
  }
  old.replaceWith(fresh);
}

/** Compiles a program once, for the page and the workers. */
export async function compile(name) {
  try {
    return await compiled(name);
  } catch (error) {
    // What is kept for work without a network may be damaged.
    const found = await check();
    if (found?.left.length > 0) throw new Error(words.damaged(found.left), { cause: error });
    if (!found || found.mended.length === 0) throw error;
    return compiled(name);
  }
}

async function compiled(name) {
  try {
    return await WebAssembly.compileStreaming(response(name));
  } catch {
    // No streaming, or a server that sends another media type.
    const whole = await response(name);
    if (!whole.ok) throw new Error(`${name}: ${whole.status}`);
    return WebAssembly.compile(await whole.arrayBuffer());
  }
}
