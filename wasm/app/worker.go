//go:build js && wasm

package main

import (
	"fmt"
	"syscall/js"
	"time"
	"unsafe"

	"plateau/core/say"
	"plateau/wasm/app/engine"
	"plateau/wasm/app/guard"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// eng is the engine of this instance; the page's has none.
var eng = &engine.Engine{}

// slim knows what the page has.
var slim wire.Slimmer

// serveEngine offers the engine to the worker shell.
func serveEngine() {
	offer := map[string]any{"command": js.FuncOf(command)}
	offerKeeping(offer)
	js.Global().Set("plateauEngine", offer)
	if ready := js.Global().Get("plateauEngineReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	// After what waits already: a log that was dropped early goes first.
	time.AfterFunc(100*time.Millisecond, eng.Warm)
}

// command answers one wire.Command in JSON with {json, buffers}.
func command(_ js.Value, args []js.Value) (answer any) {
	var reply wire.Reply
	var curves [][]float64
	guard.Run(func() {
		var c wire.Command
		if err := plain.Unmarshal([]byte(args[0].String()), &c); err != nil {
			reply.Error = say.With("The page sent a command that the engine cannot read: %s", err)
			return
		}
		reply, curves = eng.Do(c)
		if c.Do == "view" {
			slim.Reset()
		}
		if c.Do == "far" {
			slim.Far(c.Hidden)
		}
		if reply.View != nil {
			slim.Slim(reply.View, c.Do == "rest")
		}
	}, func(what, stack string) {
		fmt.Println(stack)
		reply = wire.Reply{Error: say.With("A fault in Plateau stopped this step (%s).", what)}
	})
	text, err := plain.Marshal(reply)
	if err != nil {
		text, _ = plain.Marshal(wire.Reply{Error: say.Text("The engine’s answer could not be written.")})
	}
	buffers := js.Global().Get("Array").New()
	for _, c := range curves {
		buffers.Call("push", arrayBuffer(c))
	}
	return map[string]any{"json": string(text), "buffers": buffers}
}

// arrayBuffer copies numbers out of linear memory.
func arrayBuffer(x []float64) js.Value {
	bytes := js.Global().Get("Uint8Array").New(8 * len(x))
	if len(x) > 0 {
		js.CopyBytesToJS(bytes, unsafe.Slice((*byte)(unsafe.Pointer(&x[0])), 8*len(x)))
	}
	return bytes.Get("buffer")
}

// chunk reserves n bytes for the log that is being read and returns where in
// linear memory they are to be put; 0 where no log is being read.
//
//lint:ignore U1000 the worker shell calls it
//go:wasmexport chunk
func chunk(n int32) (at int32) {
	guard.Run(func() {
		if b := eng.Chunk(int(n)); len(b) > 0 {
			at = int32(uintptr(unsafe.Pointer(&b[0])))
		}
	}, func(what, stack string) { fmt.Println(what, stack) })
	return at
}

// feed reads the n bytes put there: 0 to go on, 1 where no more are wanted.
//
//lint:ignore U1000 the worker shell calls it
//go:wasmexport feed
func feed(n int32) int32 {
	if eng.Feed(int(n)) {
		return 0
	}
	return 1
}

// rows is how many rows of the log were used so far.
//
//lint:ignore U1000 the worker shell calls it
//go:wasmexport rows
func rows() int32 { return int32(eng.Rows()) }
