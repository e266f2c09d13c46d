package main

import "encoding/binary"

// Tables of numbers that rise compress badly, their differences well. So the
// index of the functions and the means to search it are written as differences,
// and the module adds them up again as it is instantiated, before Go starts.

// rising is a table whose words are each written as the difference to the word
// so many bytes before it.
type rising struct{ at, end, stride int }

// rise writes the tables as differences, and is the function that makes them
// what they were, as WebAssembly.
func rise(memory []byte) ([]byte, error) {
	t, err := find(memory)
	if err != nil {
		return nil, err
	}
	// Each function's entry starts with what the index has of it.
	for k, f := range t.entries {
		if t.word(f) != t.word(t.funcs+8*k) {
			return nil, errTable
		}
	}
	for _, f := range t.entries {
		t.set(f, 0)
	}
	var code []byte
	for _, r := range []rising{
		{t.funcs, t.funcs + 8*len(t.entries), 8},          // instruction, entry
		{t.search, t.search + (t.end-t.search)/20*20, 20}, // runtime.findfuncbucket
	} {
		r.write(memory)
		code = append(code, r.code()...)
	}
	return append(code, t.entryCode()...), nil
}

func (r rising) write(memory []byte) {
	for at := r.end - 4; at >= r.at+r.stride; at -= 4 {
		x := binary.LittleEndian.Uint32(memory[at:]) - binary.LittleEndian.Uint32(memory[at-r.stride:])
		binary.LittleEndian.PutUint32(memory[at:], x)
	}
}

// Instructions of WebAssembly: Core Specification, 5.4.
const (
	opLoop  = 0x03
	opEnd   = 0x0b
	opBrIf  = 0x0d
	opGet   = 0x20
	opSet   = 0x21
	opTee   = 0x22
	opLoad  = 0x28
	opStore = 0x36
	opConst = 0x41
	opLess  = 0x49 // i32.lt_u
	opAdd   = 0x6a
	noValue = 0x40
)

// code adds the words of a table up; local 0 is the place in the table.
func (r rising) code() []byte {
	var c code
	c.op(opGet, 0)
	c.load(r.at + r.stride)
	c.load(r.at)
	c.op(opAdd)
	c.access(opStore, r.at+r.stride)
	return c.loop(4, r.end-r.stride-r.at)
}

// entryCode writes what the index has of each function into its entry.
func (t *functions) entryCode() []byte {
	var c code
	c.load(t.funcs + 4)
	c.load(t.funcs)
	c.access(opStore, t.funcs)
	return c.loop(8, 8*len(t.entries))
}

// code is WebAssembly in the making.
type code []byte

func (c *code) op(b ...byte) { *c = append(*c, b...) }

// access reads or writes a word at the address on the stack and so many bytes.
func (c *code) access(op byte, offset int) {
	c.op(op, 0) // aligned at any byte
	*c = binary.AppendUvarint(*c, uint64(offset))
}

// load reads a word so many bytes after the address in local 0.
func (c *code) load(offset int) {
	c.op(opGet, 0)
	c.access(opLoad, offset)
}

// loop does the code over and over, for local 0 from 0 to below end.
func (c code) loop(step, end int) []byte {
	b := []byte{opConst, 0, opSet, 0, opLoop, noValue}
	b = append(b, c...)
	b = append(b, opGet, 0, opConst)
	b = appendSigned(b, step)
	b = append(b, opAdd, opTee, 0, opConst)
	b = appendSigned(b, end)
	return append(b, opLess, opBrIf, 0, opEnd)
}
