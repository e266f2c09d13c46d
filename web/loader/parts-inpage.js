// The parts of the one-file build, which are in the page itself: scripts that
// run, and blocks of data that are packed by gzip and written in base64. It
// takes the place of parts.js there.

import { say } from '../shared/say.js';

/** What to do where a part cannot be had. */
export const advice = () => say('The file was cut off or changed: get it again.');

const find = (name) => document.querySelector(`script[data-part="${name}"]`);
const block = (name) => {
  const found = find(name);
  if (!found) throw new Error(say('%s is missing', name));
  return found.textContent;
};

/** @returns {Promise<Response>} what is in a part */
export async function response(name) {
  const text = atob(block(name));
  const packed = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) packed[i] = text.charCodeAt(i);
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
  let bytes;
  try {
    bytes = await new Response(stream).arrayBuffer();
  } catch {
    throw new Error(say('%s is damaged', name));
  }
  return new Response(bytes, { headers: { 'Content-Type': name.endsWith('.wasm') ? 'application/wasm' : 'text/plain' } });
}

/** The texts in the page's language, by the English ones; undefined where that is English. */
export async function texts() {
  return find('words.json') ? (await response('words.json')).json() : undefined;
}

/** Runs a script in the page, where the policy has its hash. */
export async function script(name) {
  const element = document.createElement('script');
  element.textContent = await (await response(name)).text();
  document.head.append(element);
}

/** @returns {Worker} */
export function worker(name, options) {
  const address = URL.createObjectURL(new Blob([block('wasm_exec.js'), '\n', block(name)], { type: 'text/javascript' }));
  return new Worker(address, options);
}
