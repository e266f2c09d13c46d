package main

import (
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"strings"
	"testing"
	"testing/fstest"
)

// rules are those that the build writes for these files.
func rules(t *testing.T) []byte {
	t.Helper()
	script := `import { headers } from '../build/headers.mjs';
process.stdout.write(headers(['index.html', '404.html', 'mark.svg', 'manifest.webmanifest', 'licences.txt', 'parts/a.1.js', 'parts/a.1.css', 'parts/a.1.wasm', 'parts/a.1.png']));`
	out, err := exec.Command("node", "--input-type=module", "-e", script).Output()
	if err != nil {
		t.Fatalf("the build's headers: %v", err)
	}
	return out
}

func served(t *testing.T) http.Handler {
	t.Helper()
	s, err := newServer(fstest.MapFS{
		"_headers":             {Data: rules(t)},
		"index.html":           {Data: []byte("<!doctype html><title>x</title>")},
		"404.html":             {Data: []byte("<!doctype html><title>nothing</title>")},
		"mark.svg":             {Data: []byte("<svg/>")},
		"manifest.webmanifest": {Data: []byte("{}")},
		"licences.txt":         {Data: []byte("free")},
		"parts/a.1.js":         {Data: []byte("1;")},
		"parts/a.1.css":        {Data: []byte("a{}")},
		"parts/a.1.png":        {Data: []byte("\x89PNG")},
		"parts/a.1.wasm":       {Data: []byte("\x00asm")},
		"parts/a.1.wasm.br":    {Data: []byte("packed")},
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func get(h http.Handler, method, target string, header http.Header) *http.Response {
	r := httptest.NewRequest(method, target, nil)
	for k, v := range header {
		r.Header[k] = v
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

// Media types: the WHATWG HTML standard wants text/javascript for scripts, the
// WebAssembly Web API refuses to compile a stream that is not application/wasm,
// the Web Application Manifest has application/manifest+json.
func TestTypesAndStatus(t *testing.T) {
	h := served(t)
	for _, tt := range []struct {
		target string
		status int
		kind   string
		cached string
	}{
		{"/", 200, "text/html; charset=utf-8", "no-cache"},
		{"/index.html", 200, "text/html; charset=utf-8", "no-cache"},
		{"/mark.svg", 200, "image/svg+xml", "no-cache"},
		{"/manifest.webmanifest", 200, "application/manifest+json", "no-cache"},
		{"/licences.txt", 200, "text/plain; charset=utf-8", "no-cache"},
		{"/parts/a.1.js", 200, "text/javascript; charset=utf-8", "public, max-age=31536000, immutable"},
		{"/parts/a.1.css", 200, "text/css; charset=utf-8", "public, max-age=31536000, immutable"},
		{"/parts/a.1.png", 200, "image/png", "public, max-age=31536000, immutable"},
		{"/parts/a.1.wasm", 200, "application/wasm", "public, max-age=31536000, immutable"},
		{"/parts/", 404, "text/html; charset=utf-8", "no-cache"},
		{"/none.js", 404, "text/html; charset=utf-8", "no-cache"},
		{"/404.html", 404, "text/html; charset=utf-8", "no-cache"},
		{"/_headers", 404, "text/html; charset=utf-8", "no-cache"},
		{"/../serve_test.go", 404, "text/html; charset=utf-8", "no-cache"},
		{"/%2e%2e/%2e%2e/etc/passwd", 404, "text/html; charset=utf-8", "no-cache"},
		{"/parts/..%2f_headers", 404, "text/html; charset=utf-8", "no-cache"},
		{"/%00", 404, "text/html; charset=utf-8", "no-cache"},
		{"/" + strings.Repeat("a", 100_000), 404, "text/html; charset=utf-8", "no-cache"},
	} {
		for _, method := range []string{"GET", "HEAD"} {
			res := get(h, method, tt.target, nil)
			name := tt.target[:min(len(tt.target), 40)]
			if res.StatusCode != tt.status || res.Header.Get("Content-Type") != tt.kind || res.Header.Get("Cache-Control") != tt.cached {
				t.Errorf("%s %s: %d %q %q, want %d %q %q", method, name, res.StatusCode, res.Header.Get("Content-Type"), res.Header.Get("Cache-Control"), tt.status, tt.kind, tt.cached)
			}
			body, _ := io.ReadAll(res.Body)
			if (len(body) == 0) != (method == "HEAD") {
				t.Errorf("%s %s: a body of %d bytes", method, name, len(body))
			}
		}
	}
}

// The OWASP Secure Headers Project's recommended values
// (owasp.org/www-project-secure-headers, best practices; from memory), as far as a page that
// has no session, no cookie and nothing to sign out of can carry them:
// Clear-Site-Data would delete a person's work, and Cache-Control: no-store is
// for answers about a person, which there are none of.
func TestHeadersOnEveryAnswer(t *testing.T) {
	h := served(t)
	for _, c := range [][2]string{{"GET", "/"}, {"GET", "/none"}, {"POST", "/"}, {"HEAD", "/parts/a.1.wasm"}, {"DELETE", "/parts/a.1.js"}, {"BREW", "/none"}} {
		res := get(h, c[0], c[1], nil)
		for name, want := range map[string]string{
			"Connection-Allowlist":              "(response-origin)",
			"X-DNS-Prefetch-Control":            "off",
			"Strict-Transport-Security":         "max-age=31536000; includeSubDomains",
			"X-Frame-Options":                   "DENY",
			"X-Content-Type-Options":            "nosniff",
			"X-Permitted-Cross-Domain-Policies": "none",
			"Referrer-Policy":                   "no-referrer",
			"Cross-Origin-Embedder-Policy":      "require-corp",
			"Cross-Origin-Opener-Policy":        "same-origin",
			"Cross-Origin-Resource-Policy":      "same-origin",
		} {
			if got := res.Header.Values(name); len(got) != 1 || got[0] != want {
				t.Errorf("%s %s: %s is %q, want %q", c[0], c[1], name, got, want)
			}
		}
		csp := strings.Split(res.Header.Get("Content-Security-Policy"), "; ")
		for _, want := range []string{"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'", "connect-src 'self'", "img-src 'self' data: blob:", "worker-src 'self'", "form-action 'none'", "frame-ancestors 'none'", "base-uri 'none'"} {
			found := false
			for _, got := range csp {
				found = found || got == want
			}
			if !found {
				t.Errorf("%s %s: policy %q lacks %q", c[0], c[1], csp, want)
			}
		}
		for _, closed := range []string{"camera=()", "microphone=()", "geolocation=()", "payment=()", "usb=()", "serial=()"} {
			if got := res.Header.Get("Permissions-Policy"); !strings.Contains(got, closed) {
				t.Errorf("%s %s: Permissions-Policy lacks %s", c[0], c[1], closed)
			}
		}
		// What tells of the server, which the same project wants removed.
		for _, name := range []string{"Server", "X-Powered-By"} {
			if got := res.Header.Get(name); got != "" {
				t.Errorf("%s %s: %s is told: %q", c[0], c[1], name, got)
			}
		}
		if c[0] != "GET" && c[0] != "HEAD" && (res.StatusCode != http.StatusMethodNotAllowed || res.Header.Get("Allow") != "GET, HEAD") {
			t.Errorf("%s: %d, want 405 with what is allowed", c[0], res.StatusCode)
		}
	}
}

func TestETag(t *testing.T) {
	h := served(t)
	first := get(h, "GET", "/", nil)
	tag := first.Header.Get("ETag")
	if tag == "" {
		t.Fatal("no ETag")
	}
	again := get(h, "GET", "/", http.Header{"If-None-Match": {tag}})
	body, _ := io.ReadAll(again.Body)
	if again.StatusCode != http.StatusNotModified || len(body) != 0 {
		t.Errorf("same ETag: %d with %d bytes, want 304 with none", again.StatusCode, len(body))
	}
	if other := get(h, "GET", "/parts/a.1.js", nil).Header.Get("ETag"); other == tag {
		t.Error("two files share an ETag")
	}
}

func TestCompressed(t *testing.T) {
	h := served(t)
	tags := map[string]bool{}
	for accepted, packed := range map[string]bool{"br": true, "gzip, br;q=0.5": true, "": false, "gzip": false, "br;q=0, gzip": false} {
		res := get(h, "GET", "/parts/a.1.wasm", http.Header{"Accept-Encoding": {accepted}})
		body, _ := io.ReadAll(res.Body)
		want, coding := "\x00asm", ""
		if packed {
			want, coding = "packed", "br"
		}
		if string(body) != want || res.Header.Get("Content-Encoding") != coding || res.Header.Get("Content-Type") != "application/wasm" || res.Header.Get("Vary") != "Accept-Encoding" {
			t.Errorf("%q: %q, %v", accepted, body, res.Header)
		}
		tags[res.Header.Get("ETag")] = true
	}
	if len(tags) != 2 {
		t.Errorf("%d ETags for two forms", len(tags))
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
