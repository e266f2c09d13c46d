//go:build js && wasm && whole

package main

import (
	"syscall/js"

	"plateau/wasm/unpack/role"
)

// serveUnpack opens packed files instead, as wasm/unpack does, where the worker
// that starts the program has set the global plateauRole to "unpack". The tag
// whole is for a build that carries one program.
func serveUnpack() bool {
	if part := js.Global().Get("plateauRole"); part.Type() != js.TypeString || part.String() != "unpack" {
		return false
	}
	role.Serve()
	return true
}
