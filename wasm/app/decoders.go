//go:build js && wasm && browser

package main

import (
	"bytes"
	"strings"
	"syscall/js"

	"golang.org/x/text/transform"

	"plateau/core/logfile"
)

func init() {
	logfile.TextDecoder = func(label string) transform.Transformer {
		return &textDecoder{label: label, windows: strings.HasPrefix(label, "windows-")}
	}
}

// textDecoder is the browser's TextDecoder as a Go transformer.
type textDecoder struct {
	label   string
	windows bool
	decoder js.Value
	ended   bool
	pending []byte // decoded, and not handed out yet
}

// Reset begins a new text.
func (d *textDecoder) Reset() { d.decoder, d.ended, d.pending = js.Undefined(), false, nil }

// Transform takes all of src at once; what does not fit in dst waits.
func (d *textDecoder) Transform(dst, src []byte, atEOF bool) (nDst, nSrc int, err error) {
	if len(d.pending) == 0 && (len(src) > 0 || atEOF && !d.ended) {
		d.pending, nSrc, d.ended = d.decode(src, atEOF), len(src), atEOF
	}
	nDst = copy(dst, d.pending)
	if d.pending = d.pending[nDst:]; len(d.pending) > 0 {
		return nDst, nSrc, transform.ErrShortDst
	}
	return nDst, nSrc, nil
}

func (d *textDecoder) decode(src []byte, last bool) []byte {
	if d.decoder.IsUndefined() {
		d.decoder = js.Global().Get("TextDecoder").New(d.label, map[string]any{"ignoreBOM": true})
	}
	raw := js.Global().Get("Uint8Array").New(len(src))
	js.CopyBytesToJS(raw, src)
	text := d.decoder.Call("decode", raw, map[string]any{"stream": !last})
	coded := js.Global().Get("TextEncoder").New().Call("encode", text)
	out := make([]byte, coded.Length())
	js.CopyBytesToGo(out, coded)
	if d.windows {
		return noControls(out)
	}
	return out
}

// noControls makes U+FFFD of the control characters U+0080 to U+009F, which
// browsers give for bytes that the code page leaves free.
func noControls(text []byte) []byte {
	if !bytes.Contains(text, []byte{0xc2}) {
		return text
	}
	out := make([]byte, 0, len(text)+64)
	for k := 0; k < len(text); k++ {
		if text[k] == 0xc2 && k+1 < len(text) && text[k+1] < 0xa0 {
			out = append(out, "\ufffd"...)
			k++
			continue
		}
		out = append(out, text[k])
	}
	return out
}
