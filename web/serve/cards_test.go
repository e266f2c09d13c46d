package main

import (
	"net/http/httptest"
	"testing"

	"plateau/wasm/edge/card"
)

// Previews are answered here as at the edge, and files as ever.
func TestCards(t *testing.T) {
	h := withCards(served(t))
	for path, want := range map[string]struct {
		status int
		policy bool
	}{"/card/x": {400, true}, "/card/": {404, true}, "/": {200, false}, "/card": {404, false}, "/x/card/x": {404, false}} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest("GET", path, nil))
		if w.Code != want.status || (w.Header().Get("Content-Security-Policy") == card.Policy) != want.policy {
			t.Errorf("%s: %d, policy %q", path, w.Code, w.Header().Get("Content-Security-Policy"))
		}
	}
}
