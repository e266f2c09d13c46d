package main

import (
	"encoding/binary"
	"fmt"
)

// Instructions: WebAssembly Core Specification, 5.4.
const (
	opBlock, opLoop, opIf, opElse, opEnd    = 0x02, 0x03, 0x04, 0x05, 0x0b
	opBr, opBrIf, opBrTable, opReturn       = 0x0c, 0x0d, 0x0e, 0x0f
	opCall, opCallIndirect                  = 0x10, 0x11
	opLocalGet, opLocalSet, opLocalTee      = 0x20, 0x21, 0x22
	opGlobalGet                             = 0x23
	opI64Store, opI32Const, opI64Const      = 0x37, 0x41, 0x42
	opI32Add, opI64Add, opI64Or             = 0x6a, 0x7c, 0x84
	opI32WrapI64, opI64ExtendI32U, noResult = 0xa7, 0xad, 0x40
)

// instr is one instruction.
type instr struct {
	op    byte
	x     int    // its first number: a constant, index, label or type
	table []int  // labels of a br_table, the last one where no other is meant
	bytes []byte // as written
	mate  int    // of what opens a block, its end; of an end, what opened it; -1 for the function's
}

// decode takes a function's expression apart, the end included.
func decode(body []byte) ([]instr, error) {
	var list []instr
	var open []int
	r := reader{b: body}
	for {
		if r.p >= len(body) {
			return nil, errShort
		}
		start := r.p
		in := instr{op: r.byte(), mate: -1}
		switch op := in.op; {
		case op == opBlock || op == opLoop || op == opIf:
			in.x = r.signed()
			open = append(open, len(list))
		case op == opEnd:
			if len(open) > 0 {
				in.mate = open[len(open)-1]
				list[in.mate].mate = len(list)
				open = open[:len(open)-1]
			} else if r.p != len(body) {
				return nil, fmt.Errorf("a function goes on behind its end")
			}
		case op == opBr || op == opBrIf || op == opCall || op >= opLocalGet && op <= 0x24 || op == 0x3f || op == 0x40:
			in.x = r.unsigned()
		case op == opBrTable:
			n := r.unsigned()
			if r.err == nil && n > len(body) {
				return nil, errShort
			}
			for range n + 1 {
				in.table = append(in.table, r.unsigned())
			}
		case op == opCallIndirect:
			in.x = r.unsigned()
			r.unsigned()
		case op >= 0x28 && op <= 0x3e: // loads and stores: alignment, offset
			r.unsigned()
			in.x = r.unsigned()
		case op == opI32Const || op == opI64Const:
			in.x = r.signed()
		case op == 0x43:
			r.take(4)
		case op == 0x44:
			r.take(8)
		case op == 0xfc:
			switch in.x = r.unsigned(); {
			case in.x <= 7: // conversions
			case in.x == 10: // memory.copy
				r.take(2)
			case in.x == 11: // memory.fill
				r.take(1)
			default:
				return nil, fmt.Errorf("instruction 0xfc %d is not known", in.x)
			}
		case op <= 0x01 || op == opElse || op == opReturn || op == 0x1a || op == 0x1b || op >= 0x45 && op <= 0xc4:
		default:
			return nil, fmt.Errorf("instruction 0x%x is not known", op)
		}
		if r.err != nil {
			return nil, r.err
		}
		in.bytes = body[start:r.p]
		list = append(list, in)
		if in.op == opEnd && in.mate < 0 {
			return list, nil
		}
	}
}

// signed reads an integer of 64 bits.
func (r *reader) signed() int {
	var x, shift int
	for {
		c := r.byte()
		x |= int(c&0x7f) << shift
		shift += 7
		if r.err != nil || shift > 70 {
			r.err = errShort
			return 0
		}
		if c < 0x80 {
			if c&0x40 != 0 && shift < 64 {
				x |= -1 << shift
			}
			return x
		}
	}
}

// put writes an instruction that has one number.
func put(out []byte, op byte, x int) []byte {
	return binary.AppendUvarint(append(out, op), uint64(x))
}

// putConst writes a constant.
func putConst(out []byte, op byte, x int) []byte { return appendSigned(append(out, op), x) }
