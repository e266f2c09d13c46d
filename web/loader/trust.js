// The panel "How do I know?": the policy in words, and a try at breaking it. It
// is there before the Go program is, and whatever becomes of that.

import { Peer } from './closed.js';
import { explained } from './policy.js';
import { tried } from './trying.js';
import { words } from './words.js';

const element = (id) => document.getElementById(id);

function make(name, text, className = '') {
  const made = document.createElement(name);
  made.textContent = text;
  if (className) made.className = className;
  return made;
}

export function trust() {
  const panel = element('trust');
  let opener = null;
  // The page's main part may be made anew, so its button is not listened to itself.
  document.addEventListener('click', ({ target }) => {
    const button = target.closest?.('[data-trust]');
    if (!button) return;
    opener = button;
    panel.showModal();
    element('trust-title').focus();
  });
  element('trust-close').addEventListener('click', () => panel.close());
  panel.addEventListener('close', () => {
    const back = opener?.isConnected ? opener : document.querySelector('[data-trust]');
    back?.focus();
  });
  element('trust-try').addEventListener('click', attempt);
  showPolicy();
}

function showPolicy() {
  const policy = document.querySelector('meta[http-equiv="Content-Security-Policy"]')?.content ?? '';
  element('trust-policy').textContent = policy || words.noPolicy;
  element('trust-directives').replaceChildren(
    ...explained(policy).flatMap(({ directive, means }) => {
      const term = document.createElement('dt');
      term.append(make('code', directive));
      return [term, make('dd', means)];
    }),
  );
}

async function attempt() {
  const button = element('trust-try');
  if (button.getAttribute('aria-disabled') === 'true') return;
  button.setAttribute('aria-disabled', 'true'); // keeps the focus
  element('trust-sum').textContent = words.trying;
  const results = await tried(Peer);
  element('trust-tries').replaceChildren(...results.map(row));
  element('trust-table').hidden = false;
  const blocked = results.filter(({ by }) => by).length;
  element('trust-sum').textContent = words.tried(blocked, results.filter(({ absent }) => !absent).length);
  button.removeAttribute('aria-disabled');
}

function row({ way, by, open, absent }) {
  const tr = document.createElement('tr');
  const head = make('th', way);
  head.scope = 'row';
  const cell = document.createElement('td');
  if (by) {
    const [before, after] = words.blockedBy('\n').split('\n');
    cell.append(make('strong', before), make('code', by), after);
  } else if (absent) {
    cell.append(words.absent);
  } else {
    tr.className = 'caution';
    cell.append(make('strong', open ? words.notBlocked : words.notSeen), ` ${open ? words.lockedDoor : words.notSeenMeans}`);
  }
  tr.append(head, cell);
  return tr;
}
