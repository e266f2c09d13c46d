package unpack

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

// ours and theirs take a document apart into the same lines: a start tag with
// its attributes, an end tag, or a text with its line ends made '\n' (XML 1.0
// section 2.11, which ours leaves to the cells).
func ours(r io.Reader) (lines []string, err error) {
	x := newXML(r, Default)
	text := ""
	flush := func() {
		if text = normal(text); text != "" {
			lines = append(lines, "text "+text)
		}
		text = ""
	}
	for {
		tok, err := x.next()
		if err == io.EOF {
			return lines, nil
		}
		if err != nil {
			return lines, err
		}
		switch tok {
		case charData:
			text += string(x.text)
			continue
		case startTag:
			flush()
			line := "start " + string(x.space) + ":" + string(x.name)
			for _, a := range x.attrs {
				line += fmt.Sprintf(" %s:%s=%q", a.space, a.name, normal(string(unescape(nil, a.value))))
			}
			lines = append(lines, line)
		case endTag:
			flush()
			lines = append(lines, "end "+string(x.space)+":"+string(x.name))
		}
	}
}

func theirs(r io.Reader) (lines []string, err error) {
	d := xml.NewDecoder(r)
	text, depth := "", 0
	var open []xml.Name
	flush := func() {
		if text != "" {
			lines = append(lines, "text "+text)
		}
		text = ""
	}
	for {
		tok, err := d.RawToken()
		if err == io.EOF {
			if depth > 0 || len(lines) == 0 {
				return lines, io.ErrUnexpectedEOF
			}
			return lines, nil
		}
		if err != nil {
			return lines, err
		}
		switch tok := tok.(type) {
		case xml.CharData:
			if depth == 0 {
				if strings.Trim(string(tok), " \t\r\n") != "" {
					return lines, errors.New("text outside")
				}
				continue
			}
			text += normal(string(tok))
		case xml.StartElement:
			flush()
			if depth == 0 && len(lines) > 0 {
				return lines, errors.New("a second root")
			}
			depth++
			open = append(open, tok.Name)
			line := "start " + tok.Name.Space + ":" + tok.Name.Local
			for _, a := range tok.Attr {
				line += fmt.Sprintf(" %s:%s=%q", a.Name.Space, a.Name.Local, normal(a.Value))
			}
			lines = append(lines, line)
		case xml.EndElement:
			flush()
			if depth--; depth < 0 || open[depth] != tok.Name {
				return lines, errors.New("tags do not match")
			}
			open = open[:depth]
			lines = append(lines, "end "+tok.Name.Space+":"+tok.Name.Local)
		case xml.Directive:
			return lines, errors.New("a document type")
		}
	}
}

func normal(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
}

var documents = []string{
	`<a/>`, `<a></a>`, ` <a b="1" c:d='x"y'>t<e/>u</a> `, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\r\n<a>\r\n1\r2</a>\n",
	`<a><!-- b --><c/><!-- > -- ></a>`, `<a>&lt;&#65;&#x3a9;&amp;amp;</a>`, `<a><![CDATA[<b>&]]]]></a>`, `<a><![CDATA[]]></a>`, `<a b="&quot;&#10;"/>`,
	`<a b = "1"	c="2" />`, `<a><b></a></b>`, `<a>`, `</a>`, `<a/><b/>`, `<a/>x`, `x<a/>`, `<a b=1/>`, `<a b/>`, `<a "b"/>`, `<a b="1"c="2"/>`, `<a b="<"/>`,
	`<!DOCTYPE a><a/>`, `<a>&b;</a>`, `<a>&#0;</a>`, `<a>&;</a>`, `<a><!x></a>`, `<a><?b c?>d</a>`, `<a><b/ ></a>`, `< a/>`, `<a>]]</a>`, `<a :b="1" c:="2"/>`, "\u0085<a/>", "\xef\xbb\xbf<a/>", "\xef\xbb", "<a b=\"\r\"/>", `<x:y x:z="1"></x:y>`, ``, ` `, `<`, `<a`, `<a/`, `<a b="`, `<a>&#x`, `<a><![CDATA[`, `<a><!--`, `<a><?`,
	`<?xml version="1.0" encoding="utf-16"?><a/>`, `<?xml version='1.0' encoding='us-ascii'?><a/>`,
}

// encoding/xml is the reference: what it reads ours reads, and the same of it.
func TestXMLAgainstEncodingXML(t *testing.T) {
	for _, doc := range documents {
		compareXML(t, doc)
	}
}

func FuzzXML(f *testing.F) {
	for _, doc := range documents {
		f.Add(doc)
	}
	f.Fuzz(func(t *testing.T, doc string) { compareXML(t, doc) })
}

func compareXML(t *testing.T, doc string) {
	got, err := ours(strings.NewReader(doc))
	slow, slowErr := ours(iotest.OneByteReader(strings.NewReader(doc)))
	if fmt.Sprint(got, err) != fmt.Sprint(slow, slowErr) {
		t.Errorf("%q: byte by byte it is %q, %v; at once %q, %v", doc, slow, slowErr, got, err)
	}
	want, wantErr := theirs(strings.NewReader(doc))
	if wantErr != nil {
		return // ours is a little more lenient with names and characters
	}
	if err != nil {
		// What it refuses on purpose.
		for _, limit := range []string{"nested", "UTF-8"} {
			if strings.Contains(err.Error(), limit) {
				return
			}
		}
		t.Errorf("%q: %v, encoding/xml reads %q", doc, err, want)
		return
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%q:\n%q, encoding/xml:\n%q", doc, got, want)
	}
}

// A tag that is longer than the window is refused, a text is not.
func TestXMLWindow(t *testing.T) {
	long := strings.Repeat("x", 3*window)
	if lines, err := ours(strings.NewReader("<a>" + long + "</a>")); err != nil || len(lines) != 3 || len(lines[1]) != len("text ")+len(long) {
		t.Errorf("%d lines, %v", len(lines), err)
	}
	for _, doc := range []string{`<a b="` + long + `"/>`, "<" + long, "<a></" + long, "<a>&" + long} {
		if _, err := ours(strings.NewReader(doc)); !errors.Is(err, errXML) {
			t.Errorf("%.20s: %v", doc, err)
		}
	}
	if _, err := ours(strings.NewReader("<a><!--" + long + "--><?x " + "y?></a>")); err != nil {
		t.Error(err)
	}
}
