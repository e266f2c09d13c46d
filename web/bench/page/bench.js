// The page of one rival: ?method=read, scan or papa starts the worker of that
// name, ?method=duckdb the database. window.bench.ready settles when it waits
// for a file, as the site's engine does when it is ready; window.bench.run()
// gives it the chosen file and answers { ms, bytes, rows, charge, energy }:
// ms from the hand-over to the figures, charge in Ah, energy in Wh.
const method = new URLSearchParams(location.search).get('method');
const start = method === 'duckdb' ? (await import('./duckdb.js')).start : worker;
const ready = start();

window.bench = {
  ready: ready.then(() => true),
  async run() {
    const integrate = await ready;
    const [file] = document.querySelector('#file').files;
    const t0 = performance.now();
    const figures = await integrate(file);
    return { ms: performance.now() - t0, ...figures };
  },
};

/** Starts the worker of the method; answers file => figures. */
function worker() {
  const w = new Worker(`${method}.js`);
  const next = () => new Promise((resolve, reject) => {
    w.onmessage = ({ data }) => (data.error ? reject(new Error(`${method}: ${data.error}`)) : resolve(data));
    w.onerror = (e) => reject(new Error(`${method}: ${e.message}`));
  });
  return next().then(() => (file) => {
    const figures = next();
    w.postMessage(file);
    return figures;
  });
}
