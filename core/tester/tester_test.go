package tester

import (
	"math"
	"strings"
	"testing"

	"plateau/core/gum"
)

// Nothing known: current ±1 % and time ±0.1 % as rectangular limits give a
// relative standard uncertainty of 0.580 % of a charge, 1.16 % at k = 2. Worked
// from the tolerances of IEC 61960-3 clause 4.
func TestUnknownTester(t *testing.T) {
	u := Spec{}.For(4.2, 2)
	if u.Known || len(u.Assumed) != 4 {
		t.Fatalf("known %v, assumed %q", u.Known, u.Assumed)
	}
	got := math.Hypot(u.Current.U(u.Current.Gain), u.Time.U(u.Time.Gain))
	if math.Abs(got-0.00580230) > 1e-7 {
		t.Errorf("u(Q)/Q = %.6f, want 0.005802", got)
	}
	if u.Temperature.Offset != 2 || u.Voltage.Gain != 0.01 {
		t.Errorf("temperature ±%g, voltage ±%g", u.Temperature.Offset, u.Voltage.Gain)
	}
}

// A limit of error is the half width of a rectangle (GUM 4.3.7); a
// certificate's U is twice a standard deviation (GUM 4.3.3).
func TestBasis(t *testing.T) {
	limits := Spec{Current: []Range{{Gain: 0.001}}}.For(4, 1).Current
	if u := limits.U(0.001); math.Abs(u-0.001/math.Sqrt(3)) > 1e-15 || limits.Shape() != gum.Rectangular {
		t.Errorf("limits: u = %g, shape %v", u, limits.Shape())
	}
	certified := Spec{Basis: Calibration, Current: []Range{{Gain: 0.001}}}.For(4, 1).Current
	if u := certified.U(0.001); u != 0.0005 || certified.Shape() != gum.Normal {
		t.Errorf("calibration: u = %g, shape %v", u, certified.Shape())
	}
}

func TestRanges(t *testing.T) {
	s := Spec{Current: []Range{{UpTo: 20, Gain: 0.002}, {UpTo: 1, Gain: 0.001}, {UpTo: 5, Gain: 0.0015}}, Voltage: []Range{{Offset: 0.001}}, TimeBase: 1e-4, Temperature: 1}
	for amps, want := range map[float64]float64{0.5: 0.001, 1: 0.001, 3: 0.0015, 18: 0.002} {
		if u := s.For(4.2, amps); u.Current.Gain != want || !u.Known || len(u.Assumed) != 0 {
			t.Errorf("%g A: gain %g, want %g; assumed %q", amps, u.Current.Gain, want, u.Assumed)
		}
	}
	if u := s.For(4.2, 30); u.Known || u.Current.Gain != 0.01 || !strings.Contains(u.Assumed[0], "end below 30 A") {
		t.Errorf("above all ranges: %+v", u)
	}
	if u := (Spec{TwoWire: true, Lead: 0.02}).For(4, 1); u.LeadError != 0.005 {
		t.Errorf("leads ±%g Ω", u.LeadError)
	}
}

// The step of the set-point is the one stated; else that of the readings in the
// smallest range that holds the current.
func TestStep(t *testing.T) {
	s := Spec{Current: []Range{{UpTo: 20, Resolution: 0.01}, {UpTo: 1, Resolution: 0.001}, {UpTo: 5}}}
	for amps, want := range map[float64]float64{0.5: 0.001, 1: 0.001, 3: 0.01, 20: 0.01, 30: 0} {
		if got := s.Step(amps); got != want {
			t.Errorf("%g A: step %g, want %g", amps, got, want)
		}
	}
	if s.SetStep = 0.05; s.Step(0.5) != 0.05 {
		t.Error("the stated step does not win")
	}
}
