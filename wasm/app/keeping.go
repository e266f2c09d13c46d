//go:build js && wasm

package main

import (
	"fmt"
	"syscall/js"

	"plateau/core/say"
	"plateau/wasm/app/guard"
)

// offerKeeping offers what the worker shell keeps the state by:
//
//	changes()            how often it has changed
//	seal()               {doc, logs}: the document for a slot, the keys of its logs
//	prepare(id)          packs a log, so that seal() has less to do
//	blob(key)            a log's bytes
//	kept(slotA, slotB)   {which, logs, notes}: which slot is taken (-1 for none),
//	                     the keys of its logs, which are to be given
//	give(key, bytes)     bytes may be null
//	restore()            takes it over
//	files()              {list}: the numbers of the logs
//	saveFile()           the whole state as one file
//	openFile(name, bytes) notes on what is lost
//
// Bytes are Uint8Arrays of their own. Each answers {error} where it fails.
func offerKeeping(offer map[string]any) {
	for name, work := range map[string]func(args []js.Value) (map[string]any, error){
		"changes": func([]js.Value) (map[string]any, error) { return map[string]any{"count": eng.Changes()}, nil },
		"seal": func([]js.Value) (map[string]any, error) {
			slot, keys, err := eng.Seal()
			return map[string]any{"doc": bytesOut(slot), "logs": textsOut(keys)}, err
		},
		"prepare": func(args []js.Value) (map[string]any, error) {
			return map[string]any{}, eng.Prepare(args[0].Int())
		},
		"blob": func(args []js.Value) (map[string]any, error) {
			b, err := eng.Blob(args[0].String())
			return map[string]any{"bytes": bytesOut(b)}, err
		},
		"kept": func(args []js.Value) (map[string]any, error) {
			which, keys, notes, err := eng.Kept(bytesIn(args[0]), bytesIn(args[1]))
			return map[string]any{"which": which, "logs": textsOut(keys), "notes": textsOut(notes)}, err
		},
		"give": func(args []js.Value) (map[string]any, error) {
			eng.Give(args[0].String(), bytesIn(args[1]))
			return map[string]any{}, nil
		},
		"restore": func([]js.Value) (map[string]any, error) {
			eng.Restore()
			return map[string]any{}, nil
		},
		"files": func([]js.Value) (map[string]any, error) {
			return map[string]any{"list": numbersOut(eng.Files())}, nil
		},
		"saveFile": func([]js.Value) (map[string]any, error) {
			b, err := eng.SaveFile()
			return map[string]any{"bytes": bytesOut(b)}, err
		},
		"openFile": func(args []js.Value) (map[string]any, error) {
			notes, err := eng.OpenFile(args[0].String(), bytesIn(args[1]))
			return map[string]any{"notes": textsOut(notes)}, err
		},
	} {
		offer[name] = js.FuncOf(func(_ js.Value, args []js.Value) (answer any) {
			guard.Run(func() {
				out, err := work(args)
				if err != nil {
					out = map[string]any{"error": err.Error()}
				}
				answer = out
			}, func(what, stack string) {
				fmt.Println(stack)
				answer = map[string]any{"error": say.With("A fault in Plateau stopped this step (%s).", what)}
			})
			return answer
		})
	}
}

func bytesIn(v js.Value) []byte {
	if !v.Truthy() {
		return nil
	}
	b := make([]byte, v.Get("byteLength").Int())
	js.CopyBytesToGo(b, v)
	return b
}

func bytesOut(b []byte) js.Value {
	v := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(v, b)
	return v
}

func textsOut(list []string) []any {
	out := make([]any, len(list))
	for k, s := range list {
		out[k] = s
	}
	return out
}

func numbersOut(list []int) []any {
	out := make([]any, len(list))
	for k, n := range list {
		out[k] = n
	}
	return out
}
