// Package site says how the static site is to be served, whoever serves it:
// the headers every answer carries and the media types of its files.
package site

import (
	"net/http"
	"path"
	"strings"
)

// Policy is the Content-Security-Policy. It leaves the page no way to send
// anything: its own files are all it may fetch, and there are no forms, frames
// or foreign origins. 'wasm-unsafe-eval' allows WebAssembly to be compiled and
// nothing else.
const Policy = "default-src 'none'; " +
	"script-src 'self' 'wasm-unsafe-eval'; " +
	"connect-src 'self'; " +
	"style-src 'self'; " +
	"img-src 'self' data: blob:; " +
	"font-src 'self'; " +
	"worker-src 'self'; " +
	"manifest-src 'self'; " +
	"form-action 'none'; " +
	"base-uri 'none'; " +
	FrameAncestors

// FrameAncestors is the one directive of Policy that a <meta> element may not
// carry.
const FrameAncestors = "frame-ancestors 'none'"

// Header is one header field.
type Header struct{ Name, Value string }

// Headers are carried by every answer, faults included.
var Headers = []Header{
	{"Content-Security-Policy", Policy},
	{"Referrer-Policy", "no-referrer"},
	{"X-Content-Type-Options", "nosniff"},
	{"Cross-Origin-Opener-Policy", "same-origin"},
	{"Cross-Origin-Resource-Policy", "same-origin"},
}

// types holds the media types by file name ending. They are ours, not the
// machine's, since a machine may call .wasm or .js anything.
var types = map[string]string{
	".css":  "text/css; charset=utf-8",
	".html": "text/html; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".json": "application/json",
	".png":  "image/png",
	".svg":  "image/svg+xml",
	".txt":  "text/plain; charset=utf-8",
	".wasm": "application/wasm",
}

// Type gives the media type of a file by its name.
func Type(name string) string {
	if t, ok := types[strings.ToLower(path.Ext(name))]; ok {
		return t
	}
	return "application/octet-stream"
}

// Guard adds Headers to every answer of next.
func Guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for _, h := range Headers {
			w.Header().Set(h.Name, h.Value)
		}
		next.ServeHTTP(w, r)
	})
}
