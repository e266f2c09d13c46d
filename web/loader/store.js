// What the page remembers on this machine from one visit to the next: a text
// under each key. Where the browser keeps nothing (private windows, policies, a
// full disk), it is remembered until the page is closed.

/**
 * @param {string} key
 * @returns {{read: () => string, write: (text: string) => void}} read gives what
 *   was last written, or ''
 */
export function shelf(key) {
  let kept = null;
  return {
    read() {
      try {
        return kept ?? window.localStorage.getItem(key) ?? '';
      } catch {
        return '';
      }
    },
    write(text) {
      try {
        if (text === '') window.localStorage.removeItem(key);
        else window.localStorage.setItem(key, text);
        kept = null;
      } catch {
        kept = text;
      }
    },
  };
}

/** How logs are read, by their header. */
export const store = shelf('plateau:rules');
/** The tester and the cells. */
export const bench = shelf('plateau:bench');
/** The workspace that was used last. */
export const used = shelf('plateau:workspace');
/** How posts are written. */
export const post = shelf('plateau:post');
