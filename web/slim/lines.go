package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"sort"
)

// Go's table of functions as the linker writes it since Go 1.20: package
// internal/abi and file runtime/symtab.go of its source. The header is a magic
// number, two zeros, the smallest instruction (1), the size of a pointer (8),
// and eight numbers of that size; the last three used here are offsets from the
// header's start.
var tableMagic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}

// Offsets in bytes within a function's entry.
const (
	stackAt  = 16 // pcsp
	fileAt   = 20 // pcfile
	lineAt   = 24 // pcln
	countAt  = 28 // npcdata
	tablesAt = 44
)

var errTable = errors.New("the table of functions is not as Go 1.20 to 1.26 have it")

// dropLines takes file and line of each instruction out of Go's table of
// functions. The runtime needs them for nothing but to print them, and prints
// "?:0" where a function has none. On an error memory is as before.
func dropLines(memory []byte) error {
	head := bytes.Index(memory, tableMagic)
	if head < 0 || bytes.Contains(memory[head+1:], tableMagic) {
		return errTable
	}
	r := table{b: memory[head:]}
	count, values, funcs := int(r.long(8)), int(r.long(8+6*8)), int(r.long(8+7*8))
	if r.bad || count <= 0 || values <= 0 || funcs <= values || count > len(memory)/8 {
		return errTable
	}
	// Where the tables of values start, and which are of lines alone.
	lines, others := map[int]bool{}, map[int]bool{}
	var entries []int
	for k := range count {
		f := funcs + int(r.word(funcs+8*k+4))
		entries = append(entries, f)
		lines[int(r.word(f+fileAt))], lines[int(r.word(f+lineAt))] = true, true
		others[int(r.word(f+stackAt))] = true
		n := int(r.word(f + countAt))
		if r.bad || n > 16 {
			return errTable
		}
		for j := range n {
			others[int(r.word(f+tablesAt+4*j))] = true
		}
	}
	starts := []int{funcs - values}
	for at := range lines {
		starts = append(starts, at)
	}
	for at := range others {
		starts = append(starts, at)
	}
	sort.Ints(starts)
	if r.bad || starts[0] < 0 || starts[len(starts)-1] > funcs-values {
		return errTable
	}
	for at := range lines {
		if at == 0 || others[at] {
			continue
		}
		next := starts[sort.SearchInts(starts, at+1)]
		clear(r.b[values+at : values+next])
	}
	for _, f := range entries {
		clear(r.b[f+fileAt : f+lineAt+4])
	}
	return nil
}

// table reads numbers, and notes where one lies outside.
type table struct {
	b   []byte
	bad bool
}

func (t *table) word(at int) uint32 {
	if at < 0 || at+4 > len(t.b) {
		t.bad = true
		return 0
	}
	return binary.LittleEndian.Uint32(t.b[at:])
}

func (t *table) long(at int) uint64 {
	if at < 0 || at+8 > len(t.b) {
		t.bad = true
		return 0
	}
	return binary.LittleEndian.Uint64(t.b[at:])
}
