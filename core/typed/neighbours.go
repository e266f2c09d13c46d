package typed

import (
	"math"
	"sort"
)

// reach is how many places away a row can change what is expected of another: the
// ends of a list are read from the two beside them.
const reach = 2

// weigh finds how far the rows of a part of a list are off, and how much better
// the others agree without each. Only those near a row tell of it, so a list
// takes time by its length.
func weigh(list []*point, from, to int) {
	from, to = max(from, 0), min(to, len(list))
	for k := from; k < to; k++ {
		p := list[k]
		p.expected = beside(list, k)
		p.off = p.expected.off(p)
	}
	for k := from; k < to; k++ {
		p := list[k]
		if p.off <= 1 {
			continue
		}
		first, last := max(0, k-2*reach-1), min(len(list), k+2*reach+2)
		rest := without(list[first:last], k-first)
		p.gain = disagreement(list, k-reach, k+reach+1) - disagreement(rest, k-first-reach, k-first+reach)
	}
}

// disagreement is how far the rows of a part of a list are off their neighbours,
// in tolerances; what is within them does not count.
func disagreement(list []*point, from, to int) (sum float64) {
	for k := max(from, 0); k < min(to, len(list)); k++ {
		p := list[k]
		sum += max(0, beside(list, k).off(p)-1)
		if k > 0 {
			sum += max(0, (p.v-list[k-1].v)/(p.v*inside)-rise/inside)
		}
	}
	return sum
}

// expectation is what the other discharges of a cell let expect.
type expectation struct {
	v, tolerance float64 // V
	charge       float64 // Ah
	ok           bool
}

// off is how many tolerances a discharge lies from it.
func (e expectation) off(p *point) float64 {
	if !e.ok {
		return 0
	}
	return math.Abs(p.v-e.v) / (e.tolerance + p.slip)
}

// beside is what the neighbours in a list let expect of one in it.
func beside(list []*point, k int) expectation {
	if len(list) < 3 {
		return expectation{}
	}
	switch k {
	case 0:
		return line(list[k].amps, list[1], list[2])
	case len(list) - 1:
		return line(list[k].amps, list[k-2], list[k-1])
	}
	return line(list[k].amps, list[k-1], list[k+1])
}

// expect is what others let expect of one that is not among them.
func expect(p *point, others []*point) expectation {
	if len(others) < 2 || !(p.amps > 0) {
		return expectation{}
	}
	k := sort.Search(len(others), func(k int) bool { return others[k].amps > p.amps })
	k = min(max(k, 1), len(others)-1)
	return line(p.amps, others[k-1], others[k])
}

// line reads the line between two discharges at a current, or not too far beyond
// them on one side.
func line(amps float64, a, b *point) expectation {
	if !(b.amps > a.amps) {
		return expectation{v: a.v, tolerance: outside * a.v, charge: a.charge, ok: amps < 2*a.amps && a.amps < 2*amps}
	}
	f := (amps - a.amps) / (b.amps - a.amps)
	beyond := max(f-1, -f, 0)
	e := expectation{v: a.v + float64(f*(b.v-a.v)), charge: a.charge + float64(f*(b.charge-a.charge)), ok: beyond <= 3}
	e.tolerance = e.v * (inside + float64(beyond*outside))
	return e
}
