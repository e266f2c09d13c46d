// Makes what is in an element from one text, which takes far fewer calls out of
// the Go program than making it node by node. What is in the text is never
// taken for markup.

import { marked } from './terms.js';

const SEPARATOR = '\u001f';

/**
 * @param {Element} into what was in it goes
 * @param {string} text tokens, each after a separator, told apart by their first
 *   character: '<' opens an element, '>' closes it, '@' is an attribute
 *   ('class=num'; of a custom property, '--u=4ch'), '=' is text
 */
export function build(into, text) {
  const made = make(text);
  if (into.dataset.terms) marked(made, into.dataset.terms);
  into.replaceChildren(made);
}

/** Makes one of the elements inside another anew. */
export function rebuild(inside, index, text) {
  inside.children[index].replaceWith(make(text));
}

function make(text) {
  const fragment = document.createDocumentFragment();
  let at = fragment;
  for (const token of text.split(SEPARATOR)) {
    const rest = token.slice(1);
    switch (token[0]) {
      case '<':
        at = at.appendChild(document.createElement(rest));
        break;
      case '>':
        at = at.parentNode;
        break;
      case '@': {
        const end = rest.indexOf('=');
        const name = end < 0 ? rest : rest.slice(0, end);
        const value = end < 0 ? '' : rest.slice(end + 1);
        if (name.startsWith('--')) at.style.setProperty(name, value);
        else at.setAttribute(name, value);
        break;
      }
      case '=':
        at.append(rest);
        break;
    }
  }
  return fragment;
}
