// What the page says of itself when the Go program cannot.

import { plain } from '../offline/words.js';
import { say, spoken } from '../shared/say.js';

export { spoken };

export const words = {
  get noPictures() {
    return say('There is nothing to draw yet.');
  },
  get noWasm() {
    return say('This browser cannot run WebAssembly, which Plateau is written in. Open the page in a current version of Firefox, Chrome, Edge or Safari.');
  },
  notLoaded: (reason, advice) => say('Plateau could not be loaded (%s). %s', reason, advice),
  get pageStopped() {
    return say('The page stopped working and could not be started again. Reload it and open the logs again; nothing of them was changed.');
  },
  get reload() {
    return say('Reload');
  },
  waiting: (n) => say(n === 1 ? '%d log is waiting: reading starts as soon as Plateau is loaded.' : '%d logs are waiting: reading starts as soon as Plateau is loaded.', n),
  get lostInCrash() {
    return say('The engine failed while it read this log, and was started again; the other logs are read anew. Try it once more; if it fails again, the log may be too large for this browser, so cut it into smaller parts.');
  },
  get engineStopped() {
    return say('The engine failed several times within a minute and was not started again. Reload the page, then open the logs one at a time to find the one it fails on.');
  },
  get engineGone() {
    return say('The engine failed while it worked on this. It was started again: try once more.');
  },
  get demo() {
    return say('demo');
  },
  get demoLoaded() {
    return say('The demo logs are on the page already.');
  },
  demoFailed: (reason) => say('The demo could not be loaded: %s', reason),
  unpackNotLoaded: (reason, advice) => say('the part of Plateau that opens packed files could not be loaded (%s). %s Then drop it again; or unpack it and drop the logs themselves.', reason, advice),
  get unpackDied() {
    return say('the browser has too little memory to open it, or the file is made to do harm. Unpack it, or save its sheets as CSV, and drop the logs themselves.');
  },
  unpackCut: (n, why) => (n === 1 ? say('only its first log was opened: %s', why) : say('only its first %d logs were opened: %s', n, why)),
  pasted: (n) => say('pasted text %d.txt', n),
  charts: (ending) => say('charts.%s', ending),
  get aFolder() {
    return say('folder');
  },
  get folder() {
    return say('This is a folder. Open it and drop the log files in it.');
  },
  get noChart() {
    return say('The chart could not be loaded. The results below are complete; reload the page to try again.');
  },
  get noPolicy() {
    return say('This copy of the page has no policy. Do not trust it with what is secret.');
  },
  get trying() {
    return say('Trying: this takes up to three seconds.');
  },
  tried: (blocked, ways) =>
    blocked === ways
      ? say('Your browser blocked each of the %d ways. Nothing was sent.', ways)
      : say('Your browser was seen to block %d of %d ways. Read below what that means for the rest.', blocked, ways),
  blockedBy: (what) => say('Blocked by %s', what),
  get absent() {
    return say('Your browser does not have this.');
  },
  get notBlocked() {
    return say('Not blocked by your browser.');
  },
  get lockedDoor() {
    return say('The page took this away from itself before anything else ran, so no part of it uses it. That is a locked door and no wall: it rests on this program being what it says.');
  },
  get notSeen() {
    return say('Not seen to be blocked.');
  },
  get notSeenMeans() {
    return say('That may be the browser’s manner of telling, or an extension’s doing; the test cannot tell. To be sure, take the network away.');
  },
  get noRuntime() {
    return say('the script that runs it is missing');
  },
  get launchedGone() {
    return say('It is not there any more, or may not be read. Drop it on the page instead.');
  },
  damaged: (paths) => say('damaged on this machine: %s', named(paths)),
  get mended() {
    return say('A part of Plateau was damaged on this machine and has been fetched anew. Figures of this visit may be wrong: reload, and they are worked out again. Your work is kept.');
  },
  get newVersion() {
    return say('A new version of Plateau is ready. What you have done is kept first; it takes a moment.');
  },
  get newVersionReading() {
    return say('A new version of Plateau is ready. A log is still being read: take it when that is done.');
  },
  get newVersionKeeping() {
    return say('Your work is being kept …');
  },
  newVersionUnkept: (why) => say('Your work is not kept: %s With the new version it would be lost. Save it to a file first, which the new version opens.', sentence(why)),
  get newVersionSaved() {
    return say('Your work is being saved to a file. Once it is there, take the new version and open the file in it.');
  },
  get takeAnyway() {
    return say('Take it without this work');
  },
  get takeSaved() {
    return say('Take it now');
  },
  get newVersionStuck() {
    return say('The new version could not be started. You can go on here; it is started once all tabs of Plateau are closed.');
  },
  get settleSilent() {
    return say('the engine does not answer.');
  },
  get offlineNever() {
    return say('This browser keeps no copy of Plateau here, so it needs the network at each visit.');
  },
  get offlineBegun() {
    return say('Plateau is being kept on this machine …');
  },
  get offlineReady() {
    return say('Ready to work without a network.');
  },
  offlineOlder: (why) => say('Ready to work without a network. A newer version was not taken in: %s', why),
  offlineNot: (why) => say('Not ready to work without a network: %s', sentence(why)),
  offlineDamaged: (paths) =>
    paths.length === 1
      ? say('Not ready to work without a network: %s is damaged on this machine. It is fetched anew at the next visit with a network.', named(paths))
      : say('Not ready to work without a network: %s are damaged on this machine. They are fetched anew at the next visit with a network.', named(paths)),
  get offlineBlocked() {
    return say('the browser does not allow it, as in a private window or by its settings for site data.');
  },
  get offlineSilent() {
    return say('the browser’s service worker does not answer. Reload to try again.');
  },
  offlineFault(code) {
    switch (code) {
      case 'unreachable':
        return say('the network failed meanwhile. It is tried again at the next visit.');
      case 'missing':
        return say('a file of Plateau is missing where the page is kept. It is tried again at the next visit.');
      case 'changed':
        return say('a file of Plateau did not come as it should. It is tried again at the next visit.');
      case 'full':
        return say('the browser’s storage is full. Remove workspaces or logs that are not needed here, then reload.');
      default:
        return say('the browser could not keep it. Reload to try again.');
    }
  },
};

const named = (paths) => paths.map(plain).join(', ');
const sentence = (text) => (/[.!?]$/.test(text) ? text : `${text}.`);
