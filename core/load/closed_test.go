package load

import (
	"math"
	"testing"

	"plateau/core/measure"
	"plateau/core/tester"
	"plateau/core/trace"
)

// logged is a discharge at a current in A as a tester would log it every so many
// s, until it stops at a voltage; volts are by the charge in Ah and the time in
// s. A row at rest stands before and after it.
func logged(amps, every, stop float64, volts func(q, t float64) float64) *trace.Run {
	tr := trace.New(true)
	tr.Append(0, volts(0, 0)+0.1, 0, 20)
	t := 0.0
	for k := 0; k < 1_000_000; k++ {
		t = float64(k) * every
		v := volts(amps*t/3600, t)
		tr.Append(t, v, amps, 20+amps*amps*t/3600)
		if k > 10 && v <= stop {
			break
		}
	}
	tr.Append(t, stop+0.1, 0, 20)
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 1, To: tr.Len() - 1})
}

// straight is a cell V = V0 − R·I − a·q.
type straight struct{ v0, r, a float64 }

func (c straight) run(amps, stop float64) *trace.Run {
	return logged(amps, 20/amps, stop, func(q, _ float64) float64 { return c.v0 - c.r*amps - c.a*q })
}

func (c straight) curves(stop float64, amps ...float64) (all []Curve) {
	for _, i := range amps {
		all = append(all, Curve{Run: c.run(i, stop), Current: i, Spec: flawless})
	}
	return all
}

func mapOf(t *testing.T, curves []Curve) *Map {
	t.Helper()
	m, err := New(curves)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g ± %.3g", what, got, want, tolerance)
	}
}

// Charge and mean voltage of such a cell are lines in the current,
// q = (V0 − V − R·I)/a and (V0 − R·I + V)/2: the answer is exact.
func TestStraightCurrent(t *testing.T) {
	c := straight{4.2, 0.03, 0.3}
	for _, rates := range [][]float64{{1, 9}, {1, 3, 9}, {1, 2, 4, 9}} {
		m := mapOf(t, c.curves(2.5, rates...))
		for _, cutoff := range []float64{2.5, 2.777, 3, 3.5} {
			for _, amps := range []float64{1, 1.3, 2.5, 5, 8.7, 9} {
				ans, err := m.Answer(Ask{Current: amps, Cutoff: cutoff})
				if err != nil {
					t.Fatal(err)
				}
				q := (c.v0 - cutoff - c.r*amps) / c.a
				near(t, "charge", ans.Charge, q, 1e-6)
				near(t, "energy", ans.Energy, q*(c.v0-c.r*amps+cutoff)/2, 1e-5)
				near(t, "runtime", ans.Runtime, q/amps*3600, 0.02)
				if ans.Low > amps || ans.High < amps {
					t.Errorf("%g A answered from %g A and %g A", amps, ans.Low, ans.High)
				}
			}
		}
	}
}

// Under a constant power the same cell has dq/dt = I with I·(V0 − a·q − R·I) = P:
// integrated here by the rule of Runge and Kutta in steps of a second.
func TestStraightPower(t *testing.T) {
	c := straight{4.2, 0.03, 0.3}
	m := mapOf(t, c.curves(2.4, 1, 4, 12))
	for _, cutoff := range []float64{2.4, 2.9, 3.3} {
		for _, watts := range []float64{5, 12, 25} {
			amps := func(q float64) float64 { // the lower root
				e := c.v0 - c.a*q
				return 2 * watts / (e + math.Sqrt(e*e-4*c.r*watts))
			}
			var q, s float64
			for watts/amps(q) > cutoff {
				const h = 1.0 / 3600
				k1 := amps(q)
				k2 := amps(q + k1*h/2)
				k3 := amps(q + k2*h/2)
				k4 := amps(q + k3*h)
				next := q + h/6*(k1+2*k2+2*k3+k4)
				v, w := watts/amps(q), watts/amps(next)
				if w <= cutoff {
					f := (v - cutoff) / (v - w)
					q, s = q+f*(next-q), s+f
					break
				}
				q, s = next, s+1
			}
			ans, err := m.Answer(Ask{Power: watts, Cutoff: cutoff})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "runtime", ans.Runtime, s, 1e-4*s)
			near(t, "charge", ans.Charge, q, 1e-4*q)
			near(t, "energy", ans.Energy, watts*s/3600, 1e-4*watts*s/3600)
			near(t, "first current", ans.From, amps(0), 1e-3*ans.From)
		}
	}
}

// At a measured current the answer is the run's own, and the model adds nothing.
func TestMeasuredCurrent(t *testing.T) {
	var curves []Curve
	for _, amps := range []float64{1, 3, 6, 12} {
		curves = append(curves, Curve{Run: knee(amps, 0.05), Current: amps, Spec: flawless, Relative: 0.003, DF: 8})
	}
	m := mapOf(t, curves)
	for _, c := range curves {
		for _, cutoff := range []float64{2.5, 2.9, 3.21} {
			ans, err := m.Answer(Ask{Current: c.Current, Cutoff: cutoff})
			if err != nil {
				t.Fatal(err)
			}
			res, err := measure.Discharge(c.Run, cutoff)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "charge", ans.Charge, res.Capacity, 1e-12)
			near(t, "energy", ans.Energy, res.Energy, 1e-12)
			near(t, "end temperature", ans.EndTemp, res.TempMax, 1e-9)
			budgets, _ := measure.Uncertainty(c.Run, res, c.Spec)
			own := math.Hypot(budgets[measure.Capacity].Combined(), 0.003*res.Capacity)
			near(t, "u of the charge", ans.ChargeBudget.Combined(), own, 1e-9)
			near(t, "model", named(ans.ChargeBudget, Interpolation), 0, 1e-9)
			if ans.Low != c.Current || ans.High != c.Current {
				t.Errorf("%g A answered from %g A and %g A", c.Current, ans.Low, ans.High)
			}
		}
	}
}

// knee is a cell of 5 Ah with a knee, less of its charge at a high current.
func knee(amps, r float64) *trace.Run {
	return logged(amps, 40/amps, 2.5, func(q, _ float64) float64 {
		x := q / (5 * math.Pow(amps, -0.04))
		return 4.2 - x + 0.2*x*x - 0.6*math.Pow(x, 20) - r*amps
	})
}

// Twice the same run at each current: the same answer, with less of what is
// drawn anew in each.
func TestRepeats(t *testing.T) {
	var once, twice []Curve
	for _, amps := range []float64{2, 8} {
		c := Curve{Run: knee(amps, 0.03), Current: amps, Spec: flawless, Relative: 0.004, DF: 5}
		once = append(once, c)
		d := c
		d.Current *= 1.01
		twice = append(twice, c, d)
	}
	a, err := mapOf(t, once).Answer(Ask{Current: 2.02, Cutoff: 3})
	if err != nil {
		t.Fatal(err)
	}
	b, err := mapOf(t, twice).Answer(Ask{Current: 2.01, Cutoff: 3})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "charge", b.Charge, a.Charge, 0.002*a.Charge)
	near(t, "repeatability", named(b.ChargeBudget, "repeatability"), named(a.ChargeBudget, "repeatability")/math.Sqrt2, 0.01*a.Charge*0.004)
}

// Gains are the same in both runs and stay whole; what differs between runs
// falls in the mean of two.
func TestSharedInputs(t *testing.T) {
	spec := flawless
	spec.Current = []tester.Range{{Gain: 0.01}}
	c := straight{4.2, 0.02, 0.3}
	var curves []Curve
	for _, amps := range []float64{2, 6} {
		curves = append(curves, Curve{Run: c.run(amps, 2.5), Current: amps, Spec: spec, Relative: 0.01, DF: 8})
	}
	ans, err := mapOf(t, curves).Answer(Ask{Current: 4, Cutoff: 2.5})
	if err != nil {
		t.Fatal(err)
	}
	// A current that reads high by g makes the charge high by g, and the run
	// stand at a current too high by g where there is less of it.
	want := 0.01 / math.Sqrt(3) * (ans.Charge + c.r/c.a*4)
	near(t, "current gain", named(ans.ChargeBudget, "current gain"), want, 0.001*want)
	q2, q6 := (4.2-2.5-0.04)/0.3, (4.2-2.5-0.12)/0.3
	near(t, "repeatability", named(ans.ChargeBudget, "repeatability"), 0.01*math.Hypot(q2, q6)/2, 1e-6)
}

// A cell behind a resistance gives no more than e²/4R: where the power is more
// than that the voltage breaks down, at half of e, above the cut-off. With
// R = 0.3 Ω, 10 W and e = 4.2 V − 0.3 V/Ah·q that is at e = 3.464 V, 2.453 Ah.
func TestBreakdown(t *testing.T) {
	c := straight{4.2, 0.3, 0.3}
	m := mapOf(t, c.curves(0.9, 1, 4, 8.9))
	for _, cutoff := range []float64{1.15, 1.3, 1.5} {
		ans, err := m.Answer(Ask{Power: 10, Cutoff: cutoff})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "charge", ans.Charge, (4.2-math.Sqrt(12))/0.3, 0.03)
		if u := ans.RuntimeBudget.Combined(); !(u > 0) || math.IsInf(u, 0) {
			t.Errorf("to %g V: u of the runtime %g s", cutoff, u)
		}
	}
}
