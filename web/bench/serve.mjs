// A loopback server of files for the rivals' pages: page/ at /, and
// node_modules/ under its own name. Only what lies below those is given.
import { createReadStream, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize } from 'node:path';

const TYPES = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.mjs': 'text/javascript',
  '.wasm': 'application/wasm',
};

/** Serves folder on a free port; answers { address, close }. */
export async function serve(folder) {
  const server = createServer((request, response) => {
    const path = normalize(decodeURIComponent(new URL(request.url, 'http://localhost').pathname));
    const below = path.startsWith('/node_modules/') ? path : join('/page', path === '/' ? 'index.html' : path);
    const file = join(folder, below);
    const facts = statSync(file, { throwIfNoEntry: false });
    if (!facts?.isFile()) return response.writeHead(404).end();
    response.writeHead(200, {
      'Content-Type': TYPES[extname(file)] ?? 'application/octet-stream',
      'Content-Length': facts.size,
    });
    return createReadStream(file).pipe(response);
  });
  await new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(0, '127.0.0.1', resolve);
  });
  return {
    address: `http://127.0.0.1:${server.address().port}/`,
    close: () => { server.closeAllConnections(); server.close(); },
  };
}
