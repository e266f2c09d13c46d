// What the page remembers on this machine from one visit to the next: one text.
// Where the browser keeps nothing (private windows, policies, a full disk), it
// is remembered until the page is closed.

const KEY = 'plateau:rules';
let kept = null;

export const store = {
  /** @returns {string} what was last written, or '' */
  read() {
    try {
      return kept ?? window.localStorage.getItem(KEY) ?? '';
    } catch {
      return '';
    }
  },
  write(text) {
    try {
      if (text === '') window.localStorage.removeItem(KEY);
      else window.localStorage.setItem(KEY, text);
      kept = null;
    } catch {
      kept = text;
    }
  },
};
