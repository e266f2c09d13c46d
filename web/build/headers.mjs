// The headers of the site, as the text of its _headers file: a pattern of
// paths, where * stands for anything, then its headers, each on a line that is
// indented. A path that several patterns match gets the headers of all.

import { isWhole } from './parts.mjs';

/**
 * The Content-Security-Policy. It leaves the page no way to send anything: its
 * own files are all it may fetch, and there are no forms, frames or foreign
 * origins. 'wasm-unsafe-eval' allows WebAssembly to be compiled, nothing else.
 */
export const policy = {
  'default-src': "'none'",
  'script-src': "'self' 'wasm-unsafe-eval'",
  'connect-src': "'self'",
  'style-src': "'self'",
  'img-src': "'self' data: blob:",
  'font-src': "'self'",
  'worker-src': "'self'",
  'manifest-src': "'self'",
  'form-action': "'none'",
  'frame-ancestors': "'none'",
  'base-uri': "'none'",
};

export const written = (directives) =>
  Object.entries(directives)
    .map(([name, value]) => `${name} ${value}`)
    .join('; ');

/** As a meta element may carry it: Content Security Policy Level 3, section 3.3. */
export function inMeta(directives) {
  return written(Object.fromEntries(Object.entries(directives).filter(([name]) => name !== 'frame-ancestors')));
}

// What Chromium knows of the registry of policy-controlled features
// (github.com/w3c/webappsec-permissions-policy, features.md) and the page has
// no use for; a name that a browser does not know it complains of.
const closed = [
  'accelerometer', 'autoplay', 'camera', 'display-capture', 'encrypted-media', 'fullscreen', 'gamepad', 'geolocation',
  'gyroscope', 'hid', 'identity-credentials-get', 'idle-detection', 'local-fonts', 'magnetometer', 'microphone', 'midi', 'otp-credentials',
  'payment', 'picture-in-picture', 'publickey-credentials-create', 'publickey-credentials-get', 'screen-wake-lock', 'serial',
  'storage-access', 'usb', 'window-management', 'xr-spatial-tracking',
];

const everywhere = {
  // What a Content-Security-Policy cannot stop, this does, in browsers that know
  // it (WICG Connection Allowlists; Chromium): links, redirects and windows that
  // lead elsewhere, hints to connect ahead, and WebRTC.
  'Connection-Allowlist': '(response-origin)',
  'Content-Security-Policy': written(policy),
  'Cross-Origin-Embedder-Policy': 'require-corp',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Permissions-Policy': [...closed.map((name) => `${name}=()`), 'clipboard-write=(self)'].join(', '),
  'Referrer-Policy': 'no-referrer',
  'Strict-Transport-Security': 'max-age=31536000; includeSubDomains',
  'X-Content-Type-Options': 'nosniff',
  'X-DNS-Prefetch-Control': 'off',
  'X-Frame-Options': 'DENY',
  'X-Permitted-Cross-Domain-Policies': 'none',
};

// Ours, not the machine's, since a machine may call .wasm or .js anything.
const types = {
  css: 'text/css; charset=utf-8',
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  json: 'application/json',
  png: 'image/png',
  svg: 'image/svg+xml',
  txt: 'text/plain; charset=utf-8',
  wasm: 'application/wasm',
  webmanifest: 'application/manifest+json',
};

/**
 * @param {string[]} paths of the files, as 'parts/chart.0123456789.js'
 * @returns {string} the text of _headers
 */
export function headers(paths) {
  const rules = [['/*', everywhere]];
  const kept = { 'Cache-Control': 'public, max-age=31536000, immutable' };
  const asked = { 'Cache-Control': 'no-cache' };
  for (const path of paths) {
    const type = types[path.split('.').at(-1)];
    if (!type) throw new Error(`no media type is known for ${path}`);
    const rule = { 'Content-Type': type, ...(path.startsWith('parts/') ? kept : asked) };
    // Its own policy does not hold where the site's does.
    if (isWhole(path)) rule['Content-Disposition'] = `attachment; filename="${path}"`;
    rules.push([`/${path}`, rule]);
    // Some servers, that of the edge among them, have pages without the ending.
    if (path === 'index.html') rules.push(['/', rule]);
    else if (path.endsWith('.html')) rules.push([`/${path.slice(0, -5)}`, rule]);
  }
  return rules.map(([pattern, list]) => [pattern, ...Object.entries(list).map(([name, value]) => `  ${name}: ${value}`)].join('\n')).join('\n\n') + '\n';
}
