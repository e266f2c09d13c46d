// Stands before the servers of two versions of the site: it can be shut, turned
// from one version to the other, made to answer a path wrongly, and knows what
// went through.

import { once } from 'node:events';
import { createServer, request } from 'node:http';

/** @param {string} to the address of the server behind it */
export async function gate(to) {
  let target = new URL(to);
  let port = 0;
  let server = null;
  const sockets = new Set();
  const log = []; // {path, status, bytes}
  let wrong = () => null;

  const answer = (asked, response) => {
    const path = asked.url.split('?')[0].slice(1);
    const entry = { path, status: 0, bytes: 0 };
    log.push(entry);
    const instead = wrong(path);
    if (instead) {
      entry.status = instead.status ?? 200;
      response.writeHead(entry.status, { 'Content-Type': instead.type ?? 'text/javascript', 'Cache-Control': 'no-cache' });
      response.end(instead.body ?? '');
      return;
    }
    const onward = request({ host: target.hostname, port: target.port, path: asked.url, method: asked.method, headers: { ...asked.headers, host: target.host } }, (answered) => {
      entry.status = answered.statusCode;
      response.writeHead(answered.statusCode, answered.headers);
      answered.on('data', (piece) => {
        entry.bytes += piece.length;
      });
      answered.pipe(response);
    });
    onward.on('error', () => response.destroy());
    asked.pipe(onward);
  };

  const start = async () => {
    server = createServer(answer);
    server.on('connection', (socket) => {
      sockets.add(socket);
      socket.on('close', () => sockets.delete(socket));
    });
    server.listen(port, '127.0.0.1');
    await once(server, 'listening');
    ({ port } = server.address());
  };
  const stop = async () => {
    if (!server) return;
    const closed = once(server, 'close');
    server.close();
    for (const socket of sockets) socket.destroy();
    await closed;
    server = null;
  };
  await start();
  return {
    address: `http://127.0.0.1:${port}/`,
    log,
    start,
    stop,
    turn: (address) => {
      target = new URL(address);
    },
    /** @param {(path: string) => {status?: number, body?: string|Buffer, type?: string}|null} rule */
    lie: (rule = () => null) => {
      wrong = rule;
    },
  };
}
