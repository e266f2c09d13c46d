//go:build js && wasm

// Command app is the browser program. The same binary is the page in the window,
// the engine in a worker, and what opens packed files in another, which sets the
// global plateauRole to "unpack". Where the page is in another language the global
// plateauWords has its texts: English and the other by turns, with a unit separator
// between them.
package main

import (
	"runtime/debug"
	"strings"
	"syscall/js"

	"plateau/core/say"
	"plateau/wasm/app/page"
	"plateau/wasm/unpack"
)

func main() {
	if words := js.Global().Get("plateauWords"); words.Type() == js.TypeString {
		list := strings.Split(words.String(), "\x1f")
		table := make(map[string]string, len(list)/2)
		for k := 1; k < len(list); k += 2 {
			table[list[k-1]] = list[k]
		}
		say.Speak(table, say.Later("a number: 1.5"))
	}
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
