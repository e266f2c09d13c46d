// The opening of packed files against workers that are played by the test.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Engine } from './engine.js';
import { Events } from './events.js';
import { advice } from './parts.js';
import { Unpacker } from './unpack.js';
import { words } from './words.js';

class FakeWorker {
  sent = [];
  ended = false;
  postMessage(message) {
    this.sent.push(message);
    if (message.type === 'start') this.say({ type: 'ready', files: [] });
  }
  terminate() {
    this.ended = true;
  }
  say(data) {
    this.onmessage?.({ data });
  }
}

const file = (name, size = 10) => ({ name, size });
const turn = () => new Promise((resolve) => setTimeout(resolve));

function setUp(load = async () => 'module') {
  const workers = [];
  const heard = [];
  let loads = 0;
  const unpacker = new Unpacker(
    () => {
      workers.push(new FakeWorker());
      return workers.at(-1);
    },
    () => {
      loads += 1;
      return load(loads);
    },
  );
  const to = (name) => ({
    progress: (bytes) => heard.push(`${name} ${bytes}`),
    done: (logs, why) => heard.push(`${name}: ${logs.map((log) => log.name)}; ${why}`),
  });
  return { unpacker, workers, heard, to, loads: () => loads };
}

test('files are opened one at a time, each in a worker that is ended, with one program', async () => {
  const { unpacker, workers, heard, to, loads } = setUp();
  unpacker.open(1, file('a.zip'), to('a'));
  unpacker.open(2, file('b.xlsx'), to('b'));
  await turn();
  assert.equal(workers.length, 1);
  assert.deepEqual(workers[0].sent, [{ module: 'module', file: file('a.zip'), words: undefined }]);
  workers[0].say({ type: 'progress', bytes: 5 });
  workers[0].say({ type: 'log', file: file('a.zip › 1') });
  workers[0].say({ type: 'log', file: file('a.zip › 2') });
  workers[0].say({ type: 'done', told: 'Left out: one.', error: '' });
  assert.ok(workers[0].ended);
  await turn();
  workers[0].say({ type: 'done', told: '', error: '' });
  workers[1].say({ type: 'done', told: 'Left out: all.', error: 'no log in it.' });
  await turn();
  assert.deepEqual(heard, ['a 5', 'a: a.zip › 1,a.zip › 2; Left out: one.', 'b: ; no log in it.']);
  assert.equal(workers.length, 2);
  assert.equal(loads(), 1);
});

test('a worker that dies gives what it had, and the next file is opened', async () => {
  const { unpacker, workers, heard, to } = setUp();
  for (const name of ['a', 'b', 'c']) unpacker.open(name, file(name), to(name));
  await turn();
  workers[0].say({ type: 'log', file: file('good') });
  workers[0].say({ type: 'died', why: 'unreachable' });
  workers[0].say({ type: 'died', why: 'again' });
  await turn();
  workers[1].onerror({});
  await turn();
  workers[2].say({ type: 'done', told: '', error: '' });
  assert.deepEqual(heard, [`a: good; ${words.unpackCut(1, words.unpackDied)}`, `b: ; ${words.unpackDied}`, 'c: ; ']);
  assert.ok(workers.every((worker) => worker.ended));
});

test('a program that cannot be loaded is told, and tried again', async () => {
  const { unpacker, workers, heard, to } = setUp(async (n) => {
    if (n === 1) throw new Error('offline');
    return 'module';
  });
  unpacker.open(1, file('a.zip'), to('a'));
  await turn();
  unpacker.open(2, file('b.zip'), to('b'));
  await turn();
  workers[0].say({ type: 'done', told: '', error: '' });
  assert.deepEqual(heard, [`a: ; ${words.unpackNotLoaded('offline', advice())}`, 'b: ; ']);
});

test('a file that is given up is not heard of again', async () => {
  const { unpacker, workers, heard, to } = setUp();
  for (const id of [1, 2, 3]) unpacker.open(id, file(`${id}`), to(`${id}`));
  await turn();
  unpacker.cancel(2);
  unpacker.cancel(1);
  unpacker.cancel(9);
  await turn();
  assert.ok(workers[0].ended);
  workers[0].say({ type: 'done', told: '', error: '' });
  workers[1].say({ type: 'done', told: '', error: '' });
  assert.equal(workers[1].sent[0].file.name, '3');
  assert.deepEqual(heard, ['3: ; ']);
});

/** An engine whose worker and unpacker are played by the test. */
function engineSetUp() {
  const workers = [];
  const heard = [];
  const opened = [];
  const gone = [];
  const events = new Events();
  events.subscribe((kind, json) => kind !== 'ready' && heard.push([kind, JSON.parse(json)]));
  const unpacker = { idle: true, open: (id, f, to) => opened.push({ id, file: f, to }), cancel: (id) => gone.push(id) };
  const engine = new Engine(
    events,
    () => {
      workers.push(new FakeWorker());
      return workers.at(-1);
    },
    unpacker,
  );
  engine.start({});
  const talk = (k) => workers[k].sent.filter((m) => m.type === 'open').map((m) => `${m.id} ${m.file.name}`);
  const told = () => heard.map(([kind, d]) => [kind, d.id, d.name].filter((x) => x !== undefined).join(' '));
  return { engine, workers, heard, opened, gone, unpacker, talk, told };
}

test('the entry of a packed file becomes that of its first log, the others follow', async () => {
  const { engine, workers, heard, opened, talk, told } = engineSetUp();
  engine.addFiles([file('logs.zip'), file('b.csv')]);
  workers[0].say({ type: 'packed', id: 1 });
  opened[0].to.progress(4);
  opened[0].to.done([file('logs.zip › 1.csv'), file('logs.zip › 2.csv')], 'Left out: one.');
  await turn();
  assert.deepEqual(talk(0), ['1 logs.zip', '2 b.csv', '1 logs.zip › 1.csv', '3 logs.zip › 2.csv']);
  assert.deepEqual(told(), ['queued 1 logs.zip', 'queued 2 b.csv', 'progress 1', 'queued 1 logs.zip › 1.csv', 'queued 3 logs.zip › 2.csv', 'lost 4 logs.zip']);
  assert.equal(heard.at(-1)[1].why, 'Left out: one.');
  // A new engine reads the logs again, not the packed file.
  workers[0].say({ type: 'died', why: '' });
  assert.deepEqual(talk(1), ['1 logs.zip › 1.csv', '2 b.csv', '3 logs.zip › 2.csv']);
});

test('a packed file without logs is lost; one that is given up is forgotten', async () => {
  const { engine, workers, heard, opened, gone, told } = engineSetUp();
  engine.addFiles([file('a.zip'), file('b.zip')]);
  workers[0].say({ type: 'packed', id: 1 });
  workers[0].say({ type: 'packed', id: 2 });
  assert.equal(engine.unread(), 2);
  opened[0].to.done([], 'there is no log in it.');
  engine.cancel(2);
  assert.deepEqual(gone, [2]);
  opened[1].to.progress(5);
  opened[1].to.done([file('late')], '');
  await turn();
  assert.deepEqual(told(), ['queued 1 a.zip', 'queued 2 b.zip', 'lost 1 a.zip']);
  assert.equal(heard.at(-1)[1].why, 'there is no log in it.');
  assert.equal(engine.unread(), 0);
});

// The page shows the last message alone, and none once another log is queued.
test('what is wrong with several packed files is told together, until all are opened', async () => {
  const { engine, workers, heard, opened, unpacker } = engineSetUp();
  engine.addFiles([file('a.zip'), file('b.zip'), file('c.zip'), file('d.zip')]);
  for (const id of [1, 2, 3, 4]) workers[0].say({ type: 'packed', id });
  unpacker.idle = false;
  opened[0].to.done([file('a')], 'Left out: one.');
  opened[1].to.done([], 'no log in it.');
  unpacker.idle = true;
  opened[2].to.done([file('c'), file('c2')], '');
  opened[3].to.done([file('d')], 'Left out: two.');
  await turn();
  assert.deepEqual(
    heard.filter(([kind]) => kind === 'lost').map(([, d]) => `${d.id} ${d.name}: ${d.why}`),
    ['5 a.zip: Left out: one.', '2 a.zip: Left out: one. b.zip: no log in it.', '7 a.zip: Left out: one. b.zip: no log in it.', '8 d.zip: Left out: two.'],
  );
});

test('an engine that dies while a packed file is opened does not open it twice', async () => {
  const { engine, workers, opened, talk, told } = engineSetUp();
  engine.addFiles([file('a.zip')]);
  workers[0].say({ type: 'packed', id: 1 });
  workers[0].say({ type: 'died', why: '' });
  assert.deepEqual(talk(1), []);
  opened[0].to.done([file('a.zip › 1.csv')], '');
  await turn();
  assert.deepEqual(talk(1), ['1 a.zip › 1.csv']);
  assert.deepEqual(told(), ['queued 1 a.zip', 'queued 1 a.zip › 1.csv']);
});
