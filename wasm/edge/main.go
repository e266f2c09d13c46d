//go:build js && wasm

// Command edge serves the previews of links on the platform at the edge. Static
// files never reach it.
package main

import (
	"bytes"
	"net/http"
	"syscall/js"

	"github.com/syumai/workers"

	"plateau/wasm/edge/card"
)

func main() { workers.Serve(whole(card.Handler())) }

// rawBody is what the writers of workers take a finished body by.
type rawBody interface{ WriteRawJSBody(js.Value) }

// whole hands each answer over in one piece. Nothing is left to do then when the
// request's call returns, and workers does not end the program when the body
// has been read, so that one instance answers many requests.
func whole(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a := answer{header: w.Header(), status: http.StatusOK}
		next.ServeHTTP(&a, r)
		w.WriteHeader(a.status)
		body := js.Global().Get("Uint8Array").New(a.body.Len())
		js.CopyBytesToJS(body, a.body.Bytes())
		w.(rawBody).WriteRawJSBody(body)
	})
}

// answer gathers what a handler writes.
type answer struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (a *answer) Header() http.Header         { return a.header }
func (a *answer) WriteHeader(status int)      { a.status = status }
func (a *answer) Write(b []byte) (int, error) { return a.body.Write(b) }
