package main

import (
	"html"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"plateau/web/serve/site"
)

var files = fstest.MapFS{
	"index.html":   {Data: []byte("<!doctype html><title>x</title>")},
	"loader.js":    {Data: []byte("1;")},
	"style.css":    {Data: []byte("a{}")},
	"mark.svg":     {Data: []byte("<svg/>")},
	"plateau.wasm": {Data: []byte("\x00asm")},
	"sub/any.bin":  {Data: []byte("x")},
}

func get(t *testing.T, method, target string, header http.Header) *http.Response {
	t.Helper()
	r := httptest.NewRequest(method, target, nil)
	for k, v := range header {
		r.Header[k] = v
	}
	w := httptest.NewRecorder()
	handler(files).ServeHTTP(w, r)
	return w.Result()
}

// Media types: the WHATWG HTML standard wants text/javascript for scripts, the
// WebAssembly Web API refuses to compile a stream that is not application/wasm.
func TestTypesAndStatus(t *testing.T) {
	for _, tt := range []struct {
		target string
		status int
		kind   string
	}{
		{"/", 200, "text/html; charset=utf-8"},
		{"/index.html", 200, "text/html; charset=utf-8"},
		{"/loader.js", 200, "text/javascript; charset=utf-8"},
		{"/style.css", 200, "text/css; charset=utf-8"},
		{"/mark.svg", 200, "image/svg+xml"},
		{"/plateau.wasm", 200, "application/wasm"},
		{"/sub/any.bin", 200, "application/octet-stream"},
		{"/sub/", 404, "text/plain; charset=utf-8"},
		{"/none.js", 404, "text/plain; charset=utf-8"},
		{"/../serve_test.go", 404, "text/plain; charset=utf-8"},
		{"/%2e%2e/%2e%2e/etc/passwd", 404, "text/plain; charset=utf-8"},
	} {
		res := get(t, "GET", tt.target, nil)
		if res.StatusCode != tt.status || res.Header.Get("Content-Type") != tt.kind {
			t.Errorf("%s: %d %q, want %d %q", tt.target, res.StatusCode, res.Header.Get("Content-Type"), tt.status, tt.kind)
		}
	}
}

func TestHeadersOnEveryAnswer(t *testing.T) {
	for _, c := range [][2]string{{"GET", "/"}, {"GET", "/none"}, {"POST", "/"}, {"HEAD", "/plateau.wasm"}} {
		res := get(t, c[0], c[1], nil)
		for name, want := range map[string]string{
			"Referrer-Policy":              "no-referrer",
			"X-Content-Type-Options":       "nosniff",
			"Cross-Origin-Opener-Policy":   "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin",
		} {
			if got := res.Header.Get(name); got != want {
				t.Errorf("%s %s: %s is %q, want %q", c[0], c[1], name, got, want)
			}
		}
		csp := res.Header.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "connect-src 'self'", "form-action 'none'", "frame-ancestors 'none'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s %s: policy %q lacks %q", c[0], c[1], csp, want)
			}
		}
	}
	if res := get(t, "POST", "/", nil); res.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("POST: %d, want 405", res.StatusCode)
	}
}

func TestETag(t *testing.T) {
	first := get(t, "GET", "/plateau.wasm", nil)
	tag := first.Header.Get("ETag")
	if tag == "" || first.Header.Get("Cache-Control") != "no-cache" {
		t.Fatalf("ETag %q, Cache-Control %q", tag, first.Header.Get("Cache-Control"))
	}
	again := get(t, "GET", "/plateau.wasm", http.Header{"If-None-Match": {tag}})
	body, _ := io.ReadAll(again.Body)
	if again.StatusCode != http.StatusNotModified || len(body) != 0 {
		t.Errorf("same ETag: %d with %d bytes, want 304 with none", again.StatusCode, len(body))
	}
	if other := get(t, "GET", "/loader.js", nil).Header.Get("ETag"); other == tag {
		t.Error("two files share an ETag")
	}
}

// The page must carry the same policy when it is opened from a disk or served
// by something that sends no headers. A <meta> may not say frame-ancestors:
// Content Security Policy Level 3, section 3.3.
func TestMetaCarriesThePolicy(t *testing.T) {
	page, err := os.ReadFile("../index.html")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`(?s)<meta\s+http-equiv="Content-Security-Policy"\s+content="([^"]*)"`).FindSubmatch(page)
	if m == nil {
		t.Fatal("index.html has no Content-Security-Policy")
	}
	got := strings.Join(strings.Fields(html.UnescapeString(string(m[1]))), " ")
	want := strings.TrimSuffix(site.Policy, "; "+site.FrameAncestors)
	if got != want {
		t.Errorf("policy in index.html\n got %s\nwant %s", got, want)
	}
}

func TestListenTakesAFreePort(t *testing.T) {
	first, err := listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer first.Close()
	taken := first.Addr().(*net.TCPAddr).Port
	second, err := listen(taken)
	if err != nil {
		t.Fatalf("port taken: %v, want a free one", err)
	}
	defer second.Close()
	addr := second.Addr().(*net.TCPAddr)
	if addr.Port == taken || !addr.IP.IsLoopback() {
		t.Errorf("listening at %v, want another port of the loopback interface", addr)
	}
}
