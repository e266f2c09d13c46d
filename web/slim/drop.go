package main

import (
	"encoding/binary"
	"sort"
	"strings"
)

// The numbers of a function's tables by instruction and of its other data, as
// package internal/abi has them.
const (
	pointsTable  = 0 // PCDATA_UnsafePoint: where a thread may be stopped by a signal, which there is not in WebAssembly
	inlinedTable = 2 // PCDATA_InlTreeIndex
	livingTable  = 3 // PCDATA_ArgLiveIndex

	inlinedData   = 3 // FUNCDATA_InlTree
	argumentsData = 5 // FUNCDATA_ArgInfo
	livingData    = 6 // FUNCDATA_ArgLiveInfo
	wrappedData   = 7 // FUNCDATA_WrapInfo
)

// dropWords takes out of Go's table of functions what the runtime needs for
// nothing but to print stacks: files and lines, arguments, which calls were
// inlined, and the functions' names but for their packages. Where it finds none
// of them the runtime prints "?:0" and "...". On an error memory is as before.
func dropWords(memory []byte) error {
	t, err := find(memory)
	if err != nil {
		return err
	}
	values, data := uses{}, uses{}
	trees := map[int]bool{}
	for _, f := range t.entries {
		values.note(t.word(f+stackAt), true)
		values.note(t.word(f+fileAt), false)
		values.note(t.word(f+lineAt), false)
		for k, at := range t.starts(f) {
			values.note(at, t.needsTable(f, k))
		}
		for k, at := range t.others(f) {
			if at == none {
				continue
			}
			data.note(at, t.needsData(f, k))
			if k == inlinedData && t.needsData(f, k) {
				trees[at] = true
			}
		}
	}
	delete(values, 0) // says that there is no table
	values.clear(memory[t.values:t.funcs])
	data.clear(memory[t.data:t.search])
	clear(memory[t.units:t.values])
	for at := range trees {
		clearTree(memory[t.data+at : t.data+data.end(at, t.search-t.data)])
	}

	names := t.packages()
	for k, f := range t.entries {
		t.set(f+nameAt, names[k])
		for _, at := range []int{fileAt, lineAt, unitAt, startAt} {
			t.set(f+at, 0)
		}
		n := t.word(f + countAt)
		for k := range t.starts(f) {
			if !t.needsTable(f, k) {
				t.set(f+tablesAt+4*k, 0)
			}
		}
		for k := range t.others(f) {
			if !t.needsData(f, k) {
				t.set(f+tablesAt+4*(n+k), none)
			}
		}
	}
	return nil
}

// needsTable tells whether the runtime needs a function's table of a number for
// more than to print.
//
// Calls that were inlined it needs in wrappers: recover counts the calls between
// itself and the panic, those of wrappers aside, and works if there is one. Of
// any other function it is enough that it counts; the one that calls recover is
// never inlined.
func (t *functions) needsTable(f, number int) bool {
	switch number {
	case pointsTable, livingTable:
		return false
	case inlinedTable:
		return t.b[f+kindAt] == wrapper
	}
	return true
}

// needsData is needsTable for a function's other data.
func (t *functions) needsData(f, number int) bool {
	switch number {
	case argumentsData, livingData, wrappedData:
		return false
	case inlinedData:
		return t.b[f+kindAt] == wrapper
	}
	return true
}

// clearTree takes names and lines out of a tree of inlined calls, each of which
// has 16 bytes (runtime.inlinedCall): its kind, name, the instruction of the
// call and the function's first line.
func clearTree(b []byte) {
	for ; len(b) >= 16; b = b[16:] {
		clear(b[4:8])
		clear(b[12:16])
	}
}

// uses are the starts of pieces of data, and whether the runtime needs them.
type uses map[int]bool

func (u uses) note(at int, needed bool) { u[at] = u[at] || needed }

// end is where the piece ends that starts at a place: where the next one starts.
func (u uses) end(at, last int) int {
	for other := range u {
		if other > at {
			last = min(last, other)
		}
	}
	return last
}

// clear fills the pieces that are not needed with zeros. A piece ends where the
// next one starts; one that starts last is left.
func (u uses) clear(b []byte) {
	var starts []int
	for at := range u {
		starts = append(starts, at)
	}
	sort.Ints(starts)
	for k, at := range starts[:max(len(starts)-1, 0)] {
		if !u[at] {
			clear(b[at:starts[k+1]])
		}
	}
}

// packages writes the names of packages over the names of functions, and is
// where the name of each function starts now. The runtime tells its own
// goroutines by a name that starts with "runtime.", and a call by a nil pointer
// of a method that needs a value by one of the form "package.(*type).method".
func (t *functions) packages() []int {
	whole := string(t.b[t.names:t.units])
	clear(t.b[t.names:t.units])
	room := t.b[t.names+1 : t.units] // a name at 0 is none
	at := map[string]int{}
	starts := make([]int, len(t.entries))
	next := 1
	for k, f := range t.entries {
		name, _, _ := strings.Cut(whole[t.word(f+nameAt):], "\x00")
		if name == "" {
			continue
		}
		pack := packageOf(name) + ".(*?).?"
		if at[pack] == 0 {
			if len(pack) >= len(room) {
				continue
			}
			at[pack] = next
			next += len(pack) + 1
			copy(room, pack)
			room = room[len(pack)+1:]
		}
		starts[k] = at[pack]
	}
	return starts
}

// packageOf is the package in a function's name, such as
// "plateau/core/unpack.(*walker).walk" or "slices.Sort[go.shape.int]".
func packageOf(name string) string {
	name, _, _ = strings.Cut(name, "[")
	slash := strings.LastIndexByte(name, '/') + 1
	last, _, _ := strings.Cut(name[slash:], ".")
	return name[:slash] + last
}

func (t *functions) set(at, x int) { binary.LittleEndian.PutUint32(t.b[at:], uint32(x)) }
