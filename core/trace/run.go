package trace

import (
	"math"
	"sort"
)

// Axis is what a curve is drawn against.
type Axis uint8

// The axes: charge in Ah, energy in Wh, time in s, each from the run's start.
const (
	ByCharge Axis = iota
	ByEnergy
	ByTime
)

// Edge is the interval between the loaded samples of a run and the sample
// outside them. The load came on, or went off, somewhere in it; the trapezoid
// puts that at the middle, which is the midpoint of what is possible.
type Edge struct {
	Width  float64 // s; 0 where the log has no sample outside
	Charge float64 // Ah
	Energy float64 // Wh
	// Rest says that the sample outside is one at rest; V is its voltage.
	Rest bool
	V    float64
}

// Point is one instant of a run.
type Point struct {
	K    int     // the sample, counted in the trace
	T    float64 // s since the load came on
	V, I float64 // V, A
	Temp float64 // °C, or NaN
	Q    float64 // Ah since the load came on
	E    float64 // Wh since the load came on
}

// On is the point's place along an axis, in Ah, Wh or s.
func (p Point) On(a Axis) float64 {
	switch a {
	case ByCharge:
		return p.Q
	case ByEnergy:
		return p.E
	}
	return p.T
}

// Run is one discharge in a trace, with its charge and energy added up by the
// composite trapezoidal rule on the samples as they lie (NIST DLMF §3.5(i)):
//
//	Q = Σ ½(I_k + I_k+1)(t_k+1 − t_k)/3600        Ah
//	E = Σ ½(V_k·I_k + V_k+1·I_k+1)(t_k+1 − t_k)/3600   Wh
type Run struct {
	tr            *Trace
	From, To      int // loaded samples, To left out
	Before, After Edge
	start         float64   // time of load on, s in the trace
	marks         []Point   // the point at the head of each window
	fine          [][]Point // points between them, of windows that were looked into
	last          *Point
	known         map[string][2]float64
}

// Remember gives what was worked out of the run under a name, or works it out.
// It is for what hangs on nothing but the log's samples.
func (r *Run) Remember(name string, work func() float64) float64 {
	x, _ := r.RememberBoth(name, func() (float64, float64) { return work(), 0 })
	return x
}

// RememberBoth is Remember for two numbers that are worked out together.
func (r *Run) RememberBoth(name string, work func() (float64, float64)) (float64, float64) {
	if x, ok := r.known[name]; ok {
		return x[0], x[1]
	}
	a, b := work()
	if r.known == nil {
		r.known = map[string][2]float64{}
	}
	r.known[name] = [2]float64{a, b}
	return a, b
}

// NewRun adds up a step's charge and energy. The step has at least one sample.
func NewRun(tr *Trace, s Step) *Run {
	r := &Run{tr: tr, From: s.From, To: s.To}
	limit := tr.restLimit()
	if s.From > 0 {
		r.Before = tr.edge(s.From, s.From-1, limit)
	}
	if s.To < tr.n {
		r.After = tr.edge(s.To-1, s.To, limit)
	}
	r.start = tr.Time(s.From) - r.Before.Width/2
	p := Point{Q: r.Before.Charge, E: r.Before.Energy}
	last := s.From
	for w := range tr.Windows(s.From, s.To) {
		p.add(tr, last, w.Start)
		r.marks = append(r.marks, Point{K: w.Start, Q: p.Q, E: p.E, T: w.T[0] - r.start})
		last = w.Start + len(w.T) - 1
		if tr.whole(w) {
			sum := tr.sum(w.Start)
			p.Q += sum.q
			p.E += sum.e
			continue
		}
		for k := w.Start + 1; k <= last; k++ {
			p.add(tr, k-1, k)
		}
	}
	return r
}

// add adds the interval between two samples to the charge and the energy.
func (p *Point) add(tr *Trace, a, b int) {
	half := (tr.Time(b) - tr.Time(a)) / 7200
	i, j := tr.Current(a), tr.Current(b)
	p.Q += float64((i + j) * half)
	p.E += float64((float64(tr.Voltage(a)*i) + float64(tr.Voltage(b)*j)) * half)
}

// edge is the interval between the loaded sample in and the one outside it.
// Beside a rest both samples count; beside another load only ours does.
func (tr *Trace) edge(in, out int, limit float64) Edge {
	width := math.Abs(tr.Time(out) - tr.Time(in))
	i, v := tr.Current(in), tr.Voltage(in)
	e := Edge{Width: width, Rest: math.Abs(tr.Current(out)) <= limit, V: tr.Voltage(out)}
	power := float64(v * i)
	if e.Rest {
		power += float64(tr.Voltage(out) * tr.Current(out))
		i += tr.Current(out)
	}
	e.Charge = float64(i * width / 7200)
	e.Energy = float64(power * width / 7200)
	return e
}

// Trace is the trace that the run lies in.
func (r *Run) Trace() *Trace { return r.tr }

// Points yields the run's loaded samples in order, from sample k on or some way
// before it.
func (r *Run) Points(k int) func(yield func(Point) bool) {
	return func(yield func(Point) bool) {
		m := max(sort.Search(len(r.marks), func(m int) bool { return r.marks[m].K > k })-1, 0)
		p := r.marks[m]
		if k >= p.K+everyFine {
			near := r.between(m)
			p = near[min((k-p.K)/everyFine, len(near)-1)]
		}
		r.from(p)(yield)
	}
}

// from yields the samples from a known one on.
func (r *Run) from(p Point) func(yield func(Point) bool) {
	return func(yield func(Point) bool) {
		var lastT, lastI, lastP float64
		first := true
		for w := range r.tr.Windows(p.K, r.To) {
			for j, t := range w.T {
				i := w.I[j]
				power := float64(w.V[j] * i)
				if !first {
					half := (t - lastT) / 7200
					p.Q += float64((lastI + i) * half)
					p.E += float64((lastP + power) * half)
				}
				first = false
				lastT, lastI, lastP = t, i, power
				p.K, p.T, p.V, p.I, p.Temp = w.Start+j, t-r.start, w.V[j], i, math.NaN()
				if w.Temp != nil {
					p.Temp = w.Temp[j]
				}
				if !yield(p) {
					return
				}
			}
		}
	}
}

// At is the run at place x along an axis, read off the line between the two
// samples beside it; false before the first loaded sample and after the last.
func (r *Run) At(a Axis, x float64) (Point, bool) {
	m := r.mark(a, x)
	if m < 0 || math.IsNaN(x) {
		return Point{}, false
	}
	near := r.between(m)
	k := sort.Search(len(near), func(k int) bool { return near[k].On(a) > x }) - 1
	var last Point
	have := false
	for p := range r.from(near[max(k, 0)]) {
		if at := p.On(a); at >= x {
			if at == x {
				return p, true
			}
			if !have {
				return Point{}, false
			}
			return Between(last, p, (x-last.On(a))/(at-last.On(a))), true
		}
		last, have = p, true
	}
	return Point{}, false
}

// everyFine is how many samples lie between two points of between.
const everyFine = 32

// between are points from mark m to the next, the sums as going through all
// samples gives them.
func (r *Run) between(m int) []Point {
	if r.fine == nil {
		r.fine = make([][]Point, len(r.marks))
	}
	if r.fine[m] == nil {
		end := r.To
		if m+1 < len(r.marks) {
			end = r.marks[m+1].K
		}
		for p := range r.from(r.marks[m]) {
			if p.K >= end {
				break
			}
			if (p.K-r.marks[m].K)%everyFine == 0 {
				r.fine[m] = append(r.fine[m], p)
			}
		}
	}
	return r.fine[m]
}

// Between is the point at share f of the way from a to b, f in 0..1. Charge,
// energy and time are as if both grew evenly between the two.
func Between(a, b Point, f float64) Point {
	mix := func(x, y float64) float64 { return x + float64(f*(y-x)) }
	return Point{
		K: a.K, T: mix(a.T, b.T), V: mix(a.V, b.V), I: mix(a.I, b.I),
		Temp: mix(a.Temp, b.Temp), Q: mix(a.Q, b.Q), E: mix(a.E, b.E),
	}
}

// mark is the number of the last mark at or before place x; -1 for none.
func (r *Run) mark(a Axis, x float64) int {
	return sort.Search(len(r.marks), func(m int) bool { return r.marks[m].On(a) > x }) - 1
}

// Draw thins the run's voltage, and its temperature where temps is not nil,
// against axis a in units of per (3600 for hours): the voltage at rest before
// the load, then the loaded samples; of those outside from..to, in the same
// units, one piece at most.
func (r *Run) Draw(a Axis, per, from, to float64, volts, temps *Thinner) {
	m := r.mark(a, from*per)
	if m <= 0 && r.Before.Rest {
		zero := []float64{0}
		volts.Add(zero, []float64{r.Before.V})
		if temps != nil {
			temps.Add(zero, []float64{r.tr.Temperature(r.From - 1)})
		}
	}
	var xs [SegmentLen]float64
	for k := max(m, 0); k < len(r.marks); k++ {
		p := r.marks[k]
		if p.On(a) > to*per && k > m+1 {
			return
		}
		for w := range r.tr.Windows(p.K, min(r.To, (p.K/SegmentLen+1)*SegmentLen)) {
			r.abscissas(a, per, p, w, xs[:len(w.T)])
			volts.Add(xs[:len(w.T)], w.V)
			if temps != nil {
				temps.Add(xs[:len(w.T)], w.Temp)
			}
		}
	}
}

// abscissas are the places of a window's samples along an axis, p being its
// first.
func (r *Run) abscissas(a Axis, per float64, p Point, w Window, xs []float64) {
	if a == ByTime {
		for j, t := range w.T {
			xs[j] = (t - r.start) / per
		}
		return
	}
	sum := p.On(a)
	of := func(j int) float64 { return w.I[j] }
	if a == ByEnergy {
		of = func(j int) float64 { return float64(w.V[j] * w.I[j]) }
	}
	last := of(0)
	lastT := w.T[0]
	for j, t := range w.T {
		rate := of(j)
		sum += float64((last + rate) * (t - lastT) / 7200)
		xs[j] = sum / per
		last, lastT = rate, t
	}
}

// Last is the run's last loaded sample.
func (r *Run) Last() Point {
	if r.last == nil {
		r.last = &Point{}
		for p := range r.Points(r.To - 1) {
			*r.last = p
		}
	}
	return *r.last
}
