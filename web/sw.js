// The service worker: keeps the whole site on this machine, so that it works
// without a network, and answers for its files and for nothing else. SITE is
// {version, files: [{path, sha256}]}, from the build.
//
// A version is taken in whole or not at all. A newer one waits until a tab asks
// for it, or until no tab of the site is open.
//
// From the page: {type: 'about'}, answered on the port that comes with it by
// {version} · {type: 'check'}, by {version, mended, left}, lists of paths ·
// {type: 'take'}: this version is to be used from now on.
// To the page: {type: 'refused', version, code, path}, where this version could
// not be taken in; code is a VaultError's.

import { addressOf, languageOf, pathOf, versionOf } from './offline/site.js';
import { Vault } from './offline/vault.js';
import { damaged, damagedHead, damagedTitle } from './offline/words.js';
import { speak } from './shared/say.js';

const base = self.registration.scope;
const tabs = () => self.clients.matchAll({ type: 'window', includeUncontrolled: true });
const open = async () => (await tabs()).map(({ url }) => pathOf(base, url) ?? '');
const vault = new Vault(SITE, { base, caches: self.caches, fetch: (...args) => self.fetch(...args), open });

self.addEventListener('install', (event) => event.waitUntil(install()));

self.addEventListener('activate', (event) => event.waitUntil(activate()));

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const asked = pathOf(base, request.url);
  if (request.method !== 'GET' || asked === null) return;
  // Some servers, that of the edge among them, have pages without the ending.
  const path = [asked, `${asked}.html`].find((one) => vault.knows(one));
  if (!path) return;
  event.respondWith(answer(path, request, event.clientId));
});

self.addEventListener('message', (event) => {
  const [port] = event.ports;
  switch (event.data?.type) {
    case 'about':
      port?.postMessage({ version: SITE.version });
      break;
    case 'check':
      event.waitUntil(vault.check().then((found) => port?.postMessage({ version: SITE.version, ...found })));
      break;
    case 'take':
      event.waitUntil(self.skipWaiting());
      break;
  }
});

async function install() {
  try {
    await vault.fill();
  } catch (error) {
    for (const tab of await tabs()) tab.postMessage({ type: 'refused', version: SITE.version, code: error.code, path: error.path });
    throw error;
  }
}

async function activate() {
  const locks = await self.navigator.locks?.query();
  const used = (locks?.held ?? []).map(({ name }) => name).filter((name) => versionOf(base, name) !== null);
  await vault.tidy(used);
  await self.clients.claim();
}

async function answer(path, request, client) {
  try {
    return await vault.find(path);
  } catch (error) {
    const whole = !path.startsWith('parts/');
    // A newer page than this version's names its own parts: nothing is mixed.
    if (whole && error.code === 'changed') return self.fetch(request);
    // Better in English than not at all.
    if (whole && languageOf(path)) return Response.redirect(addressOf(base, path.startsWith('guide.') ? 'guide.html' : 'index.html'));
    if (path === 'index.html') return page(damaged(error.path));
    if (/^parts\/loader\./.test(path)) {
      await inLanguageOf(client);
      return script(damaged(error.path));
    }
    return Response.error();
  }
}

async function inLanguageOf(client) {
  try {
    const language = languageOf(pathOf(base, (await self.clients.get(client)).url));
    const table = SITE.files.find(({ path }) => path.startsWith(`parts/words.${language}.`));
    speak(table ? await (await vault.find(table.path)).json() : {});
  } catch {
    speak({});
  }
}

const unkept = { 'Cache-Control': 'no-store', 'Cross-Origin-Embedder-Policy': 'require-corp', 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Resource-Policy': 'same-origin' };

function page(text) {
  const headers = { ...unkept, 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': "default-src 'none'" };
  const html = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>${damagedTitle()}</title><h1>${damagedHead()}</h1><p>${text}</p>`;
  return new Response(html, { status: 503, headers });
}

// Stands in for the loader, and says what the page cannot.
function script(text) {
  const headers = { ...unkept, 'Content-Type': 'text/javascript; charset=utf-8' };
  return new Response(`{const p=document.createElement('p');p.textContent=${JSON.stringify(text)};document.getElementById('fault').replaceChildren(p)}`, { headers });
}
