// ask(command) -> what the worker answers.

import { persist } from '../../keep/store.js';

const worker = new Worker('worker.js');
const waiting = new Map();
let seq = 0;

worker.onmessage = ({ data }) => {
  const { resolve, reject } = waiting.get(data.seq);
  waiting.delete(data.seq);
  if (data.error) reject(Object.assign(new Error(`${data.error.code}: ${data.error.message}`)));
  else resolve(data.answer);
};
worker.onerror = (event) => console.error(event.message);

window.ask = (command) =>
  new Promise((resolve, reject) => {
    waiting.set(++seq, { resolve, reject });
    worker.postMessage({ seq, ...command });
  });
window.persist = () => persist();
