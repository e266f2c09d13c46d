//go:build js && wasm

// Command unpack is the browser program that opens packed logs and workbooks,
// apart from the rest so that only those who drop such a file load it. The tag
// whole has wasm/app do it as well.
package main

import "plateau/wasm/unpack/role"

func main() {
	role.Serve()
	select {} // live on for the call
}
