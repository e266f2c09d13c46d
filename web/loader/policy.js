// What a Content-Security-Policy says, in plain words.

import { say } from '../shared/say.js';

const none = (sources) => sources.length === 1 && sources[0] === "'none'";

const sentences = {
  'default-src': (s) => say(none(s) ? 'What no other line allows is forbidden: frames, plug-ins, sounds and films among it.' : 'Holds for all that has no line of its own.'),
  'script-src': (s) =>
    say('Programs come with this page, and text is never made into a program.') +
    (s.includes("'wasm-unsafe-eval'") ? ` ${say('The odd word “wasm-unsafe-eval” allows WebAssembly, which Plateau is built as, and nothing else.')}` : ''),
  'connect-src': (s) =>
    say(
      none(s)
        ? 'No request, no beacon and no socket, to anyone.'
        : 'Requests, beacons and sockets can go to the site that this page came from and nowhere else. Its own parts are loaded that way.',
    ),
  'style-src': () => say('Styles come with this page.'),
  'img-src': () => say('Pictures come with this page or are drawn in it, so that no picture’s address can carry anything away.'),
  'font-src': (s) => say(none(s) ? 'No typeface is fetched.' : 'Typefaces come with this page.'),
  'worker-src': () => say('Programs in the background, such as the one that reads your logs, are parts of this page and bound by the same rules.'),
  'manifest-src': (s) => say(none(s) ? 'Nothing is fetched for installing the page.' : 'What a browser is told for installing the page comes with it.'),
  'form-action': () => say('No form can be sent.'),
  'frame-ancestors': () => say('No other page can show this one inside itself.'),
  'base-uri': () => say('Nothing can turn the page’s own addresses to another place.'),
};

/**
 * @param {string} policy as a header or a meta element has it
 * @returns {{directive: string, means: string}[]} in its order; means is empty
 *   where nothing is known of a directive
 */
export function explained(policy) {
  return policy
    .split(';')
    .map((text) => text.trim())
    .filter(Boolean)
    .map((directive) => {
      const [name, ...sources] = directive.split(/\s+/);
      return { directive, means: sentences[name.toLowerCase()]?.(sources) ?? '' };
    });
}
