// Words of the trade, explained where they stand. What has data-term becomes a
// button that opens the part of #terms of that name, by the browser's own
// popover: it takes the focus, and Esc gives it back. A box with data-terms has
// the same for the heads of its tables, column by column ('-' for none).

const able = 'popover' in HTMLElement.prototype;

export function terms() {
  if (!able) return;
  const box = document.getElementById('terms');
  const more = box.querySelector(':scope > a'); // there where there is a guide to go to
  more?.remove();
  for (const part of box.children) {
    part.className = 'about';
    part.setAttribute('role', 'dialog');
    part.setAttribute('aria-label', part.firstElementChild.textContent);
    part.setAttribute('popover', '');
    part.setAttribute('autofocus', '');
    part.tabIndex = -1;
    if (!more) continue;
    const link = more.cloneNode(true);
    link.hash = part.dataset.guide;
    part.append(link);
  }
  box.hidden = false;
  marked(document);
  // What lies outside an open dialog cannot be used, popovers neither.
  document.addEventListener('click', ({ target }) => {
    if (!target.matches?.('.term')) return;
    const part = document.getElementById(target.getAttribute('popovertarget'));
    const place = target.closest('dialog') ?? box;
    if (part.parentNode !== place) place.append(part);
  }, true);
  document.addEventListener('keydown', (event) => {
    if (event.key !== '?' || event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.('input:not([type=checkbox], [type=radio]), textarea, select, dialog')) return;
    document.getElementById('t-keys').showPopover();
  });
}

/** Makes buttons of the words of the trade in what is new on the page. */
export function marked(root, columns) {
  if (!able) return;
  for (const one of root.querySelectorAll('[data-term]')) mark(one, one.dataset.term);
  if (!columns) return;
  const names = columns.split(' ');
  for (const row of root.querySelectorAll('thead tr')) names.forEach((name, k) => name !== '-' && row.children[k] && mark(row.children[k], name));
}

function mark(element, name) {
  const words = element.firstChild;
  if (words?.nodeType !== Node.TEXT_NODE || words.data.trim() === '') return;
  const unit = words.nextSibling?.nodeName === 'SPAN' ? words.nextSibling : null;
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'term';
  button.setAttribute('popovertarget', `t-${name}`);
  words.before(button);
  button.append(words);
  if (unit) button.append(unit);
}
