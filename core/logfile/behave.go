package logfile

import (
	"math"
	"slices"

	"plateau/core/say"
)

// unnamed settles what the columns of a table without header hold, by the
// units in their cells and by how their numbers go: time rises, voltage lies
// where a cell's does, power is voltage times current, a counter grows as
// current times time. What nothing tells stays unsure, for a person to say.
func (lay *Layout) unnamed() {
	b := &behaviour{lay: lay, rows: lay.sample()}
	for c := range lay.width {
		lay.Columns = append(lay.Columns, Column{Index: c, Unit: baseUnit(Unknown), sure: Unsure})
		b.read(c)
	}
	b.byUnit()
	b.byClock()
	b.byPower()
	b.byRange()
	b.time()
	b.byWarmth()
}

// behaviour is the numbers of a sample, column by column; NaN where a row has
// none.
type behaviour struct {
	lay    *Layout
	rows   [][]string
	values [][]float64
	unit   []string // of most cells
	point  []bool   // some value has a decimal mark
}

func (b *behaviour) read(c int) {
	x := make([]float64, len(b.rows))
	units := map[string]int{}
	point := false
	for k, row := range b.rows {
		v, unit, ok := b.lay.syntax.number(row[c])
		if !ok {
			v = math.NaN()
		}
		x[k] = v
		units[unit]++
		point = point || v != math.Trunc(v)
	}
	best := ""
	for u, n := range units {
		if u != "" && n*2 > len(b.rows) {
			best = u
		}
	}
	b.values, b.unit, b.point = append(b.values, x), append(b.unit, best), append(b.point, point)
}

func (b *behaviour) set(c int, kind Kind, sure Sure, why string) {
	col := &b.lay.Columns[c]
	if col.Kind == Unknown {
		col.Kind, col.Unit, col.sure, col.why = kind, baseUnit(kind), sure, why
		col.score = 10 - int(sure)
	}
}

func (b *behaviour) free(c int) bool {
	return b.lay.forms[c] == number && b.lay.Columns[c].Kind == Unknown
}

func (b *behaviour) has(kind Kind) (c int, ok bool) {
	for c, col := range b.lay.Columns {
		if col.Kind == kind {
			return c, true
		}
	}
	return 0, false
}

// byUnit: the cells say it themselves, "3.98V".
func (b *behaviour) byUnit() {
	for c, u := range b.unit {
		if u == "" {
			continue
		}
		if col := readHead(u, ""); col.Kind != Unknown && col.Stated {
			b.set(c, col.Kind, Certain, say.Keep(say.Later("its cells have the unit %s"), u))
			b.lay.Columns[c].Unit, b.lay.Columns[c].Stated = col.Unit, true
		} else if u == "C" {
			b.set(c, Temperature, Certain, say.Keep(say.Later("its cells have the unit %s"), u))
			b.lay.Columns[c].Stated = true
		}
	}
}

func (b *behaviour) byClock() {
	for c, f := range b.lay.forms {
		if f == clock || f == dateTime || f == dateOnly {
			b.set(c, Time, Certain, say.Later("its cells are times"))
		}
	}
}

// byPower finds three columns of which one is the product of the other two.
func (b *behaviour) byPower() {
	for v := range b.values {
		if !b.free(v) || !b.within(v, 0.4, 5) || !b.point[v] || b.distinct(v) < 8 {
			continue
		}
		for i := range b.values {
			for p := range b.values {
				if i == v || p == v || p == i || !b.free(i) || !b.free(p) || !b.product(v, i, p) || b.swapped(v, i) {
					continue
				}
				why := say.Later("power is voltage times current")
				b.set(v, Voltage, Certain, why)
				b.set(i, Current, Certain, why)
				b.set(p, Power, Certain, why)
				for _, c := range []int{v, i, p} {
					b.lay.Columns[c].Stated = true
				}
				return
			}
		}
	}
}

func (b *behaviour) product(v, i, p int) bool {
	good, loaded := 0, 0
	n := 0
	for k := range b.rows {
		x, y, z := b.values[v][k], b.values[i][k], b.values[p][k]
		if math.IsNaN(x + y + z) {
			continue
		}
		n++
		if math.Abs(z-x*y) <= 0.01*math.Abs(z)+0.06 {
			good++
		}
		if math.Abs(z) > 0.5 {
			loaded++
		}
	}
	return loaded >= 5 && good*20 >= n*19 && b.spread(v) > 0
}

// byRange: one column alone lies where the voltage of a cell does, and one
// other holds its level as a set current does.
func (b *behaviour) byRange() {
	if _, ok := b.has(Voltage); !ok {
		c, n := b.only(func(c int) bool { return b.within(c, 1, 5) && b.point[c] && b.spread(c) > 0 })
		why := say.Later("it alone lies between 1 and 5 V")
		if n != 1 {
			c, n = b.only(func(c int) bool { return b.within(c, 1000, 5000) && b.spread(c) > 0 && !b.rising(c) })
			why = say.Later("it alone lies between 1000 and 5000 mV")
		}
		if n != 1 || b.packBeside(c) {
			return // a current would be no surer
		}
		b.set(c, Voltage, Likely, why)
	}
	if _, ok := b.has(Current); !ok {
		if c, n := b.only(func(c int) bool { return b.point[c] && b.level(c) && !b.rising(c) }); n == 1 {
			b.set(c, Current, Likely, say.Later("no other column stays at one level"))
		}
	}
}

// byWarmth: one column alone that is left lies where a cell's temperature does.
func (b *behaviour) byWarmth() {
	if _, ok := b.has(Temperature); ok {
		return
	}
	if _, ok := b.has(Voltage); !ok {
		return // it may be that of a pack
	}
	if c, n := b.only(func(c int) bool { return b.point[c] && b.within(c, 10, 70) && b.spread(c) < 50 }); n == 1 {
		b.set(c, Temperature, Likely, say.Later("it alone lies between 10 and 70 °C"))
	}
}

func (b *behaviour) only(fits func(c int) bool) (at, n int) {
	for c := range b.values {
		if b.free(c) && fits(c) {
			at = c
			n++
		}
	}
	return at, n
}

// within: all but a few of the values lie between two bounds.
func (b *behaviour) within(c int, low, high float64) bool {
	in, n := 0, 0
	for _, x := range b.values[c] {
		if !math.IsNaN(x) {
			n++
			if x >= low && x <= high {
				in++
			}
		}
	}
	return n > 1 && in*20 >= n*19
}

func (b *behaviour) spread(c int) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range b.values[c] {
		if !math.IsNaN(x) {
			low, high = min(low, x), max(high, x)
		}
	}
	return high - low
}

// distinct counts the different values of a column.
func (b *behaviour) distinct(c int) int {
	seen := map[float64]bool{}
	for _, x := range b.values[c] {
		seen[x] = true
	}
	return len(seen)
}

// rising: never goes back, and goes on in at least half of the rows.
func (b *behaviour) rising(c int) bool {
	last, ups, n := math.NaN(), 0, 0
	for _, x := range b.values[c] {
		if math.IsNaN(x) {
			continue
		}
		n++
		if x < last {
			return false
		}
		if x > last {
			ups++
		}
		last = x
	}
	return n > 2 && ups*2 >= n-1
}

// level: most values are like the one before, and some are not zero.
func (b *behaviour) level(c int) bool {
	top := 0.0
	for _, x := range b.values[c] {
		if !math.IsNaN(x) {
			top = max(top, math.Abs(x))
		}
	}
	same, n := 0, 0
	last := math.NaN()
	for _, x := range b.values[c] {
		if math.IsNaN(x) {
			continue
		}
		if !math.IsNaN(last) {
			n++
			if math.Abs(x-last) <= 0.02*top {
				same++
			}
		}
		last = x
	}
	return top > 0 && n > 2 && same*5 >= n*4
}

// time is a column that rises; a counter of charge that grows as current times
// its intervals proves it, and its unit.
func (b *behaviour) time() {
	if _, ok := b.has(Time); ok {
		return
	}
	var rising []int
	for c := range b.values {
		if b.free(c) && b.rising(c) {
			rising = append(rising, c)
		}
	}
	if i, ok := b.has(Current); ok {
		found, counter := -1, -1
		for _, t := range rising {
			for q := range b.values {
				if q == t || !b.free(q) || !b.counts(t, i, q) {
					continue
				}
				if found >= 0 && !slices.Equal(b.values[found], b.values[t]) {
					return // two of them: chance, for one
				}
				found, counter = t, q
			}
		}
		if found >= 0 {
			b.set(found, Time, Certain, say.Later("a counter grows as the current over these seconds"))
			b.lay.Columns[found].Stated = true
			b.set(counter, Charge, Certain, say.Later("it grows as current times time"))
			return
		}
	}
	if len(rising) > 1 {
		rising = slices.DeleteFunc(rising, b.numbered)
	}
	if len(rising) == 1 {
		b.set(rising[0], Time, Unsure, say.Later("it alone rises; nothing tells its unit"))
	}
}

// numbered: the rows are counted, one by one.
func (b *behaviour) numbered(c int) bool {
	for k := 1; k < len(b.rows); k++ {
		if b.values[c][k]-b.values[c][k-1] != 1 {
			return false
		}
	}
	return true
}

// counts: over the longest stretch under load q changes by ∫I·dt/3600 with t
// in s, at each quarter of it within 1 % and the two last digits of the
// counter. ms with mAh look the same; intervals and charges that no bench has
// give those away.
func (b *behaviour) counts(t, i, q int) bool {
	from, to := b.loaded(i)
	if to-from < 12 {
		return false
	}
	sum := make([]float64, to-from)
	var step, gaps []float64
	for k := from + 1; k < to; k++ {
		dt := b.values[t][k] - b.values[t][k-1]
		gaps = append(gaps, dt)
		sum[k-from] = sum[k-from-1] + math.Abs(b.values[i][k]+b.values[i][k-1])/2*dt/3600
		if d := math.Abs(b.values[q][k] - b.values[q][k-1]); d > 0 {
			step = append(step, d)
		}
	}
	if len(step) < 5 {
		return false
	}
	least := slices.Min(step)
	for quarter := 1; quarter <= 4; quarter++ {
		k := (to - from - 1) * quarter / 4
		got := math.Abs(b.values[q][from+k] - b.values[q][from])
		if !(math.Abs(got-sum[k]) <= 0.01*sum[k]+2*least) {
			return false
		}
	}
	slices.Sort(gaps)
	whole := math.Abs(b.values[q][to-1] - b.values[q][from])
	return whole > 20*least && gaps[len(gaps)/2] <= 1000 && whole >= 0.005 && whole <= 1000
}

// loaded is the longest stretch of rows with one current.
func (b *behaviour) loaded(i int) (from, to int) {
	x := b.values[i]
	for k := 0; k < len(x); {
		if !(math.Abs(x[k]) > 0.01) {
			k++
			continue
		}
		a := k
		for k++; k < len(x) && math.Abs(x[k]-x[a]) <= 0.1*math.Abs(x[a]); k++ {
		}
		if k-a > to-from {
			from, to = a, k
		}
	}
	return from, to
}
