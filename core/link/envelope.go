package link

import (
	"encoding/binary"
	"hash/crc32"
	"strconv"
	"strings"

	"plateau/core/say"
)

const (
	// Longest is how many characters a link's text has at most.
	Longest = 200_000
	version = '1'
	letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
)

// Broken says in a sentence what is wrong with a link and what to do. Text is in
// English where it has no values.
type Broken struct{ Text string }

func (b *Broken) Error() string { return say.Text(b.Text) }

// Newer says that a link was made by a later version.
type Newer struct{}

func (Newer) Error() string {
	return say.Text("This link was made by a newer Plateau. Open it there, or reload this page to get the newest.")
}

// base64 is RFC 4648 section 5, without padding.
func base64(b []byte) string {
	s := make([]byte, 0, (len(b)*8+5)/6)
	acc, bits := uint(0), 0
	for _, x := range b {
		acc, bits = acc<<8|uint(x), bits+8
		for bits >= 6 {
			bits -= 6
			s = append(s, letters[acc>>bits&63])
		}
	}
	if bits > 0 {
		s = append(s, letters[acc<<(6-bits)&63])
	}
	return string(s)
}

// value is a letter's number; -1 for none.
func value(c byte) int {
	switch {
	case c >= 'A' && c <= 'Z':
		return int(c - 'A')
	case c >= 'a' && c <= 'z':
		return int(c-'a') + 26
	case c >= '0' && c <= '9':
		return int(c-'0') + 52
	case c == '-':
		return 62
	case c == '_':
		return 63
	}
	return -1
}

// bytesOf reads base64. Bits left over are nought, or the text was not made by
// base64.
func bytesOf(s string) (b []byte, ok bool) {
	b = make([]byte, 0, len(s)*6/8)
	acc, bits := uint(0), 0
	for k := 0; k < len(s); k++ {
		v := value(s[k])
		if v < 0 {
			return nil, false
		}
		acc, bits = acc<<6|uint(v), bits+6
		if bits >= 8 {
			bits -= 8
			b = append(b, byte(acc>>bits))
		}
	}
	return b, bits < 6 && acc&(1<<bits-1) == 0
}

// seal makes a link's text of its body.
func seal(body []byte) string {
	b := binary.AppendUvarint(nil, uint64(len(body)))
	b = binary.BigEndian.AppendUint32(b, checksum(len(body), body))
	return string(version) + base64(append(b, body...))
}

// checksum is CRC-32 as in RFC 1952 over the version, the length and the body.
func checksum(n int, body []byte) uint32 {
	head := binary.AppendUvarint([]byte{version}, uint64(n))
	return crc32.Update(crc32.ChecksumIEEE(head), crc32.IEEETable, body)
}

func tooLong(text string) error {
	return &Broken{say.With("This is too long for a link of Plateau: it has %d characters, and %d are the most.", len(text), Longest)}
}

// open checks a link's text, as people pass it on, and gives its body.
func open(text string) ([]byte, error) {
	if len(text) > 4*Longest {
		return nil, tooLong(text)
	}
	s := tidy(text)
	switch {
	case s == "":
		return nil, &Broken{say.Later("This link is empty: nothing stands after its #. Copy the whole of it, or ask for it again.")}
	case len(s) > Longest:
		return nil, tooLong(s)
	case s[0] > version && s[0] <= '9':
		return nil, Newer{}
	case s[0] != version:
		return nil, &Broken{say.Later("This is no link of Plateau: what stands after its # does not begin as one. Copy the whole of it, or ask for it again.")}
	}
	// The length is in the first characters; 4 give 3 bytes.
	head, _ := bytesOf(s[1:min(len(s), 1+8)])
	n, used := binary.Uvarint(head)
	if used <= 0 && len(s) > 8 || n > Longest {
		return nil, &Broken{say.Later("This link is damaged: it does not say how long it is. Ask for it again.")}
	}
	whole := 1 + ((used+4+int(n))*8+5)/6
	if used <= 0 || len(s) < whole {
		if used > 0 {
			return nil, &Broken{say.With("This link is cut off: %d of %d characters are missing at its end. Copy the whole of it, or ask for it again.", whole-len(s), whole)}
		}
		return nil, &Broken{say.Later("This link is cut off: some characters are missing at its end. Copy the whole of it, or ask for it again.")}
	}
	for k := 0; k < whole; k++ {
		if value(s[k]) < 0 {
			return nil, &Broken{say.With("This link is damaged: its character %d is none that a link has. Copy the whole of it, or ask for it again.", k+1)}
		}
	}
	b, ok := bytesOf(s[1:whole])
	if !ok || binary.BigEndian.Uint32(b[used:]) != checksum(int(n), b[used+4:]) {
		return nil, &Broken{say.Later("This link is damaged: its characters do not fit its checksum. Copy the whole of it, or ask for it again.")}
	}
	return b[used+4:], nil
}

// tidy takes what programs put around and into a link away from it: the
// address before the #, blanks and line ends, escapes, brackets and stops.
func tidy(s string) string {
	if k := strings.LastIndexByte(s, '#'); k >= 0 {
		s = s[k+1:]
	}
	out := make([]byte, 0, len(s))
	for k := 0; k < len(s); k++ {
		b := s[k]
		if b == '%' && k+2 < len(s) {
			if x, err := strconv.ParseUint(s[k+1:k+3], 16, 8); err == nil {
				b = byte(x)
				k += 2
			}
		}
		if b > ' ' {
			out = append(out, b)
		}
	}
	s = string(out)
	// Soft hyphens, zero-width and no-break spaces that a program put in.
	for _, blank := range []string{"\u00AD", "\u200B", "\u2060", "\u00A0", "\uFEFF"} {
		s = strings.ReplaceAll(s, blank, "")
	}
	first, last := 0, len(s)
	for first < last && value(s[first]) < 0 {
		first++
	}
	for last > first && value(s[last-1]) < 0 {
		last--
	}
	return s[first:last]
}
