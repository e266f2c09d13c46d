// The script of the Go runtime, in a worker. In the one-file build it stands
// before the worker's own.

export function loadRuntime() {
  if (PARTS) self.importScripts(PARTS['wasm_exec.js']);
}
