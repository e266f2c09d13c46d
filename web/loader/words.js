// What the page says of itself when the Go program cannot.

export const words = {
  noPictures: 'there is nothing to draw yet',
  noWasm:
    'This browser cannot run WebAssembly, which Plateau is written in. Open the page in a current version of Firefox, Chrome, Edge or Safari.',
  notLoaded: (reason, advice) => `Plateau could not be loaded (${reason}). ${advice}`,
  pageStopped:
    'The page stopped working and could not be started again. Reload it and open the logs again; nothing of them was changed.',
  waiting: (n) => (n === 1 ? '1 log is waiting: reading starts as soon as Plateau is loaded.' : `${n} logs are waiting: reading starts as soon as Plateau is loaded.`),
  lostInCrash:
    'The engine failed while it read this log, and was started again; the other logs are read anew. Try it once more; if it fails again, the log may be too large for this browser, so cut it into smaller parts.',
  engineStopped:
    'The engine failed several times within a minute and was not started again. Reload the page, then open the logs one at a time to find the one it fails on.',
  engineGone: 'The engine failed while it worked on this. It was started again: try once more.',
  demoLoaded: 'The demo logs are on the page already.',
  demoFailed: (reason) => `The demo could not be loaded: ${reason}`,
  unpackNotLoaded: (reason, advice) =>
    `the part of Plateau that opens packed files could not be loaded (${reason}). ${advice} Then drop it again; or unpack it and drop the logs themselves.`,
  unpackDied:
    'the browser has too little memory to open it, or it is made to break things. Unpack it, or save its sheets as CSV, and drop the logs themselves.',
  unpackCut: (n, why) => (n === 1 ? `only its first log was opened: ${why}` : `only its first ${n} logs were opened: ${why}`),
  folder: 'This is a folder. Open it and drop the log files in it.',
  noChart: 'The chart could not be loaded. The results below are complete; reload the page to try again.',
  noPolicy: 'This copy of the page has no policy. Do not trust it with what is secret.',
  trying: 'Trying: this takes up to three seconds.',
  tried: (blocked, ways) =>
    blocked === ways
      ? `Your browser blocked each of the ${ways} ways. Nothing was sent.`
      : `Your browser was seen to block ${blocked} of ${ways} ways. Read below what that means for the rest.`,
  blocked: 'Blocked',
  blockedBy: 'by',
  absent: 'Your browser does not have this.',
  notBlocked: 'Not blocked by your browser.',
  lockedDoor: 'The page took this away from itself before anything else ran, so no part of it uses it. That is a locked door and no wall: it rests on this program being what it says.',
  notSeen: 'Not seen to be blocked.',
  notSeenMeans: 'That may be the browser’s manner of telling, or an extension’s doing; the test cannot tell. To be sure, take the network away.',
};
