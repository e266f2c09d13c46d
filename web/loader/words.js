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
  noRuntime: 'the script that runs it is missing',
  launchedGone: 'It is not there any more, or may not be read. Drop it on the page instead.',
  damaged: (paths) => `damaged on this machine: ${paths.map(plain).join(', ')}`,
  damagedPage: (path) =>
    `${plain(path)}, a part of Plateau, is damaged on this machine, and there is no network to fetch it anew. Your work is not touched: it is kept apart. Connect to the network, then reload this page.`,
  mended: 'A part of Plateau was damaged on this machine and has been fetched anew. Figures of this visit may be wrong: reload, and they are worked out again. Your work is kept.',
  newVersion: 'A new version of Plateau is ready. What you have done is kept first; it takes a moment.',
  newVersionReading: 'A new version of Plateau is ready. A log is still being read: take it when that is done.',
  newVersionKeeping: 'Your work is being kept …',
  newVersionUnkept: (why) => `Your work is not kept: ${sentence(why)} With the new version it would be lost. Save it to a file first, which the new version opens.`,
  newVersionSaved: 'Your work is being saved to a file. Once it is there, take the new version and open the file in it.',
  takeAnyway: 'Take it without this work',
  takeSaved: 'Take it now',
  newVersionStuck: 'The new version could not be started. You can go on here; it is started once all tabs of Plateau are closed.',
  settleSilent: 'the engine does not answer.',
  nothingKept: 'this browser keeps nothing.',
  offlineNever: 'This browser keeps no copy of Plateau here, so it needs the network at each visit.',
  offlineBegun: 'It is being kept on this machine …',
  offlineReady: 'Ready to work without a network.',
  offlineOlder: (why) => `Ready to work without a network. A newer version was not taken in: ${why}`,
  offlineNot: (why) => `Not ready to work without a network: ${sentence(why)}`,
  offlineDamaged: (paths) => `Not ready to work without a network: ${paths.map(plain).join(', ')} is damaged on this machine. It is fetched anew at the next visit with a network.`,
  offlineBlocked: 'the browser does not allow it, as in a private window or by its settings for site data.',
  offlineSilent: 'the browser’s service worker does not answer. Reload to try again.',
  offlineFault: {
    unreachable: 'the network failed meanwhile. It is tried again at the next visit.',
    missing: 'a file of it is missing where the page is kept. It is tried again at the next visit.',
    changed: 'a file of it did not come as it should be. It is tried again at the next visit.',
    full: 'the browser’s storage is full. Remove workspaces or logs that are not needed here, then reload.',
    failed: 'the browser could not keep it. Reload to try again.',
  },
};

// A part's name without folder and hash.
const plain = (path) => path.replace(/^parts\//, '').replace(/\.[0-9a-f]{12}\./, '.');
const sentence = (text) => (/[.!?]$/.test(text) ? text : `${text}.`);
