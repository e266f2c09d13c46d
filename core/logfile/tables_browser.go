//go:build browser

package logfile

import (
	"golang.org/x/text/encoding"
	"golang.org/x/text/transform"
)

// TextDecoder gives the browser's own decoder for an encoding by its WHATWG
// label ("gb18030"): bytes in, UTF-8 out, U+FFFD for what is no character. The
// program sets it before the first log. The tables themselves would make the
// program a tenth larger.
var TextDecoder func(label string) transform.Transformer

// outside is an encoding that the browser knows.
type outside string

// The encodings that need tables of characters.
var (
	windows1252 encoding.Encoding = outside("windows-1252")
	windows1250 encoding.Encoding = outside("windows-1250")
	windows1251 encoding.Encoding = outside("windows-1251")
	gb18030     encoding.Encoding = outside("gb18030")
	shiftJIS    encoding.Encoding = outside("shift_jis")
)

// NewDecoder is the browser's decoder.
func (o outside) NewDecoder() *encoding.Decoder {
	if TextDecoder == nil {
		return encoding.Nop.NewDecoder()
	}
	return &encoding.Decoder{Transformer: TextDecoder(string(o))}
}

// NewEncoder is there for the interface's sake: nothing is written in these.
func (o outside) NewEncoder() *encoding.Encoder { return encoding.Nop.NewEncoder() }
