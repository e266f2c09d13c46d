package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate"
)

// build makes a trace from samples of t, v, i.
func build(samples ...[3]float64) *Trace {
	tr := New(false)
	for _, s := range samples {
		tr.Append(s[0], s[1], s[2], 0)
	}
	return tr
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g ± %g", what, got, want, tolerance)
	}
}

// The sums are those of gonum's integrate.Trapezoidal over the same samples,
// across the seams of the segments too.
func TestRunAgreesWithGonum(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{2, 3, SegmentLen - 1, SegmentLen, SegmentLen + 1, 3*SegmentLen + 17} {
		var ts, is, ps []float64
		tr := New(false)
		at := 0.0
		for range n {
			at += 0.1 + rng.Float64()
			v, i := 3+rng.Float64(), 1+rng.Float64()
			tr.Append(at, v, i, 0)
			ts, is, ps = append(ts, at), append(is, i), append(ps, v*i)
		}
		last := NewRun(tr, Step{Discharge, 0, n}).Last()
		near(t, "charge", last.Q, integrate.Trapezoidal(ts, is)/3600, 1e-12*last.Q)
		near(t, "energy", last.E, integrate.Trapezoidal(ts, ps)/3600, 1e-12*last.E)
	}
}

// A load edge beside a rest is the trapezoid over it: half the loaded current
// for the width of the interval, the middle of what is possible.
func TestEdges(t *testing.T) {
	tr := build([3]float64{0, 4.2, 0}, [3]float64{10, 4.0, 2}, [3]float64{20, 3.9, 2}, [3]float64{30, 3.8, 2}, [3]float64{34, 4.0, 0})
	r := NewRun(tr, Step{Discharge, 1, 4})
	near(t, "before", r.Before.Charge, 2*5/3600.0, 1e-15)
	near(t, "after", r.After.Charge, 2*2/3600.0, 1e-15)
	near(t, "energy before", r.Before.Energy, 4.0*2*5/3600, 1e-15)
	near(t, "duration to the last sample", r.Last().T, 25, 1e-12)
	if !r.Before.Rest || r.Before.V != 4.2 {
		t.Errorf("before: %+v, want the rest at 4.2 V", r.Before)
	}
	if e := NewRun(tr, Step{Discharge, 0, 4}).Before; e != (Edge{}) {
		t.Errorf("a log that begins under load has no edge, got %+v", e)
	}
}

func TestAtReadsBetweenSamples(t *testing.T) {
	tr := build([3]float64{0, 4, 2}, [3]float64{3600, 3, 2}, [3]float64{7200, 2, 2})
	r := NewRun(tr, Step{Discharge, 0, 3})
	for _, tt := range []struct {
		axis Axis
		x, v float64
		ok   bool
	}{
		{ByCharge, 0, 4, true}, {ByCharge, 1, 3.5, true}, {ByCharge, 2, 3, true}, {ByCharge, 3, 2.5, true},
		{ByCharge, 4, 2, true}, {ByCharge, 4.1, 0, false}, {ByCharge, -0.1, 0, false},
		{ByTime, 5400, 2.5, true}, {ByEnergy, 7, 3, true}, {ByTime, math.NaN(), 0, false},
	} {
		p, ok := r.At(tt.axis, tt.x)
		if ok != tt.ok || ok && math.Abs(p.V-tt.v) > 1e-12 {
			t.Errorf("At(%d, %g) = %g V, %v; want %g, %v", tt.axis, tt.x, p.V, ok, tt.v, tt.ok)
		}
	}
}

// part is n samples, 1 s apart, at current i while the voltage goes from v0 to v1.
type part struct {
	n         int
	i, v0, v1 float64
}

func course(parts ...part) *Trace {
	tr := New(false)
	for _, p := range parts {
		for k := range p.n {
			tr.Append(float64(tr.Len()), p.v0+(p.v1-p.v0)*float64(k)/float64(p.n), p.i, 0)
		}
	}
	return tr
}

func TestStepsWhateverTheSign(t *testing.T) {
	rest, down, up := part{20, 0, 4.1, 4.1}, part{50, 2, 4, 3}, part{60, 1, 3, 4.1}
	neg := func(p part) part { p.i = -p.i; return p }
	unsigned := Sign{Unsigned: true}
	for _, tt := range []struct {
		name  string
		tr    *Trace
		sign  Sign
		kinds []StepKind
	}{
		{"discharge above zero", course(rest, down, rest), Sign{}, []StepKind{Rest, Discharge, Rest}},
		{"discharge below zero", course(rest, neg(down), rest), Sign{NegativeDischarge: true}, []StepKind{Rest, Discharge, Rest}},
		{"charge above zero", course(rest, up, rest, neg(down)), Sign{NegativeDischarge: true}, []StepKind{Rest, Charge, Rest, Discharge}},
		{"charge below zero", course(down, rest, neg(up)), Sign{}, []StepKind{Discharge, Rest, Charge}},
		{"only a charge, above zero", course(rest, up, rest), Sign{}, []StepKind{Rest, Charge, Rest}},
		{"only a charge, below zero", course(rest, neg(up), rest), Sign{}, []StepKind{Rest, Charge, Rest}},
		{"no sign at all", course(down, rest, up, rest, down), unsigned, []StepKind{Discharge, Rest, Charge, Rest, Discharge}},
		{"no sign, no rest between", course(up, down, up), unsigned, []StepKind{Charge, Discharge, Charge}},
		{"no load", course(rest), Sign{}, []StepKind{Rest}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.tr.SettleSign(); got != tt.sign {
				t.Errorf("sign %+v, want %+v", got, tt.sign)
			}
			steps := tt.tr.Steps()
			var kinds []StepKind
			at := 0
			for _, s := range steps {
				kinds = append(kinds, s.Kind)
				if s.From != at || s.To <= s.From {
					t.Errorf("step %+v does not follow on sample %d", s, at)
				}
				at = s.To
			}
			if at != tt.tr.Len() {
				t.Errorf("steps end at %d of %d samples", at, tt.tr.Len())
			}
			if len(kinds) != len(tt.kinds) {
				t.Fatalf("steps %v, want %v", kinds, tt.kinds)
			}
			for k := range kinds {
				if kinds[k] != tt.kinds[k] {
					t.Fatalf("steps %v, want %v", kinds, tt.kinds)
				}
			}
		})
	}
}

// A second discharge at a lower current is a run of its own, however closely
// it follows; one odd sample, noise and a slow drift are not.
func TestLevelsOfCurrent(t *testing.T) {
	count := func(tr *Trace) (n int) {
		tr.SettleSign()
		for _, s := range tr.Steps() {
			if s.Kind == Discharge {
				n++
			}
		}
		return n
	}
	if n := count(course(part{20, 0, 4, 4}, part{100, 10, 4, 3}, part{1, 6, 3, 3}, part{100, 2, 3.4, 2.5})); n != 2 {
		t.Errorf("10 A, then 2 A: %d runs, want 2", n)
	}
	if n := count(course(part{100, 10, 4, 3}, part{1, 0, 3, 3}, part{100, 10, 3, 2.5})); n != 1 {
		t.Errorf("one sample without current: %d runs, want 1", n)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	noisy, drift := New(false), New(false)
	for k := range 500 {
		noisy.Append(float64(k), 4-float64(k)/500, 5+0.05*rng.NormFloat64(), 0)
		drift.Append(float64(k), 4-float64(k)/500, 5+float64(k)/100, 0)
	}
	if a, b := count(noisy), count(drift); a != 1 || b != 1 {
		t.Errorf("noise %d runs, drift %d, want 1 and 1", a, b)
	}
}

// M4 keeps the lowest and the highest of every pixel column, and the ends.
func TestThinnerKeepsExtremes(t *testing.T) {
	const n, columns = 10_000, 50
	rng := rand.New(rand.NewPCG(5, 6))
	th := NewThinner(0, n, columns)
	low, high := make([]float64, columns), make([]float64, columns)
	for c := range low {
		low[c], high[c] = math.Inf(1), math.Inf(-1)
	}
	y := make([]float64, n)
	for k := range y {
		y[k] = rng.NormFloat64()
		th.Add([]float64{float64(k)}, y[k:k+1])
		c := k * columns / n
		low[c], high[c] = min(low[c], y[k]), max(high[c], y[k])
	}
	out := th.Points()
	if len(out) > 2*4*columns || out[0] != 0 || out[len(out)-2] != n-1 {
		t.Fatalf("%d numbers from %g to %g, want at most %d from 0 to %d", len(out), out[0], out[len(out)-2], 8*columns, n-1)
	}
	gotLow, gotHigh := make([]float64, columns), make([]float64, columns)
	for c := range gotLow {
		gotLow[c], gotHigh[c] = math.Inf(1), math.Inf(-1)
	}
	for k := 0; k < len(out); k += 2 {
		if k > 0 && out[k] <= out[k-2] {
			t.Fatalf("x goes from %g to %g", out[k-2], out[k])
		}
		if out[k+1] != y[int(out[k])] {
			t.Fatalf("point %g, %g is none of the curve's", out[k], out[k+1])
		}
		c := int(out[k]) * columns / n
		gotLow[c], gotHigh[c] = min(gotLow[c], out[k+1]), max(gotHigh[c], out[k+1])
	}
	for c := range low {
		if low[c] != gotLow[c] || high[c] != gotHigh[c] {
			t.Errorf("column %d spans %g to %g, want %g to %g", c, gotLow[c], gotHigh[c], low[c], high[c])
		}
	}
}

func TestThinnerZoomed(t *testing.T) {
	th := NewThinner(100, 200, 10)
	for k := range 1000 {
		th.Add([]float64{float64(k)}, []float64{float64(k % 7)})
	}
	th.Add([]float64{1000}, []float64{math.NaN()})
	out := th.Points()
	if out[0] != 99 {
		t.Errorf("first point at %g, want 99, the nearest outside", out[0])
	}
	if x := out[len(out)-2]; x != 200 {
		t.Errorf("last point at %g, want 200", x)
	}
}
