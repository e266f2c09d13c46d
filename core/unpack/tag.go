package unpack

import (
	"bytes"
	"strconv"
	"unicode/utf8"

	"plateau/core/say"
)

// start reads a start tag and gives its length; 0 where it is not all there.
func (x *xmlReader) start(b []byte) (int, error) {
	k := 1 + nameEnd(b[1:])
	if k == len(b) {
		return 0, nil
	}
	if k == 1 {
		return 0, errXML
	}
	whole := b[1:k]
	x.attrs = x.attrs[:0]
	for {
		for k < len(b) && isBlank(b[k]) {
			k++
		}
		switch {
		case k+1 >= len(b) && (k == len(b) || b[k] == '/'):
			return 0, nil
		case b[k] == '>':
			return k + 1, x.push(whole, false)
		case b[k] == '/' && b[k+1] == '>':
			return k + 2, x.push(whole, true)
		}
		n := nameEnd(b[k:])
		name := b[k : k+n]
		k += n
		for k < len(b) && isBlank(b[k]) {
			k++
		}
		if k == len(b) {
			return 0, nil
		}
		if n == 0 || b[k] != '=' {
			return 0, errXML
		}
		for k++; k < len(b) && isBlank(b[k]); k++ {
		}
		if k == len(b) {
			return 0, nil
		}
		quote := b[k]
		if quote != '"' && quote != '\'' {
			return 0, errXML
		}
		from := k + 1
		for k = from; k < len(b) && b[k] != quote; k++ {
			if b[k] == '<' {
				return 0, errXML
			}
		}
		if k == len(b) {
			return 0, nil
		}
		space, local := cutSpace(name)
		x.attrs = append(x.attrs, attribute{space, local, b[from:k]})
		k++
	}
}

func nameEnd(b []byte) int {
	for k, c := range b {
		if c <= '>' && (isBlank(c) || c == '/' || c == '>' || c == '=' || c == '<' || c == '"' || c == '\'' || c == '&') {
			return k
		}
	}
	return len(b)
}

func isBlank(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

func cutSpace(name []byte) (space, local []byte) {
	if k := bytes.IndexByte(name, ':'); k > 0 && k < len(name)-1 {
		return name[:k], name[k+1:]
	}
	return nil, name
}

func (x *xmlReader) push(name []byte, shut bool) error {
	if len(x.starts) >= x.most {
		return xmlError(say.Later("the XML is nested too deeply"))
	}
	if len(x.starts) == 0 && x.begun {
		return errXML // a second root
	}
	x.begun = true
	x.starts = append(x.starts, len(x.names))
	x.names = append(x.names, name...)
	x.space, x.name = cutSpace(name)
	x.shut = shut
	return nil
}

func (x *xmlReader) pop() error {
	last := len(x.starts) - 1
	x.space, x.name = cutSpace(x.names[x.starts[last]:])
	x.names = x.names[:x.starts[last]]
	x.starts = x.starts[:last]
	return nil
}

// attr is an attribute's value by its prefix, nil for one without, and its
// local name; nil where there is none. It is valid until the next call.
func (x *xmlReader) attr(space []byte, name string) []byte {
	for _, a := range x.attrs {
		if string(a.name) == name && bytes.Equal(a.space, space) {
			if bytes.IndexByte(a.value, '&') < 0 {
				return a.value
			}
			x.value = unescape(x.value[:0], a.value)
			return x.value
		}
	}
	return nil
}

// number is an attribute that is a whole number from 0 on; otherwise none.
func (x *xmlReader) number(space []byte, name string, none int) int {
	n, err := strconv.ParseUint(string(x.attr(space, name)), 10, 31)
	if err != nil {
		return none
	}
	return int(n)
}

// longestReference is that of &#x10FFFF; with zeros to spare.
const longestReference = 32

// reference reads a reference to a character.
func (x *xmlReader) reference() error {
	for {
		rest := x.buf[x.at:x.have]
		n := bytes.IndexByte(rest[:min(len(rest), longestReference)], ';')
		if n > 0 && len(x.starts) > 0 {
			r, ok := character(rest[1:n])
			if !ok {
				return errXML
			}
			x.text = utf8.AppendRune(x.char[:0], r)
			x.at += n + 1
			return nil
		}
		if len(rest) >= longestReference || len(x.starts) == 0 || !x.fill() {
			return x.stop()
		}
	}
}

// character is what a reference means (XML 1.0 sections 4.1 and 4.6).
func character(ref []byte) (rune, bool) {
	switch string(ref) {
	case "amp":
		return '&', true
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	if len(ref) < 2 || ref[0] != '#' {
		return 0, false
	}
	base, digits := 10, ref[1:]
	if digits[0] == 'x' {
		base, digits = 16, digits[1:]
	}
	n, err := strconv.ParseUint(string(digits), base, 32)
	if err != nil || n > utf8.MaxRune || n == 0 || n >= 0xd800 && n < 0xe000 {
		return 0, false
	}
	return rune(n), true
}

// unescape replaces the references in an attribute; one that means nothing
// stays as it is.
func unescape(to, from []byte) []byte {
	for {
		k := bytes.IndexByte(from, '&')
		if k < 0 {
			return append(to, from...)
		}
		to = append(to, from[:k]...)
		from = from[k:]
		n := bytes.IndexByte(from, ';')
		if n > 0 {
			if r, ok := character(from[1:n]); ok {
				to = utf8.AppendRune(to, r)
				from = from[n+1:]
				continue
			}
		}
		to = append(to, '&')
		from = from[1:]
	}
}
