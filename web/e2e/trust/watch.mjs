// Three who see what leaves a browser, each by its own means: the far end of the
// wire, the browser's network log, and its debugger.

import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { connect, createServer } from 'node:net';

/**
 * Stands between a browser and a server, and keeps what the browser sent.
 * @param {string} address of the server
 * @returns {Promise<{address: string, sent: () => Buffer, close: () => Promise<void>}>}
 */
export async function between(address) {
  const { hostname, port } = new URL(address);
  const sent = [];
  const open = new Set();
  const server = createServer((socket) => {
    const onward = connect(Number(port), hostname);
    socket.on('data', (bytes) => sent.push(bytes));
    for (const [one, other] of [[socket, onward], [onward, socket]]) {
      open.add(one);
      one.pipe(other);
      one.on('error', () => other.destroy());
      one.on('close', () => {
        open.delete(one);
        other.destroy();
      });
    }
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    address: `http://127.0.0.1:${server.address().port}/`,
    sent: () => Buffer.concat(sent),
    close: async () => {
      for (const socket of open) socket.destroy();
      server.close();
      await once(server, 'close');
    },
  };
}

/**
 * What Chromium's net log has of a page's doing. What the browser asks of itself
 * has no origin: it looks for its updates, and asks its maker how to fill in the
 * fields of a page, whatever page it is.
 * @param {string} path of the log, whole once the browser is closed
 * @param {number} from in ms since 1970
 * @param {number} to
 * @returns {string[]} addresses that pages and workers had requested on the
 *   network between the two
 */
export function netLog(path, from, to = Infinity) {
  const { constants, events } = JSON.parse(readFileSync(path, 'utf8'));
  const job = constants.logEventTypes.URL_REQUEST_START_JOB;
  return events
    .filter(({ type, params }) => type === job && params?.url && params.initiator !== 'not an origin')
    .map(({ time, params }) => ({ at: Number(time) + constants.timeTickOffset, url: params.url }))
    .filter(({ at }) => at >= from && at <= to)
    .map(({ url }) => url);
}
