// Takes away from the page what could send something past its policy:
// Content-Security-Policy has no say over WebRTC in any browser of today. It is
// a locked door and no wall: a program that wanted to could get another one, out
// of an empty frame. In browsers that know Connection-Allowlist that one leads
// nowhere either.

/** For the test in the trust panel alone. */
export const Peer = globalThis.RTCPeerConnection;

for (const name of ['RTCPeerConnection', 'webkitRTCPeerConnection']) delete globalThis[name];
