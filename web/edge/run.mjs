// Runs the built site as it runs at the edge, and says where:
//
//   node web/edge/run.mjs [--port N] [--dist FOLDER]

import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { start } from './runtime.mjs';

const web = dirname(dirname(fileURLToPath(import.meta.url)));
const { values } = parseArgs({ options: { port: { type: 'string', default: '8378' }, dist: { type: 'string', default: join(web, 'dist') } } });
const dist = resolve(values.dist);
for (const file of [join(dist, 'index.html'), join(dirname(web), '.build', 'edge', 'worker.mjs')]) {
  if (!existsSync(file)) {
    console.error(`${file} is missing: 'make edge' builds it`);
    process.exit(1);
  }
}
const site = await start({ dist, port: Number(values.port) });
console.log(`Plateau is at ${site.address}/`);
for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, () => site.stop().then(() => process.exit(0)));
await site.ended;
await site.stop();
console.error(site.said());
process.exit(1);
