// The page's own script: takes logs in from the first moment on, loads the Go
// program, and gives it window.plateau to work with:
//
//   command(json, answer)  a wire.Command; answer(json, buffers) comes once
//   save(json, answer)     a wire.Command that is answered with a Download, which
//                          is saved; answer(json) comes once, without the text
//   addFiles(files), addText(text), demo()
//   cancel(id), remove(id) a log by its number
//   reopen(id, rules)      reads it again by a wire.Rules in JSON, or '' for none;
//                          false where it cannot be
//   rulesOf(id)            those rules, or null where it could not be read again
//   copy(text, answer)     answer(done) comes once
//   workspace(json, answer) what keep/workspace.js can be asked; answer(json) comes
//                          once; the file of {do: 'save'} is saved
//   reserve(n)             the first of n numbers for logs that are not files
//   showPicture(img, curves, buffers, title) curves as a picture in an element
//   saveText(text, name, type)
//   pictures(json, answer) the charts by loader/pictures.js's options as SVG;
//                          answer(list of wire.Picture in JSON, what went wrong)
//   savePictures(json, answer) the same in a zip that is saved; answer(what went wrong)
//   store, bench, post     see loader/store.js
//   build(element, text), rebuild(element, index, text)   see loader/build.js
//   subscribe(listener)    listener(kind, json), from the first event on:
//                          'queued' {id, name, size} · 'ready' {restored} ·
//                          'workspace' the state of keep/workspace.js ·
//                          'fresh' {}: the engine holds another state ·
//                          'progress' {id, bytes, total, rows, rate} ·
//                          'done' {id}: read, or refused; its view comes next ·
//                          'view' a wire.View · 'lost' {id, name, why} ·
//                          'stopped' {why}
//   chart                  see chart.js
//
// Performance marks: 'plateau:page' when the Go page listens, 'plateau:drawn'
// when curves were last drawn.

import './loader/closed.js';
import { build, rebuild } from './loader/build.js';
import { Engine } from './loader/engine.js';
import { Events } from './loader/events.js';
import { copy, save } from './loader/give.js';
import { intake } from './loader/intake.js';
import { language, otherLanguages } from './loader/language.js';
import { launched } from './loader/launched.js';
import { offline } from './loader/offline.js';
import { compile, runPage } from './loader/page.js';
import { advice, script, worker } from './loader/parts.js';
import { pictures } from './loader/pictures.js';
import { again, works } from './loader/site-worker.js';
import { bench, post, store, used } from './loader/store.js';
import { terms } from './loader/terms.js';
import { trust } from './loader/trust.js';
import { Unpacker } from './loader/unpack.js';
import { words } from './loader/words.js';

const events = new Events();
const program = typeof WebAssembly === 'object' ? compile('plateau.wasm') : new Promise(() => {});
program.catch(() => {}); // told in boot
const unpacker = new Unpacker(
  () => worker('unpack-worker.js', { name: 'plateau unpack' }),
  () => program,
);
const engine = new Engine(events, () => worker('worker.js', { name: 'plateau engine' }), unpacker, (id) => used.write(id === 'first' ? '' : id));
let pasted = 0;
let shown = false; // whether the Go page has taken over #status

const status = (text) => {
  document.getElementById('status').textContent = text;
};

const add = (files) => {
  engine.addFiles(files);
  if (!shown) status(words.waiting(engine.unread()));
};

const addText = (text) => add([new File([text], words.pasted(++pasted), { type: 'text/plain' })]);

const demo = () => {
  if (!engine.demo()) status(words.demoLoaded);
};

window.plateau = {
  command: (json, answer) => engine.command(json, (reply, buffers) => answer(reply, buffers)),
  save: (json, answer) =>
    engine.command(
      json,
      (reply, [blob]) => {
        if (blob) save(blob, JSON.parse(reply).download.name);
        answer(reply);
      },
      false,
      true,
    ),
  addFiles: add,
  addText,
  demo,
  workspace: (json, answer) =>
    engine.workspace(JSON.parse(json), (reply, [blob]) => {
      if (blob) save(blob, JSON.parse(reply).download.name);
      answer(reply);
    }),
  cancel: (id) => engine.cancel(id),
  remove: (id) => engine.remove(id),
  reopen: (id, rules) => engine.reopen(id, rules),
  rulesOf: (id) => engine.rulesOf(id),
  copy: (text, answer) => copy(text).then(answer),
  reserve: (n) => engine.reserve(n),
  showPicture: (img, curves, buffers, title) => showPicture(img, { curves, buffers, show: 'voltage' }, title),
  saveText: (text, name, type) => save(new Blob([text], { type }), name),
  savePictures: (json, answer) => savePictures(JSON.parse(json)).then(() => answer(''), (error) => answer(error.message)),
  pictures: (json, answer) =>
    drawn(JSON.parse(json)).then(
      (list) => answer(JSON.stringify(list.map(({ made, caption, alt }) => ({ svg: made, caption, alt }))), ''),
      (error) => answer('[]', error.message),
    ),
  store,
  bench,
  post,
  build,
  rebuild,
  subscribe: (listener) => {
    if (!shown) status('');
    const first = !shown;
    shown = true;
    events.subscribe(listener);
    performance.mark('plateau:page');
    if (first) idle(keepSite);
  },
};

const idle = (act) => (window.requestIdleCallback ? window.requestIdleCallback(act, { timeout: 5000 }) : setTimeout(act, 1000));

// Logs go first.
function keepSite() {
  if (engine.unread() > 0) {
    setTimeout(keepSite, 2000);
    return;
  }
  works();
  offline({ unread: () => engine.unread(), settle, save: async () => !(await reply('save')).error });
}

const reply = (what) => new Promise((resolve) => window.plateau.workspace(JSON.stringify({ do: what }), (json) => resolve(JSON.parse(json))));

async function settle() {
  const { error = '', why = '' } = await reply('settle');
  return error || why;
}

const ask = (command) =>
  new Promise((resolve) => {
    engine.command(JSON.stringify(command), (json, buffers) => resolve({ reply: JSON.parse(json), buffers }));
  });

const drawn = (options) => pictures(ask, window.plateau.chart.picture, { format: 'svg', width: 1200, scale: 1, ...options });

async function showPicture(img, data, title) {
  const svg = await window.plateau.chart.picture(data, { format: 'svg', width: 1000, title, alt: img.alt });
  URL.revokeObjectURL(img.src);
  img.src = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
}

async function savePictures(options) {
  const list = await drawn(options);
  if (list.length === 0) throw new Error(words.noPictures);
  const ending = options.format ?? 'svg';
  const files = list.map(({ name, made }) => ({ name: `${name}.${ending}`, blob: made }));
  save(await window.plateau.chart.zip(files), options.name ? `${options.name}.zip` : words.charts('zip'));
}

launched({ files: add, refuse: (name, why) => engine.refuse(name, why) });
intake({ files: add, text: addText, refuse: (name, why) => engine.refuse(name, why), demo });
otherLanguages(async () => (engine.unread() > 0 ? 'reading' : settle()));
const inWords = language();
inWords.then(trust);
terms();
boot();

async function boot() {
  if (typeof WebAssembly !== 'object') {
    await inWords;
    fault(words.noWasm);
    return;
  }
  try {
    if (typeof Go !== 'function') throw new Error(words.noRuntime);
    const chart = script('chart.js').catch(noChart);
    const module = await program;
    await inWords;
    // Browsers make machine code of a function when it is first called. What
    // the worker has called by now need not be made on the page, which would
    // stand still for it.
    await engine.start(module, used.read());
    await chart;
    await new Promise((resolve) => setTimeout(resolve)); // a task of its own
    await runPage(
      module,
      () => {
        events.unsubscribe();
        engine.retell();
      },
      () => failed(words.pageStopped),
    );
  } catch (error) {
    await inWords;
    failed(words.notLoaded(error.message, advice()));
  }
}

// Loaded once more, the page may run: not where anything was done in it.
async function failed(text) {
  if (shown || engine.unread() > 0 || !(await again())) fault(text);
}

// Stands in for the chart, so that the Go page need not know.
function noChart() {
  const nothing = () => {};
  window.plateau.chart = {
    mount: (element) => {
      element.textContent = words.noChart;
    },
    draw: nothing,
    highlight: nothing,
    point: nothing,
    resetZoom: nothing,
    retheme: nothing,
    pixels: () => 1000,
    mountPoints: (element) => {
      element.textContent = words.noChart;
    },
    drawPoints: nothing,
    highlightPoints: nothing,
  };
}

function fault(text) {
  const message = document.createElement('p');
  message.textContent = text;
  const reload = document.createElement('button');
  reload.type = 'button';
  reload.textContent = words.reload;
  reload.addEventListener('click', () => window.location.reload());
  const box = document.getElementById('fault');
  box.hidden = false;
  box.replaceChildren(message, reload);
}
