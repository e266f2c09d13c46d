package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
)

// goType is the type of the functions that Go's compiler writes: (i32) -> i32.
// The parameter is where in it to go on, the result whether to unwind.
var goType = []byte{0x60, 1, 0x7f, 1, 0x7f}

// rewrite writes the module's code shorter, each function doing what it did:
//
//   - a jump to a place further on goes there, not round the loop that all
//     jumps of a Go function go round by a table;
//   - an address is added to in 32 bits, as it is used;
//   - what stands before each call, the address to return to, has the
//     function's own part of it in a local;
//   - after a call that is to unwind, the function returns there and not at
//     its end, which is each time another distance away.
//
// The last three are for the compression: what differs from place to place
// cannot be compressed.
func (m *module) rewrite() error {
	types, functions, codes := m.body(typeSection), m.body(functionSection), m.body(codeSection)
	if types == nil || functions == nil || codes == nil {
		return errStart
	}
	known, err := goTypes(&reader{b: *types})
	if err != nil {
		return err
	}
	r := reader{b: *functions}
	isGo := make([]bool, min(r.unsigned(), len(*functions)))
	for k := range isGo {
		if t := r.unsigned(); t < len(known) {
			isGo[k] = known[t]
		}
	}
	if r.err != nil {
		return fmt.Errorf("function section: %w", r.err)
	}
	code, err := rewriteCode(&reader{b: *codes}, isGo)
	if err != nil {
		return fmt.Errorf("code section: %w", err)
	}
	*codes = code
	return nil
}

// goTypes tells of each type whether it is goType.
func goTypes(r *reader) ([]bool, error) {
	var types []bool
	for range r.unsigned() {
		start := r.p
		if r.byte() != 0x60 {
			return nil, errors.New("type section: a kind of type that Go does not write")
		}
		r.take(r.unsigned())
		r.take(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
		types = append(types, bytes.Equal(r.b[start:r.p], goType))
	}
	return types, r.err
}

func rewriteCode(r *reader, isGo []bool) ([]byte, error) {
	n := r.unsigned()
	if n != len(isGo) {
		return nil, fmt.Errorf("%d functions where %d are named", n, len(isGo))
	}
	out := binary.AppendUvarint(nil, uint64(n))
	for k := range n {
		body := r.take(r.unsigned())
		if r.err != nil {
			return nil, r.err
		}
		if isGo[k] {
			shorter, err := rewriteFunction(body)
			if err != nil {
				return nil, fmt.Errorf("function %d: %w", k, err)
			}
			body = shorter
		}
		out = binary.AppendUvarint(out, uint64(len(body)))
		out = append(out, body...)
	}
	return out, nil
}

// rewriteFunction takes the locals and the expression of a function of goType.
func rewriteFunction(body []byte) ([]byte, error) {
	r := reader{b: body}
	groups := r.unsigned()
	groupsAt, restAt := r.p, r.p
	for k := range groups {
		n, kind := r.unsigned(), r.byte()
		if k == 0 && n == 1 && kind == 0x7f {
			restAt = r.p
		}
	}
	if r.err != nil {
		return nil, r.err
	}
	list, err := decode(body[r.p:])
	if err != nil {
		return nil, err
	}
	f := function{list: list, jumps: jumps(list)}
	// Behind the stack pointer, which is the first local.
	if restAt > groupsAt {
		f.part = ownPart(list)
	}
	f.write()
	if f.part == 0 {
		return append(bytes.Clone(body[:r.p]), f.out...), nil
	}
	out := binary.AppendUvarint(nil, uint64(groups+1))
	out = append(out, body[groupsAt:restAt]...)
	out = append(out, 1, 0x7e) // one of i64
	out = append(out, body[restAt:r.p]...)
	out = putConst(out, opI64Const, f.part<<16)
	out = put(out, opLocalSet, ownLocal)
	return append(out, f.out...), nil
}

// ownLocal is where a function has ownPart: the same local in all, so that it
// compresses. The parameter and the stack pointer come before it.
const ownLocal = 2

// Of a return address the upper bits are the function's: its number and this.
const firstFunction = 0x1000

// ownPart is the upper part of a function's return addresses, or 0 where it has
// no two of them.
func ownPart(list []instr) int {
	part, n := 0, 0
	for i := range list {
		if !isAddress(list, i) {
			continue
		}
		if n == 0 {
			part = list[i].x >> 16
		}
		if list[i].x>>16 == part {
			n++
		}
	}
	if n < 2 {
		return 0
	}
	return part
}

// isAddress tells whether a constant is stored as the address to return to.
func isAddress(list []instr, i int) bool {
	return list[i].op == opI64Const && list[i].x>>16 >= firstFunction && list[i].x>>48 == 0 &&
		i+1 < len(list) && list[i+1].op == opI64Store && list[i+1].x == 0
}
