// How logs come in: dropped anywhere on the page, chosen, or pasted. Listens
// on the document, so that it goes on working where the page's main part is
// put back to how it was loaded.

import { words } from './words.js';

/**
 * @param {{files: (files: File[]) => void, text: (text: string) => void,
 *   refuse: (name: string, why: string) => void, demo: () => void}} to
 */
export function intake(to) {
  const byId = (id) => document.getElementById(id);

  document.addEventListener('click', (event) => {
    const button = event.target.closest?.('button');
    if (button?.id === 'pick') byId('file').click();
    if (button?.id === 'demo') to.demo();
    if (button?.id === 'paste-read') {
      const box = byId('paste-text');
      if (box.value.trim() === '') {
        box.focus();
        return;
      }
      to.text(box.value);
      box.value = '';
      box.closest('details').open = false;
    }
  });

  document.addEventListener('change', (event) => {
    if (event.target.id !== 'file') return;
    to.files([...event.target.files]);
    event.target.value = ''; // so that the same file can be chosen again
  });

  document.addEventListener('paste', (event) => {
    if (event.target.closest?.('input, textarea, [contenteditable]')) return;
    const files = [...(event.clipboardData?.files ?? [])];
    const text = event.clipboardData?.getData('text/plain') ?? '';
    // Cells of a spreadsheet come as text with a picture of them beside it.
    const pictures = files.every((file) => file.type.startsWith('image/'));
    if (text.trim() !== '' && pictures) to.text(text);
    else if (files.length > 0) to.files(files);
    else return;
    event.preventDefault();
  });

  dropping(byId('overlay'), (transfer) => {
    const { files, folders } = sortOut(transfer);
    if (files.length > 0) to.files(files);
    for (const name of folders) to.refuse(name, words.folder);
  });
}

// The overlay covers the page while files are dragged over it, so that leaving
// the overlay is leaving the page.
function dropping(overlay, take) {
  const hasFiles = (event) => event.dataTransfer?.types.includes('Files');
  window.addEventListener('dragenter', (event) => {
    if (!hasFiles(event)) return;
    event.preventDefault();
    overlay.hidden = false;
  });
  window.addEventListener('dragover', (event) => {
    if (!hasFiles(event)) return;
    event.preventDefault();
    event.dataTransfer.dropEffect = 'copy';
  });
  overlay.addEventListener('dragleave', () => {
    overlay.hidden = true;
  });
  window.addEventListener('drop', (event) => {
    overlay.hidden = true;
    if (!hasFiles(event)) return;
    event.preventDefault();
    take(event.dataTransfer);
  });
}

// A folder comes as a File too, one that fails when it is read.
function sortOut(transfer) {
  const files = [];
  const folders = [];
  const items = [...transfer.items].filter((item) => item.kind === 'file');
  for (const item of items) {
    const file = item.getAsFile();
    if (item.webkitGetAsEntry?.()?.isDirectory) folders.push(file?.name ?? words.aFolder);
    else if (file) files.push(file);
  }
  // Some ways of dropping give a list of files and no items.
  return { files: items.length > 0 ? files : [...transfer.files], folders };
}
