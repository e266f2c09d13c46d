// Runs the Worker and the site's files on the platform's own runtime, on this
// machine alone: wrangler's local mode, which runs workerd.

import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { once } from 'node:events';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';

const edge = dirname(fileURLToPath(import.meta.url));
const START_MS = 60_000;
const STOP_MS = 5_000;

/**
 * @param {{dist: string, worker?: string, port?: number}} what the folder of the
 *   site, the Worker's main file, and the port, where not any
 * @returns {Promise<{address: string, port: number, ended: Promise<any>, stop: () => Promise<void>, said: () => string, rss: () => number, cpu: () => number}>}
 *   said is what it wrote last; rss the bytes that workerd has in memory, cpu the
 *   seconds that it has spent, from /proc
 */
export async function start(what) {
  for (let tries = 1; ; tries += 1) {
    try {
      return await run(what);
    } catch (error) {
      // A free port can be another's by the time that the runtime takes it.
      if (what.port || tries === 3 || !/already in use/.test(error.message)) throw error;
    }
  }
}

async function run({ dist, worker, port = 0 }) {
  const home = mkdtempSync(join(tmpdir(), 'plateau-edge-'));
  const [at, inspector] = await Promise.all([port || freePort(), freePort()]);
  const args = [
    join(edge, 'node_modules', 'wrangler', 'bin', 'wrangler.js'), 'dev', ...(worker ? [worker] : []),
    '--config', join(edge, 'wrangler.jsonc'), '--assets', dist, '--local', '--ip', '127.0.0.1', '--port', String(at), '--inspector-port', String(inspector),
    '--persist-to', join(home, 'state'), '--show-interactive-dev-session=false', '--log-level', 'warn',
  ];
  // It asks nobody for anything: no telemetry, and, as it holds by NODE_ENV, no
  // place of the visitor.
  const env = {
    PATH: process.env.PATH, HOME: home, XDG_CONFIG_HOME: join(home, 'config'), TMPDIR: home, CI: '1',
    WRANGLER_SEND_METRICS: 'false', NODE_ENV: 'test', NO_UPDATE_NOTIFIER: '1', FORCE_COLOR: '0',
  };
  // A group of its own, so that all that it starts can be ended.
  const child = spawn(process.execPath, args, { cwd: edge, env, detached: true, stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (text) => { said = (said + text).slice(-8000); });
  const ended = once(child, 'exit');
  const end = (signal) => {
    try {
      process.kill(-child.pid, signal);
    } catch {
      // It is gone.
    }
  };
  const onExit = () => end('SIGKILL');
  process.once('exit', onExit);
  const stop = async () => {
    process.off('exit', onExit);
    end('SIGTERM');
    await Promise.race([ended, sleep(STOP_MS, undefined, { ref: false })]);
    end('SIGKILL');
    rmSync(home, { recursive: true, force: true });
  };
  const address = `http://127.0.0.1:${at}`;
  const until = Date.now() + START_MS;
  for (;;) {
    if (child.exitCode !== null || Date.now() > until) {
      await stop();
      throw new Error(`the runtime did not start:\n${said}`);
    }
    try {
      await (await fetch(`${address}/`, { signal: AbortSignal.timeout(2000), redirect: 'manual' })).arrayBuffer();
      return { address, port: at, ended, stop, said: () => said, rss: () => sum(child.pid, resident), cpu: () => sum(child.pid, spent) };
    } catch {
      await sleep(100);
    }
  }
}

async function freePort() {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address();
  server.close();
  await once(server, 'close');
  return port;
}

// What workerd, below a process, has of something.
function sum(parent, of) {
  let total = 0;
  for (const pid of below(parent)) {
    try {
      if (readFileSync(`/proc/${pid}/comm`, 'utf8').trim() === 'workerd') total += of(pid);
    } catch {
      // It ended meanwhile.
    }
  }
  return total;
}

function below(parent) {
  const parents = new Map();
  for (const pid of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      parents.set(pid, /\) \S (\d+)/.exec(readFileSync(`/proc/${pid}/stat`, 'utf8'))[1]);
    } catch {
      // It ended meanwhile.
    }
  }
  const found = [String(parent)];
  for (const pid of found) for (const [child, its] of parents) if (its === pid) found.push(child);
  return found;
}

const resident = (pid) => 1024 * Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))[1]);

// proc(5): user and system time are the 12th and 13th field behind the name, in
// hundredths of a second.
function spent(pid) {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ').pop().split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
}
