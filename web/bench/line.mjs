// A line to a server on this machine: so many bytes a second each way, so long
// a way, and a count of what went through.

import { connect, createServer } from 'node:net';

/**
 * @param {number} port of the server, on 127.0.0.1
 * @param {{rate?: number, delay?: number}} of bytes a second, all connections
 *   taken together; ms each way
 * @returns {Promise<{address: string, taken: () => {down: number, up: number,
 *   asked: string[]}, close: () => Promise<void>}>} taken answers the bytes, and
 *   the first lines of the requests, since it was last called
 */
export async function line(port, { rate = Infinity, delay = 0 } = {}) {
  let counted = { down: 0, up: 0, asked: [] };
  let free = performance.now(); // when the line is free again
  const carry = (from, to, name) => {
    from.on('data', (bytes) => {
      counted[name] += bytes.length;
      const now = performance.now();
      if (name === 'up') {
        const asked = /^(?:GET|HEAD|POST) \S+/.exec(bytes.toString('latin1'));
        if (asked) counted.asked.push(asked[0]);
        setTimeout(() => to.write(bytes), delay);
        return;
      }
      free = Math.max(free, now) + (bytes.length / rate) * 1000;
      if (free - now > 20) from.pause();
      setTimeout(() => {
        to.write(bytes);
        from.resume();
      }, free - now + delay);
    });
    from.on('end', () => setTimeout(() => to.end(), Math.max(0, free - performance.now()) + delay));
    from.on('error', () => to.destroy());
  };
  const sockets = new Set();
  const server = createServer((near) => {
    const far = connect({ port, host: '127.0.0.1', noDelay: true });
    near.setNoDelay(true);
    for (const socket of [near, far]) {
      sockets.add(socket);
      socket.on('close', () => sockets.delete(socket));
    }
    carry(near, far, 'up');
    carry(far, near, 'down');
  });
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    address: `http://127.0.0.1:${server.address().port}/`,
    taken() {
      const so = counted;
      counted = { down: 0, up: 0, asked: [] };
      return so;
    },
    close() {
      for (const socket of sockets) socket.destroy();
      return new Promise((resolve) => server.close(resolve));
    },
  };
}
