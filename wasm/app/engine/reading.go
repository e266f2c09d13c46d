package engine

import (
	"bytes"
	"fmt"

	"plateau/core/logfile"
	"plateau/wasm/app/guard"
	"plateau/wasm/app/wire"
)

// reading is the log whose bytes are coming in.
type reading struct {
	id      int
	name    string
	r       *logfile.Reader
	head    []byte
	chunk   []byte // what was handed out last
	size    int64
	rules   logfile.Rules
	asRuled *wire.Rules
}

// Chunk is room for the next n bytes of the log that is being read; nil where
// none is, or n is out of bounds.
func (e *Engine) Chunk(n int) []byte {
	const most = 64 << 20
	if e.reading == nil || n <= 0 || n > most {
		return nil
	}
	e.reading.chunk = e.reading.r.Reserve(n)
	return e.reading.chunk
}

// Feed reads the n bytes that were put there. False says that the log is
// refused and no more bytes are wanted; close tells why.
func (e *Engine) Feed(n int) (more bool) {
	if e.reading == nil {
		return false
	}
	id, name := e.reading.id, e.reading.name
	if r := e.reading; len(r.head) < keptHead && n <= len(r.chunk) {
		r.head = append(r.head, r.chunk[:min(n, keptHead-len(r.head))]...)
	}
	guard.Run(func() { more = e.reading.r.Commit(n) == nil }, func(what, stack string) {
		fmt.Println(stack)
		e.reading = nil
		e.put(&file{id: id, name: name, fault: internalFault(what)})
	})
	return more
}

// Rows is how many rows of the log being read were used so far.
func (e *Engine) Rows() int {
	if e.reading == nil {
		return 0
	}
	return e.reading.r.Rows()
}

// Warm reads a made-up log of 1 MB and forgets it, so that the browser has
// compiled the reader well by the time the first log comes. It does nothing
// once there is one.
func (e *Engine) Warm() {
	if e.reading != nil || len(e.files) > 0 {
		return
	}
	var b bytes.Buffer
	b.WriteString("Time / s,Voltage / V,Current / A,Temperature / °C\n")
	for k := range 35_000 {
		fmt.Fprintf(&b, "%d.000,%d.%04d,2.0000,2%d.0\n", 10_000+k, 4-k/17_500, k%10_000, k/4_000)
	}
	guard.Run(func() {
		log, err := logfile.Read("warm", &b)
		(&Engine{}).file(0, "warm", log, err)
	}, func(what, stack string) { fmt.Println(what, stack) })
}

func (e *Engine) close(id int) {
	if e.reading == nil || e.reading.id != id {
		return
	}
	r := e.reading
	log, err := r.r.Close()
	e.reading = nil
	f := e.file(id, r.name, log, err)
	f.head, f.rules, f.ruled, f.asRuled, f.bytes = r.head, r.rules, r.asRuled != nil, r.asRuled, r.size
	// The key is that of the log as it is, whatever a person has settled.
	if log != nil && r.asRuled == nil {
		f.key = log.Layout.Key()
	} else if lay := logfile.LookAt(r.name, r.head, logfile.Rules{}).Layout; lay != nil {
		f.key = lay.Key()
	}
	e.put(f)
	e.join(f)
}
