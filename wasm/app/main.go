//go:build js && wasm

// Command app is the browser program. The same binary runs twice: in the
// window it is the page, in a worker it is the engine.
package main

import (
	"runtime/debug"
	"syscall/js"

	"plateau/wasm/app/page"
)

func main() {
	if js.Global().Get("document").IsUndefined() {
		serveEngine()
	} else {
		// The page holds little and makes much of it anew at each change: collecting
		// it twice as often as need be would show in each.
		debug.SetGCPercent(400)
		page.Start()
	}
	select {} // live on for the callbacks
}
