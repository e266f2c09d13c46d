//go:build js && wasm

// Package unpack opens packed logs and workbooks in the browser, in a worker of
// its own that ends with the file: what a hostile file makes of it takes nothing
// else down.
package unpack

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"syscall/js"

	"plateau/core/say"
	"plateau/core/unpack"
	"plateau/wasm/app/guard"
	"plateau/wasm/unpack/blocks"
)

// Serve sets the global function plateauUnpack, for as long as the program runs.
func Serve() {
	js.Global().Set("plateauUnpack", js.FuncOf(open))
}

// open takes name, size and a host, and answers with {told, error}: what was
// left out, in words, and why the file, or what is left of it, could not be
// opened; both empty where all is well. The host is an object of functions:
//
//	read(at, n)  bytes of the file as a Uint8Array, or null where it cannot
//	begin(name)  a log begins
//	write(bytes) more of its text; the bytes are good until it returns
//	end(whole)   the log has ended, or is to be forgotten
func open(_ js.Value, args []js.Value) any {
	var told, fault string
	guard.Run(func() { told, fault = walk(args[0].String(), int64(args[1].Float()), args[2]) }, func(what, stack string) {
		fmt.Println(stack)
		fault = say.With("a fault in Plateau stopped the opening (%s). Unpack it and drop the logs themselves.", what)
	})
	return map[string]any{"told": told, "error": fault}
}

func walk(name string, size int64, host js.Value) (told, fault string) {
	room := js.Global().Get("Uint8Array").New(pieceSize)
	out := bufio.NewWriterSize(nil, pieceSize)
	from := &file{host: host, size: size}
	left, err := unpack.Walk(name, blocks.New(from, size), size, unpack.Default, func(p unpack.Part) error {
		host.Call("begin", p.Name)
		out.Reset(&sink{host, room})
		_, err := p.WriteTo(out)
		if err == nil {
			err = out.Flush()
		}
		host.Call("end", err == nil)
		return nil // a log that is not whole was told of by Walk
	})
	if from.failed { // whatever that looked like to the opener
		return "", say.Text("the browser could not read it to its end: it was moved, changed or locked meanwhile. Save it again, then drop it again.")
	}
	if err != nil {
		fault = err.Error()
	}
	return unpack.Told(left), fault
}

// pieceSize is how much crosses to JavaScript at a time.
const pieceSize = 1 << 20

// errUnreadable says that the browser gave no bytes.
var errUnreadable = errors.New("the file cannot be read")

// file reads the dropped file through the host.
type file struct {
	host   js.Value
	size   int64
	failed bool
}

func (f *file) ReadAt(p []byte, at int64) (int, error) {
	if at >= f.size {
		return 0, io.EOF
	}
	n := min(int64(len(p)), f.size-at)
	bytes := f.host.Call("read", float64(at), float64(n))
	if bytes.IsNull() || js.CopyBytesToGo(p[:n], bytes) < int(n) {
		f.failed = true
		return 0, errUnreadable
	}
	if n < int64(len(p)) {
		return int(n), io.EOF
	}
	return int(n), nil
}

// sink writes a log's text to the host.
type sink struct{ host, room js.Value }

func (s *sink) Write(p []byte) (int, error) {
	for done := 0; done < len(p); {
		n := js.CopyBytesToJS(s.room, p[done:])
		s.host.Call("write", s.room.Call("subarray", 0, n))
		done += n
	}
	return len(p), nil
}
