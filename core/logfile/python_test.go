package logfile

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// python is an interpreter that has pandas; the test is skipped where there is
// none.
func python(t *testing.T) string {
	t.Helper()
	for _, dir := range append([]string{""}, filepath.SplitList(os.Getenv("PATH"))...) {
		path, err := exec.LookPath(filepath.Join(dir, "python3"))
		if err == nil && exec.Command(path, "-c", "import pandas").Run() == nil {
			return path
		}
	}
	t.Skip("no python3 with pandas here: the comparison with other readers is skipped")
	return ""
}

// told is a file and its dialect, as the other readers are told it.
type told struct {
	File      string `json:"file"`
	Encoding  string `json:"encoding"`
	Delimiter string `json:"delimiter"`
	Padded    bool   `json:"padded"` // runs of blanks
	Mark      string `json:"mark"`
	Group     string `json:"group"`
	Skip      int    `json:"skip"` // lines above the first row
	Width     int    `json:"width"`
	Columns   []int  `json:"columns"`
	d         *dialect
}

var pythonNames = map[string]string{"UTF-8": "utf-8", "UTF-8 BOM": "utf-8-sig", "UTF-16LE": "utf-16-le", "UTF-16BE": "utf-16-be",
	"UTF-16LE BOM": "utf-16", "UTF-16BE BOM": "utf-16", "windows-1252": "cp1252", "windows-1250": "cp1250", "windows-1251": "cp1251",
	"GB18030": "gb18030", "Shift-JIS": "shift_jis"}

// The csv module of Python and pandas, told each dialect, read the same numbers
// to the last bit as this reader, who works the dialect out. Dialects that they
// cannot be told are left out: a thousands mark or minus sign that is not ASCII,
// lone CR as line end, rows of padded blanks.
func TestReferenceReaders(t *testing.T) {
	interpreter := python(t)
	dir := t.TempDir()
	var files []told
	for seed := uint64(0); len(files) < 400; seed++ {
		d := newDialect(500_000 + seed)
		if !d.plainFloat || d.end == "\r" || d.padded {
			continue
		}
		text, _ := d.encode()
		f := told{File: filepath.Join(dir, fmt.Sprintf("%d.csv", seed)), Encoding: pythonNames[d.encoding], Delimiter: d.delimiter,
			Mark: d.mark, Group: d.group, Skip: d.firstLine, Width: len(d.kinds), d: d}
		if d.trailing {
			f.Width++
		}
		for c, kind := range d.kinds {
			if kind == Voltage || kind == Current || kind == Temperature {
				f.Columns = append(f.Columns, c)
			}
		}
		if err := os.WriteFile(f.File, text, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	ask, err := json.Marshal(files)
	if err != nil {
		t.Fatal(err)
	}
	script, err := filepath.Abs(filepath.Join("testdata", "reference_readers.py"))
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(interpreter, script)
	cmd.Stdin, cmd.Stderr = bytes.NewReader(ask), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers []map[string][][]string
	if err := json.Unmarshal(out, &answers); err != nil {
		t.Fatal(err)
	}
	read, values := 0, 0
	for n, f := range files {
		text, _ := f.d.encode()
		log, err := Read("dialect.csv", bytes.NewReader(text))
		if err != nil {
			continue // TestDialects counts these
		}
		read++
		for reader, columns := range answers[n] {
			values += f.compare(t, reader, columns, log)
		}
	}
	if read < len(files)*9/10 {
		t.Errorf("only %d of %d files were read", read, len(files))
	}
	if testing.Verbose() {
		fmt.Printf("%d files, %d values: as csv and pandas have them, to the last bit\n", read, values)
	}
}

// compare holds what one of the other readers has against ours, in our units,
// and gives the count of values.
func (f *told) compare(t *testing.T, reader string, columns [][]string, log *Log) (n int) {
	for c, column := range columns {
		kind := f.d.kinds[f.Columns[c]]
		if len(column) != log.Trace.Len() {
			t.Errorf("%s has %d rows, we have %d\n%v", reader, len(column), log.Trace.Len(), f.d)
			return n
		}
		for k, hex := range column {
			theirs, err := strconv.ParseFloat(hex, 64)
			if err != nil {
				t.Fatalf("%s: %q", reader, hex)
			}
			u := f.d.unit[kind]
			theirs = float64(theirs*u.Factor) + u.Offset
			ours := log.Trace.Voltage(k)
			switch kind {
			case Current:
				ours = log.Trace.Current(k)
				if f.d.negative {
					theirs = 0 - theirs
				}
			case Temperature:
				ours = log.Trace.Temperature(k)
			}
			if ours != theirs {
				t.Errorf("row %d, %s: %s has %v, we have %v\n%v\n%s", k+1, kind, reader, theirs, ours, f.d, strings.ToValidUTF8(f.d.excerpt(), "?"))
				return n
			}
			n++
		}
	}
	return n
}
