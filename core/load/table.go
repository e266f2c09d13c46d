package load

import (
	"math"

	"plateau/core/measure"
)

// steps is how many a depth is divided into.
const steps = 400

// table is the voltage over the depth: the charge as a share of what a run gives
// down to a bottom voltage that all of the runs concerned reach.
//
// At equal depth the voltage is taken as a line in the current, and so is the
// charge to the bottom; at the bottom the latter is all there is. On the cell of
// [TestORNL], of which 1C and 3C are to tell 2C, this misses the charge by 1.6 %
// to the end and by 1.8, 2.4 and 3.7 % to 3.2, 3.3 and 3.4 V; a line in the
// charge at equal voltage by 1.6, 3.3, 5.8 and 7.7 %, one in the logarithm of
// the current by 2.4, 4.8, 8.1 and 11 %.
type table struct {
	s        *slice
	from, to int     // the rates that it is for
	bottom   float64 // V
	// Of each rate that reaches the bottom, nil of others: the charge to it in
	// Ah; at each step of the depth the voltage, and its integral over the depth
	// from 0, in V.
	charge  []float64
	v, area [][]float64
}

// tableOf is the table for the currents between rates from and to.
func (s *slice) tableOf(from, to int) *table {
	n := len(s.rates)
	to = min(to, n-1)
	t := &table{s: s, from: from, to: to, charge: make([]float64, n), v: make([][]float64, n), area: make([][]float64, n)}
	bottom := 0.0
	for k := from; k <= to; k++ {
		bottom = math.Max(bottom, float64(s.rates[k].low())/levels)
	}
	t.bottom = math.Min(bottom, s.cutoff)
	for k := range s.rates {
		t.fill(k)
	}
	for k := from; k <= to; k++ {
		if t.v[k] == nil && t.bottom < s.cutoff {
			// A log in disorder: the cut-off itself does.
			t.bottom = s.cutoff
			for k := range s.rates {
				t.fill(k)
			}
		}
	}
	return t
}

// low is the lowest level that all runs of a rate fall through.
func (r rate) low() int {
	low := 0
	for _, x := range r.runs {
		low = max(low, x.low)
	}
	return low
}

// fill turns a rate's charge over the voltage into its voltage over the depth.
func (t *table) fill(k int) {
	r := t.s.rates[k]
	low, top := r.low(), most
	for _, x := range r.runs {
		top = min(top, x.top())
	}
	if t.bottom < t.s.cutoff && float64(low)/levels > t.bottom {
		return
	}
	at := func(l int) float64 {
		return meanOf(r.runs, func(x results) float64 {
			if k := l - x.low; k < len(x.q) {
				return x.q[k]
			}
			return 0 // above its start
		})
	}
	all := meanOf(r.runs, func(x results) float64 { return x.Capacity })
	if t.bottom < t.s.cutoff {
		all = at(int(math.Round(t.bottom * levels)))
	}
	if !(all > 0) || math.IsInf(all, 0) {
		return
	}
	// From the top: a level and the charge at it.
	var vs, qs []float64
	last := 0.0
	for l := top; l >= low && float64(l)/levels > t.bottom; l-- {
		if q := at(l); q >= last && q <= all {
			vs, qs = append(vs, float64(l)/levels), append(qs, q)
			last = q
		}
	}
	vs, qs = append(vs, t.bottom), append(qs, all)
	m := len(vs)
	t.charge[k] = all
	v := make([]float64, steps+1)
	area := make([]float64, steps+1)
	j := 0
	for n := range v {
		q := all * float64(n) / steps
		for j+1 < m && qs[j] < q {
			j++
		}
		switch {
		case j > 0:
			v[n] = vs[j-1] + float64((vs[j]-vs[j-1])*((q-qs[j-1])/(qs[j]-qs[j-1])))
		default: // before the first level, which is not far
			v[n] = vs[0]
			if m > 1 && qs[1] > qs[0] {
				v[n] += float64((vs[0] - vs[1]) * min((qs[0]-q)/(qs[1]-qs[0]), 1))
			}
		}
		if n > 0 {
			area[n] = area[n-1] + (v[n]+v[n-1])/(2*steps)
		}
	}
	v[steps] = t.bottom
	t.v[k], t.area[k] = v, area
}

// course is a discharge down to the cut-off.
type course struct {
	depth          float64 // steps
	charge, energy float64 // Ah, Wh
	from           float64 // A, at the start
}

func (b mix) sum(of func(k int) float64) float64 {
	var sum float64
	for k, w := range b.w[:b.n] {
		if w != 0 {
			sum += float64(w * of(b.at[k]))
		}
	}
	return sum
}

// between reads a column of the table at a depth in steps.
func between(column []float64, depth float64) float64 {
	n := min(int(depth), steps-1)
	return column[n] + float64((depth-float64(n))*(column[n+1]-column[n]))
}

// constant is the discharge at a constant current in A.
func (t *table) constant(amps float64, way kind) course {
	b := t.mixed(amps, way)
	at := func(n int) float64 { return b.sum(func(k int) float64 { return t.v[k][n] }) }
	n, below := steps, at(steps)
	depth := float64(steps)
	for n > 0 {
		v := at(n - 1)
		if v > t.s.cutoff {
			if below < t.s.cutoff {
				depth = float64(n) - (t.s.cutoff-below)/(v-below)
			}
			break
		}
		n, below, depth = n-1, v, float64(n-1)
	}
	q := b.sum(func(k int) float64 { return t.charge[k] })
	return course{depth, q * depth / steps, q * b.sum(func(k int) float64 { return between(t.area[k], depth) }), amps}
}

// point is one rate down to its own voltage at the depth of the answer.
type point struct {
	w       float64 // its share of the answer
	current float64 // A
	runs    []results
	charge  float64 // Ah
	average float64 // V
	start   float64 // °C at the start, NaN where not logged
	rise    float64 // °C
	budgets measure.Budgets
}

type points []*point

func charge(p *point) float64  { return p.charge }
func average(p *point) float64 { return p.average }

// of is the mean of a figure by the shares.
func (ps points) of(of func(*point) float64) float64 {
	var sum float64
	for _, p := range ps {
		sum += float64(p.w * of(p))
	}
	return sum
}

// span is the lowest and the highest of the currents in A.
func (ps points) span() (low, high float64) {
	return ps[0].current, ps[len(ps)-1].current
}

// points are the figures of the runs themselves beside a current in A, each down
// to its own voltage at the depth in steps. The voltages' mean by the shares is
// the cut-off, and the charges' mean is the answer. Budgets are for those who ask.
func (t *table) points(amps, depth float64, budgets bool) points {
	b := t.mixed(amps, line)
	off := t.s.cutoff - b.sum(func(k int) float64 { return between(t.v[k], depth) })
	var ps points
	for k, w := range b.w[:b.n] {
		if w == 0 {
			continue
		}
		r := t.s.rates[b.at[k]]
		cutoff := between(t.v[b.at[k]], depth) + off
		if b.n == 1 || w == 1 || t.bottom == t.s.cutoff {
			cutoff = t.s.cutoff
		}
		p := &point{w: w, current: r.current}
		for _, x := range r.runs {
			if cutoff != t.s.cutoff {
				if res, err := measure.Discharge(x.Run, cutoff); err == nil {
					x.Results = res
				}
			}
			p.runs = append(p.runs, x)
		}
		mean := func(of func(results) float64) float64 { return meanOf(p.runs, of) }
		p.charge = mean(func(x results) float64 { return x.Capacity })
		p.average = mean(func(x results) float64 { return x.Energy }) / p.charge
		p.start = mean(func(x results) float64 { return x.TempStart })
		p.rise = mean(func(x results) float64 { return x.TempRise })
		if one := p.runs[0]; budgets {
			p.budgets, _ = measure.Uncertainty(one.Run, one.Results, one.Spec)
		}
		ps = append(ps, p)
	}
	return ps
}
