package main

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// Go's table of functions as the linker writes it: package internal/abi and
// the files runtime/symtab.go and runtime2.go of its source, Go 1.26. The
// header is a magic number, two zeros, the smallest instruction (1), the size
// of a pointer (8), and eight numbers of that size: how many functions and
// files there are, one unused, and where the parts are, from the header's start.
var tableMagic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// Offsets in bytes within a function's entry (runtime._func). After its fixed
// part come the starts of its tables by instruction (pcdata), then those of its
// other data (funcdata).
const (
	nameAt   = 4
	stackAt  = 16 // pcsp
	fileAt   = 20 // pcfile
	lineAt   = 24 // pcln
	countAt  = 28 // npcdata
	unitAt   = 32 // cuOffset
	startAt  = 36 // startLine
	kindAt   = 40 // funcID, one byte
	dataAt   = 43 // nfuncdata, one byte
	tablesAt = 44
)

// wrapper is the kind of functions that the compiler makes around others.
const wrapper = 23 // FuncIDWrapper

// none is the start of other data that a function has not.
const none = 1<<32 - 1

var errTable = errors.New("the table of functions is not as Go 1.26 has it")

// functions is the table of functions in a memory.
type functions struct {
	b []byte // all memory

	// Where the parts start in b: names, the files of each compiled package,
	// names of files, tables by instruction, index and entries, other data, the
	// means to search the index, and their end.
	names, units, files, values, funcs, data, search, end int

	entries []int // where each function's entry starts in b
}

// find finds the table of functions and checks that all of it lies where it
// should, so that nothing that is read of it later can be outside.
func find(memory []byte) (functions, error) {
	t := functions{b: memory}
	head := bytes.Index(memory, tableMagic)
	if head < 0 || bytes.Contains(memory[head+1:], tableMagic) {
		return t, errTable
	}
	count := t.long(head + 8)
	parts := []*int{&t.names, &t.units, &t.files, &t.values, &t.funcs}
	last := head + 8*9
	for k, part := range parts {
		*part = head + t.long(head+8*(4+k))
		if *part < last || *part > len(memory) {
			return t, errTable
		}
		last = *part
	}
	if count <= 0 || count > (len(memory)-t.funcs)/8 || !t.bounds(head, count) {
		return t, errTable
	}
	for k := range count {
		f := t.funcs + t.word(t.funcs+8*k+4)
		if f+tablesAt > t.data || f+tablesAt+4*(t.word(f+countAt)+int(t.b[f+dataAt])) > t.data {
			return t, errTable
		}
		t.entries = append(t.entries, f)
		for _, at := range t.starts(f) {
			if at > t.funcs-t.values {
				return t, errTable
			}
		}
		for _, at := range t.others(f) {
			if at != none && at > t.search-t.data {
				return t, errTable
			}
		}
		if name := t.word(f + nameAt); name >= t.units-t.names {
			return t, errTable
		}
	}
	return t, nil
}

// bounds finds where the other data of the functions lies. The linker notes it
// in its description of the program (runtime.moduledata), which begins with
// slices that hold the table's parts.
func (t *functions) bounds(head, count int) bool {
	start := binary.LittleEndian.AppendUint64(nil, uint64(head))
	start = binary.LittleEndian.AppendUint64(start, uint64(t.names))
	m := bytes.Index(t.b, start)
	if m < 0 || m%8 != 0 {
		return false
	}
	at := func(k int) int { return t.long(m + 8*k) }
	const units, files, values, funcs, index, search, data, end = 4, 7, 10, 13, 16, 19, 40, 41
	if at(units) != t.units || at(files) != t.files || at(values) != t.values || at(funcs) != t.funcs || at(index) != t.funcs || at(index+1) != count+1 {
		return false
	}
	t.data, t.search, t.end = at(data), at(search), at(end)
	return t.data >= t.funcs+at(funcs+1) && t.data <= t.search && t.search <= t.end && t.end <= len(t.b)
}

// starts are the starts of a function's tables by instruction within values, as
// many as pcdata has.
func (t *functions) starts(f int) []int {
	var s []int
	for k := range t.word(f + countAt) {
		s = append(s, t.word(f+tablesAt+4*k))
	}
	return s
}

// others are the starts of a function's other data.
func (t *functions) others(f int) []int {
	var s []int
	from := f + tablesAt + 4*t.word(f+countAt)
	for k := range int(t.b[f+dataAt]) {
		s = append(s, t.word(from+4*k))
	}
	return s
}

// word and long are the numbers at a place; outside of the memory, one that no
// check takes.
func (t *functions) word(at int) int {
	if at < 0 || at+4 > len(t.b) {
		return none
	}
	return int(binary.LittleEndian.Uint32(t.b[at:]))
}

func (t *functions) long(at int) int {
	if at < 0 || at+8 > len(t.b) {
		return -1
	}
	return int(int64(binary.LittleEndian.Uint64(t.b[at:])))
}
