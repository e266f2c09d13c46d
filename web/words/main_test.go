package main

import (
	"strings"
	"testing"
)

func TestList(t *testing.T) {
	const source = `package x
import s "plateau/core/say"
const (
	a = "not one"
	b = s.Later("whole " + "text")
)
var f = fmt.Sprintf("nor this")
func y(n int, name string) {
	s.Text("one"); s.With(("at %d V"), n)
	s.Text(b); s.With(names[n].of, n)
	_ = s.Error("it is \"%s\"", s.Text("inner"))
}`
	texts, faults, err := list("x.go", []byte(source))
	if err != nil || len(faults) > 0 {
		t.Fatal(faults, err)
	}
	var got []string
	for _, x := range texts {
		got = append(got, x.Text)
	}
	if want := "whole text|one|at %d V|it is \"%s\"|inner"; strings.Join(got, "|") != want {
		t.Errorf("found %q, want %q", got, want)
	}
	if texts[0].Line != 5 {
		t.Errorf("the first is in line %d, want 5", texts[0].Line)
	}
}

func TestListFaults(t *testing.T) {
	for _, call := range []string{`say.Error(why)`, `say.Later("a" + why)`, `say.Text("a" + why)`, `say.With(map[int]string{})`} {
		_, faults, err := list("x.go", []byte("package x\nimport \"plateau/core/say\"\nfunc y() { "+call+" }"))
		if err != nil || len(faults) != 1 || !strings.HasPrefix(faults[0], "x.go:3:") {
			t.Errorf("%s: %q, %v", call, faults, err)
		}
	}
}
