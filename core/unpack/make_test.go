package unpack

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"strings"
	"testing"
)

// packed is one file of an archive that a test makes.
type packed struct {
	name, text string
	stored     bool
	flags      uint16
}

func makeZip(t testing.TB, files ...packed) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		h := &zip.FileHeader{Name: f.name, Method: zip.Deflate, Flags: f.flags}
		if f.stored || strings.HasSuffix(f.name, "/") {
			h.Method = zip.Store
		}
		w, err := z.CreateHeader(h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(f.text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func makeGzip(t testing.TB, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const (
	relTypes  = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	mainSpace = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
)

// bookXML is an .xlsx in the making.
type bookXML struct {
	pr     string // of the workbook
	sheets []sheetXML
	shared string // inside of sst
	styles string // inside of styleSheet
}

type sheetXML struct {
	name, state string
	data        string // inside of sheetData
}

func (b bookXML) files() []packed {
	var list, rels strings.Builder
	files := []packed{{name: "[Content_Types].xml", text: "<Types/>"},
		{name: "_rels/.rels", text: `<Relationships><Relationship Id="rId1" Type="` + relTypes + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`}}
	for k, s := range b.sheets {
		state := ""
		if s.state != "" {
			state = ` state="` + s.state + `"`
		}
		fmt.Fprintf(&list, `<sheet name="%s" sheetId="%d"%s r:id="rId%d"/>`, s.name, k+1, state, k+1)
		fmt.Fprintf(&rels, `<Relationship Id="rId%d" Type="%s/worksheet" Target="worksheets/sheet%d.xml"/>`, k+1, relTypes, k+1)
		files = append(files, packed{name: fmt.Sprintf("xl/worksheets/sheet%d.xml", k+1),
			text: `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n" + `<worksheet xmlns="` + mainSpace + `"><dimension ref="A1"/><sheetData>` + s.data + `</sheetData><pageMargins left="0.7"/></worksheet>`})
	}
	return append(files,
		packed{name: "xl/workbook.xml", text: `<workbook xmlns="` + mainSpace + `" xmlns:r="` + relTypes + `">` + b.pr + `<sheets>` + list.String() + `</sheets></workbook>`},
		packed{name: "xl/_rels/workbook.xml.rels", text: `<Relationships>` + rels.String() + `</Relationships>`},
		packed{name: "xl/sharedStrings.xml", text: `<sst xmlns="` + mainSpace + `">` + b.shared + `</sst>`},
		packed{name: "xl/styles.xml", text: `<styleSheet xmlns="` + mainSpace + `">` + b.styles + `</styleSheet>`})
}

func (b bookXML) pack(t testing.TB) []byte { return makeZip(t, b.files()...) }

const odsSpaces = `xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"`

// makeODS packs a workbook of which body is the inside of office:spreadsheet
// and styles that of office:automatic-styles.
func makeODS(t testing.TB, styles, body string) []byte {
	t.Helper()
	return makeZip(t, packed{name: "mimetype", text: "application/vnd.oasis.opendocument.spreadsheet"},
		packed{name: "META-INF/manifest.xml", text: "<manifest:manifest/>"},
		packed{name: "content.xml", text: `<?xml version="1.0" encoding="UTF-8"?><office:document-content ` + odsSpaces +
			`><office:automatic-styles>` + styles + `</office:automatic-styles><office:body><office:spreadsheet>` + body +
			`</office:spreadsheet></office:body></office:document-content>`})
}

// read walks through a packed file and gives its logs by name, in order.
func read(t testing.TB, name string, b []byte, lim Limits) (names []string, logs map[string]string, left []LeftOut, err error) {
	t.Helper()
	logs = map[string]string{}
	left, err = Walk(name, bytes.NewReader(b), int64(len(b)), lim, func(p Part) error {
		var text strings.Builder
		n, err := p.WriteTo(&text)
		if n != int64(text.Len()) {
			t.Errorf("%s: WriteTo says %d bytes, %d came", p.Name, n, text.Len())
		}
		if err == nil {
			names = append(names, p.Name)
			logs[p.Name] = text.String()
		}
		return nil
	})
	return names, logs, left, err
}

// only is the text of the one log that a packed file has to have.
func only(t testing.TB, b []byte) string {
	t.Helper()
	names, logs, left, err := read(t, "book", b, Default)
	if err != nil || len(names) != 1 {
		t.Fatalf("logs %q, left out %v, error %v; want one log", names, left, err)
	}
	return logs[names[0]]
}

const someLog = "Time / s,Voltage / V,Current / A\n0,4.1,2\n10,4.0,2\n20,3.9,2\n"
