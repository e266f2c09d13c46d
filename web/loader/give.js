// What the page gives to the person: a file to keep, a text to paste elsewhere.

/** Saves a file; it is made here and goes nowhere else. */
export function save(blob, name) {
  const a = document.createElement('a');
  a.href = URL.createObjectURL(blob);
  a.download = name;
  a.click();
  // Not at once: the browser may look the address up later.
  setTimeout(() => URL.revokeObjectURL(a.href), 60_000);
}

/** Copies a text. @returns {Promise<boolean>} whether it was allowed */
export async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false; // no such thing here, or forbidden
  }
}
