// Another host, as far as a browser can tell: another port of this machine. It
// takes whatever comes, answers every request so that nothing is missing for it
// to succeed, and counts what has arrived.

import { createSocket } from 'node:dgram';
import { once } from 'node:events';
import { createServer } from 'node:http';

const LIVE = [
  [/^\/bare$/, 'text/html', '<!doctype html><meta charset="utf-8"><link rel="icon" href="data:,"><title>bare</title><body>'],
  [/^\/bare\.js$/, 'text/javascript', ''],
  [/\.js$/, 'text/javascript', 'globalThis.reached = true;'],
  [/\.css$/, 'text/css', 'body { outline: 0 }'],
  [/\.html$/, 'text/html', '<!doctype html><title>elsewhere</title>'],
  [/events$/, 'text/event-stream', 'data: 1\n\n'],
  [/./, 'text/plain', 'here'],
];

/**
 * @returns {Promise<{http: string, ws: string, stun: string, turn: string,
 *   page: string, worker: string, arrived: () => number, close: () => Promise<void>}>}
 *   page: a page of that host without any policy, and worker a worker for it; arrived: connections, requests
 *   and datagrams so far, those for these two aside
 */
export async function foreign() {
  let count = 0;
  const own = new Set();
  const server = createServer((request, response) => {
    const path = new URL(request.url, 'http://foreign').pathname;
    if (!path.startsWith('/bare')) count += 1;
    const [, type, body] = LIVE.find(([pattern]) => pattern.test(path));
    response.writeHead(200, {
      'Content-Type': type,
      'Access-Control-Allow-Origin': '*',
      'Access-Control-Allow-Headers': '*',
      'Cross-Origin-Resource-Policy': 'cross-origin',
      Connection: 'close',
    });
    response.end(body);
  });
  server.on('connection', (socket) => {
    count += 1;
    own.add(socket);
    socket.on('close', () => own.delete(socket));
    socket.on('error', () => {});
  });
  server.on('upgrade', (_, socket) => socket.destroy());
  server.on('clientError', (_, socket) => socket.destroy());
  const datagrams = createSocket('udp4');
  datagrams.on('message', () => {
    count += 1;
  });
  server.listen(0, '127.0.0.1');
  datagrams.bind(0, '127.0.0.1');
  await Promise.all([once(server, 'listening'), once(datagrams, 'listening')]);
  const { port } = server.address();
  return {
    http: `http://127.0.0.1:${port}`,
    ws: `ws://127.0.0.1:${port}`,
    stun: `stun:127.0.0.1:${datagrams.address().port}`,
    turn: `turn:127.0.0.1:${port}?transport=tcp`,
    page: `http://127.0.0.1:${port}/bare`,
    worker: `http://127.0.0.1:${port}/bare.js`,
    arrived: () => count,
    close: async () => {
      for (const socket of own) socket.destroy();
      server.close();
      datagrams.close();
      await Promise.all([once(server, 'close'), once(datagrams, 'close')]);
    },
  };
}
