package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// The numbers of sections of a module: WebAssembly Core Specification, 5.5.2.
const (
	typeSection     = 1
	importSection   = 2
	functionSection = 3
	startSection    = 8
	codeSection     = 10
	dataSection     = 11
)

// magic starts a module, version 1.
const magic = "\x00asm\x01\x00\x00\x00"

// gap is the zeros between two pieces of memory up to which they are written as
// one. The linker begins a new piece at each few zeros, which costs more than
// the zeros do; those compress to next to nothing.
const gap = 8192

// module is a WebAssembly module, its data section taken apart.
type module struct {
	sections []section // the one of data without its content
	pieces   []piece
}

type section struct {
	id   byte
	body []byte
}

// piece is one stretch of the memory's first content.
type piece struct {
	at    int
	bytes []byte
}

// parse takes a module apart. Only data at fixed places of the one memory is
// known, which is all that Go's linker writes.
func parse(b []byte) (module, error) {
	var m module
	if !bytes.HasPrefix(b, []byte(magic)) {
		return m, errors.New("this is no WebAssembly module, version 1")
	}
	r := reader{b: b, p: 8}
	found := false
	for r.p < len(b) && r.err == nil {
		id := r.byte()
		body := r.take(r.unsigned())
		if id != dataSection {
			m.sections = append(m.sections, section{id, body})
			continue
		}
		found = true
		m.sections = append(m.sections, section{id: id})
		d := reader{b: body}
		for range d.unsigned() {
			kind, op := d.byte(), d.byte()
			at := d.signed()
			end := d.byte()
			piece := piece{at, d.take(d.unsigned())}
			if d.err != nil {
				return m, fmt.Errorf("data section: %w", d.err)
			}
			// 0x41 is i32.const, 0x0b the end of the expression.
			if kind != 0 || op != 0x41 || end != 0x0b || at < 0 {
				return m, errors.New("data section: a kind of data that Go does not write")
			}
			m.pieces = append(m.pieces, piece)
		}
	}
	if r.err != nil {
		return m, r.err
	}
	if !found {
		return m, errors.New("the module has no data")
	}
	return m, nil
}

// memory is the memory's first content, as far as there is any.
func (m module) memory() []byte {
	var end int
	for _, p := range m.pieces {
		end = max(end, p.at+len(p.bytes))
	}
	mem := make([]byte, end)
	for _, p := range m.pieces {
		copy(mem[p.at:], p.bytes)
	}
	return mem
}

// with is the module with another first content of its memory.
func (m module) with(memory []byte) []byte {
	pieces := split(memory)
	data := binary.AppendUvarint(nil, uint64(len(pieces)))
	for _, p := range pieces {
		data = append(data, 0, 0x41)
		data = appendSigned(data, p.at)
		data = append(data, 0x0b)
		data = binary.AppendUvarint(data, uint64(len(p.bytes)))
		data = append(data, p.bytes...)
	}
	out := []byte(magic)
	for _, s := range m.sections {
		if s.id == dataSection {
			s.body = data
		}
		out = append(out, s.id)
		out = binary.AppendUvarint(out, uint64(len(s.body)))
		out = append(out, s.body...)
	}
	return out
}

// split is the memory in pieces, without its long stretches of zeros.
func split(memory []byte) []piece {
	var pieces []piece
	start, last := -1, -1
	for k, x := range memory {
		if x == 0 {
			continue
		}
		if start >= 0 && k-last > gap {
			pieces = append(pieces, piece{start, memory[start : last+1]})
			start = -1
		}
		if start < 0 {
			start = k
		}
		last = k
	}
	if start >= 0 {
		pieces = append(pieces, piece{start, memory[start : last+1]})
	}
	return pieces
}

// reader reads the integers of a module: LEB128, as in the specification, 5.2.2.
type reader struct {
	b   []byte
	p   int
	err error
}

var errShort = errors.New("the module is cut off")

func (r *reader) byte() byte {
	if r.err != nil || r.p >= len(r.b) {
		r.err = errShort
		return 0
	}
	r.p++
	return r.b[r.p-1]
}

func (r *reader) take(n int) []byte {
	if r.err != nil || n < 0 || n > len(r.b)-r.p {
		r.err = errShort
		return nil
	}
	r.p += n
	return r.b[r.p-n : r.p]
}

func (r *reader) unsigned() int {
	x, n := binary.Uvarint(r.b[r.p:])
	if r.err != nil || n <= 0 || x > 1<<32 {
		r.err = errShort
		return 0
	}
	r.p += n
	return int(x)
}

func appendSigned(b []byte, x int) []byte {
	for {
		c := byte(x & 0x7f)
		x >>= 7
		if x == 0 && c&0x40 == 0 || x == -1 && c&0x40 != 0 {
			return append(b, c)
		}
		b = append(b, c|0x80)
	}
}
