// The ways there are to make a browser send something or run something from
// elsewhere. Each runs in the browser as it stands here, and so sees nothing of
// this file; `to` has the addresses of foreign.mjs.
//
// directive: what the browser names as having stopped it (Content Security Policy
// Level 3, sections 4 and 6.8.1: where a directive is not given, what falls back
// to another is still reported under its own name); empty where no policy has a
// say. runs: not whether something arrives is asked but whether code ran, which
// then has set globalThis.reached.

/** Those that a page has and a worker as well. */
const everywhere = [
  { name: 'fetch', directive: 'connect-src', run: (to) => fetch(`${to.http}/fetch`, { method: 'POST', body: 'x' }) },
  { name: 'fetch without CORS', directive: 'connect-src', run: (to) => fetch(`${to.http}/opaque`, { mode: 'no-cors', method: 'POST', body: 'x' }) },
  { name: 'fetch that outlives the page', directive: 'connect-src', run: (to) => fetch(`${to.http}/alive`, { keepalive: true }) },
  {
    name: 'XMLHttpRequest',
    directive: 'connect-src',
    run: (to) => {
      const x = new XMLHttpRequest();
      x.open('GET', `${to.http}/xhr`);
      x.send();
    },
  },
  { name: 'EventSource', directive: 'connect-src', run: (to) => void new EventSource(`${to.http}/events`) },
  { name: 'WebSocket', directive: 'connect-src', run: (to) => void new WebSocket(`${to.ws}/socket`) },
  { name: 'import()', directive: 'script-src-elem', run: (to) => import(`${to.http}/module.js`) },
  {
    name: 'worker of a blob',
    directive: 'worker-src',
    run: (to) => void new Worker(URL.createObjectURL(new Blob([`fetch('${to.http}/blob')`], { type: 'text/javascript' }))),
  },
  // Later, since what a debugger calls may do what a page may not; caught, since
  // the engine's worker is started again after an error.
  {
    name: 'eval',
    directive: 'script-src',
    runs: true,
    run: () =>
      setTimeout(() => {
        try {
          // eslint-disable-next-line no-eval
          (0, eval)('globalThis.reached = true');
        } catch {
          // Blocked, as it should be.
        }
      }),
  },
  {
    name: 'new Function',
    directive: 'script-src',
    runs: true,
    run: () =>
      setTimeout(() => {
        try {
          new Function('globalThis.reached = true')();
        } catch {
          // As above.
        }
      }),
  },
  // eslint-disable-next-line no-implied-eval
  { name: 'a timer of text', directive: 'script-src', runs: true, run: () => setTimeout(() => setTimeout('globalThis.reached = true')) },
];

export const ofWorker = [
  ...everywhere,
  { name: 'importScripts', directive: 'script-src-elem', run: (to) => self.importScripts(`${to.http}/imported.js`) },
];

export const ofPage = [
  ...everywhere,
  { name: 'sendBeacon', directive: 'connect-src', run: (to) => void navigator.sendBeacon(`${to.http}/beacon`, 'x') },
  { name: 'fetchLater', directive: 'connect-src', run: (to) => void window.fetchLater(`${to.http}/later`, { activateAfter: 0 }) },
  {
    name: 'ping of a link',
    directive: 'connect-src',
    run: (to) => Object.assign(document.body.appendChild(document.createElement('a')), { href: '#', ping: `${to.http}/ping` }).click(),
  },
  { name: 'image', directive: 'img-src', run: (to) => void (new Image().src = `${to.http}/image`) },
  { name: 'image of a set', directive: 'img-src', run: (to) => void (new Image().srcset = `${to.http}/set 1x`) },
  {
    name: 'url() in a style',
    directive: 'img-src',
    run: (to) => {
      const sheet = new CSSStyleSheet();
      sheet.replaceSync(`body { background: url(${to.http}/background) }`);
      document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
    },
  },
  { name: 'sound', directive: 'media-src', run: (to) => void (new Audio().src = `${to.http}/sound`) },
  { name: 'font', directive: 'font-src', run: (to) => new FontFace('far', `url(${to.http}/font)`).load() },
  {
    name: 'form, GET',
    directive: 'form-action',
    leaves: true,
    run: (to) => {
      const form = Object.assign(document.body.appendChild(document.createElement('form')), { action: `${to.http}/form.html` });
      form.append(Object.assign(document.createElement('input'), { name: 'x', value: '1' }));
      form.requestSubmit();
    },
  },
  {
    name: 'form, POST by submit()',
    directive: 'form-action',
    leaves: true,
    run: (to) => Object.assign(document.body.appendChild(document.createElement('form')), { method: 'post', action: `${to.http}/form.html` }).submit(),
  },
  {
    name: 'form into another window',
    directive: 'form-action',
    run: (to) => Object.assign(document.body.appendChild(document.createElement('form')), { target: '_blank', action: `${to.http}/form.html` }).submit(),
  },
  { name: 'iframe', directive: 'frame-src', run: (to) => void (document.body.appendChild(document.createElement('iframe')).src = `${to.http}/frame.html`) },
  { name: 'object', directive: 'object-src', run: (to) => void (document.body.appendChild(document.createElement('object')).data = `${to.http}/object.html`) },
  { name: 'embed', directive: 'object-src', run: (to) => void (document.body.appendChild(document.createElement('embed')).src = `${to.http}/embed.html`) },
  { name: 'script', directive: 'script-src-elem', run: (to) => void (document.body.appendChild(document.createElement('script')).src = `${to.http}/script.js`) },
  {
    name: 'shared worker of a blob',
    directive: 'worker-src',
    run: (to) => void new SharedWorker(URL.createObjectURL(new Blob([`fetch('${to.http}/shared')`], { type: 'text/javascript' }))),
  },
  {
    name: 'style sheet',
    directive: 'style-src-elem',
    run: (to) => document.head.append(Object.assign(document.createElement('link'), { rel: 'stylesheet', href: `${to.http}/sheet.css` })),
  },
  {
    name: '@import in a style',
    directive: 'style-src-elem',
    run: (to) => document.head.append(Object.assign(document.createElement('style'), { textContent: `@import url(${to.http}/imported.css);` })),
  },
  {
    name: 'link rel=preload',
    directive: 'script-src-elem',
    run: (to) => document.head.append(Object.assign(document.createElement('link'), { rel: 'preload', as: 'script', href: `${to.http}/preload.js` })),
  },
  {
    name: 'link rel=modulepreload',
    directive: 'script-src-elem',
    run: (to) => document.head.append(Object.assign(document.createElement('link'), { rel: 'modulepreload', href: `${to.http}/modulepreload.js` })),
  },
  {
    name: 'link rel=prefetch',
    directive: 'default-src',
    run: (to) => document.head.append(Object.assign(document.createElement('link'), { rel: 'prefetch', href: `${to.http}/prefetch.js` })),
  },
  {
    name: 'speculation rules',
    directive: 'script-src-elem',
    run: (to) => {
      const textContent = JSON.stringify({ prefetch: [{ source: 'list', urls: [`${to.http}/speculated.html`] }] });
      document.head.append(Object.assign(document.createElement('script'), { type: 'speculationrules', textContent }));
    },
  },
  {
    name: 'inline script',
    directive: 'script-src-elem',
    runs: true,
    run: () => document.body.append(Object.assign(document.createElement('script'), { textContent: 'globalThis.reached = true' })),
  },
  {
    name: 'inline handler',
    directive: 'script-src-attr',
    runs: true,
    run: () => {
      const button = document.body.appendChild(document.createElement('button'));
      button.setAttribute('onclick', 'globalThis.reached = true');
      button.click();
    },
  },
  {
    name: 'javascript: address',
    directive: 'script-src-elem',
    runs: true,
    run: () => Object.assign(document.body.appendChild(document.createElement('a')), { href: 'javascript:void(globalThis.reached = true)' }).click(),
  },
  {
    name: 'fetch from within an empty frame',
    directive: '', // it is told to that frame
    run: (to) => document.body.appendChild(document.createElement('iframe')).contentWindow.fetch(`${to.http}/within`),
  },
];

/**
 * Runs in a page before all else: keeps what the loader takes away, and a way to
 * use it.
 */
export function keep() {
  globalThis.Peer = globalThis.RTCPeerConnection;
  globalThis.call = async (Peer, to) => {
    const iceServers = [{ urls: to.stun }, { urls: to.turn, username: 'x', credential: 'y' }];
    globalThis.peer = new Peer({ iceServers });
    globalThis.peer.createDataChannel('x');
    await globalThis.peer.setLocalDescription(await globalThis.peer.createOffer());
  };
}

/** What no Content-Security-Policy has a say in; each is run in a tab of its own. */
export const pastPolicy = [
  { name: 'WebRTC by STUN and TURN', run: (to) => globalThis.call(globalThis.Peer, to) },
  {
    name: 'WebRTC out of an empty frame',
    run: (to) => globalThis.call(document.body.appendChild(document.createElement('iframe')).contentWindow.RTCPeerConnection, to),
  },
  { name: 'location', run: (to) => void (location.href = `${to.http}/location.html?x`) },
  { name: 'window.open', run: (to) => void window.open(`${to.http}/open.html?x`) },
  { name: 'window.open without opener', run: (to) => void window.open(`${to.http}/open.html?x`, '_blank', 'noopener') },
  {
    name: 'a click on a link',
    run: (to) => Object.assign(document.body.appendChild(document.createElement('a')), { href: `${to.http}/link.html?x` }).click(),
  },
  {
    name: 'a download',
    run: (to) => Object.assign(document.body.appendChild(document.createElement('a')), { href: `${to.http}/link.html?x`, download: 'x' }).click(),
  },
  {
    name: 'meta refresh',
    run: (to) => document.head.append(Object.assign(document.createElement('meta'), { httpEquiv: 'refresh', content: `0;url=${to.http}/refresh.html?x` })),
  },
];
