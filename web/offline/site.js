// The site as its service worker keeps it: which files it has, and how what is
// kept is told from what was changed.

/** A part, whose name has the first 12 digits of its SHA-256. */
const PART = /^parts\/[\w.-]+\.([0-9a-f]{12})\.\w+$/;

/** What a version is kept in, and the lock that its tabs hold. */
export const label = (base, version) => `plateau ${base} ${version}`;

/** The version of a label of the same site, or null. */
export function versionOf(base, name) {
  const before = label(base, '');
  return name.startsWith(before) ? name.slice(before.length) : null;
}

/** The language of a path or a file, or null where it is for all: only who reads it has those kept. */
export const languageOf = (path) => /^(?:guide\.|parts\/words\.)?([a-z]{2})(?:\.html|\.[0-9a-f]{12}\.json)?$/.exec(path)?.[1] ?? null;

/** Programs are too large to be looked over before they are used. */
export const isProgram = (path) => path.endsWith('.wasm');

/**
 * @param {string} base the address of the site's folder
 * @param {string} url
 * @returns {string|null} the path of a file in it, or null where it is elsewhere
 */
export function pathOf(base, url) {
  const { origin, pathname } = new URL(url);
  const home = new URL(base);
  if (origin !== home.origin || !pathname.startsWith(home.pathname)) return null;
  return pathname.slice(home.pathname.length) || 'index.html';
}

// Some servers send those who ask for index.html to the folder.
export const addressOf = (base, path) => new URL(path === 'index.html' ? './' : path, base).href;

/** What the SHA-256 of a file begins with, or null where it is none of the site's. */
export function hashOf(files, path) {
  return files.find((file) => file.path === path)?.sha256 ?? PART.exec(path)?.[1] ?? null;
}

export async function sha256(bytes) {
  const digest = new Uint8Array(await globalThis.crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
