package workspace

import (
	"strconv"
	"unicode/utf16"
	"unicode/utf8"

	"plateau/core/say"
)

// deepest is how deep JSON values may lie in each other.
const deepest = 100

// validJSON tells whether b is one JSON value in UTF-8 (RFC 8259), and if not
// where it breaks.
func validJSON(b []byte) error {
	if !utf8.Valid(b) {
		return say.Error("it is not UTF-8")
	}
	s := scanner{s: b}
	s.value(0)
	s.blank()
	if s.broken || s.at < len(b) {
		return say.Error("it is no JSON from its byte %d on", s.at)
	}
	return nil
}

// validObject is validJSON for a value in braces.
func validObject(b []byte) error {
	err := validJSON(b)
	s := scanner{s: b}
	if s.blank(); err == nil && s.peek() != '{' {
		err = say.Error("it is no JSON object")
	}
	return err
}

// scanner goes past JSON values. It stays where it broke.
type scanner struct {
	s      []byte
	at     int
	broken bool
}

func (s *scanner) peek() byte {
	if s.broken || s.at >= len(s.s) {
		return 0
	}
	return s.s[s.at]
}

func (s *scanner) blank() {
	for c := s.peek(); c == ' ' || c == '\n' || c == '\t' || c == '\r'; c = s.peek() {
		s.at++
	}
}

// take goes past c, or breaks.
func (s *scanner) take(c byte) {
	if s.peek() != c {
		s.broken = true
	} else {
		s.at++
	}
}

func (s *scanner) value(depth int) {
	s.blank()
	switch c := s.peek(); {
	case depth > deepest:
		s.broken = true
	case c == '{' || c == '[':
		s.each(depth, nil)
	case c == '"':
		s.text()
	case c == '-' || c >= '0' && c <= '9':
		s.number()
	case c == 't':
		s.word("true")
	case c == 'f':
		s.word("false")
	case c == 'n':
		s.word("null")
	default:
		s.broken = true
	}
}

func (s *scanner) word(w string) {
	for k := range len(w) {
		s.take(w[k])
	}
}

func (s *scanner) digits() {
	if c := s.peek(); c < '0' || c > '9' {
		s.broken = true
	}
	for c := s.peek(); c >= '0' && c <= '9'; c = s.peek() {
		s.at++
	}
}

func (s *scanner) number() {
	if s.peek() == '-' {
		s.at++
	}
	if s.peek() == '0' {
		s.at++
	} else {
		s.digits()
	}
	if s.peek() == '.' {
		s.at++
		s.digits()
	}
	if c := s.peek(); c == 'e' || c == 'E' {
		s.at++
		if c := s.peek(); c == '+' || c == '-' {
			s.at++
		}
		s.digits()
	}
}

// text goes past a text in quotes.
func (s *scanner) text() {
	s.take('"')
	for !s.broken {
		switch c := s.peek(); {
		case c == '"':
			s.at++
			return
		case c < ' ':
			s.broken = true
		case c == '\\':
			s.at++
			switch s.peek() {
			case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
				s.at++
			case 'u':
				s.at++
				for range 4 {
					if _, ok := hexDigit(s.peek()); !ok {
						s.broken = true
					} else {
						s.at++
					}
				}
			default:
				s.broken = true
			}
		default:
			s.at++
		}
	}
}

func hexDigit(c byte) (int, bool) {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0'), true
	case c|0x20 >= 'a' && c|0x20 <= 'f':
		return int(c|0x20) - 'a' + 10, true
	}
	return 0, false
}

// each goes through the fields of an object or the items of a list, whose names
// are empty.
func (s *scanner) each(depth int, f func(name string, value []byte)) {
	named := s.peek() == '{'
	end := byte(']')
	if named {
		end = '}'
	}
	s.at++
	if s.blank(); s.peek() == end {
		s.at++
		return
	}
	for !s.broken {
		name := ""
		if named {
			s.blank()
			from := s.at
			s.text()
			if !s.broken && f != nil {
				name = unquote(s.s[from:s.at])
			}
			s.blank()
			s.take(':')
		}
		s.blank()
		from := s.at
		s.value(depth + 1)
		if s.broken {
			return
		}
		if f != nil {
			f(name, s.s[from:s.at])
		}
		s.blank()
		if s.peek() == end {
			s.at++
			return
		}
		s.take(',')
	}
}

// each goes through the fields or items of valid JSON; of a value that has none
// there are none.
func each(b []byte, f func(name string, value []byte)) {
	s := scanner{s: b}
	s.blank()
	if c := s.peek(); c == '{' || c == '[' {
		s.each(0, f)
	}
}

// unquote is the text that valid JSON says; "" where it is no text.
func unquote(b []byte) string {
	if len(b) < 2 || b[0] != '"' {
		return ""
	}
	b = b[1 : len(b)-1]
	var out []byte
	for k := 0; k < len(b); k++ {
		if b[k] != '\\' {
			out = append(out, b[k])
			continue
		}
		k++
		switch b[k] {
		case 'b':
			out = append(out, '\b')
		case 'f':
			out = append(out, '\f')
		case 'n':
			out = append(out, '\n')
		case 'r':
			out = append(out, '\r')
		case 't':
			out = append(out, '\t')
		case 'u':
			r := hex4(b[k+1:])
			k += 4
			if utf16.IsSurrogate(r) && k+6 < len(b) && b[k+1] == '\\' && b[k+2] == 'u' {
				if both := utf16.DecodeRune(r, hex4(b[k+3:])); both != utf8.RuneError {
					r, k = both, k+6
				}
			}
			out = utf8.AppendRune(out, r)
		default:
			out = append(out, b[k])
		}
	}
	return string(out)
}

func hex4(b []byte) (r rune) {
	for _, c := range b[:4] {
		d, _ := hexDigit(c)
		r = r<<4 | rune(d)
	}
	return r
}

// whole is a number that valid JSON says; false where it is no whole one.
func whole(b []byte) (int64, bool) {
	n, err := strconv.ParseInt(string(b), 10, 64)
	return n, err == nil
}

// appendText writes a text in quotes, so that it does no harm in a page either.
// What is no UTF-8 becomes U+FFFD.
func appendText(b []byte, s string) []byte {
	const digits = "0123456789abcdef"
	b = append(b, '"')
	last := rune(0)
	for _, r := range s {
		switch {
		case r == '"' || r == '\\' || r == '/' && last == '<':
			b = append(b, '\\', byte(r))
		case r < ' ' || r == 0x7f || r == '\u2028' || r == '\u2029':
			b = append(b, '\\', 'u', digits[r>>12&15], digits[r>>8&15], digits[r>>4&15], digits[r&15])
		default:
			b = utf8.AppendRune(b, r)
		}
		last = r
	}
	return append(b, '"')
}
