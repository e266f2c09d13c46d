package load

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"plateau/core/trace"
)

func TestNewRefuses(t *testing.T) {
	c := straight{4.2, 0.03, 0.3}
	var few Few
	if _, err := New(nil); !errors.As(err, &few) || few.Current != 0 {
		t.Errorf("no runs: %v", err)
	}
	if _, err := New(c.curves(2.5, 3)); !errors.As(err, &few) || few.Current != 3 || !strings.Contains(err.Error(), "two currents") {
		t.Errorf("one run: %v", err)
	}
	if _, err := New(c.curves(2.5, 3, 3, 3.1)); !errors.As(err, &few) {
		t.Errorf("three at one current: %v", err)
	}
	for _, amps := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		bad := c.curves(2.5, 1, 3)
		bad[1].Current = amps
		if _, err := New(bad); err == nil {
			t.Errorf("a current of %g A is taken", amps)
		}
	}
	if _, err := New([]Curve{{Current: 1}, {Current: 2}}); err == nil {
		t.Error("curves without runs are taken")
	}
	if _, err := New(c.curves(2.5, 3, 3.2)); err != nil {
		t.Errorf("6 %% apart: %v", err)
	}
}

func TestSenseless(t *testing.T) {
	m := mapOf(t, straight{4.2, 0.03, 0.3}.curves(2.5, 1, 4))
	nan, inf := math.NaN(), math.Inf(1)
	for _, a := range []Ask{{}, {Current: 2}, {Cutoff: 3}, {Current: 2, Power: 2, Cutoff: 3}, {Current: nan, Cutoff: 3}, {Power: nan, Cutoff: 3},
		{Current: 2, Cutoff: nan}, {Current: 2, Cutoff: -3}, {Current: -2, Cutoff: 3}, {Current: -1, Power: 3, Cutoff: 3}, {Current: inf, Cutoff: 3},
		{Power: inf, Cutoff: 3}, {Current: 2, Cutoff: inf}} {
		var is Senseless
		if _, err := m.Answer(a); !errors.As(err, &is) {
			t.Errorf("%+v: %v", a, err)
		}
	}
}

func TestOutside(t *testing.T) {
	m := mapOf(t, straight{4.2, 0.03, 0.3}.curves(2.5, 1, 4))
	for _, tt := range []struct {
		ask    Ask
		above  bool
		inside bool
	}{
		{Ask{Current: 0.9, Cutoff: 3}, false, false},
		{Ask{Current: 4.2, Cutoff: 3}, true, false},
		{Ask{Current: 0.98, Cutoff: 3}, false, true}, // as good as measured
		{Ask{Current: 4.1, Cutoff: 3}, true, true},
		{Ask{Power: 13, Cutoff: 3}, true, false}, // 4.33 A at the end
		{Ask{Power: 11, Cutoff: 2.5}, true, false},
		{Ask{Power: 11, Cutoff: 3}, true, true},
		{Ask{Power: 3.9, Cutoff: 3}, false, false}, // 0.94 A at the start
		{Ask{Power: 4.3, Cutoff: 3}, false, true},
	} {
		ans, err := m.Answer(tt.ask)
		var out Outside
		switch {
		case tt.inside && err != nil:
			t.Errorf("%+v: %v", tt.ask, err)
		case !tt.inside && (!errors.As(err, &out) || out.Above != tt.above || out.Low != 1 || out.High != 4 || ans.Charge != 0):
			t.Errorf("%+v: %+v, %v", tt.ask, ans, err)
		case !tt.inside && !(out.From <= out.To):
			t.Errorf("%+v takes %g to %g A", tt.ask, out.From, out.To)
		}
	}
}

// A run that was cut short does not count, and that is said where it is missed.
func TestCutShort(t *testing.T) {
	c := straight{4.2, 0.03, 0.3}
	curves := c.curves(2.5, 1, 4)
	curves = append(curves, Curve{Run: c.run(8, 3.2), Current: 8, Spec: flawless})
	m := mapOf(t, curves)
	if _, err := m.Answer(Ask{Current: 6, Cutoff: 3.3}); err != nil {
		t.Errorf("to 3.3 V: %v", err)
	}
	var out Outside
	if _, err := m.Answer(Ask{Current: 6, Cutoff: 3}); !errors.As(err, &out) || out.High != 4 || !strings.Contains(out.Why, "8 A ended at 3.2") {
		t.Errorf("to 3 V: %v", err)
	}
	var low TooLow
	if _, err := m.Answer(Ask{Current: 3, Cutoff: 2}); !errors.As(err, &low) || math.Abs(low.Reached-2.5) > 0.01 {
		t.Errorf("to 2 V: %v", err)
	}
	// One of two at a current: the other stands alone.
	curves = append(curves, Curve{Run: c.run(4, 3.2), Current: 4, Spec: flawless})
	ans, err := mapOf(t, curves).Answer(Ask{Current: 4, Cutoff: 3})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "charge", ans.Charge, (4.2-3-0.12)/0.3, 1e-6)
}

// cold is a cell that warms up: its voltage at the start is lower by dip·I and
// comes back within a minute or two.
func cold(amps, dip, noise float64, rng *rand.Rand) *trace.Run {
	return logged(amps, 2, 2.5, func(q, t float64) float64 {
		return 4.0 - 0.3*q - 0.02*amps - dip*amps*math.Exp(-t/90)*(1-math.Exp(-t/10)) + noise*rng.NormFloat64()
	})
}

func TestDip(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	const dip = 0.1
	var curves []Curve
	for _, amps := range []float64{2, 5, 10} {
		curves = append(curves, Curve{Run: cold(amps, dip, 1e-3, rng), Current: amps, Spec: flawless})
	}
	m := mapOf(t, curves)
	lowest := func(amps float64) (low float64) {
		low = math.Inf(1)
		for s := 0.0; s < 300; s++ {
			low = math.Min(low, 4.0-0.3*amps*s/3600-0.02*amps-dip*amps*math.Exp(-s/90)*(1-math.Exp(-s/10)))
		}
		return low
	}
	for _, cutoff := range []float64{2.8, 3.0, 3.2, 3.4} {
		for amps := 2.0; amps <= 10; amps += 0.25 {
			_, err := m.Answer(Ask{Current: amps, Cutoff: cutoff})
			var off Shutdown
			is := errors.As(err, &off)
			if err != nil && !is {
				t.Errorf("%g A to %g V: %v", amps, cutoff, err)
			}
			if low := lowest(amps); low < cutoff-0.02 && !is || low > cutoff+0.02 && is {
				t.Errorf("%g A to %g V: the lowest is %.3f V, the answer %v", amps, cutoff, low, err)
			} else if is && (math.Abs(off.Voltage-low) > 0.02 || !(off.After > 0 && off.After < 40) || off.Cutoff != cutoff) {
				t.Errorf("%g A to %g V: %+v, the lowest is %.3f V", amps, cutoff, off, low)
			}
		}
	}
	// A power whose current at the cut-off would go below it.
	var off Shutdown
	if _, err := m.Answer(Ask{Power: 30, Cutoff: 3.2}); !errors.As(err, &off) {
		t.Errorf("30 W: %v", err)
	}
	if _, err := m.Answer(Ask{Power: 10, Cutoff: 2.8}); err != nil {
		t.Errorf("10 W: %v", err)
	}
}

// Noise is no dip, whatever the cut-off, nor are coarse digits or one bad row.
func TestNoiseIsNoDip(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, noise := range []float64{0, 1e-3, 5e-3, 20e-3} {
		for _, step := range []float64{0, 1e-3, 10e-3} {
			var curves []Curve
			for _, amps := range []float64{1, 5} {
				curves = append(curves, Curve{Current: amps, Spec: flawless, Run: logged(amps, 1, 2.5, func(q, s float64) float64 {
					v := 4.1 - 0.02*amps - 0.25*q + noise*rng.NormFloat64()
					if s == 500 {
						v -= 0.8
					}
					if step > 0 {
						v = math.Round(v/step) * step
					}
					return v
				})})
			}
			m := mapOf(t, curves)
			for cutoff := 2.6; cutoff < 3.8; cutoff += 0.037 {
				ans, err := m.Answer(Ask{Current: 3, Cutoff: cutoff})
				if err != nil {
					t.Errorf("noise %g V, steps of %g V, to %.3f V: %v", noise, step, cutoff, err)
					continue
				}
				q := (4.1 - 0.06 - cutoff) / 0.25
				near(t, "charge", ans.Charge, q, 0.002*q+(2*noise+step)/0.25)
			}
		}
	}
}

// A voltage below the cut-off from the first sample on.
func TestBelowFromTheStart(t *testing.T) {
	c := straight{4.2, 0.1, 0.3}
	m := mapOf(t, c.curves(2.5, 1, 5, 9)) // 4.1, 3.7 and 3.3 V at the start
	var off Shutdown
	var out Outside
	for _, tt := range []struct{ amps, cutoff, volts float64 }{{1, 4.15, 4.1}, {5, 4.15, 3.7}, {9, 3.4, 3.3}, {7, 3.6, 3.5}, {8.5, 3.4, 3.35}, {3, 5, 3.9}} {
		if _, err := m.Answer(Ask{Current: tt.amps, Cutoff: tt.cutoff}); !errors.As(err, &off) || math.Abs(off.Voltage-tt.volts) > 0.06 || off.After > 1 {
			t.Errorf("%g A to %g V: %v, want a shutdown at %g V", tt.amps, tt.cutoff, err, tt.volts)
		}
	}
	// Above at 5.2 A, but with nothing at 9 A to interpolate to.
	if _, err := m.Answer(Ask{Current: 5.5, Cutoff: 3.4}); !errors.As(err, &out) || !out.Above || out.High != 5 {
		t.Errorf("5.5 A to 3.4 V: %v", err)
	}
	if _, err := m.Answer(Ask{Current: 3, Cutoff: 3.4}); err != nil {
		t.Errorf("3 A to 3.4 V: %v", err)
	}
	if _, err := m.Answer(Ask{Power: 30, Cutoff: 3.4}); !errors.As(err, &off) {
		t.Errorf("30 W to 3.4 V: %v", err)
	}
}

// Rows that are no numbers, and runs of a row or two: no panic, and no number
// that is none.
func TestHostile(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e300, 1e-300, 50, 3}
	for range 800 {
		var curves []Curve
		for k := range 2 + rng.IntN(3) {
			tr := trace.New(rng.IntN(2) == 0)
			n := 1 + rng.IntN(60)
			at := 0.0
			for j := range n {
				v, i := 4.2-1.8*float64(j)/float64(n), float64(1+2*k)
				if rng.IntN(20) == 0 {
					v = odd[rng.IntN(len(odd))]
				}
				if rng.IntN(30) == 0 {
					i = odd[rng.IntN(len(odd))]
				}
				at += float64(rng.IntN(3) * 60)
				tr.Append(at, v, i, odd[rng.IntN(len(odd))])
			}
			curves = append(curves, Curve{Run: trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: n}), Current: float64(1 + 2*k), Relative: 0.01, DF: 3})
		}
		m, err := New(curves)
		if err != nil {
			continue
		}
		for _, a := range []Ask{{Current: 2, Cutoff: 3}, {Current: 1, Cutoff: 2.5}, {Power: 8, Cutoff: 2.9}, {Power: 5, Cutoff: 2.41}, {Current: 3, Cutoff: 60}, {Current: 2, Cutoff: 1e-300}} {
			ans, err := m.Answer(a)
			if err != nil {
				if err.Error() == "" {
					t.Error("an error without words")
				}
				continue
			}
			for _, x := range []float64{ans.Charge, ans.Energy, ans.Runtime, ans.ChargeBudget.Combined(), ans.EnergyBudget.Combined(), ans.RuntimeBudget.Combined()} {
				if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
					t.Fatalf("%+v: %+v", a, ans)
				}
			}
		}
	}
}
