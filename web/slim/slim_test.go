package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// built is a Go program for js/wasm.
func built(t *testing.T) []byte {
	t.Helper()
	out := filepath.Join(t.TempDir(), "program.wasm")
	build := exec.Command("go", "build", "-buildvcs=false", "-trimpath", "-ldflags=-s -w", "-o", out, "./testdata/program")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if text, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// ran is what a program prints under node, with the toolchain's own script.
func ran(t *testing.T, program []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "program.wasm")
	if err := os.WriteFile(path, program, 0o644); err != nil {
		t.Fatal(err)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command("node", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), path)
	run.Env = []string{"PATH=" + os.Getenv("PATH")} // the runtime takes few
	text, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return string(text)
}

// A slimmed program does as it did, recovers where it did, knows its packages
// by name, and has lost its functions' names and lines.
func TestSlimmedProgramRuns(t *testing.T) {
	whole := built(t)
	small, note, err := slim(whole)
	if err != nil || note != "" {
		t.Fatalf("error %v, note %q", err, note)
	}
	const saved = "a\nb\n<nil>\nvalue method main.saver.save called using nil *saver pointer\n"
	if got := ran(t, whole); got != "20000 true true true true\n"+saved {
		t.Errorf("as built: %q", got)
	}
	if got := ran(t, small); got != "20000 true true false false\n"+strings.Replace(saved, "saver.save called using nil *saver", "?.? called using nil *?", 1) {
		t.Errorf("slimmed: %q", got)
	}
}

// Where nothing is left out, the memory is the same byte for byte, and so is
// every other section.
func TestPiecesKeepTheMemory(t *testing.T) {
	m, err := parse(built(t))
	if err != nil {
		t.Fatal(err)
	}
	again, err := parse(m.with(m.memory()))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(m.memory(), again.memory()) || !reflect.DeepEqual(m.sections, again.sections) {
		t.Error("the module is another one")
	}
	if len(again.pieces) >= len(m.pieces)/100 {
		t.Errorf("%d pieces of %d", len(again.pieces), len(m.pieces))
	}
}

func TestSplit(t *testing.T) {
	mem := make([]byte, 3*gap)
	mem[3], mem[3+gap], mem[3*gap-1] = 1, 2, 3
	got := split(mem)
	if len(got) != 2 || got[0].at != 3 || len(got[0].bytes) != gap+1 || got[1].at != 3*gap-1 || len(got[1].bytes) != 1 {
		t.Errorf("got %v", got)
	}
}

// What is not known is left as it is, or refused; cut off anywhere, it is
// refused and not panicked over.
func TestStrangeModules(t *testing.T) {
	whole := built(t)
	for _, n := range []int{0, 7, 8, 9, 100, len(whole) / 2, len(whole) - 1} {
		if _, _, err := slim(whole[:n]); err == nil {
			t.Errorf("%d of %d bytes are taken", n, len(whole))
		}
	}
	other := bytes.Replace(whole, tableMagic, append([]byte{0xf2}, tableMagic[1:]...), 1)
	out, note, err := slim(other)
	if err != nil || note == "" {
		t.Errorf("another table: error %v, note %q", err, note)
	}
	a, _ := parse(other)
	b, err := parse(out)
	if err != nil || !bytes.Equal(a.memory(), b.memory()) {
		t.Errorf("another table: its memory is changed, error %v", err)
	}
	m, err := parse(whole)
	if err != nil {
		t.Fatal(err)
	}
	good := m.memory()
	at := bytes.Index(good, tableMagic)
	for k := 8; k < 72; k++ {
		for _, flip := range []byte{1, 0x80, 0xff} {
			bad := bytes.Clone(good)
			bad[at+k] ^= flip
			was := bytes.Clone(bad)
			if err := dropWords(bad); err != nil && !bytes.Equal(bad, was) {
				t.Errorf("byte %d of the table: refused, and changed", k)
			}
		}
	}
}

// As the module is instantiated, before any of Go runs, its start function makes
// of the differences what they were: byte for byte the memory that they are of.
func TestStartAddsUp(t *testing.T) {
	whole := built(t)
	small, note, err := slim(whole)
	if err != nil || note != "" {
		t.Fatalf("error %v, note %q", err, note)
	}
	m, _ := parse(whole)
	want := m.memory()
	if err := dropWords(want); err != nil {
		t.Fatal(err)
	}
	s, err := parse(small)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(s.memory(), want) {
		t.Error("the memory is not written as differences")
	}
	path := filepath.Join(t.TempDir(), "program.wasm")
	if err := os.WriteFile(path, small, 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := exec.Command("node", "-e", `
		const module = new WebAssembly.Module(require('fs').readFileSync(process.argv[1]));
		const imports = {};
		for (const { module: from, name } of WebAssembly.Module.imports(module)) (imports[from] ??= {})[name] = () => {};
		const { mem } = new WebAssembly.Instance(module, imports).exports;
		process.stdout.write(Buffer.from(mem.buffer, 0, Number(process.argv[2])));
	`, path, strconv.Itoa(len(want))).Output()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("the memory at the start is another one")
	}
}
