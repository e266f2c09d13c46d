// The parts of the site, as files beside the page. The build knows their names,
// which have their hashes in them.

import { say } from '../shared/say.js';

/** What to do where a part cannot be had. */
export const advice = () => say('Check the connection to where the page is kept, then reload.');

/** @returns {Promise<Response>} what is in a part */
export const response = (name) => fetch(PARTS[name]);

/** The texts in the page's language, by the English ones; undefined where that is English. */
export async function texts() {
  const link = document.querySelector('link[data-words]');
  return link ? (await fetch(link.href)).json() : undefined;
}

/** Runs a script in the page. */
export function script(name) {
  return new Promise((resolve, reject) => {
    const element = document.createElement('script');
    element.src = PARTS[name];
    element.onload = resolve;
    element.onerror = reject;
    document.head.append(element);
  });
}

/** @returns {Worker} */
export const worker = (name, options) => new Worker(PARTS[name], options);
