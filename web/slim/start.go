package main

import (
	"encoding/binary"
	"errors"
)

var errStart = errors.New("the module's functions are not as Go's linker writes them")

// start gives the module a function that is called as it is instantiated, with
// one local variable, an i32. The others keep their numbers.
func (m *module) start(body []byte) error {
	types, functions, codes := m.body(typeSection), m.body(functionSection), m.body(codeSection)
	if types == nil || functions == nil || codes == nil || m.body(startSection) != nil {
		return errStart
	}
	imported, err := m.imported()
	if err != nil {
		return err
	}
	body = append([]byte{1, 1, 0x7f}, body...) // one variable, an i32
	body = append(body, opEnd)
	body = append(binary.AppendUvarint(nil, uint64(len(body))), body...)

	kind := count(*types)
	number := imported + count(*functions)
	if kind < 0 || number < 0 || count(*functions) != count(*codes) {
		return errStart
	}
	*types = more(*types, []byte{0x60, 0, 0}) // takes nothing, gives nothing
	*functions = more(*functions, binary.AppendUvarint(nil, uint64(kind)))
	*codes = more(*codes, body)
	for k, s := range m.sections {
		if s.id > startSection { // they are in order
			begin := section{startSection, binary.AppendUvarint(nil, uint64(number))}
			m.sections = append(m.sections[:k:k], append([]section{begin}, m.sections[k:]...)...)
			return nil
		}
	}
	return errStart
}

// body is the content of a section, nil where the module has none.
func (m *module) body(id byte) *[]byte {
	for k := range m.sections {
		if m.sections[k].id == id {
			return &m.sections[k].body
		}
	}
	return nil
}

// count is the number of entries of a section, and more is it with one more.
func count(body []byte) int {
	r := reader{b: body}
	n := r.unsigned()
	if r.err != nil {
		return -1
	}
	return n
}

func more(body, entry []byte) []byte {
	r := reader{b: body}
	n := r.unsigned()
	out := binary.AppendUvarint(nil, uint64(n+1))
	return append(append(out, body[r.p:]...), entry...)
}

// imported is how many functions the module imports: they are numbered first.
// Specification, 5.5.5.
func (m *module) imported() (int, error) {
	body := m.body(importSection)
	if body == nil {
		return 0, nil
	}
	functions := 0
	r := reader{b: *body}
	for range r.unsigned() {
		r.take(r.unsigned()) // of which module
		r.take(r.unsigned()) // what
		if r.byte() != 0 {
			return 0, errStart // Go imports functions alone
		}
		r.unsigned()
		functions++
		if r.err != nil {
			return 0, r.err
		}
	}
	return functions, r.err
}
