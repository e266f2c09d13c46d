// Any name, however hostile, as the name of a file or a folder that every file
// system takes and tells apart, and back.

const LONGEST = 240;
// So that no name is one that a system keeps for itself ("con"), or ours.
const MARK = 'n-';

/**
 * Small letters, digits and '-' stay; every other UTF-16 unit becomes '_' and
 * four hexadecimal digits. Capitals too: some file systems do not tell them
 * from small ones.
 * @param {string} name
 * @returns {string|null} null where it would be too long for a file system
 */
export function safe(name) {
  const text = MARK + String(name).replace(/[^a-z0-9-]/g, (unit) => `_${unit.charCodeAt(0).toString(16).padStart(4, '0')}`);
  return text.length > LONGEST ? null : text;
}

/** @returns {string|null} the name that safe made this of; null where it made none */
export function plain(text) {
  if (!text.startsWith(MARK)) return null;
  const name = text.slice(MARK.length).replace(/_([0-9a-f]{4})/g, (_, unit) => String.fromCharCode(parseInt(unit, 16)));
  return safe(name) === text ? name : null;
}
