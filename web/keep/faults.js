// What can go wrong with the browser’s storage, in plain words.

import { say } from '../shared/say.js';

const WORDS = {
  full: (more) =>
    more
      ? say('The browser’s storage is full: %s are kept here already. Save the workspace to a file. Then remove workspaces or logs that are not needed here.', more)
      : say('The browser’s storage is full. Save the workspace to a file. Then remove workspaces or logs that are not needed here.'),
  refused: () => say('The browser lets this page keep nothing: a private window, or site data are blocked in its settings. Save the workspace to a file.'),
  locked: () => say('Another tab writes to this workspace; this one only reads it. Choose “Use it here”, or close the other tab.'),
  gone: () => say('What the browser kept of this workspace is gone: site data were cleared meanwhile. Save the workspace to a file.'),
  name: () => say('A name needs 1 to 120 characters. Choose another one.'),
  taken: () => say('There is a workspace of this name already. Choose another one.'),
  failed: (more) =>
    more
      ? say('The browser could not keep this workspace (%s). Save the workspace to a file.', more)
      : say('The browser could not keep this workspace. Save the workspace to a file.'),
};

const CODES = {
  QuotaExceededError: 'full',
  NotAllowedError: 'refused',
  SecurityError: 'refused',
  NoModificationAllowedError: 'locked',
  NotFoundError: 'gone',
  InvalidStateError: 'gone',
};

/** An error of the store: message for a person, code for a program. */
export class KeepError extends Error {
  /**
   * @param {'full'|'refused'|'locked'|'gone'|'name'|'taken'|'failed'} code
   * @param {string} more of a full storage, how much of it is used; of a failure, what
   *   the browser said
   */
  constructor(code, more = '', cause = undefined) {
    super(WORDS[code](more), { cause });
    this.name = 'KeepError';
    this.code = code;
  }
}

/**
 * @param {unknown} error what a call of the browser threw
 * @param {number|null} used bytes that this page has in the storage, where known
 * @returns {KeepError}
 */
export function worded(error, used = null) {
  if (error instanceof KeepError) return error;
  const code = CODES[error?.name] ?? 'failed';
  let more = '';
  // What browsers say of the quota is made up, so as to tell nothing of the disk.
  if (code === 'full' && used) more = megabytes(used);
  if (code === 'failed') more = String(error?.message || error?.name || error);
  return new KeepError(code, more, error);
}

function megabytes(bytes) {
  const size = bytes / 1e6;
  return `${size.toFixed(size < 10 ? 1 : 0)} MB`;
}
