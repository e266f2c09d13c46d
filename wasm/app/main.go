//go:build js && wasm

// Command app is the browser program. The same binary runs twice: in the
// window it is the page, in a worker it is the engine. Built with the tag whole
// it opens packed files too, in a worker of their own.
package main

import (
	"runtime/debug"
	"syscall/js"

	"plateau/wasm/app/page"
)

func main() {
	switch {
	case serveUnpack():
	case js.Global().Get("document").IsUndefined():
		serveEngine()
	default:
		// The page holds little and makes much of it anew at each change: collecting
		// it twice as often as need be would show in each.
		debug.SetGCPercent(400)
		page.Start()
	}
	select {} // live on for the callbacks
}
