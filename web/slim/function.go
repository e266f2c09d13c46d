package main

import "bytes"

// function is one that is written anew.
type function struct {
	list  []instr
	part  int // see ownPart; the locals from ownLocal on move up where there is one
	jumps dispatch
	open  []int // what is open, outermost first
	out   []byte
}

func (f *function) write() {
	for i := 0; i < len(f.list); {
		if n := f.shorter(i); n > 0 {
			i += n
			continue
		}
		in := f.list[i]
		switch in.op {
		case opBlock, opLoop, opIf:
			f.open = append(f.open, i)
		case opEnd:
			if in.mate >= 0 {
				f.open = f.open[:len(f.open)-1]
			}
		}
		if f.part != 0 && in.op >= opLocalGet && in.op <= opLocalTee && in.x >= ownLocal {
			f.out = put(f.out, in.op, in.x+1)
		} else {
			f.out = append(f.out, in.bytes...)
		}
		i++
	}
}

// shorter writes what can be written shorter from instruction i on, and gives
// how many instructions that was.
func (f *function) shorter(i int) int {
	rest := f.list[i:]
	switch {
	case begins(rest, opI64ExtendI32U, opI64Const, opI64Add, opI32WrapI64):
		// The sum's lower 32 bits do not depend on the upper ones.
		f.out = append(putConst(f.out, opI32Const, int(int32(rest[1].x))), opI32Add)
		return 4
	case f.part != 0 && isAddress(f.list, i) && rest[0].x>>16 == f.part:
		f.out = put(f.out, opLocalGet, ownLocal)
		if low := rest[0].x & 0xffff; low != 0 {
			f.out = append(putConst(f.out, opI64Const, low), opI64Or)
		}
		return 1
	case begins(rest, opBrIf) && f.returns(rest[0].x) && i >= 3 && afterCall(f.list[i-3:i]):
		f.out = append(f.out, opIf, noResult, opI32Const, 1, opReturn, opEnd)
		return 1
	case begins(rest, opIf, opI32Const, opLocalSet, opBr, opEnd) && rest[0].x == asVoid:
		if label, ok := f.jumps.straight(f.list, append(f.open, i), rest[1:]); ok && label > 0 {
			f.out = put(f.out, opBrIf, label-1)
			return 5
		}
	case begins(rest, opI32Const, opLocalSet, opBr):
		if label, ok := f.jumps.straight(f.list, f.open, rest); ok {
			f.out = put(f.out, opBr, label)
			return 3
		}
	}
	return 0
}

// asVoid is the type of a block without a result, as a signed number.
const asVoid = -0x40

func begins(list []instr, ops ...byte) bool {
	if len(list) < len(ops) {
		return false
	}
	for k, op := range ops {
		if list[k].op != op {
			return false
		}
	}
	return true
}

// afterCall tells whether three instructions are a call and what takes the
// stack pointer over again after it.
func afterCall(list []instr) bool {
	return (list[0].op == opCall || list[0].op == opCallIndirect) && list[1].op == opGlobalGet && list[2].op == opLocalSet
}

// returns tells whether a branch to a label comes to no more than returning 1.
func (f *function) returns(label int) bool {
	if label >= len(f.open) {
		return false
	}
	block := f.list[f.open[len(f.open)-1-label]]
	return block.op == opBlock && block.x == asVoid && block.mate+3 == len(f.list) &&
		bytes.Equal(f.list[block.mate+1].bytes, []byte{opI32Const, 1})
}

// dispatch is how a function's jumps are made: by setting local 0 and going to
// the start of a loop, where a table has the block for each number.
type dispatch struct {
	loop   int   // the instruction, or -1 where jumps are made otherwise
	blocks []int // what opens the block for each number, the last for all others
}

// jumps finds the loop and its table, near the function's start: loop, blocks,
// local.get 0, br_table. There
// is none where local 0 is read, or the loop gone to, without local 0 having
// been set just before, since then its value would have to outlive a jump.
func jumps(list []instr) dispatch {
	none := dispatch{loop: -1}
	var open []int
	at := 0
	for at < len(list) && (list[at].op == opGlobalGet || list[at].op == opLocalSet || list[at].op == opBlock) {
		if list[at].op == opBlock {
			open = append(open, at)
		}
		at++
	}
	d := dispatch{loop: at}
	if at == len(list) || list[at].op != opLoop || list[at].x != asVoid {
		return none
	}
	for open = append(open, at); at+1 < len(list) && list[at+1].op == opBlock && list[at+1].x == asVoid; open = append(open, at) {
		at++
	}
	at++
	if !begins(list[at:], opLocalGet, opBrTable) || list[at].x != 0 {
		return none
	}
	for _, label := range list[at+1].table {
		if label >= len(open) {
			return none
		}
		d.blocks = append(d.blocks, open[len(open)-1-label])
	}
	open = open[:0]
	for i, in := range list {
		switch in.op {
		case opBlock, opLoop, opIf:
			open = append(open, i)
		case opEnd:
			if in.mate >= 0 {
				open = open[:len(open)-1]
			}
		case opLocalGet:
			if in.x == 0 && i != at && !setBefore(list, i) {
				return none
			}
		case opLocalTee:
			if in.x == 0 {
				return none
			}
		case opBr, opBrIf:
			if in.x < len(open) && open[len(open)-1-in.x] == d.loop && (in.op == opBrIf || !isSet(list[i-1])) {
				return none
			}
		case opBrTable:
			if i != at+1 {
				return none
			}
		}
	}
	return d
}

func isSet(in instr) bool { return in.op == opLocalSet && in.x == 0 }

// setBefore tells whether local 0 is set next before instruction i, with nothing
// but a constant between.
func setBefore(list []instr, i int) bool {
	for i--; i >= 0 && list[i].op == opI32Const; i-- {
	}
	return i >= 0 && isSet(list[i])
}

// straight gives the label by which a jump, written as i32.const, local.set 0,
// br to the loop, can go to its block without the loop: one that is still open.
func (d dispatch) straight(list []instr, open []int, jump []instr) (label int, ok bool) {
	if d.loop < 0 || !isSet(jump[1]) || jump[2].x >= len(open) || open[len(open)-1-jump[2].x] != d.loop {
		return 0, false
	}
	number := jump[0].x
	if number < 0 || number >= len(d.blocks) {
		number = len(d.blocks) - 1
	}
	for label := range open {
		if at := open[len(open)-1-label]; at == d.blocks[number] && list[at].op == opBlock {
			return label, true
		}
	}
	return 0, false
}
