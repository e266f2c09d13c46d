package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// named is a program of the toolchain's with the names of its functions in a
// section of their own ("name", WebAssembly Core Specification, 7.4.1), and those.
func named(t *testing.T, source string) (program []byte, names map[int]string) {
	t.Helper()
	folder := t.TempDir()
	path, out := filepath.Join(folder, "main.go"), filepath.Join(folder, "program.wasm")
	if err := os.WriteFile(path, []byte(source), 0o644); err != nil {
		t.Fatal(err)
	}
	build := exec.Command("go", "build", "-o", out, path)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if text, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	program, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	m, err := parse(program)
	if err != nil {
		t.Fatal(err)
	}
	imported, err := m.imported()
	if err != nil {
		t.Fatal(err)
	}
	names = map[int]string{}
	for _, s := range m.sections {
		r := reader{b: s.body}
		if s.id != 0 || string(r.take(r.unsigned())) != "name" {
			continue
		}
		for r.p < len(r.b) && r.err == nil {
			kind, body := r.byte(), r.take(r.unsigned())
			if kind != 1 { // function names
				continue
			}
			in := reader{b: body}
			for range in.unsigned() {
				k := in.unsigned() - imported
				names[k] = string(in.take(in.unsigned()))
			}
		}
	}
	if len(names) == 0 {
		t.Fatal("the program has no names of functions")
	}
	return program, names
}

// bodies are those of the module's own functions.
func bodies(t *testing.T, program []byte) []string {
	t.Helper()
	m, err := parse(program)
	if err != nil {
		t.Fatal(err)
	}
	r := reader{b: *m.body(codeSection)}
	list := make([]string, r.unsigned())
	for k := range list {
		list[k] = string(r.take(r.unsigned()))
	}
	return list
}

// The functions that lose their bodies are those that are named, by the linker's
// own account of their names, and no other.
func TestUnusedAreEmptied(t *testing.T) {
	program, names := named(t, "package main\n\nimport \"fmt\"\n\nfunc main() { fmt.Println(\"here\") }\n")
	small, _, err := slim(program)
	if err != nil {
		t.Fatal(err)
	}
	emptied := map[string]bool{}
	for k, body := range bodies(t, small) {
		if body == string(trap) {
			emptied[names[k]] = true
		}
	}
	for _, wanted := range []string{"runtime.initMetrics", "runtime.schedtrace", "runtime.traceAdvance", "runtime.traceLocker.GoStart"} {
		if !emptied[wanted] {
			t.Errorf("%s is whole", wanted)
		}
	}
	for name := range emptied {
		if !strings.Contains(name, "race") && !regexp.MustCompile(`initMetrics|checkFinalizers|profBuf|RecordGoroutineProfile|makeTraceFrame|fpunwind|dump(Stacks|Types)Rec`).MatchString(name) {
			t.Errorf("%s is empty", name)
		}
	}
	if emptied["runtime.traceback2"] || emptied["runtime.traceLocker.ok"] {
		t.Error("what is called is empty")
	}
	if got := ran(t, small); got != "here\n" {
		t.Errorf("the program prints %q", got)
	}
}

// A program that reads what they write keeps them.
func TestUsersKeepThem(t *testing.T) {
	program, _ := named(t, "package main\n\nimport \"runtime/metrics\"\n\nfunc main() { println(len(metrics.All()) > 9)\n\ts := []metrics.Sample{{Name: \"/sched/gomaxprocs:threads\"}}\n\tmetrics.Read(s)\n\tprintln(s[0].Value.Uint64() > 0) }\n")
	small, _, err := slim(program)
	if err != nil {
		t.Fatal(err)
	}
	for k, body := range bodies(t, small) {
		if body == string(trap) {
			t.Fatalf("function %d is empty", k)
		}
	}
	if got := ran(t, small); got != "true\ntrue\n" {
		t.Errorf("the program prints %q", got)
	}
}
