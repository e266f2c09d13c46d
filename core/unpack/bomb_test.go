package unpack

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
)

// mostMemory is what 1 MB of input may take.
const mostMemory = 64 << 20

// watched is a packed file that notes, each time that it is read or its text
// written, how much memory the walk has taken from the system's heap.
type watched struct {
	*bytes.Reader
	before, most uint64
	text         int64
	quick        bool // without watching
}

func watch(b []byte) *watched {
	runtime.GC()
	w := &watched{Reader: bytes.NewReader(b)}
	w.before = inUse()
	return w
}

func inUse() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapInuse + m.StackInuse
}

func (w *watched) note() {
	if w.quick {
		return
	}
	if now := inUse(); now > w.before {
		w.most = max(w.most, now-w.before)
	}
}

func (w *watched) ReadAt(p []byte, at int64) (int, error) {
	w.note()
	return w.Reader.ReadAt(p, at)
}

func (w *watched) Write(p []byte) (int, error) {
	w.note()
	w.text += int64(len(p))
	return len(p), nil
}

// walk reads all of it, and nothing into memory.
func (w *watched) walk(lim Limits) (given int, left []LeftOut, err error) {
	left, err = Walk("bomb", w, w.Size(), lim, func(p Part) error {
		if _, err := p.WriteTo(w); err == nil {
			given++
		}
		return nil
	})
	w.note()
	return given, left, err
}

// zeros packs a prefix and n bytes after it.
func zeros(t testing.TB, name, prefix string, n int, fill string) packed {
	t.Helper()
	return packed{name: name, text: prefix + strings.Repeat(fill, n/len(fill))}
}

// overlapping is an archive in which n entries share the bytes of one (after
// D. Fifield, "A better zip bomb", WOOT 2019, in its simplest form); told is
// how many it says they are.
func overlapping(t testing.TB, n, told, size int) []byte {
	t.Helper()
	one := makeZip(t, zeros(t, "a.csv", "", size, "0"))
	start := bytes.LastIndex(one, []byte("PK\x01\x02"))
	end := bytes.LastIndex(one, []byte("PK\x05\x06"))
	record := one[start:end]
	b := append([]byte{}, one[:start]...)
	for range n {
		b = append(b, record...)
	}
	tail := append([]byte{}, one[end:]...)
	tail[8], tail[9] = byte(told), byte(told>>8)
	tail[10], tail[11] = tail[8], tail[9]
	length := n * len(record)
	for k := range 4 {
		tail[12+k] = byte(length >> (8 * k))
	}
	return append(b, tail...)
}

func TestBombs(t *testing.T) {
	sheet := func(data string) []packed { return bookXML{sheets: []sheetXML{{name: "S", data: data}}}.files() }
	with := func(files []packed, name, text string) []packed {
		for k := range files {
			if files[k].name == name {
				files[k].text = text
			}
		}
		return files
	}
	book := func(files []packed) []byte { return makeZip(t, files...) }
	var wide strings.Builder
	for k := range 30_000 {
		fmt.Fprintf(&wide, `<row r="%d"><c r="A%d"><v>1</v></c><c r="XFD%d"><v>1</v></c></row>`, k+1, k+1, k+1)
	}
	many := make([]packed, 10_000)
	for k := range many {
		many[k] = packed{name: "a", text: ""}
	}
	sheets := make([]sheetXML, 1001)
	for k := range sheets {
		sheets[k] = sheetXML{name: strings.Repeat("n", 2000), data: ""}
	}
	const mega = 1 << 20
	for _, tt := range []struct {
		what string
		b    []byte
		say  string // of the error
	}{
		{"a gzip of zeros", makeGzip(t, strings.Repeat("\x00", 300*mega)), "far more than its size"},
		{"a zip of zeros", makeZip(t, zeros(t, "a.csv", "", 100*mega, "0")), "far more than its size"},
		{"a thousand entries that share their bytes", overlapping(t, 1000, 1000, mega), "far more than its size"},
		{"more entries than it says", overlapping(t, 20_000, 10, 1000), ""},
		{"10 000 entries", makeZip(t, many...), "more than 1000 files"},
		{"an archive in an archive, of zeros", makeZip(t, zeros(t, "b.zip", "PK\x03\x04", 100*mega, "\x00")), "memory"},
		{"a book in a gzip, of zeros", makeGzip(t, "PK\x03\x04"+strings.Repeat("\x00", 100*mega)), "memory"},
		{"one text without end", book(with(sheet(""), "xl/sharedStrings.xml", "<sst><si><t>"+strings.Repeat("a", 80*mega))), "more than 131072 characters"},
		{"millions of blank texts", book(with(sheet(""), "xl/sharedStrings.xml", "<sst>"+strings.Repeat("<si/>", 15*mega))), "memory"},
		{"long texts", book(with(sheet(""), "xl/sharedStrings.xml", "<sst>"+strings.Repeat("<si><t>"+strings.Repeat("a", 130_000)+"</t></si>", 1000))), "memory"},
		{"a tag without end", book(with(sheet(""), "xl/workbook.xml", "<workbook "+strings.Repeat("a", 80*mega))), "not well-formed"},
		{"attributes without end", book(with(sheet(""), "xl/workbook.xml", "<workbook "+strings.Repeat("a='' ", 15*mega))), "not well-formed"},
		{"a comment without end", book(with(sheet(""), "xl/workbook.xml", "<!--"+strings.Repeat("a", 80*mega))), "far more than its size"},
		{"elements in elements", book(with(sheet(""), "xl/workbook.xml", "<workbook>"+strings.Repeat("<"+strings.Repeat("a", 60_000)+">", 1000))), "nested too deeply"},
		{"number formats without end", book(with(sheet(""), "xl/styles.xml", "<styleSheet><numFmts>"+strings.Repeat("<numFmt numFmtId='1'/>", 5*mega))), "far more than its size"},
		{"styles without end", book(with(sheet(""), "xl/styles.xml", "<styleSheet><cellXfs>"+strings.Repeat("<xf/>", 15*mega))), "styles"},
		{"a cell without end", book(sheet("<row><c><v>" + strings.Repeat("1", 80*mega))), "more than 131072 characters"},
		{"cells without end", book(sheet("<row>" + strings.Repeat("<c/>", 15*mega))), "far more than its size"},
		{"numbers without end", book(sheet("<row>" + strings.Repeat("<c><v>1</v></c>", 10*mega))), "beyond column 16384"},
		{"rows without end", book(sheet(strings.Repeat("<row/>", 10*mega))), "more than 1048576 rows"},
		{"blanks between cells", book(sheet(wide.String())), "million cells"},
		{"a thousand sheets with long names", bookXML{sheets: sheets}.pack(t), "more than 1000 files"},
		{"sheets without end", makeODS(t, "", strings.Repeat("<table:table/>", 10*mega)), "more than 1000 files"},
		{"styles of sheets without end", makeODS(t, strings.Repeat("<style:style style:name='"+strings.Repeat("a", 250)+"'><style:table-properties table:display='false'/></style:style>", 300_000), odsTable(odsNumbers)), ""},
		{"a row that is repeated", makeODS(t, "", odsTable(`<table:table-row table:number-rows-repeated="1000000"><table:table-cell office:value-type="string" table:number-columns-repeated="9"><text:p>`+strings.Repeat("a", 100_000)+`</text:p></table:table-cell></table:table-row>`)), "far more than its size"},
		{"blanks that are repeated", makeODS(t, "", odsTable(`<table:table-row><table:table-cell><text:p>`+strings.Repeat(`<text:s text:c="2000000000"/>`, 100)+`</text:p></table:table-cell></table:table-row>`)), "more than 131072 characters"},
	} {
		w := watch(tt.b)
		_, left, err := w.walk(Default)
		said := Told(left)
		var f *Fault
		if err != nil {
			said += err.Error()
			if !errors.As(err, &f) {
				t.Errorf("%s: %v is no fault", tt.what, err)
			}
		}
		if !strings.Contains(said, tt.say) {
			t.Errorf("%s: %q does not say %q", tt.what, said, tt.say)
		}
		if w.most > mostMemory || len(tt.b) > 1_100_000 {
			t.Errorf("%s: %d bytes took %.1f MB", tt.what, len(tt.b), float64(w.most)/1e6)
		}
		t.Logf("%-42s %8d bytes in, %5.1f MB of memory, %6.1f MB of text", tt.what, len(tt.b), float64(w.most)/1e6, float64(w.text)/1e6)
	}
}

// A packed file of the bounds' size that keeps to them is read: the bounds are
// not in the way of logs.
func TestLongSheetIsRead(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	const rows = 200_000
	var data strings.Builder
	for k := range rows {
		fmt.Fprintf(&data, `<row r="%d"><c r="A%d"><v>%d</v></c><c r="B%d"><v>%.4f</v></c><c r="C%d"><v>2</v></c></row>`, k+1, k+1, k, k+1, 4.1-float64(k)/rows, k+1)
	}
	b := bookXML{sheets: []sheetXML{{name: "Run", data: data.String()}}}.pack(t)
	w := watch(b)
	given, left, err := w.walk(Default)
	if given != 1 || len(left) > 0 || err != nil || w.text < rows*10 {
		t.Errorf("%d given, left out %v, %v", given, left, err)
	}
	t.Logf("%d rows: %.1f MB in, %.1f MB of memory", rows, float64(len(b))/1e6, float64(w.most)/1e6)
}

// FuzzOpen looks for a file that breaks an opener: it must neither panic nor
// hang, nor take more than 64 MB for 1 MB, and what it says must be words.
func FuzzOpen(f *testing.F) {
	book := bookXML{sheets: []sheetXML{{name: "Run", data: numbers(3)}, {name: "B", state: "hidden", data: `<row r="2"><c r="B2" t="s" s="1"><v>0</v></c></row>`}}, styles: dates, shared: "<si><t>a</t></si>"}
	f.Add(book.pack(f))
	stored := book.files()
	for k := range stored {
		stored[k].stored = true // so that the fuzzer gets at the XML
	}
	f.Add(makeZip(f, stored...))
	ods := makeODS(f, `<style:style style:name="h"><style:table-properties table:display="false"/></style:style>`, odsTable(odsNumbers))
	f.Add(ods)
	f.Add(restored(f, ods))
	f.Add(makeZip(f, packed{name: "a.csv", text: someLog}, packed{name: "b.csv.gz", text: string(makeGzip(f, someLog))}, packed{name: "c.xlsx", text: string(makeZip(f, stored...)), stored: true}))
	f.Add(makeGzip(f, someLog))
	f.Add(overlapping(f, 3, 3, 100))
	cut := makeZip(f, packed{name: "a.csv", text: someLog}, packed{name: "b.csv", text: someLog, stored: true})
	f.Add(cut[:bytes.Index(cut, []byte("PK\x01\x02"))])
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<20 {
			return
		}
		lim := Default
		lim.Bytes = 64 << 20 // time, not memory
		before := allocated()
		given, left, err := (&watched{Reader: bytes.NewReader(b), quick: true}).walk(lim)
		if allocated()-before > mostMemory { // in all; was it so at a time?
			w := watch(b)
			if _, _, err := w.walk(lim); w.most > mostMemory {
				t.Errorf("%d bytes took %.1f MB (%v)", len(b), float64(w.most)/1e6, err)
			}
		}
		var fault *Fault
		if err != nil && (!errors.As(err, &fault) || len(err.Error()) < 20) {
			t.Errorf("%v is no fault in words", err)
		}
		if err == nil && given == 0 {
			t.Error("nothing was given, and nothing said")
		}
		for _, l := range left {
			if l.Name == "" || l.Why == "" {
				t.Errorf("left out without a word: %+v", l)
			}
		}
	})
}

// allocated is how many bytes were allocated since the program began.
func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

// restored is an archive with its entries stored as they are.
func restored(t testing.TB, b []byte) []byte {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	var files []packed
	for _, f := range r.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, packed{name: f.Name, text: string(text), stored: true})
	}
	return makeZip(t, files...)
}
