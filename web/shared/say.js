// Puts what people read into their language, as core/say does for the Go
// program, and from the same table: texts stand in the code in English, whole,
// and are looked up by that. What the table lacks stays English.

const CUT = '\u001f';

// Global, since each bundle has this module for itself.
const table = () => globalThis.plateauTable ?? {};

/**
 * Sets the table, from English, for the scripts and for the Go program that is
 * started in the same place. Not called for English.
 */
export function speak(words) {
  globalThis.plateauTable = words;
  globalThis.plateauWords = Object.entries(words).flat().join(CUT);
}

/** The table, to be passed on to a worker; undefined for English. */
export const spoken = () => globalThis.plateauTable;

/**
 * A text in the reader's language.
 * @param {string} english a literal, or what later() has marked
 * @param {unknown[]} values take the places of %s and %d, or of %[2]s the second
 */
export function say(english, ...values) {
  const text = Object.hasOwn(table(), english) ? table()[english] : english;
  if (values.length === 0) return text;
  let next = 0;
  return text.replace(/%(?:\[(\d+)\])?([sd%])/g, (_, number, verb) => {
    if (verb === '%') return '%';
    next = number ? Number(number) : next + 1;
    return values[next - 1];
  });
}

/** Marks a text that is kept in English and looked up by say() when it is shown. */
export const later = (english) => english;

/** What numbers are written by: the page's language, or where that is English the reader's own. */
export const locale = () => {
  const language = globalThis.document?.documentElement.lang ?? 'en';
  return language === 'en' ? undefined : language;
};
