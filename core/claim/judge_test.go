package claim

import (
	"math"
	"testing"

	"plateau/core/gum"
	"plateau/core/quantity"
)

var rated = Claim{Rated, 4.9, 0.98, 2.5}

// normal is a budget of one normal term.
func normal(u float64) gum.Budget { return gum.Budget{Terms: []gum.Term{{Name: "gain", U: u}}} }

// at is a run under the conditions of a claim, with a standard uncertainty.
func at(c Claim, q, u float64) Run {
	return Run{Current: c.Current, Reached: c.Cutoff, Capacity: q, Budget: normal(u)}
}

func judged(t *testing.T, c Claim, want Grade, runs ...Run) Verdict {
	t.Helper()
	v := Judge(c, runs, quantity.Words{})
	if v.Grade != want {
		t.Errorf("%v, want %v: %s", v.Grade, want, v.Sentence)
	}
	if len(v.Evidence) != len(runs) {
		t.Errorf("%d runs, evidence of %d", len(runs), len(v.Evidence))
	}
	return v
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g ± %g", what, got, want, tolerance)
	}
}

// The examples of JCGM 106:2012 clause 7 (inputs cited from memory, chances
// worked out anew at 30 digits) as if they were capacities: upper limits
// mirrored. After them two cases of a cell of 2.5 Ah at ±1.2 %, by hand from Φ.
func TestConformance(t *testing.T) {
	limit := func(x float64) Claim { return Claim{Minimum, x, 0.5, 2.5} }
	for _, tt := range []struct {
		name         string
		q, u, limit  float64
		chance, tol  float64
		asPrinted, d float64
		grade        Grade
	}{
		{"Zener diode, 7.3.2, mirrored", 5.47, 0.05, 5.40, 0.919243340766, 1e-8, 0.92, 0.005, PassWithin},
		{"bottle, 7.3.3", 509.7, 8.6, 490, 0.989009547385, 2.1e-5, 0.99, 0.005, Pass},
		{"below its claim", 2.485, 2.485 * 0.006, 2.5, 0.1572, 5e-5, 0.157, 5e-4, BelowWithin},
		{"above its claim", 2.530, 2.530 * 0.006, 2.5, 0.9759, 5e-5, 0.976, 5e-4, PassWithin},
	} {
		c := limit(tt.limit)
		v := judged(t, c, tt.grade, at(c, tt.q, tt.u))
		near(t, tt.name, v.Chance, tt.chance, tt.tol)
		near(t, tt.name+" as printed", v.Chance, tt.asPrinted, tt.d)
		near(t, tt.name+" U", v.U, 2*tt.u, 1e-12)
	}
	// Oil, 7.4, between two limits.
	low, high := limit(12.5), limit(16.3)
	p := judged(t, low, PassWithin, at(low, 13.6, 1.8)).Chance - judged(t, high, BelowWithin, at(high, 13.6, 1.8)).Chance
	near(t, "oil, 7.4", p, 0.662629786495, 1e-8)
}

// The share of samples wrongly accepted at a guard band of r·U: table 1 of
// ILAC-G8:09/2019, multipliers cited from memory, tails worked out anew.
func TestGuardBands(t *testing.T) {
	for _, tt := range []struct{ r, tail float64 }{
		{3, 9.865876450e-10}, {1.5, 0.001349898032}, {1, 0.02275013195}, {0.83, 0.04845722627}, {0, 0.5}, {-1, 0.9772498681},
	} {
		c, u := Claim{Rated, 4, 1, 2.5}, 0.0625
		v := Judge(c, []Run{at(c, 4+tt.r*2*u, u)}, quantity.Words{})
		near(t, "tail", 1-v.Chance, tt.tail, 2e-9)
	}
}

// Zones at their edges: in doubles that are exact, and in decimals that are not.
func TestZones(t *testing.T) {
	c := Claim{Rated, 4, 1, 2.5}
	const u, hair = 0.0625, 1.0 / (1 << 26) // U = 0.125
	for _, tt := range []struct {
		q    float64
		want Grade
	}{
		{5, Pass}, {4.125 + hair, Pass}, {4.125, Pass}, {4.125 - hair, PassWithin},
		{4 + hair, PassWithin}, {4, PassWithin}, {4 - hair, BelowWithin},
		{3.875 + hair, BelowWithin}, {3.875, Below}, {3.875 - hair, Below}, {0.001, Below},
	} {
		judged(t, c, tt.want, at(c, tt.q, u))
	}
	for _, tt := range []struct {
		q    float64
		want Grade
	}{{4.914, Pass}, {4.913999, PassWithin}, {4.9, PassWithin}, {4.899999, BelowWithin}, {4.886001, BelowWithin}, {4.886, Below}} {
		judged(t, rated, tt.want, at(rated, tt.q, 0.007))
	}
}

// The table of sides, each with a figure far above and far below the claim.
func TestSides(t *testing.T) {
	r := func(set func(*Run)) Run {
		x := at(rated, 0, 0.007)
		set(&x)
		return x
	}
	for _, tt := range []struct {
		name      string
		run       Run
		side      Side
		high, low Grade
	}{
		{"as claimed", r(func(*Run) {}), Both, Pass, Below},
		{"3 % up", r(func(r *Run) { r.Current = 0.98 * 1.03 }), Both, Pass, Below},
		{"3 % down", r(func(r *Run) { r.Current = 0.98 * 0.97 }), Both, Pass, Below},
		{"over 3 % up", r(func(r *Run) { r.Current = 0.98 * 1.0301 }), PassOnly, Pass, Open},
		{"over 3 % down", r(func(r *Run) { r.Current = 0.98 * 0.9699 }), FailOnly, Open, Below},
		{"5 mV above", r(func(r *Run) { r.Reached = 2.505 }), Both, Pass, Below},
		{"5 mV below", r(func(r *Run) { r.Reached = 2.495 }), Both, Pass, Below},
		{"6 mV above", r(func(r *Run) { r.Reached = 2.506 }), PassOnly, Pass, Open},
		{"lower, not levelled", r(func(r *Run) { r.Reached = 2.494 }), FailOnly, Open, Below},
		{"not full", r(func(r *Run) { r.Lower = []string{"it was not full"} }), PassOnly, Pass, Open},
		{"hot", r(func(r *Run) { r.Higher = []string{"it was hot"} }), FailOnly, Open, Below},
		{"fast and cold", r(func(r *Run) { r.Current, r.Lower = 3, []string{"it was cold"} }), PassOnly, Pass, Open},
		{"fast and hot", r(func(r *Run) { r.Current, r.Higher = 3, []string{"it was hot"} }), Neither, Open, Open},
		{"slow and ended high", r(func(r *Run) { r.Current, r.Reached = 0.5, 2.8 }), Neither, Open, Open},
		{"slow and deep", r(func(r *Run) { r.Current, r.Reached = 0.5, 2 }), FailOnly, Open, Below},
		{"void", r(func(r *Run) { r.Void = "it rested for 20 min" }), Void, Open, Open},
		{"no current", r(func(r *Run) { r.Current = 0 }), Neither, Open, Open},
		{"no end", r(func(r *Run) { r.Reached = math.NaN() }), Neither, Open, Open},
		{"no uncertainty", r(func(r *Run) { r.Budget = gum.Budget{} }), Neither, Open, Open},
		{"uncertainty lost", r(func(r *Run) { r.Budget = normal(math.NaN()) }), Neither, Open, Open},
		{"uncertainty without end", r(func(r *Run) { r.Budget = normal(math.Inf(1)) }), Neither, Open, Open},
	} {
		for _, x := range []struct {
			q    float64
			want Grade
		}{{5.2, tt.high}, {4.6, tt.low}} {
			run := tt.run
			run.Capacity = x.q
			v := Judge(rated, []Run{run}, quantity.Words{})
			if v.Grade != x.want || v.Evidence[0].Side != tt.side || v.Evidence[0].Says == "" {
				t.Errorf("%s, %g Ah: %v (side %d), want %v (side %d): %s %s", tt.name, x.q, v.Grade, v.Evidence[0].Side, x.want, tt.side, v.Sentence, v.Evidence[0].Says)
			}
			if math.IsNaN(v.Chance) != (tt.side != Both) || math.IsNaN(v.Margin) != (v.Grade == Open) {
				t.Errorf("%s: chance %g, margin %g", tt.name, v.Chance, v.Margin)
			}
			if (v.BestRun < 0) != (tt.side >= Neither) {
				t.Errorf("%s: best run %d", tt.name, v.BestRun)
			}
		}
	}
	// Within the uncertainty, one side each.
	fast, slow := at(rated, 4.905, 0.007), at(rated, 4.895, 0.007)
	fast.Current, slow.Current = 3, 0.5
	judged(t, rated, PassWithin, fast)
	judged(t, rated, BelowWithin, slow)
}

// Five attempts: the best of the first five valid ones decides, and no sixth.
func TestFiveAttempts(t *testing.T) {
	run := func(q float64) Run { return at(rated, q, 0.007) }
	five := []Run{run(4.85), run(4.86), run(4.84), run(4.85), run(4.83)}
	v := judged(t, rated, Below, five...)
	if v.BestRun != 1 || v.BestOf != 5 || v.Best != 4.86 || v.N != 5 {
		t.Errorf("best %g of %d, run %d, mean of %d", v.Best, v.BestOf, v.BestRun, v.N)
	}
	near(t, "mean", v.Mean, 4.846, 1e-12)
	near(t, "margin is of the best", v.Margin, -0.04, 1e-12)

	six := append(five[:5:5], run(4.95))
	v = judged(t, rated, Below, six...)
	if v.BestRun != 1 || v.BestOf != 5 || v.N != 6 {
		t.Errorf("the sixth counts: best run %d of %d, mean of %d", v.BestRun, v.BestOf, v.N)
	}
	// A void one among the first is none, so that the sixth is the fifth.
	void := append([]Run(nil), six...)
	void[0].Void = "the contacts slipped"
	v = judged(t, rated, Pass, void...)
	if v.BestRun != 5 || v.BestOf != 5 || v.N != 5 || v.Evidence[0].Side != Void {
		t.Errorf("best run %d of %d", v.BestRun, v.BestOf)
	}
	// Any of five.
	for k := range five {
		any := append([]Run(nil), five...)
		any[k].Capacity = 4.92
		if v := judged(t, rated, Pass, any...); v.BestRun != k {
			t.Errorf("attempt %d passes, %d decides", k, v.BestRun)
		}
	}
	// One that passes is better than a higher one that is not as certain.
	if v := judged(t, rated, Pass, at(rated, 4.95, 0.1), run(4.93)); v.BestRun != 1 || v.U > 0.02 {
		t.Errorf("run %d decides, U %g", v.BestRun, v.U)
	}
	// Attempts at another current are counted on their own.
	fast := run(4.95)
	fast.Current = 1.5
	judged(t, rated, Pass, append(five[:5:5], fast)...)
	slow := make([]Run, 6)
	for i := range slow {
		slow[i] = run(4.8)
		slow[i].Current = 0.5
	}
	slow[5].Capacity = 5
	judged(t, rated, Below, slow...)
	slow[4].Capacity = 5 // the best of five is over the claim: nothing is proved
	judged(t, rated, Open, slow...)
}

func TestMixedEvidence(t *testing.T) {
	run := func(amps, q float64) Run {
		r := at(rated, q, 0.007)
		r.Current = amps
		return r
	}
	// A faster one proves what the attempts do not; what they gave is said.
	v := judged(t, rated, Pass, run(0.98, 4.85), run(3, 4.95))
	if v.BestRun != 1 || v.Mean != 4.85 || v.N != 1 || !(v.Chance < 0.001) {
		t.Errorf("%+v", v)
	}
	judged(t, rated, Pass, run(0.98, 4.905), run(3, 4.95))
	judged(t, rated, PassWithin, run(0.98, 4.85), run(3, 4.905))
	// Where both say the same, the attempt decides.
	if v := judged(t, rated, Pass, run(3, 4.96), run(0.98, 4.95)); v.BestRun != 1 {
		t.Errorf("run %d decides", v.BestRun)
	}
	// A faster one that is below says nothing.
	judged(t, rated, Pass, run(0.98, 4.95), run(3, 4.5), run(6, 4.2))
	// Of several faster ones the best, of slower ones the worst current.
	if v := judged(t, rated, Pass, run(6, 4.2), run(1.5, 4.93), run(3, 4.6)); v.BestRun != 1 || v.BestOf != 1 {
		t.Errorf("run %d of %d", v.BestRun, v.BestOf)
	}
	if v := judged(t, rated, Below, run(0.1, 4.95), run(0.5, 4.8)); v.BestRun != 1 {
		t.Errorf("run %d decides", v.BestRun)
	}
	// A slower one never overrules an attempt, but is heard.
	quiet := judged(t, rated, Pass, run(0.98, 4.95))
	loud := judged(t, rated, Pass, run(0.98, 4.95), run(0.5, 4.8))
	if loud.BestRun != 0 || len(loud.Sentence) < len(quiet.Sentence)+40 {
		t.Errorf("not heard: %s", loud.Sentence)
	}
	judged(t, rated, BelowWithin, run(0.98, 4.895), run(0.5, 4.8))
	if v := judged(t, rated, Pass, run(0.98, 4.95), run(0.5, 4.895)); v.Sentence != quiet.Sentence {
		t.Errorf("below within the uncertainty contradicts nothing: %s", v.Sentence)
	}
	if v := judged(t, rated, Below, run(0.5, 4.8), run(0.7, 4.7), run(0.1, 4.85)); v.BestRun != 1 {
		t.Errorf("run %d decides", v.BestRun)
	}
	// Five just over 3 % above the claim's current, and one at it: none of theirs.
	var six []Run
	for range 5 {
		six = append(six, run(0.98*1.0301, 4.8))
	}
	empty := run(0.98, 4.95)
	empty.Lower = []string{"it was not full"}
	judged(t, rated, Pass, append(six, empty)...)
	// Neither side tells.
	judged(t, rated, Open, run(3, 4.8), run(0.5, 4.95))
	judged(t, rated, Below, run(3, 4.8), run(0.5, 4.85))
}

// A typical value is a centre: the mean counts, and nothing fails.
func TestTypical(t *testing.T) {
	c := Claim{Typical, 5, 1, 2.5}
	run := func(amps, q float64) Run {
		r := at(c, q, 0.007)
		r.Current = amps
		return r
	}
	v := judged(t, c, Under, run(1, 4.9))
	if !math.IsNaN(v.Chance) || v.Margin >= 0 {
		t.Errorf("chance %g, margin %g", v.Chance, v.Margin)
	}
	judged(t, c, Under, run(1, 4.99))
	judged(t, c, Above, run(1, 5))
	judged(t, c, Above, run(1, 5.1))
	// The best is above, the mean is not.
	v = judged(t, c, Under, run(1, 5.02), run(1, 4.95), run(1, 4.94))
	near(t, "margin is of the mean", v.Margin, -0.03, 1e-12)
	if v.BestRun != 0 || v.BestOf != 3 || v.N != 3 {
		t.Errorf("best run %d of %d", v.BestRun, v.BestOf)
	}
	judged(t, c, Above, run(3, 5.1))
	judged(t, c, Open, run(3, 4.9))
	judged(t, c, Under, run(0.5, 4.9))
	judged(t, c, Open, run(0.5, 5.1))
	// Never overruled, but the contradiction is said.
	quiet, loud := judged(t, c, Under, run(1, 4.9)), judged(t, c, Under, run(1, 4.9), run(3, 5.1))
	if len(loud.Sentence) < len(quiet.Sentence)+40 {
		t.Errorf("not heard: %s", loud.Sentence)
	}
	lost := run(1, 4.9)
	lost.Relative = math.NaN()
	judged(t, c, Open, lost)
}

// What nothing can be made of. No panic, no number out of nothing.
func TestAwkward(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := at(rated, 4.95, 0.007)
	for _, c := range []Claim{{}, {Rated, nan, 1, 2.5}, {Rated, 4.9, nan, 2.5}, {Rated, 4.9, 0.98, 0}, {Minimum, -4.9, 1, 2.5},
		{Typical, inf, 1, 2.5}, {Rated, 4.9, inf, 2.5}, {Rated, 4.9, 1, -2}} {
		v := judged(t, c, Open, good, Run{Void: "x"})
		if v.Sentence == "" || v.BestRun != -1 || !math.IsNaN(v.Chance+v.Margin+v.U+v.Mean) || v.Evidence[0].Side != Neither || v.Evidence[1].Side != Void {
			t.Errorf("%+v: %+v", c, v)
		}
	}
	for _, runs := range [][]Run{nil, {{}}, {{Void: "x"}, {Void: "y"}}} {
		v := judged(t, rated, Open, runs...)
		if v.BestRun != -1 || v.N != 0 || v.BestOf != 0 || !math.IsNaN(v.Best) || v.Sentence == "" {
			t.Errorf("%+v", v)
		}
	}
	// A broken run takes nothing from a good one.
	values := []float64{nan, inf, -inf, 0, -1, 5e-324, 1e308}
	for _, x := range values {
		for k := range 7 {
			bad := good
			bad.Capacity = 4.85
			switch k {
			case 0:
				bad.Capacity = min(x, 4.85)
			case 1:
				bad.Current = x
			case 2:
				bad.Reached = x
			case 3:
				bad.Budget = normal(x)
			case 4:
				bad.Relative = x
			case 5:
				bad.DF = x
			case 6:
				bad.Budget.Terms = []gum.Term{{Name: "gain", U: 0.007, DF: x, Shape: gum.Rectangular}}
			}
			for _, kind := range []Kind{Rated, Typical, 77} {
				c := rated
				c.Kind = kind
				Judge(c, []Run{bad}, quantity.Words{})
				v := Judge(c, []Run{bad, good}, quantity.Words{})
				if kind == Rated && v.Grade > PassWithin {
					t.Errorf("field %d of %g: %v, %s", k, x, v.Grade, v.Sentence)
				}
			}
		}
	}
	huge := at(rated, 1e308, 1e307)
	judged(t, rated, Pass, huge, huge, huge)
}
