package gum

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g ± %g", what, got, want, tolerance)
	}
}

// endGauge is the example of JCGM 100:2008 H.1 in nm: what goes into the
// length l = lS + d − lS(δα·θ + αS·δθ) of an end gauge of 50 mm.
func endGauge() Budget {
	const length, alpha, theta = 50.000623e6, 11.5e-6, -0.1
	return Budget{[]Term{
		{Name: "standard", U: 25, DF: 18},
		{Name: "difference", U: 9.7, DF: 25.6},
		{Name: "difference of expansion", U: -length * theta * 0.58e-6, DF: 50},
		{Name: "difference of temperature", U: -length * alpha * 0.029, DF: 2},
	}}
}

func TestEndGauge(t *testing.T) {
	b := endGauge()
	// The components as H.1 prints them, and at more digits as worked out anew
	// at 30 digits.
	for i, want := range []struct{ printed, exact float64 }{{25, 25}, {9.7, 9.7}, {2.9, 2.900036134}, {16.6, 16.67520777}} {
		u := math.Abs(b.Terms[i].U)
		near(t, b.Terms[i].Name, u, want.exact, 1e-8)
		near(t, b.Terms[i].Name+" as printed", u, want.printed, 0.08)
	}
	near(t, "u_c", b.Combined(), 31.71060964, 1e-8)
	if got := fmt.Sprintf("%.0f", b.Combined()); got != "32" {
		t.Errorf("u_c prints as %s nm, H.1 has 32", got)
	}
	// H.1 has 16.7 from rounded components.
	near(t, "effective degrees of freedom", b.DF(), 16.65606271, 1e-8)
	near(t, "t99(16)", b.KAt(0.99), 2.920781622, 1e-8)
	near(t, "U99", b.KAt(0.99)*b.Combined(), 93, 1)
	// GUM table G.2 at ν = 16.
	near(t, "t95.45(16)", b.K(), 2.17, 0.005)
	near(t, "U", b.Expanded(), b.K()*b.Combined(), 1e-12)
	near(t, "shares", b.Share(0)+b.Share(1)+b.Share(2)+b.Share(3), 1, 1e-14)
	near(t, "share of the standard", b.Share(0), 625/(31.71060964*31.71060964), 1e-9)
}

// The example of JCGM 100:2008 H.2: resistance, reactance and impedance from
// five sets of voltage, current and phase read at once. The readings are cited
// from memory; that the published results come out of them bears them out.
func TestCorrelatedReadings(t *testing.T) {
	volts := []float64{5.007, 4.994, 5.005, 4.990, 4.999}
	amps := []float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3}
	phase := []float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433}
	read := [][]float64{volts, amps, phase}
	var mean, u [3]float64
	for i, x := range read {
		var s float64
		mean[i], s = stat.MeanStdDev(x, nil)
		u[i] = s / math.Sqrt(5)
	}
	r := func(i, j int) float64 {
		if i >= j {
			t.Errorf("asked for the correlation of %d and %d", i, j)
		}
		return stat.Correlation(read[i], read[j], nil)
	}
	near(t, "V", mean[0], 4.9990, 1e-12)
	near(t, "I", mean[1], 19.6610e-3, 1e-12)
	near(t, "phase", mean[2], 1.04446, 1e-12)
	near(t, "u(V)", u[0], 0.0032, 0.00005)
	near(t, "u(I)", u[1], 0.0095e-3, 0.00005e-3)
	near(t, "u(phase)", u[2], 0.00075, 0.000005)
	near(t, "r(V, I)", r(0, 1), -0.36, 0.005)
	near(t, "r(V, phase)", r(0, 2), 0.86, 0.005)
	near(t, "r(I, phase)", r(1, 2), -0.65, 0.005)

	v, i := mean[0], mean[1]
	sin, cos := math.Sincos(mean[2])
	for _, tt := range []struct {
		name          string
		value, u      float64 // as H.2 prints them
		exact, exactU float64 // worked out anew at 30 digits
		got           float64
		c             []float64
	}{
		{"R", 127.732, 0.071, 127.7321699, 0.0710714074, v / i * cos, []float64{cos / i, -v / i / i * cos, -v / i * sin}},
		{"X", 219.847, 0.295, 219.8465119, 0.2955816774, v / i * sin, []float64{sin / i, -v / i / i * sin, v / i * cos}},
		{"Z", 254.260, 0.236, 254.2597019, 0.2363361301, v / i, []float64{1 / i, -v / i / i, 0}},
	} {
		got := Correlated(tt.c, u[:], r)
		near(t, tt.name, tt.got, tt.exact, 1e-6)
		near(t, tt.name+" as printed", tt.got, tt.value, 0.0006)
		near(t, "u of "+tt.name, got, tt.exactU, 1e-9)
		near(t, "u of "+tt.name+" as printed", got, tt.u, 0.001)
	}
}

// GUM 5.2.2, note 1: inputs that are fully correlated add up with their signs;
// ones that are not, in quadrature.
func TestCorrelatedExtremes(t *testing.T) {
	c, u := []float64{2, -1, 0.5}, []float64{1, 2, 4}
	near(t, "r = 1", Correlated(c, u, func(i, j int) float64 { return 1 }), 2, 1e-14)
	near(t, "r = 0", Correlated(c, u, func(i, j int) float64 { return 0 }), math.Sqrt(12), 1e-14)
	if got := Correlated([]float64{1, -1}, []float64{0.1, 0.1}, func(i, j int) float64 { return 1 + 1e-9 }); got != 0 {
		t.Errorf("inputs that cancel leave %g, want 0", got)
	}
}

func TestBudgetEdges(t *testing.T) {
	var none Budget
	if none.Combined() != 0 || none.K() != 2 || none.Expanded() != 0 || none.Interval(0.95) != 0 ||
		none.Above(1) != 0 || none.Above(-1) != 1 || none.Above(0) != 0.5 {
		t.Error("a budget without terms is not certain")
	}
	if _, ok := none.Dominant(); ok {
		t.Error("a budget without terms has a dominant one")
	}
	lost := Budget{[]Term{{U: 1, DF: 4}, {U: math.NaN()}}}
	for name, got := range map[string]float64{"u_c": lost.Combined(), "k": lost.K(), "U": lost.Expanded(), "interval": lost.Interval(0.95), "above": lost.Above(1)} {
		if !math.IsNaN(got) {
			t.Errorf("%s of a budget with a term that is no number: %g", name, got)
		}
	}
	infinite := Budget{[]Term{{U: 3, DF: math.Inf(1)}, {U: -4}}}
	if infinite.Combined() != 5 || infinite.K() != 2 || infinite.Expanded() != 10 || !math.IsInf(infinite.DF(), 1) {
		t.Errorf("u_c %g, k %g", infinite.Combined(), infinite.K())
	}
	for _, df := range []float64{1, 2, 7, 16, 49} {
		if b := (Budget{[]Term{{U: 0.3, DF: df}}}); b.KAt(0.95) != StudentT(0.975, df) {
			t.Errorf("one term with %g degrees of freedom gives k = %g", df, b.KAt(0.95))
		}
	}
	if b := (Budget{[]Term{{U: 1, DF: 0.2}}}); b.KAt(0.95) != StudentT(0.975, 1) {
		t.Errorf("below one degree of freedom k = %g", b.KAt(0.95))
	}
	near(t, "huge terms", Budget{[]Term{{U: 3e200}, {U: 4e200}}}.Combined(), 5e200, 1e187)
	near(t, "tiny terms", Budget{[]Term{{U: 3e-200}, {U: 4e-200}}}.Combined(), 5e-200, 1e-213)
}

func TestDominant(t *testing.T) {
	b := Budget{[]Term{{Name: "n", U: 5}, {Name: "small", U: 1, Shape: Rectangular}, {Name: "large", U: -3, Shape: Rectangular}}}
	if got, ok := b.Dominant(); !ok || got.Name != "large" {
		t.Errorf("%q, %t: −3 of %.3f is over half", got.Name, ok, b.Combined())
	}
	b.Terms[0].U = 5.2
	if _, ok := b.Dominant(); ok {
		t.Errorf("−3 of %.3f is not over half", b.Combined())
	}
}

// GUM 4.3.7 and F.2.2.1: a reading in steps of d lies within ±d/2.
func TestLimits(t *testing.T) {
	near(t, "±1 %", LimitsToU(0.01), 0.0057735, 1e-7)
	near(t, "a step of 1", Resolution(1), 0.29, 0.005)
	near(t, "step and limits", Resolution(2e-3), LimitsToU(1e-3), 1e-18)
}
