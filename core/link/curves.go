package link

import (
	"math"

	"plateau/core/publish"
)

// perTolerance is how many steps of the ordinate's grid there are in the
// tolerance.
const perTolerance = 2

// warmth is how many °C of tolerance temperatures have for each V of the
// curves': 0.5 °C at 2 mV.
const warmth = 250

// TemperatureTolerance is how far in °C temperatures are off at most where
// voltages are off by tolerance in V.
func TemperatureTolerance(tolerance float64) float64 { return warmth * tolerance }

// line is a curve as it is packed: charges in steps of charge/2^n.
type line struct {
	run    int
	charge int64 // µAh, of the last sample
	n      int
	volts  []vertex
	temps  []vertex
}

// micro is a tolerance in µV, upwards.
func micro(tolerance float64) int64 {
	return int64(math.Ceil(float64(min(max(tolerance, 1e-6), 10)*1e6) - 1e-3))
}

// lines thins curves to a tolerance in µV, or to a coarser one where they have
// been thinned before; it gives the tolerance kept.
func lines(p *publish.Post, tolerance int64) ([]line, int64) {
	before := int64(0)
	if p.Tolerance > 0 {
		before = micro(p.Tolerance)
	}
	tolerance = max(tolerance, before)
	if before == tolerance {
		if list := asTheyLie(p, tolerance); list != nil {
			return list, tolerance
		}
	}
	// What is left for another thinning is worth something only where it is not
	// little.
	if tolerance < before+before/2 {
		tolerance = before + before/2
	}
	left := float64(tolerance-before) / float64(tolerance) * perTolerance
	var list []line
	for k := range p.Curves {
		if l := thinned(&p.Curves[k], tolerance, left); len(l.volts) > 0 {
			list = append(list, l)
		}
	}
	return list, tolerance
}

// scale is one step of a grid in V for a tolerance in µV.
func scale(tolerance int64) float64 { return float64(tolerance) * 1e-6 / perTolerance }

// charged are the samples with charge, voltage and the value y, on the scale of
// a grid of 2^finest steps; charges do not go back.
func charged(c *publish.Curve, y []float64, charge int64, unit float64) []sample {
	var list []sample
	at := 0.0
	for k := range min(len(c.Q), len(c.V), len(y)) {
		if math.IsNaN(c.Q[k]-c.Q[k]) || math.IsNaN(c.V[k]-c.V[k]) || math.IsNaN(y[k]-y[k]) {
			continue
		}
		if charge > 0 {
			at = max(at, min(c.Q[k]*1e6/float64(charge), 1)*(1<<finest))
		}
		list = append(list, sample{at, y[k] / unit})
	}
	return list
}

// last is the highest charge in µAh of a curve's samples, upwards.
func last(c *publish.Curve) int64 {
	most := 0.0
	for k := range min(len(c.Q), len(c.V)) {
		if !math.IsNaN(c.Q[k]-c.Q[k]) && !math.IsNaN(c.V[k]-c.V[k]) {
			most = max(most, c.Q[k])
		}
	}
	return int64(math.Ceil(float64(min(most, mostCharge)*1e6) - 1e-3))
}

const (
	mostCharge = 1e6     // Ah
	mostSteps  = 1 << 28 // from nought
	mostOff    = 1 << 46 // from where a slope of such steps leads
)

func thinned(c *publish.Curve, tolerance int64, left float64) line {
	l := line{run: c.Run, charge: last(c)}
	unit := scale(tolerance)
	volts := charged(c, c.V, l.charge, unit)
	temps := charged(c, c.Temp, l.charge, unit*warmth)
	const slack = 1e-6 // for the last bits of sums
	l.n = coarsest
	if leaps(volts, left) || leaps(temps, left) {
		l.n = finest + 1
	}
	for ; l.n <= finest; l.n++ {
		l.volts = fitted(scaled(volts, l.n), left-slack, l.n, left < perTolerance)
		if len(volts) > 0 && l.volts == nil {
			continue
		}
		l.temps = fitted(scaled(temps, l.n), left-slack, l.n, left < perTolerance)
		if len(temps) == 0 || l.temps != nil {
			break
		}
	}
	if l.n > finest {
		l.n = finest
		l.volts, l.temps = walked(volts, left-slack), walked(temps, left-slack)
	}
	l.volts, l.temps = straight(l.volts), straight(l.temps)
	l.coarsen()
	return l
}

// leaps tells whether a curve jumps at one charge, past its first sample: no
// line passes that.
func leaps(list []sample, tolerance float64) bool {
	for k := 2; k < len(list); k++ {
		if list[k].x == list[k-1].x && math.Abs(list[k].y-list[k-1].y) > 2*tolerance {
			return true
		}
	}
	return false
}

// scaled are samples on a grid of 2^n steps.
func scaled(list []sample, n int) []sample {
	out := make([]sample, len(list))
	by := 1 / float64(int(1)<<(finest-n))
	for k, s := range list {
		out[k] = sample{s.x * by, s.y}
	}
	return out
}

// straight leaves out points on the line between their neighbours.
func straight(list []vertex) []vertex {
	var out []vertex
	for k, p := range list {
		if n := len(out); n > 0 && out[n-1] == p {
			continue
		}
		if n := len(out); n > 0 && k+1 < len(list) {
			a, b := out[n-1], list[k+1]
			if (p.y-a.y)*(b.x-p.x) == (b.y-p.y)*(p.x-a.x) && (b.x > a.x || (p.y-a.y > 0) == (b.y-p.y > 0)) {
				continue
			}
		}
		out = append(out, p)
	}
	return out
}

// coarsen takes the coarsest grid that all points lie on.
func (l *line) coarsen() {
	for l.n > 0 {
		for _, list := range [][]vertex{l.volts, l.temps} {
			for _, p := range list {
				if p.x&1 != 0 {
					return
				}
			}
		}
		for _, list := range [][]vertex{l.volts, l.temps} {
			for k := range list {
				list[k].x >>= 1
			}
		}
		l.n--
	}
}

// asTheyLie takes curves that came out of a link of the same tolerance; nil
// where they did not.
func asTheyLie(p *publish.Post, tolerance int64) []line {
	var list []line
	for k := range p.Curves {
		c := &p.Curves[k]
		l := line{run: c.Run, charge: last(c), n: finest}
		var ok, warm bool
		l.volts, ok = onGrid(charged(c, c.V, l.charge, scale(tolerance)))
		l.temps, warm = onGrid(charged(c, c.Temp, l.charge, scale(tolerance)*warmth))
		if !ok || !warm || len(l.volts) == 0 {
			return nil
		}
		l.volts, l.temps = straight(l.volts), straight(l.temps)
		l.coarsen()
		list = append(list, l)
	}
	return list
}

// onGrid reads points that lie on the grid, or between two that do.
func onGrid(list []sample) ([]vertex, bool) {
	var out []vertex
	near := func(x, y float64) bool { return math.Abs(x-y) < 2e-6 } // 2^28 and its last bits
	var held []sample
	for k, s := range list {
		x, y := math.Round(s.x), math.Round(s.y)
		if math.Abs(s.y) > mostSteps || !near(s.x, x) {
			return nil, false
		}
		if n := len(held); n > 0 && k+1 < len(list) {
			// Whole charges, since what they are off by counts as often as it is steep.
			a, b := held[n-1], sample{math.Round(list[k+1].x), list[k+1].y}
			if b.x > a.x && near(a.y+float64((b.y-a.y)*(x-a.x)/(b.x-a.x)), s.y) {
				continue
			}
		}
		if !near(s.y, y) {
			return nil, false
		}
		held = append(held, sample{x, y})
		out = append(out, vertex{int(x), int(y)})
	}
	return out, true
}

// curve is what a line says.
func (l *line) curve(tolerance int64) publish.Curve {
	c := publish.Curve{Run: l.run}
	unit := scale(tolerance)
	steps := float64(int(1) << l.n)
	add := func(x int, y, temp float64) {
		c.Q = append(c.Q, float64(l.charge)*float64(x)/steps/1e6)
		c.V = append(c.V, y*unit)
		if len(l.temps) > 0 {
			c.Temp = append(c.Temp, temp*unit*warmth)
		}
	}
	v, t := l.volts, l.temps
	for i, j := 0, 0; i < len(v) || j < len(t); {
		x := 0
		switch {
		case j >= len(t) || i < len(v) && v[i].x <= t[j].x:
			x = v[i].x
		default:
			x = t[j].x
		}
		y, temp := between(v, i, x), between(t, j, x)
		for here := true; here; {
			here = false
			if i < len(v) && v[i].x == x {
				y, here = float64(v[i].y), true
				i++
			}
			if j < len(t) && t[j].x == x {
				temp, here = float64(t[j].y), true
				j++
			}
			if here {
				add(x, y, temp)
			}
		}
	}
	return c
}

// between is a polyline's height at x, between its points next-1 and next; NaN
// outside.
func between(list []vertex, next, x int) float64 {
	if next == 0 || next >= len(list) {
		return math.NaN()
	}
	a, b := list[next-1], list[next]
	return float64(a.y) + float64(b.y-a.y)*float64(x-a.x)/float64(b.x-a.x)
}
