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
	opI32Load  = 0x28
	opI32Store = 0x36
	opI32LtU   = 0x49
)

// code adds the words of a table up; local 0 is the place in the table.
func (r rising) code() []byte {
	var c code
	c.op(opLocalGet, 0)
	c.load(r.at + r.stride)
	c.load(r.at)
	c.op(opI32Add)
	c.access(opI32Store, r.at+r.stride)
	return c.loop(4, r.end-r.stride-r.at)
}

// entryCode writes what the index has of each function into its entry.
func (t *functions) entryCode() []byte {
	var c code
	c.load(t.funcs + 4)
	c.load(t.funcs)
	c.access(opI32Store, t.funcs)
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
	c.op(opLocalGet, 0)
	c.access(opI32Load, offset)
}

// loop does the code over and over, for local 0 from 0 to below end.
func (c code) loop(step, end int) []byte {
	b := []byte{opI32Const, 0, opLocalSet, 0, opLoop, noResult}
	b = append(b, c...)
	b = append(b, opLocalGet, 0, opI32Const)
	b = appendSigned(b, step)
	b = append(b, opI32Add, opLocalTee, 0, opI32Const)
	b = appendSigned(b, end)
	return append(b, opI32LtU, opBrIf, 0, opEnd)
}
