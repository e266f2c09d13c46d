// What is said of parts that are damaged on this machine.

import { say } from '../shared/say.js';

/** A part's name without folder and hash. */
export const plain = (path) => path.replace(/^parts\//, '').replace(/\.[0-9a-f]{12}\./, '.');

export const damaged = (path) =>
  say('%s, a part of Plateau, is damaged on this machine, and there is no network to fetch it anew. Your work is not touched: it is kept apart. Connect to the network, then reload this page.', plain(path));
export const damagedTitle = () => say('Plateau is damaged');
export const damagedHead = () => say('Plateau is damaged on this machine');
