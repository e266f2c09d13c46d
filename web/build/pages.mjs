// The pages as they are written: index.html has its sections in page/, where what
// several pages have is, too; a line {{> page/NAME.html}} stands in the place of each.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { web } from './go.mjs';

/**
 * @param {string} name such as 'index.html'
 * @returns {{source: string, at: (line: number) => {file: string, line: number}}}
 *   at: where a line of the source is written, from 1
 */
export function written(name) {
  const places = [];
  const lines = [];
  const add = (file) => {
    const text = readFileSync(join(web, file), 'utf8').split('\n');
    // A file ends its last line, which the line that names it does as well.
    if (file !== name) text.pop();
    text.forEach((line, k) => {
      const part = /^\{\{> ([\w/.-]+)\}\}$/.exec(line);
      if (part) add(part[1]);
      else places.push({ file: `web/${file}`, line: k + 1 }) && lines.push(line);
    });
  };
  add(name);
  return { source: lines.join('\n'), at: (line) => places[line - 1] };
}
