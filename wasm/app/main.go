//go:build js && wasm

// Command app is the browser program. The same binary is the page in the window,
// the engine in a worker, and what opens packed files in another, which sets the
// global plateauRole to "unpack".
package main

import (
	"runtime/debug"
	"syscall/js"

	"plateau/wasm/app/page"
	"plateau/wasm/unpack"
)

func main() {
	role := js.Global().Get("plateauRole")
	switch {
	case role.Type() == js.TypeString && role.String() == "unpack":
		unpack.Serve()
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
