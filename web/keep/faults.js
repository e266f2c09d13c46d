// What can go wrong with the browser's storage, in plain words.

const SAVE = 'Save the workspace to a file.';

const WORDS = {
  full: (more) => `The browser's storage is full${more}. ${SAVE} Then remove workspaces or logs that are not needed here.`,
  refused: () => `The browser lets this page keep nothing: a private window, or site data are blocked in its settings. ${SAVE}`,
  locked: () => 'Another tab writes to this workspace; this one only reads it. Choose "Use it here", or close the other tab.',
  gone: () => `What the browser kept of this workspace is gone: site data were cleared meanwhile. ${SAVE}`,
  name: () => 'A name needs 1 to 120 characters. Choose another one.',
  taken: () => 'There is a workspace of this name already. Choose another one.',
  failed: (more) => `The browser could not keep this workspace${more}. ${SAVE}`,
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
   * @param {string} more what is to be said besides, before the full stop
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
  if (code === 'full' && used) more = `: ${megabytes(used)} are kept here already`;
  if (code === 'failed') more = ` (${error?.message || error?.name || error})`;
  return new KeepError(code, more, error);
}

function megabytes(bytes) {
  const size = bytes / 1e6;
  return `${size.toFixed(size < 10 ? 1 : 0)} MB`;
}
