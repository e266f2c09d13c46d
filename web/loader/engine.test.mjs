// The engine's client against a worker that is played by the test: what is
// sent when, that every command is answered once, and what survives a death.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Engine } from './engine.js';
import { Events } from './events.js';
import { words } from './words.js';

class FakeWorker {
  #files;
  sent = [];
  /** @param {number[]|null} files that are there again; null: it is not ready yet */
  constructor(files) {
    this.#files = files;
  }
  ended = false;
  postMessage(message) {
    this.sent.push(message);
    if (message.type === 'start' && this.#files) this.say({ type: 'ready', files: this.#files });
  }
  terminate() {
    this.ended = true;
  }
  say(data) {
    this.onmessage?.({ data });
  }
  /** What was sent, in short: "open 1", "command view". */
  get talk() {
    return this.sent.map((m) => [m.type, m.id ?? (m.json && JSON.parse(m.json).do)].filter(Boolean).join(' '));
  }
  answer(what, reply) {
    const message = this.sent.find((m) => m.json && JSON.parse(m.json).do === what);
    this.say({ type: 'reply', seq: message.seq, json: JSON.stringify(reply), buffers: [] });
  }
}

const file = (name, size = 10) => ({ name, size });
const turn = () => new Promise((resolve) => setTimeout(resolve));
const viewOf = (...ids) => ({ view: { files: ids.map((id) => ({ id })), runs: [] } });

function setUp({ files = [], ready = false } = {}) {
  const workers = [];
  const heard = [];
  const events = new Events();
  events.subscribe((kind, json) => {
    if (kind !== 'ready' || ready) heard.push([kind, JSON.parse(json)]);
  });
  const engine = new Engine(events, () => {
    workers.push(new FakeWorker(files));
    return workers.at(-1);
  });
  return { engine, workers, heard, kinds: () => heard.map(([kind, d]) => (d.id ? `${kind} ${d.id}` : kind)) };
}

test('files and commands that come before the program is loaded go out in order once it is', async () => {
  const { engine, workers, kinds } = setUp();
  engine.addFiles([file('a.csv'), file('b.csv')]);
  engine.command('{"do":"view"}', () => {});
  assert.equal(workers.length, 0);
  engine.start({});
  assert.deepEqual(workers[0].talk, ['start', 'open 1', 'open 2', 'command view']);
  await turn();
  assert.deepEqual(kinds(), ['queued 1', 'queued 2']);
});

test('a listener that comes late hears everything, of progress only the newest', async () => {
  const events = new Events();
  const heard = [];
  events.emit('queued', { id: 1 });
  events.emit('progress', { id: 1, bytes: 5 });
  events.emit('progress', { id: 1, bytes: 9 });
  events.emit('view', '{"files":[]}');
  events.subscribe((kind, json) => heard.push(`${kind} ${json}`));
  assert.deepEqual(heard, [], 'never from within the call');
  await turn();
  assert.deepEqual(heard, ['queued {"id":1}', 'progress {"id":1,"bytes":9}', 'view {"files":[]}']);
});

test('after a death all files but the one being read are read again, and it is named', async () => {
  const { engine, workers, heard, kinds } = setUp();
  engine.start({});
  engine.addFiles([file('good.csv'), file('bad.csv'), file('later.csv')]);
  workers[0].say({ type: 'view', id: 1, json: '{"files":[{"id":1}]}' });
  workers[0].say({ type: 'progress', id: 2, bytes: 0, total: 10, rows: 0, rate: 0 });
  await turn();
  heard.length = 0;
  workers[0].say({ type: 'died', why: 'unreachable' });
  await turn();
  assert.ok(workers[0].ended);
  assert.deepEqual(workers[1].talk, ['start', 'open 1', 'open 3']);
  // The third was on the list of those that wait already.
  assert.deepEqual(kinds(), ['lost 2', 'queued 1']);
  assert.deepEqual(heard[0], ['lost', { id: 2, name: 'bad.csv', why: words.lostInCrash }]);
});

test('every command is answered exactly once, also where the engine dies first', async () => {
  const { engine, workers } = setUp();
  engine.start({});
  const answers = [];
  engine.command('{"do":"curves"}', (json) => answers.push(json));
  engine.command('{"do":"view"}', (json) => answers.push(json));
  workers[0].answer('view', viewOf());
  workers[0].say({ type: 'died', why: '' });
  workers[0].say({ type: 'died', why: '' });
  workers[0].answer('curves', {});
  await turn();
  assert.deepEqual(answers.map((json) => Object.keys(JSON.parse(json))), [['view'], ['error']]);
  assert.equal(workers.length, 2, 'a dead worker is not listened to');
});

test('a fourth death within a minute is the last', async (t) => {
  let now = 0;
  t.mock.method(performance, 'now', () => now);
  const { engine, workers, kinds, heard } = setUp();
  engine.start({});
  for (let i = 0; i < 3; i++) workers.at(-1).say({ type: 'died', why: '' });
  assert.equal(workers.length, 4);
  now = 59_000;
  engine.addFiles([file('a.csv')]);
  workers.at(-1).say({ type: 'died', why: '' });
  await turn();
  assert.equal(workers.length, 4);
  assert.deepEqual(kinds(), ['queued 1', 'lost 1', 'stopped']);
  const answers = [];
  engine.command('{"do":"view"}', (json) => answers.push(json));
  engine.addFiles([file('b.csv')]);
  await turn();
  assert.deepEqual(answers.map((json) => JSON.parse(json).error), [words.engineStopped]);
  assert.equal(heard.at(-1)[1].why, words.engineStopped);
});

test('deaths more than a minute apart do not add up', (t) => {
  let now = 0;
  t.mock.method(performance, 'now', () => now);
  const { engine, workers } = setUp();
  engine.start({});
  for (let i = 0; i < 8; i++) {
    workers.at(-1).say({ type: 'died', why: '' });
    now += 30_000;
  }
  assert.equal(workers.length, 9);
});

test('the demo has a hundred ids of its own, comes once, and comes back after a death without what was removed', async () => {
  const { engine, workers } = setUp();
  engine.start({});
  engine.addFiles([file('a.csv')]);
  assert.equal(engine.demo(), true);
  assert.equal(engine.demo(), false, 'it is on its way');
  assert.equal(JSON.parse(workers[0].sent.at(-1).json).file, 2);
  assert.equal(workers[0].sent.at(-1).inTurn, true);
  engine.addFiles([file('b.csv')]);
  assert.equal(workers[0].sent.at(-1).id, 102);
  workers[0].say({ type: 'view', id: 1, json: '{}' });
  workers[0].answer('demo', viewOf(1, 2, 3));
  workers[0].say({ type: 'view', id: 102, json: '{}' });
  engine.remove(3);
  workers[0].say({ type: 'died', why: '' });
  assert.deepEqual(workers[1].talk, ['start', 'open 1', 'command demo', 'open 102']);
  workers[1].answer('demo', viewOf(1, 2, 3));
  assert.equal(workers[1].sent.at(-1).json, '{"do":"remove","file":3}');
  engine.remove(2);
  assert.equal(engine.demo(), true, 'all of it was removed');
});

test('cancelling forgets a file; removing one that is not read yet cancels it', async () => {
  const { engine, workers, kinds } = setUp();
  engine.start({});
  engine.addFiles([file('a.csv'), file('b.csv')]);
  engine.cancel(1);
  engine.remove(2);
  assert.deepEqual(workers[0].talk, ['start', 'open 1', 'open 2', 'cancel 1', 'cancel 2']);
  workers[0].say({ type: 'progress', id: 1, bytes: 3, total: 10, rows: 0, rate: 0 });
  await turn();
  assert.deepEqual(kinds(), ['queued 1', 'queued 2'], 'no progress of what was given up');
  workers[0].say({ type: 'died', why: '' });
  assert.deepEqual(workers[1].talk, ['start']);
});

test('a new listener is told what waits, and the view', async () => {
  const { engine, workers, heard, kinds } = setUp({ ready: true });
  engine.start({});
  workers[0].say({ type: 'ready' });
  engine.addFiles([file('a.csv'), file('b.csv')]);
  workers[0].say({ type: 'view', id: 1, json: '{}' });
  await turn();
  heard.length = 0;
  engine.retell();
  workers[0].answer('view', viewOf(1));
  await turn();
  assert.deepEqual(kinds(), ['queued 2', 'ready', 'view']);
});

test('a log is read again by rules, which stay with it when the engine dies', async () => {
  const { engine, workers, kinds } = setUp();
  engine.start({});
  engine.addFiles([file('a.csv')]);
  assert.equal(engine.reopen(1, '{"current":"1 A"}'), false, 'it is being read');
  workers[0].say({ type: 'view', id: 1, json: '{}' });
  assert.equal(engine.rulesOf(1), '');
  assert.equal(engine.reopen(1, '{"current":"1 A"}'), true);
  assert.deepEqual(workers[0].sent.at(-1).rules, { current: '1 A' });
  workers[0].say({ type: 'view', id: 1, json: '{}' });
  await turn();
  assert.deepEqual(kinds(), ['queued 1', 'done 1', 'view', 'queued 1', 'done 1', 'view']);
  workers[0].say({ type: 'died', why: '' });
  assert.deepEqual(workers[1].sent.at(-1).rules, { current: '1 A' });
  assert.equal(engine.rulesOf(1), '{"current":"1 A"}');
  assert.equal(engine.rulesOf(7), null);
  assert.equal(engine.reopen(7, ''), false, 'there is no such file');
});

test('giving up a second reading leaves the first, with its rules', () => {
  const { engine, workers } = setUp();
  engine.start({});
  engine.addFiles([file('a.csv')]);
  workers[0].say({ type: 'view', id: 1, json: '{}' });
  engine.reopen(1, '{"decimal":","}');
  engine.cancel(1);
  assert.equal(workers[0].sent.at(-1).keep, true);
  assert.equal(engine.rulesOf(1), '');
  assert.equal(engine.reopen(1, '{"decimal":"."}'), true);
  engine.remove(1);
  assert.deepEqual(workers[0].talk.slice(-2), ['cancel 1', 'command remove']);
  assert.equal(engine.rulesOf(1), null);
});

test('logs dropped early get numbers that what is there again leaves free', async () => {
  const { engine, workers, kinds } = setUp({ files: [3, 41] });
  engine.addFiles([file('a.csv'), file('b.csv')]);
  assert.equal(engine.unread(), 2);
  engine.demo();
  engine.start({}, 'spring');
  assert.equal(workers[0].sent[0].workspace, 'spring');
  assert.deepEqual(workers[0].talk, ['start', 'open 42', 'open 43', 'command demo']);
  assert.equal(JSON.parse(workers[0].sent.at(-1).json).file, 44);
  await turn();
  assert.deepEqual(kinds(), ['queued 42', 'queued 43']);
});

test('after a death, what the browser kept is not read again, and the workspace is the one that was open', async () => {
  const { engine, workers } = setUp({ files: [1] });
  engine.start({}, 'spring');
  workers[0].say({ type: 'workspace', state: { id: 'autumn' } });
  engine.addFiles([file('a.csv'), file('b.csv')]);
  workers[0].say({ type: 'view', id: 2, json: '{"files":[]}' });
  workers[0].say({ type: 'died', why: '' });
  assert.equal(workers[1].sent[0].workspace, 'autumn');
  // Neither 2 nor 3 was kept by then.
  assert.deepEqual(workers[1].talk, ['start', 'open 2', 'open 3']);
});

test('after a death, what was read anew since it was kept is read once more', () => {
  const files = [];
  const { engine, workers } = setUp({ files });
  engine.start({});
  engine.addFiles([file('a.csv'), file('b.csv')]);
  for (const id of [1, 2]) workers[0].say({ type: 'view', id, json: '{"files":[]}' });
  workers[0].say({ type: 'workspace', state: { id: 'first', kept: 'kept' } });
  engine.reopen(1, '{"current":1}');
  workers[0].say({ type: 'view', id: 1, json: '{"files":[]}' });
  workers[0].say({ type: 'workspace', state: { id: 'first', kept: 'saving' } });
  files.push(1, 2); // the browser has both, the first as it was read before
  workers[0].say({ type: 'died', why: '' });
  assert.deepEqual(workers[1].talk, ['start', 'open 1']);
  assert.deepEqual(workers[1].sent.at(-1).rules, { current: 1 });
});

test('what is asked of workspaces is answered once; another state forgets the logs of the one before', async () => {
  const { engine, workers, kinds } = setUp();
  engine.start({});
  engine.addFiles([file('a.csv'), file('b.csv'), file('c.plateau')]);
  workers[0].say({ type: 'view', id: 1, json: '{"files":[]}' });
  const answers = [];
  engine.workspace({ do: 'switch', id: 'autumn' }, (json) => answers.push(json));
  const { seq } = workers[0].sent.find((m) => m.type === 'workspace');
  workers[0].say({ type: 'fresh', files: [7] });
  workers[0].say({ type: 'opened', id: 3 });
  workers[0].say({ type: 'reply', seq, json: '{}', buffers: [] });
  workers[0].say({ type: 'reply', seq, json: '{}', buffers: [] });
  await turn();
  assert.deepEqual(answers, ['{}']);
  assert.deepEqual(kinds().slice(3), ['done 1', 'view', 'fresh', 'done 3']);
  assert.equal(engine.rulesOf(1), null, 'its file is not at hand any more');
  assert.equal(engine.rulesOf(2), '', 'one that waits is');
  engine.addFiles([file('d.csv')]);
  assert.equal(workers[0].talk.at(-1), 'open 8');
});
