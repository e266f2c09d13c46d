package compare

import (
	"math"
	"slices"
	"strings"
	"testing"

	"plateau/core/gum"
)

// By hand, from one tester: of gains nothing is left, of the offset o·(1/I₁ −
// 1/I₂), of edges the relative sum of squares. Q = 5 Ah at 1 A, 4.5 Ah at 3 A.
func TestCapability(t *testing.T) {
	const gain, offset = 0.003, 0.004 // of the reading, A
	of := func(amps, it, q float64) Point {
		return Point{Amps: amps, It: it, Mean: q, Budget: gum.Budget{Terms: []gum.Term{
			{Name: "current gain", U: gain * q, Shape: gum.Rectangular},
			{Name: "current offset", U: offset * q / amps, Shape: gum.Rectangular},
		}}}
	}
	points := []Point{of(3, 0.6, 4.5), of(1, 0.2, 5)}
	ratios, reference, atIt := Capability(points)
	if reference != 1 || !atIt || len(ratios) != 2 {
		t.Fatalf("%d, %v, %+v", reference, atIt, ratios)
	}
	within(t, "ratio", ratios[0].Value, 0.9, 1e-15)
	within(t, "its u", ratios[0].Budget.Combined(), 0.9*offset*(1-1.0/3), 1e-12)
	if r := ratios[1]; r.Value != 1 || len(r.Budget.Terms) != 0 {
		t.Errorf("reference %+v", r)
	}
	points[0].Setup = "the range above"
	ratios, _, _ = Capability(points)
	within(t, "u on two ranges", ratios[0].Budget.Combined(), 0.9*math.Sqrt(2*gain*gain+offset*offset*(1+1.0/9)), 1e-12)
	points[0].Budget = gum.Budget{Terms: []gum.Term{{Name: "first interval", U: 0.009}}}
	points[1].Budget = gum.Budget{Terms: []gum.Term{{Name: "first interval", U: 0.005}}}
	ratios, _, _ = Capability(points)
	within(t, "u of edges", ratios[0].Budget.Combined(), 0.9*math.Hypot(0.002, 0.001), 1e-15)
}

func TestCapabilityReference(t *testing.T) {
	nan := math.NaN()
	point := func(amps, it, q float64) Point { return Point{Amps: amps, It: it, Mean: q} }
	for _, tt := range []struct {
		name   string
		points []Point
		want   int
		atIt   bool
		values []float64
	}{
		{"within 3 %", []Point{point(0.5, 0.1, 5.1), point(1.03, 0.206, 5), point(3, 0.6, 4)}, 1, true, []float64{1.02, 1, 0.8}},
		{"the closer", []Point{point(1.03, 0.206, 5), point(0.99, 0.198, 4)}, 1, true, []float64{1.25, 1}},
		{"out of 3 %", []Point{point(3, 0.6, 4), point(1.04, 0.208, 5)}, 1, false, []float64{0.8, 1}},
		{"no It", []Point{point(3, 0, 4), point(1, 0, 5)}, 1, false, []float64{0.8, 1}},
		{"no figure at it", []Point{point(1, 0.2, nan), point(3, 0.6, 4), point(6, 1.2, 3)}, 1, false, []float64{nan, 1, 0.75}},
		{"none", []Point{point(1, 0.2, 0), point(0, 0.2, 5), point(nan, 0.2, math.Inf(1))}, -1, false, []float64{nan, nan, nan}},
		{"no points", nil, -1, false, nil},
	} {
		ratios, reference, atIt := Capability(tt.points)
		same := slices.EqualFunc(ratios, tt.values, func(r Ratio, v float64) bool {
			return math.Abs(r.Value-v) < 1e-12 || math.IsNaN(r.Value) && math.IsNaN(v)
		})
		if reference != tt.want || atIt != tt.atIt || !same {
			t.Errorf("%s: %d, %v, %+v", tt.name, reference, atIt, ratios)
		}
	}
}

// Discharges by Peukert's law as handbooks and calculators work it out, each
// carried to three currents. 250 Ah at k = 1.3 and 20 A: 5.088631644 h,
// 101.772632884 Ah (an on-line calculator's example). 100 Ah at k = 1.2 and 5 A:
// 14.5 h (an on-line text's example). 100 Ah in 20 h at k = 1.2 and 10 A:
// 8.7055 h (an encyclopaedia's example, from memory). 2.5 Ah at 0.5 A and
// k = 1.05: 2.228127 Ah at 5 A (worked out by us from the law). All four worked
// out anew at 30 digits.
func TestPeukertWorked(t *testing.T) {
	for _, tt := range []struct {
		name          string
		k             float64
		amps, hours   float64 // as worked
		ah, tolerance float64
		law           func(amps, k float64) float64 // Ah
	}{
		{"A", 1.3, 20, 5.088631644, 101.772632884, 1e-8, func(i, k float64) float64 { return i * 250 / math.Pow(i, k) }},
		{"B", 1.2, 5, 14.4956, 5 * 14.4956, 3e-4, func(i, k float64) float64 { return i * 100 / math.Pow(i, k) }},
		{"C", 1.2, 10, 8.7055, 87.055, 6e-4, func(i, k float64) float64 { return i * 20 * math.Pow(100/(i*20), k) }},
		{"D", 1.05, 5, 2.228127 / 5, 2.228127, 6e-7, func(i, k float64) float64 { return 2.5 * math.Pow(i/0.5, 1-k) }},
	} {
		within(t, tt.name+", hours", tt.law(tt.amps, tt.k)/tt.amps, tt.hours, tt.tolerance)
		// The worked figure itself is one of the three.
		amps := []float64{tt.amps / 10, tt.amps, tt.amps * 3}
		e, why := Peukert(amps, []float64{tt.law(amps[0], tt.k), tt.ah, tt.law(amps[2], tt.k)})
		if why != "" {
			t.Fatal(why)
		}
		within(t, tt.name+", exponent", e.K, tt.k, 3e-6)
		if e.Rates != 3 || e.DF != 1 || e.From != amps[0] || e.To != amps[2] || e.Heating {
			t.Errorf("%s: %+v", tt.name, e)
		}
		// From two tests k = ln(t2/t1)/ln(I1/I2), as a battery monitor's manual has it.
		t1, t2 := tt.law(amps[0], e.K)/amps[0], tt.law(amps[2], e.K)/amps[2]
		within(t, tt.name+", of two tests", math.Log(t2/t1)/math.Log(amps[0]/amps[2]), e.K, 1e-12)
	}
}

// By hand: at I = 1, e, e² let ln Q be 0.03, 0, −0.09. The slope is −0.06, the
// residuals −0.01, 0.02, −0.01, so that its standard error is √(0.0006/2); t for
// one degree at 95.45 % is tan(π·0.47725) = 13.968.
func TestPeukertError(t *testing.T) {
	amps := []float64{1, math.E, math.E * math.E}
	e, why := Peukert(amps, []float64{math.Exp(0.03), 1, math.Exp(-0.09)})
	if why != "" {
		t.Fatal(why)
	}
	within(t, "k", e.K, 1.06, 1e-10)
	within(t, "standard error", e.SE, math.Sqrt(0.0003), 1e-10)
	within(t, "U", e.U, math.Tan(math.Pi*(math.Erf(math.Sqrt2)/2))*e.SE, 1e-9)
	// Mirrored it gives more at a higher current.
	e, _ = Peukert(amps, []float64{math.Exp(-0.03), 1, math.Exp(0.09)})
	if within(t, "k", e.K, 0.94, 1e-10); !e.Heating {
		t.Errorf("%+v", e)
	}
}

func TestPeukertRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, x := range map[string]struct{ amps, ah []float64 }{
		"two rates":               {[]float64{1, 3}, []float64{5, 4.8}},
		"three within 5 %":        {[]float64{1, 1.04, 3}, []float64{5, 5, 4.8}},
		"chain of 4 %":            {[]float64{1, 1.03, 1.06, 1.09}, []float64{5, 5, 5, 5}},
		"three of which one fell": {[]float64{1, 3, 6}, []float64{5, nan, 4}},
		"senseless":               {[]float64{0, -1, nan, inf, 2, 3, 4}, []float64{1, 1, 1, 1, 0, inf, -1}},
		"unlike lengths":          {[]float64{1, 2, 3}, []float64{5, 4}},
		"none":                    {nil, nil},
	} {
		if e, why := Peukert(x.amps, x.ah); !strings.Contains(why, "three rates") || e != (Exponent{}) {
			t.Errorf("%s: %+v, %q", name, e, why)
		}
	}
	if _, why := Peukert([]float64{1e-300, 1, 1e300}, []float64{1e300, 1, 1e-300}); why != "" {
		t.Errorf("huge: %s", why)
	}
	if e, why := Peukert([]float64{1, 1.06, 1.2}, []float64{5, 5, 5}); why != "" || e.K != 1 || e.Heating {
		t.Errorf("flat: %+v %s", e, why)
	}
}
