package main

import (
	"bytes"
	"slices"
	"testing"
)

// goFunction is the body of a function as Go's compiler writes it, with the
// code of its first three blocks.
func goFunction(blocks ...[]byte) []byte {
	body := []byte{2, 1, 0x7f, 2, 0x7e} // locals: i32, then two i64
	body = append(body, opGlobalGet, 0, opLocalSet, 1, opBlock, noResult, opLoop, noResult)
	for range blocks {
		body = append(body, opBlock, noResult)
	}
	body = append(body, opLocalGet, 0, opBrTable, byte(len(blocks)-1))
	for k := range blocks {
		body = append(body, byte(k))
	}
	for _, code := range blocks {
		body = append(append(body, opEnd), code...)
	}
	return append(body, opEnd, 0x00, opEnd, opI32Const, 1, opEnd)
}

func rewritten(t *testing.T, body []byte) []byte {
	t.Helper()
	got, err := rewriteFunction(body)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// Bytes by hand from the WebAssembly Core Specification, 5.4.
func TestJumps(t *testing.T) {
	to := func(block, loop byte) []byte { return []byte{opI32Const, block, opLocalSet, 0, opBr, loop} }
	if got, want := rewritten(t, goFunction(to(2, 2), []byte{0x01}, []byte{0x01})), goFunction([]byte{opBr, 1}, []byte{0x01}, []byte{0x01}); !bytes.Equal(got, want) {
		t.Errorf("on:\n % x\nwant\n % x", got, want)
	}
	when := slices.Concat([]byte{opLocalGet, 1, opIf, noResult}, to(2, 3), []byte{opEnd})
	if got, want := rewritten(t, goFunction(when, []byte{0x01}, []byte{0x01})), goFunction([]byte{opLocalGet, 1, opBrIf, 1}, []byte{0x01}, []byte{0x01}); !bytes.Equal(got, want) {
		t.Errorf("on, with a condition:\n % x\nwant\n % x", got, want)
	}
	for name, body := range map[string][]byte{
		"back":                  goFunction([]byte{0x01}, []byte{0x01}, to(1, 0)),
		"to itself":             goFunction([]byte{0x01}, to(1, 1), []byte{0x01}),
		"not to the loop":       goFunction(to(2, 3), []byte{0x01}, []byte{0x01}),
		"the number is used":    goFunction(to(2, 2), []byte{opLocalGet, 0, 0x1a}, []byte{0x01}),
		"the number is kept":    goFunction(to(2, 2), []byte{opBr, 1}, []byte{0x01}),
		"another table as well": goFunction(to(2, 2), []byte{opBlock, noResult, opLocalGet, 1, opBrTable, 0, 0, opEnd}, []byte{0x01}),
	} {
		if got := rewritten(t, body); !bytes.Equal(got, body) {
			t.Errorf("%s: is changed to\n % x", name, got)
		}
	}
}

func TestAddressesAndCalls(t *testing.T) {
	sum := []byte{opLocalGet, 1, opI64ExtendI32U, opI64Const, 0x38, opI64Add, opI32WrapI64, 0x1a}
	if got, want := rewritten(t, goFunction(sum)), goFunction([]byte{opLocalGet, 1, opI32Const, 0x38, opI32Add, 0x1a}); !bytes.Equal(got, want) {
		t.Errorf("sum:\n % x\nwant\n % x", got, want)
	}
	call := func(block int) []byte {
		code := putConst([]byte{opLocalGet, 1}, opI64Const, 0x1234<<16|block)
		return append(code, opI64Store, 3, 0, opI32Const, 0, opCall, 7, opGlobalGet, 0, opLocalSet, 1, opBrIf, 1, opLocalGet, 3, 0x1a)
	}
	got := rewritten(t, goFunction(slices.Concat(call(0), call(5))))
	own := func(rest ...byte) []byte {
		code := append([]byte{opLocalGet, 1, opLocalGet, ownLocal}, rest...)
		return append(code, opI64Store, 3, 0, opI32Const, 0, opCall, 7, opGlobalGet, 0, opLocalSet, 1, opIf, noResult, opI32Const, 1, opReturn, opEnd, opLocalGet, 4, 0x1a)
	}
	want := goFunction(slices.Concat(own(), own(opI64Const, 5, opI64Or)))
	start := slices.Concat([]byte{3, 1, 0x7f, 1, 0x7e, 2, 0x7e}, putConst(nil, opI64Const, 0x1234<<16), []byte{opLocalSet, ownLocal})
	if want = slices.Concat(start, want[5:]); !bytes.Equal(got, want) {
		t.Errorf("calls:\n % x\nwant\n % x", got, want)
	}
}

// The code of a real program, damaged anywhere, is refused or taken for other
// code, and not panicked over.
func TestStrangeCode(t *testing.T) {
	m, err := parse(built(t))
	if err != nil {
		t.Fatal(err)
	}
	whole := *m.body(codeSection)
	if err := m.rewrite(); err != nil {
		t.Fatal(err)
	}
	if small := *m.body(codeSection); len(small) > len(whole)*99/100 {
		t.Errorf("%d bytes of %d", len(small), len(whole))
	}
	for at := 0; at < len(whole); at += len(whole) / 25 {
		bad := bytes.Clone(whole)
		bad[at] ^= 0xff
		*m.body(codeSection) = bad
		_ = m.rewrite()
		*m.body(codeSection) = whole[:at]
		if err := m.rewrite(); err == nil {
			t.Errorf("%d of %d bytes are taken", at, len(whole))
		}
	}
}
