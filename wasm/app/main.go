//go:build js && wasm

// Command app is the browser program. The same binary runs twice: in the
// window it is the page, in a worker it is the engine.
package main

import (
	"syscall/js"

	"plateau/wasm/app/page"
)

func main() {
	if js.Global().Get("document").IsUndefined() {
		serveEngine()
	} else {
		page.Start()
	}
	select {} // live on for the callbacks
}
