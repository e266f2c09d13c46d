package workspace_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"plateau/core/workspace"
)

// The standard library's reader finds each part where the package comment says,
// with its check sum, and what a person would read is JSON to its decoder.
func TestZipByStandardLibrary(t *testing.T) {
	c := demoFile()
	z, err := zip.NewReader(bytes.NewReader(c.file), int64(len(c.file)))
	if err != nil {
		t.Fatal(err)
	}
	if z.Comment != "Plateau workspace, version 1" || z.File[0].Name != "plateau.json" || z.File[1].Name != "document.json" || len(z.File) != 2+3*len(c.logs) {
		t.Errorf("%q, %d parts", z.Comment, len(z.File))
	}
	for _, f := range z.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(in) // proves the check sum
		if err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
		if strings.HasSuffix(f.Name, ".json") && !json.Valid(b) {
			t.Errorf("%s is no JSON", f.Name)
		}
		if start, err := f.DataOffset(); err != nil || f.Flags != 0 || len(f.Extra) != 0 || start == 0 {
			t.Errorf("%s: flags %x, extra %x, %v", f.Name, f.Flags, f.Extra, err)
		}
	}
	var list struct {
		Format   string
		Version  int
		Document bool
		Logs     []struct {
			Key, Name, SHA256    string
			Bytes, Head, Samples int
		}
	}
	in := json.NewDecoder(bytes.NewReader(member(t, c.file, "plateau.json")))
	in.DisallowUnknownFields()
	if err := in.Decode(&list); err != nil || list.Format != "Plateau workspace" || list.Version != 1 || !list.Document || len(list.Logs) != len(c.logs) {
		t.Fatal(err, list)
	}
	for k, l := range list.Logs {
		w := c.logs[k]
		if l.Key != c.packed[k].Key || l.Name != w.Name || l.SHA256 != w.SHA256 || l.Bytes != int(w.Bytes) || l.Head != len(w.Head) || l.Samples != w.Trace.Len() {
			t.Errorf("%+v", l)
		}
	}
}

// Unpacked, put into a folder, packed again by another writer, which names sizes
// behind the bytes, in another order and with files of its own: it still opens.
func TestPackedAgain(t *testing.T) {
	c := demoFile()
	z, err := zip.NewReader(bytes.NewReader(c.file), int64(len(c.file)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	add := func(name string, b []byte) {
		f, err := w.Create(name)
		if err == nil {
			_, err = f.Write(b)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	add("my campaign/", nil)
	add("my campaign/notes.txt", []byte("of my own"))
	for k := range z.File {
		f := z.File[len(z.File)-1-k]
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		add("my campaign/"+f.Name, b)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	f, err := workspace.Open(out.Bytes())
	if err != nil || len(f.Lost) > 0 || len(f.Notes) > 0 || string(f.Document) != document || len(f.Logs) != len(c.logs) {
		t.Fatal(err, f.Lost, f.Notes)
	}
	for k, l := range f.Logs {
		if !sameLog(l, c.logs[k]) {
			t.Errorf("%s is not back", l.Name)
		}
	}
	if again := save(string(f.Document), f.Packed...); len(again) < len(c.file)/2 {
		t.Error("not written again")
	} else if g, err := workspace.Open(again); err != nil || len(g.Logs) != len(c.logs) || len(g.Lost) > 0 {
		t.Error(err, g.Lost)
	}
}

// Tools that are none of ours test and list the archive, where they are there.
func TestZipByOtherTools(t *testing.T) {
	if runtime.GOOS == "js" {
		t.Skip("no programs can be started here")
	}
	name := filepath.Join(t.TempDir(), "demo.plateau")
	if err := os.WriteFile(name, demoFile().file, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		tool string
		args []string
		want string
	}{
		{"unzip", []string{"-t", name}, "No errors detected"},
		{"unzip", []string{"-p", name, "document.json"}, document},
		{"python3", []string{"-c", "import sys,zipfile\nz=zipfile.ZipFile(sys.argv[1])\nprint(z.testzip(), len(z.namelist()), z.comment.decode())", name}, "None 53 Plateau workspace, version 1"},
	} {
		path, err := exec.LookPath(x.tool)
		if err != nil {
			t.Logf("%s is not here: not tried", x.tool)
			continue
		}
		out, err := exec.Command(path, x.args...).CombinedOutput()
		if err != nil || !strings.Contains(string(out), x.want) {
			t.Errorf("%s: %v\n%s", x.tool, err, out)
		}
	}
}

// Other archives, and what only looks like one.
func TestForeign(t *testing.T) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	if f, err := w.Create("a/log.csv"); err != nil {
		t.Fatal(err)
	} else if _, err := f.Write([]byte("t/s,U/V,I/A\n")); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for _, b := range [][]byte{out.Bytes(), []byte("PK"), []byte("PK\x03\x04"), []byte("PK\x05\x06" + strings.Repeat("\x00", 18)), []byte("{}"), make([]byte, 1000), bytes.Repeat([]byte("PK\x03\x04"), 1000)} {
		if f, err := workspace.Open(b); err == nil {
			t.Errorf("%.10q is opened: %+v", b, f)
		}
	}
}
