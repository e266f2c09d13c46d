package unpack

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
)

func TestZipOfLogs(t *testing.T) {
	b := makeZip(t,
		packed{name: "logs/"},
		packed{name: "logs/a.csv", text: someLog},
		packed{name: "b.TXT", text: "x" + someLog},
		packed{name: "__MACOSX/._a.csv", text: "\x00\x05\x16\x07"},
		packed{name: ".DS_Store", text: "\x00\x00\x00\x01Bud1"},
		packed{name: "photo.jpg", text: "\xff\xd8\xff\xe0 and so on"},
		packed{name: "really a picture.csv", text: "\x89PNG\r\n\x1a\n and so on"},
		packed{name: "report.pdf", text: "%PDF-1.7 and so on"},
		packed{name: "viewer.exe", text: "MZ\x90\x00\x03\x00"},
		packed{name: "MZ cells.csv", text: "MZ cells\n" + someLog},
		packed{name: `win\c.csv`, text: someLog},
		packed{name: "empty.csv"},
	)
	names, logs, left, err := read(t, "logs.zip", b, Default)
	want := []string{"logs.zip › logs/a.csv", "logs.zip › b.TXT", "logs.zip › MZ cells.csv", "logs.zip › win/c.csv"}
	if err != nil || !slices.Equal(names, want) {
		t.Fatalf("%q, %v; want %q", names, err, want)
	}
	if logs[want[0]] != someLog || logs[want[1]] != "x"+someLog {
		t.Errorf("the bytes are not those that were packed: %q", logs)
	}
	whys := map[string]string{"photo.jpg": "a picture", "really a picture.csv": "a picture", "report.pdf": "a document",
		"viewer.exe": "a program", "empty.csv": "empty"}
	quiet := 0
	for _, l := range left {
		if l.Quiet {
			quiet++
			continue
		}
		_, name, _ := strings.Cut(l.Name, " › ")
		if why := whys[name]; why == "" || !strings.Contains(l.Why, why) {
			t.Errorf("%s was left out: %s", name, l.Why)
		}
		delete(whys, name)
	}
	if quiet != 2 || len(whys) > 0 {
		t.Errorf("%d quiet ones, want 2; not left out: %v", quiet, whys)
	}
	if told := Told(left); !strings.HasPrefix(told, "left out: photo.jpg (it is a picture); ") || !strings.HasSuffix(told, "; and 2 more.") {
		t.Error(told)
	}
}

func TestGzip(t *testing.T) {
	two := append(makeGzip(t, someLog), makeGzip(t, "30,3.8,2\n")...) // RFC 1952 section 2.2: members in a row
	for _, tt := range []struct {
		name string
		b    []byte
		part string
		text string
	}{
		{"run.csv.gz", makeGzip(t, someLog), "run.csv", someLog},
		{"RUN.GZ", makeGzip(t, someLog), "RUN", someLog},
		{"run.csv", makeGzip(t, someLog), "run.csv", someLog},
		{"two.gz", two, "two", someLog + "30,3.8,2\n"},
	} {
		names, logs, left, err := read(t, tt.name, tt.b, Default)
		if err != nil || len(left) > 0 || len(names) != 1 || logs[tt.part] != tt.text {
			t.Errorf("%s: %v, %v, %v", tt.name, logs, left, err)
		}
	}
}

func TestOneLevelOfNesting(t *testing.T) {
	book := bookXML{sheets: []sheetXML{{name: "Run", data: numbers(3)}}}.pack(t)
	inner := makeZip(t, packed{name: "deep.csv", text: someLog}, packed{name: "deeper.csv.gz", text: string(makeGzip(t, someLog))})
	b := makeZip(t,
		packed{name: "a.csv.gz", text: string(makeGzip(t, someLog))},
		packed{name: "book.xlsx", text: string(book)},
		packed{name: "stored.xlsx", text: string(book), stored: true},
		packed{name: "inner.zip", text: string(inner)},
	)
	names, logs, left, err := read(t, "all.zip", b, Default)
	want := []string{"all.zip › a.csv", "all.zip › book.xlsx › Run", "all.zip › stored.xlsx › Run", "all.zip › inner.zip › deep.csv"}
	if err != nil || !slices.Equal(names, want) {
		t.Fatalf("%q, %v; want %q", names, err, want)
	}
	if logs[want[0]] != someLog || logs[want[1]] != "0,0.5\n1,0.5\n2,0.5\n" || logs[want[3]] != someLog {
		t.Errorf("%q", logs)
	}
	if len(left) != 1 || !strings.Contains(left[0].Why, "archive in an archive in an archive") {
		t.Errorf("%v", left)
	}
	// A book in a .gz, as some programs send them.
	names, _, _, err = read(t, "book.xlsx.gz", makeGzip(t, string(book)), Default)
	if err != nil || !slices.Equal(names, []string{"book.xlsx › Run"}) {
		t.Errorf("%q, %v", names, err)
	}
}

// A file that cannot be read at all says why, and what to do.
func TestRefused(t *testing.T) {
	locked := makeZip(t, packed{name: "a.csv", text: someLog, flags: 1})
	lockedODS := makeZip(t, packed{name: "mimetype", text: "application/vnd.oasis.opendocument.spreadsheet"},
		packed{name: "META-INF/manifest.xml", text: `<manifest:manifest><manifest:file-entry manifest:full-path="content.xml"><manifest:encryption-data/></manifest:file-entry></manifest:manifest>`},
		packed{name: "content.xml", text: "\x00\x01 not XML"})
	torn := makeGzip(t, strings.Repeat(someLog, 1000))
	tar := strings.Repeat("\x00", 257) + "ustar" + strings.Repeat("\x00", 300)
	for _, tt := range []struct {
		name string
		b    []byte
		say  []string
	}{
		{"empty.bin", nil, []string{"no packed file"}},
		{"a.csv", []byte(someLog), []string{"no packed file"}},
		{"old.xls", []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and so on"), []string{"old kind", "password", ".xlsx"}},
		{"a.ico", []byte("\x00\x00\x01\x00"), []string{"it is a picture. Export the log"}},
		{"a.7z", []byte("7z\xbc\xaf\x27\x1c and so on"), []string{"not read here", ".zip"}},
		{"none.zip", makeZip(t), []string{"no log in it"}},
		{"locked.zip", locked, []string{"a.csv", "password", "drop the logs"}},
		{"locked.ods", lockedODS, []string{"password"}},
		{"torn.csv.gz", torn[:len(torn)/2], []string{"damaged or was cut short", "Copy or download it again"}},
		{"head.gz", torn[:12], []string{"damaged or was cut short"}},
		{"a.tar.gz", makeGzip(t, tar), []string{"tar archive", "Unpack it"}},
		{"a.docx", makeZip(t, packed{name: "word/document.xml", text: "<w/>"}), []string{"not a workbook"}},
		{"a.odt", makeZip(t, packed{name: "mimetype", text: "application/vnd.oasis.opendocument.text"}, packed{name: "content.xml", text: "<x/>"}), []string{"not a workbook"}},
		{"a.xlsb", makeZip(t, packed{name: "xl/workbook.bin", text: "x"}), []string{"own format", ".xlsx"}},
		{"two.zip", makeZip(t, packed{name: "a.png", text: "\x89PNG\r\n\x1a\n"}, packed{name: "b.pdf", text: "%PDF-1"}), []string{"no log in it", "a.png", "b.pdf"}},
		{"hidden.zip", makeZip(t, packed{name: ".a.csv", text: someLog}), []string{"no log in it"}},
	} {
		names, _, _, err := read(t, tt.name, tt.b, Default)
		var f *Fault
		if !errors.As(err, &f) || len(names) > 0 {
			t.Errorf("%s: %q, %v", tt.name, names, err)
			continue
		}
		for _, say := range tt.say {
			if !strings.Contains(f.Error(), say) {
				t.Errorf("%s: %q does not say %q", tt.name, f.Error(), say)
			}
		}
	}
}

// A method of packing that is not read leaves out that entry alone; likewise
// one whose bytes were changed.
func TestGoodPartsOfABadZip(t *testing.T) {
	b := makeZip(t, packed{name: "good.csv", text: someLog},
		packed{name: "bad.csv", text: strings.Repeat(someLog, 50), stored: true},
		packed{name: "other.csv", text: "y" + someLog})
	flip := bytes.Index(b, []byte("bad.csv")) + 500
	b[flip] ^= 0x20
	names, _, left, err := read(t, "b.zip", b, Default)
	if err != nil || !slices.Equal(names, []string{"b.zip › good.csv", "b.zip › other.csv"}) {
		t.Fatalf("%q, %v", names, err)
	}
	if len(left) != 1 || left[0].Name != "b.zip › bad.csv" || !strings.Contains(left[0].Why, "damaged") || left[0].Quiet {
		t.Errorf("%v", left)
	}

	z := makeZip(t, packed{name: "good.csv", text: someLog}, packed{name: "far.csv", text: someLog})
	for _, at := range allIndexes(z, "far.csv") { // the method lies 20 or 18 bytes before, in both headers
		local := bytes.Equal(z[at-30:at-26], []byte("PK\x03\x04"))
		if local {
			z[at-30+8] = 9
		} else {
			z[at-46+10] = 9
		}
	}
	names, _, left, err = read(t, "z.zip", z, Default)
	if err != nil || len(names) != 1 || len(left) != 1 || !strings.Contains(left[0].Why, "method") {
		t.Errorf("%q, %v, %v", names, left, err)
	}
}

func allIndexes(b []byte, s string) (at []int) {
	for k := 0; ; k++ {
		n := bytes.Index(b[k:], []byte(s))
		if n < 0 {
			return at
		}
		k += n
		at = append(at, k)
	}
}

// An archive that was cut short has no directory: the whole entries in front
// are given, wherever the cut is, and the loss is told.
func TestZipCutShort(t *testing.T) {
	texts := []string{someLog, "b" + strings.Repeat(someLog, 100), "c" + someLog}
	var whole, sized bytes.Buffer
	z := zip.NewWriter(&whole)
	s := zip.NewWriter(&sized)
	for k, name := range []string{"a.csv", "b.csv", "c.csv"} {
		f, err := z.Create(name) // sizes come after the data
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(f, texts[k]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := zip.NewReader(bytes.NewReader(whole.Bytes()), int64(whole.Len()))
	if err != nil {
		t.Fatal(err)
	}
	ends := make([]int, 3)
	for k, f := range r.File {
		at, err := f.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		ends[k] = int(at) + int(f.CompressedSize64) + 16
		raw := f.FileHeader // sizes in front
		raw.Flags &^= 8
		w, err := s.CreateRaw(&raw)
		if err != nil {
			t.Fatal(err)
		}
		in, err := f.OpenRaw()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(w, in); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	for end := 1; end < ends[2]+4; end++ {
		want := 0
		for want < 3 && ends[want] <= end {
			want++
		}
		names, logs, left, err := read(t, "cut.zip", whole.Bytes()[:end], Default)
		var f *Fault
		if len(names) != want || (want == 0) != errors.As(err, &f) {
			t.Fatalf("cut at %d: %q, %v; want %d logs", end, names, err, want)
		}
		for k, name := range names {
			if logs[name] != texts[k] {
				t.Fatalf("cut at %d: %s is not what was packed", end, name)
			}
		}
		if told := Told(left); want > 0 && !strings.Contains(told, "the rest (the archive is damaged or was cut short after its first ") {
			t.Fatalf("cut at %d: %q", end, told)
		}
	}
	cut := bytes.Index(sized.Bytes(), []byte("PK\x01\x02"))
	names, _, _, err := read(t, "sized.zip", sized.Bytes()[:cut-10], Default)
	if err != nil || len(names) != 2 {
		t.Errorf("sizes in front: %q, %v", names, err)
	}
	// Cut within the directory, nothing is lost, and nothing said.
	names, _, left, err := read(t, "sized.zip", sized.Bytes()[:cut+10], Default)
	if err != nil || len(names) != 3 || len(left) > 0 {
		t.Errorf("cut in the directory: %q, %v, %v", names, left, err)
	}
	book := bookXML{sheets: []sheetXML{{name: "Run", data: numbers(300)}}}.pack(t)
	names, _, _, err = read(t, "book.xlsx", book[:len(book)*3/4], Default)
	if err == nil || len(names) > 0 || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("half a workbook: %q, %v", names, err)
	}
}

func TestCallersErrorEndsTheWalk(t *testing.T) {
	b := makeZip(t, packed{name: "a.csv", text: someLog}, packed{name: "b.csv", text: someLog})
	mine := errors.New("no room")
	calls := 0
	_, err := Walk("a.zip", bytes.NewReader(b), int64(len(b)), Default, func(p Part) error {
		calls++
		_, err := p.WriteTo(full{mine})
		return err
	})
	if !errors.Is(err, mine) || calls != 1 {
		t.Errorf("%v after %d calls", err, calls)
	}
}

type full struct{ err error }

func (f full) Write([]byte) (int, error) { return 0, f.err }

func TestNamesAreFitForAMessage(t *testing.T) {
	for name, want := range map[string]string{
		"a\nb.csv":                        "ab.csv",
		"\u202egnp.csv":                   "gnp.csv",
		"":                                "unnamed",
		"\x83e\x83X.csv":                  "\ufffde\ufffdX.csv",
		strings.Repeat("a", 200) + ".csv": strings.Repeat("a", 60) + "…" + strings.Repeat("a", 56) + ".csv",
	} {
		if got := clean(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}
