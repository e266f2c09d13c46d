package logfile

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"plateau/core/say"
)

// Encoding is a way to write text as bytes that logs are found in.
type Encoding struct {
	Name string // as the trade calls it, and as Rules name it
	enc  encoding.Encoding
}

// UTF8 needs no decoding.
var utf8Encoding = Encoding{Name: "UTF-8"}

// Encodings lists what can be read, UTF-8 first.
var Encodings = []Encoding{
	utf8Encoding,
	{"UTF-16 LE", unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)},
	{"UTF-16 BE", unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)},
	{"windows-1252", windows1252},
	{"windows-1250", windows1250},
	{"windows-1251", windows1251},
	{"GB18030", gb18030},
	{"Shift-JIS", shiftJIS},
}

func encodingNamed(name string) (Encoding, bool) {
	for _, e := range Encodings {
		if e.Name == name {
			return e, true
		}
	}
	return Encoding{}, false
}

// guessEncoding tells how a log's first bytes are encoded, how surely, and why.
func guessEncoding(head []byte) (Encoding, Guess) {
	guess := func(name string, sure Sure, why string) (Encoding, Guess) {
		e, _ := encodingNamed(name)
		return e, Guess{"encoding", name, sure, why}
	}
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		return guess("UTF-8", Certain, say.Later("byte order mark"))
	case bytes.HasPrefix(head, []byte("\xff\xfe")):
		return guess("UTF-16 LE", Certain, say.Later("byte order mark"))
	case bytes.HasPrefix(head, []byte("\xfe\xff")):
		return guess("UTF-16 BE", Certain, say.Later("byte order mark"))
	}
	var even, odd int // NULs, as the digits of UTF-16 leave them
	sample := head[:min(len(head), 4096)]
	for k, c := range sample {
		if c == 0 && k%2 == 0 {
			even++
		} else if c == 0 {
			odd++
		}
	}
	switch n := len(sample); {
	case odd*4 > n && even*20 < n:
		return guess("UTF-16 LE", Certain, say.Later("every second byte is zero"))
	case even*4 > n && odd*20 < n:
		return guess("UTF-16 BE", Certain, say.Later("every second byte is zero"))
	}
	if validUTF8(head) {
		return guess("UTF-8", Certain, say.Later("all bytes fit it"))
	}
	return guessByWords(head)
}

// validUTF8 forgives a character that is cut off by the end of head.
func validUTF8(head []byte) bool {
	for cut := 0; cut < utf8.UTFMax && cut < len(head); cut++ {
		if utf8.Valid(head[:len(head)-cut]) {
			return true
		}
	}
	return len(head) == 0
}

// guessByWords decodes the lines that are not ASCII in each way and takes the
// one in which most cells name a quantity or a unit.
func guessByWords(head []byte) (Encoding, Guess) {
	var lines [][]byte
	for _, l := range bytes.FieldsFunc(head, func(r rune) bool { return r == '\n' || r == '\r' }) {
		if len(lines) < 12 && len(l) < 2000 && !ascii(l) {
			lines = append(lines, l)
		}
	}
	best, most, second := Encodings[3], 0, 0
	for _, e := range Encodings[3:] {
		n := 0
		for _, l := range lines {
			text, err := e.enc.NewDecoder().Bytes(l)
			if err != nil {
				continue
			}
			for _, part := range []string{",;\t|", ",;\t|\" "} {
				for _, cell := range bytes.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(part, r) }) {
					n += sense(string(cell))
				}
			}
			n -= 3 * bytes.Count(text, []byte("\ufffd"))
		}
		switch {
		case n > most:
			best, most, second = e, n, most
		case n > second:
			second = n
		}
	}
	sure, why := Likely, say.Later("the header's words make sense that way")
	if most == 0 || most == second {
		why = say.Later("no word tells; only the letters of names depend on it")
	}
	return best, Guess{"encoding", best.Name, sure, why}
}

// sense is how much a cell says in words and units that are not ASCII, which
// another encoding would have spoilt.
func sense(cell string) int {
	n := 0
	if ascii([]byte(cell)) {
		return 0
	}
	name, unit := splitUnit(strings.TrimSpace(headReplacer.Replace(cell)))
	if !ascii([]byte(name)) {
		if kind, score := readName(name); kind != Unknown {
			n += score
		}
	}
	if unit != "" && !ascii([]byte(unit)) {
		n += 2
	}
	return n
}

func ascii(b []byte) bool {
	for _, c := range b {
		if c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// decoder turns a stream of bytes into UTF-8, piece by piece. Bytes that make
// no character become U+FFFD.
type decoder struct {
	t    transform.Transformer
	left []byte // the beginning of a character
}

func (e Encoding) decoder() *decoder {
	if e.enc == nil {
		return nil
	}
	return &decoder{t: e.enc.NewDecoder()}
}

// decode appends the text of src to dst; last says that no more comes.
func (d *decoder) decode(dst, src []byte, last bool) []byte {
	if len(d.left) > 0 {
		src = append(d.left, src...)
	}
	for {
		dst = grow(dst, 2*len(src)+64)
		nDst, nSrc, err := d.t.Transform(dst[len(dst):cap(dst)], src, last)
		dst, src = dst[:len(dst)+nDst], src[nSrc:]
		switch err {
		case transform.ErrShortDst:
			continue
		case nil, transform.ErrShortSrc:
			d.left = append([]byte(nil), src...)
			return dst
		default: // a decoder of text gives no other; lose the byte, not the log
			src = src[min(1, len(src)):]
		}
	}
}

// grow makes room for n more bytes.
func grow(b []byte, n int) []byte {
	if cap(b)-len(b) >= n {
		return b
	}
	grown := make([]byte, len(b), 2*(len(b)+n))
	copy(grown, b)
	return grown
}
