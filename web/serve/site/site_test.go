package site

import (
	"net/http"
	"strings"
	"testing"
)

func TestRead(t *testing.T) {
	rules, err := Read(strings.NewReader("# all\n/*\n  X-Content-Type-Options: nosniff\n\tReferrer-Policy: no-referrer\n\n/parts/*.js\n  Cache-Control: immutable\n/parts/a.js\n  Cache-Control: public\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ path, name, want string }{
		{"/", "X-Content-Type-Options", "nosniff"},
		{"/none", "Referrer-Policy", "no-referrer"},
		{"/none.js", "Cache-Control", ""},
		{"/parts/b.js", "Cache-Control", "immutable"},
		{"/parts/.js", "Cache-Control", "immutable"},
		{"/parts/b.js/", "Cache-Control", ""},
		{"/parts/a.js", "Cache-Control", "immutable, public"},
	} {
		h := http.Header{}
		rules.Set(h, tt.path)
		if got := h.Get(tt.name); got != tt.want {
			t.Errorf("%s: %s is %q, want %q", tt.path, tt.name, got, tt.want)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "no rules",
		"  A: b\n/*\n":              "line 1",
		"/*\n  A: b\nparts/*\n":     "line 3",
		"/*/*\n  A: b\n":            "line 1",
		"/*\n  A b\n":               "line 2",
		"/*\n  A:\n":                "line 2",
		"/*\n  A b: c\n":            "line 2",
		"/*\n  : c\n":               "line 2",
		"/*\n  Ok: c\n\n  B\x00: c": "line 4",
	} {
		if _, err := Read(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want one with %q", text, err, want)
		}
	}
}
