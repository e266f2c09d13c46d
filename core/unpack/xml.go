package unpack

import (
	"bytes"
	"errors"
	"io"
	"unicode/utf8"

	"plateau/core/say"
)

// xmlReader takes an XML document apart, piece by piece, in a window of fixed
// size: encoding/xml holds each text and tag whole, which a hostile file can
// make as long as it likes, and takes several times as long. What the two
// office formats do not use is refused: a DTD (and so entities of one's own),
// encodings other than UTF-8. Source: XML 1.0, fifth edition.
type xmlReader struct {
	src  io.Reader
	buf  []byte
	at   int // next byte to look at
	have int
	end  error // of src
	most int   // depth

	names  []byte // the open elements' names in a row …
	starts []int  // … and where each begins
	attrs  []attribute
	shut   bool // the start tag was its own end tag
	cdata  bool
	marked bool // the place of a byte order mark was passed
	begun  bool // the root element was seen

	// Of the last token; valid until the next.
	space []byte // prefix of the element's name
	name  []byte // its local part
	text  []byte
	char  [utf8.UTFMax]byte
	value []byte // of the last attribute asked for, where it had references
}

type attribute struct {
	space, name, value []byte
}

type token uint8

const (
	startTag token = iota
	endTag
	charData // a piece; one text can come in several
)

// window is the longest tag.
const window = 64 << 10

// xmlError is a rule that a document breaks, in English.
type xmlError string

func (e xmlError) Error() string { return say.Text(string(e)) }

const errXML = xmlError(say.Later("the XML is not well-formed"))

func newXML(src io.Reader, lim Limits) *xmlReader {
	return &xmlReader{src: src, buf: make([]byte, window), most: lim.Depth}
}

// depth is how many elements are open; at a start tag that one counts, at an
// end tag it does not.
func (x *xmlReader) depth() int { return len(x.starts) }

// fill gets more bytes into the window and tells whether there were any.
func (x *xmlReader) fill() bool {
	if x.end != nil {
		return false
	}
	if x.at > 0 {
		x.have = copy(x.buf, x.buf[x.at:x.have])
		x.at = 0
	}
	for x.have < len(x.buf) && x.end == nil {
		var n int
		n, x.end = x.src.Read(x.buf[x.have:])
		x.have += n
		if n > 0 {
			return true
		}
	}
	return false
}

// stop is why there are no more bytes: damage, the end, or a full window.
func (x *xmlReader) stop() error {
	if x.end != nil && !errors.Is(x.end, io.EOF) {
		return x.end
	}
	return errXML
}

// next is the next token; io.EOF after the root element.
func (x *xmlReader) next() (token, error) {
	if x.shut {
		x.shut = false
		return endTag, x.pop()
	}
	if !x.marked {
		x.passMark()
	}
	for {
		if x.at == x.have && !x.fill() {
			if len(x.starts) > 0 || !x.begun || !errors.Is(x.end, io.EOF) {
				return 0, x.stop()
			}
			return 0, io.EOF
		}
		rest := x.buf[x.at:x.have]
		if x.cdata {
			if x.section(rest) {
				return charData, nil
			}
			if x.cdata && !x.fill() {
				return 0, x.stop()
			}
			continue
		}
		switch rest[0] {
		case '<':
			tok, ok, err := x.markup()
			if err != nil || ok {
				return tok, err
			}
		case '&':
			if err := x.reference(); err != nil {
				return 0, err
			}
			return charData, nil
		default:
			n := 0
			for n < len(rest) && rest[n] != '<' && rest[n] != '&' {
				n++
			}
			x.text = rest[:n]
			x.at += n
			if len(x.starts) > 0 {
				return charData, nil
			}
			if len(bytes.Trim(x.text, " \t\r\n")) > 0 {
				return 0, errXML
			}
		}
	}
}

// passMark goes past a byte order mark.
func (x *xmlReader) passMark() {
	const mark = "\xef\xbb\xbf"
	x.marked = true
	for x.have < len(mark) && x.fill() {
	}
	if bytes.HasPrefix(x.buf[:x.have], []byte(mark)) {
		x.at = len(mark)
	}
}

// section is a piece of a CDATA section, where there is one to give.
func (x *xmlReader) section(rest []byte) bool {
	n := bytes.Index(rest, []byte("]]>"))
	switch {
	case n >= 0:
		x.cdata = false
		x.text = rest[:n]
		x.at += n + 3
	case len(rest) > 2:
		n = len(rest) - 2 // they may be the beginning of its end
		x.text = rest[:n]
		x.at += n
	default:
		return false
	}
	return n > 0
}

// markup reads what begins with '<'; ok where it makes a token.
func (x *xmlReader) markup() (tok token, ok bool, err error) {
	for {
		rest := x.buf[x.at:x.have]
		n := 0
		switch {
		case len(rest) < 2:
		case rest[1] == '?':
			if n = bytes.Index(rest, []byte("?>")) + 2; n >= 4 {
				err = checkEncoding(rest[:n])
				x.at += n
				return 0, false, err
			}
		case rest[1] == '!':
			done, err := x.bang(rest)
			if done || err != nil {
				return 0, false, err
			}
		case rest[1] == '/':
			if n = x.ends(rest); n > 0 {
				x.at += n
				return endTag, true, x.pop()
			}
			if n = bytes.IndexByte(rest, '>'); n > 0 {
				x.at += n + 1
				name := bytes.TrimRight(rest[2:n], " \t\r\n")
				if len(x.starts) == 0 || !bytes.Equal(name, x.names[x.starts[len(x.starts)-1]:]) {
					return 0, false, errXML
				}
				return endTag, true, x.pop()
			}
		default:
			if n, err = x.start(rest); err != nil {
				return 0, false, err
			}
			if n > 0 {
				x.at += n
				return startTag, true, nil
			}
		}
		if !x.fill() {
			return 0, false, x.stop()
		}
	}
}

// ends is the length of an end tag that is written in the plainest way and
// fits the open element; 0 for any other.
func (x *xmlReader) ends(b []byte) int {
	if len(x.starts) == 0 {
		return 0
	}
	name := x.names[x.starts[len(x.starts)-1]:]
	n := len("</") + len(name)
	if len(b) > n && b[n] == '>' && string(b[2:n]) == string(name) {
		return n + 1
	}
	return 0
}

// bang goes past a comment and into a CDATA section.
func (x *xmlReader) bang(rest []byte) (done bool, err error) {
	const comment, section = "<!--", "<![CDATA["
	switch {
	case bytes.HasPrefix(rest, []byte(comment)):
		x.at += len(comment)
		return true, x.past("-->")
	case bytes.HasPrefix(rest, []byte(section)):
		if len(x.starts) == 0 {
			return false, errXML
		}
		x.at += len(section)
		x.cdata = true
		return true, nil
	case len(rest) < len(section) && (bytes.HasPrefix([]byte(comment), rest) || bytes.HasPrefix([]byte(section), rest)):
		return false, nil
	}
	return false, xmlError(say.Later("the XML has a document type of its own"))
}

// past goes on behind a mark, however far away that is.
func (x *xmlReader) past(mark string) error {
	for {
		rest := x.buf[x.at:x.have]
		if n := bytes.Index(rest, []byte(mark)); n >= 0 {
			x.at += n + len(mark)
			return nil
		}
		x.at += max(0, len(rest)-len(mark)+1)
		if !x.fill() {
			return x.stop()
		}
	}
}

// checkEncoding refuses an XML declaration that names another encoding than
// UTF-8 and its subset.
func checkEncoding(declaration []byte) error {
	if !bytes.HasPrefix(declaration, []byte("<?xml ")) {
		return nil
	}
	_, rest, found := bytes.Cut(declaration, []byte("encoding"))
	if !found {
		return nil
	}
	rest = bytes.TrimLeft(rest, " \t\r\n=\"'")
	for _, known := range []string{"utf-8", "utf8", "us-ascii"} {
		if len(rest) > len(known) && bytes.EqualFold(rest[:len(known)], []byte(known)) && (rest[len(known)] == '"' || rest[len(known)] == '\'') {
			return nil
		}
	}
	return xmlError(say.Later("the XML is not in UTF-8"))
}

// skip goes to the end of the element that has just begun.
func (x *xmlReader) skip() error {
	for outside := x.depth() - 1; x.depth() > outside; {
		if _, err := x.next(); err != nil {
			return err
		}
	}
	return nil
}
