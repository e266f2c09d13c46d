package logfile

import "math"

// couldBePack tells whether a column could be the voltage of cells in series, in
// V or mV: as well a current, then, is what lies between 1 and 5.
func (b *behaviour) couldBePack(c int) bool {
	scale := 1.0
	if b.within(c, 1500, 1e6) {
		scale = 1000
	} else if !b.point[c] {
		return false
	}
	return b.within(c, 1.5*scale, 1000*scale) && b.mostly(c, 5*scale) && b.spread(c) > 0 && !b.rising(c)
}

// mostly: at least half of the values are above a bound.
func (b *behaviour) mostly(c int, bound float64) bool {
	over, n := 0, 0
	for _, x := range b.values[c] {
		if !math.IsNaN(x) {
			n++
			if x > bound {
				over++
			}
		}
	}
	return over*2 >= n
}

// packBeside: a free column other than v could be the voltage of a pack, and v
// its current.
func (b *behaviour) packBeside(v int) bool {
	for c := range b.values {
		if c != v && b.free(c) && b.couldBePack(c) {
			return !b.yields(v)
		}
	}
	return false
}

// yields: v goes down a little wherever a load comes on and up where it goes off,
// as a voltage does and a current does not. The load is what jumps from nought
// to more than half of its top, or back.
func (b *behaviour) yields(v int) bool {
	for c, x := range b.values {
		if c == v || b.lay.forms[c] != number {
			continue
		}
		top := 0.0
		for _, i := range x {
			if i = math.Abs(i); i > top { // NaN is not
				top = i
			}
		}
		jumps, opposite := 0, 0
		for k := 1; k < len(x); k++ {
			before, after := math.Abs(x[k-1]), math.Abs(x[k])
			up := before <= top/100 && after > top/2
			if !up && !(after <= top/100 && before > top/2) {
				continue
			}
			jumps++
			dv := b.values[v][k] - b.values[v][k-1]
			if up {
				dv = -dv
			}
			if dv > 0 && dv < 0.3*math.Abs(b.values[v][k]) {
				opposite++
			}
		}
		if jumps > 0 && jumps == opposite {
			return true
		}
	}
	return false
}

// swapped: of two columns whose product is the power, i could be the voltage of a
// pack and v its current: i never is nought while v is not.
func (b *behaviour) swapped(v, i int) bool {
	if !b.couldBePack(i) {
		return false
	}
	for k, x := range b.values[i] {
		if math.Abs(x) < 0.01 && b.values[v][k] > 0.4 {
			return false
		}
	}
	return true
}
