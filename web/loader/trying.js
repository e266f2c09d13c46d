// Tries to send something, in each way that browsers have, to a name that nobody
// can ever hold (RFC 2606 section 2 reserves .invalid), and tells what the
// browser did about it. Nothing of the user's is in it.

import { later, say } from '../shared/say.js';

const HOST = 'plateau-check.invalid';
const PATIENCE_MS = 3000;
const HTTPS = `https://${HOST}`;

/** A part of the page that is taken away again. */
const put = (name, what = {}) => document.body.appendChild(Object.assign(document.createElement(name), { hidden: true, ...what }));

// The path of each address tells which of them a browser complains of.
const ways = {
  fetch: [later('A request (fetch)'), () => fetch(`${HTTPS}/fetch`, { mode: 'no-cors' })],
  request: [
    later('A request of the old kind (XMLHttpRequest)'),
    () => {
      const x = new XMLHttpRequest();
      x.open('GET', `${HTTPS}/request`);
      x.send();
    },
  ],
  image: [later('The address of a picture'), () => void (new Image().src = `${HTTPS}/image`)],
  beacon: [later('A beacon (sendBeacon)'), () => navigator.sendBeacon(`${HTTPS}/beacon`, 'test')],
  socket: [later('A lasting connection (WebSocket)'), () => [new WebSocket(`wss://${HOST}/socket`)]],
  events: [later('A stream of events (EventSource)'), () => [new EventSource(`${HTTPS}/events`)]],
  script: [later('A program from elsewhere'), () => [put('script', { src: `${HTTPS}/script` })]],
  frame: [later('A frame'), () => [put('iframe', { src: `${HTTPS}/frame` })]],
  form: [
    later('A form'),
    () => {
      // Into a frame, so that the page would not go where the policy fails.
      const frame = put('iframe', { name: 'plateau-check' });
      const form = put('form', { action: `${HTTPS}/form`, method: 'post', target: frame.name });
      form.submit();
      return [form, frame];
    },
  ],
};

/**
 * @param {typeof RTCPeerConnection | undefined} Peer
 * @returns {Promise<{way: string, by: string, open: boolean, absent?: boolean}[]>}
 *   by: the directive or header that blocked it, empty where none was seen to;
 *   open: the browser was seen not to block it
 */
export async function tried(Peer) {
  const by = new Map();
  let all;
  const done = new Promise((resolve) => {
    all = resolve;
  });
  const note = ({ blockedURI, effectiveDirective, disposition }) => {
    const key = URL.canParse(blockedURI) ? new URL(blockedURI) : null;
    if (disposition !== 'enforce' || key?.hostname !== HOST) return;
    // Of a frame the path is not told.
    by.set(effectiveDirective === 'frame-src' ? 'frame' : key.pathname.slice(1), effectiveDirective);
    if (by.size === Object.keys(ways).length) all();
  };
  document.addEventListener('securitypolicyviolation', note);
  const peer = triedPeer(Peer);
  const left = [];
  for (const [, run] of Object.values(ways)) {
    try {
      const made = run();
      if (Array.isArray(made)) left.push(...made);
      else made?.catch?.(() => {}); // a request that fails has its answer elsewhere
    } catch {
      // As above.
    }
  }
  await Promise.race([done, pause()]);
  document.removeEventListener('securitypolicyviolation', note);
  for (const one of left) (one.remove ?? one.close).call(one);
  return [...Object.entries(ways).map(([key, [way]]) => ({ way: say(way), by: by.get(key) ?? '', open: false })), await peer];
}

// No event tells of it. A browser that is free to go out looks for the name and
// says that there is none (error 701, WebRTC section 4.8.2); one that is not has
// done at once, and says nothing.
async function triedPeer(Peer) {
  const way = say('A connection from browser to browser (WebRTC)');
  if (!Peer) return { way, by: '', open: false, absent: true };
  let peer;
  try {
    peer = new Peer({ iceServers: [{ urls: `stun:${HOST}` }] });
    const looked = new Promise((resolve) => {
      peer.onicecandidateerror = () => resolve('open');
      peer.onicegatheringstatechange = () => {
        // The errors come before the end, or with it.
        if (peer.iceGatheringState === 'complete') setTimeout(resolve, 200, 'blocked');
      };
    });
    peer.createDataChannel('test');
    await peer.setLocalDescription(await peer.createOffer());
    const what = await Promise.race([looked, pause()]);
    return { way, by: what === 'blocked' ? 'Connection-Allowlist' : '', open: what === 'open' };
  } catch {
    return { way, by: '', open: false };
  } finally {
    peer?.close();
  }
}

const pause = () => new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
