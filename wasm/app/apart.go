//go:build js && wasm && !whole

package main

// serveUnpack is for the tag whole; here wasm/unpack opens packed files.
func serveUnpack() bool { return false }
