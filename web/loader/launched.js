// Files that the system opens with Plateau, where it is installed.

import { words } from './words.js';

/** @param {{files: (files: File[]) => void, refuse: (name: string, why: string) => void}} to */
export function launched(to) {
  window.launchQueue?.setConsumer(async ({ files: handles = [] }) => {
    const files = [];
    const gone = [];
    for (const handle of handles) {
      try {
        files.push(await handle.getFile());
      } catch {
        gone.push(handle.name);
      }
    }
    if (files.length > 0) to.files(files);
    for (const name of gone) to.refuse(name, words.launchedGone);
  });
}
