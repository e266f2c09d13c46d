//go:build js && wasm && browser

package main

import (
	"syscall/js"

	"golang.org/x/text/transform"

	"plateau/core/logfile"
)

func init() {
	logfile.TextDecoder = func(label string) transform.Transformer {
		return &textDecoder{label: label}
	}
}

// textDecoder is the browser's TextDecoder as a Go transformer.
type textDecoder struct {
	label   string
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
	return noCharacters(out)
}

// noCharacters makes U+FFFD of what browsers give for bytes that stand for no
// character: the controls U+0080 to U+009F of bytes that a code page leaves
// free, and characters of private use of pairs of bytes. The guess of the
// encoding counts them.
func noCharacters(text []byte) []byte {
	const none = "\ufffd"
	out := make([]byte, 0, len(text)+64)
	for k := 0; k < len(text); k++ {
		switch c := text[k]; {
		case c == 0xc2 && k+1 < len(text) && text[k+1] < 0xa0:
			out = append(out, none...)
			k++
		case (c == 0xee || c == 0xef && k+1 < len(text) && text[k+1] < 0xa4) && k+2 < len(text):
			out = append(out, none...)
			k += 2
		default:
			out = append(out, c)
		}
	}
	return out
}
