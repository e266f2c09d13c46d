package compare

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/tester"
	"plateau/core/trace"
)

// ageing is a run with an edge, samples that scatter and a cut-off, for its
// budget: a cell of so many Ah at a current in A, a sample each 20 s.
func ageing(capacity, amps float64, seed uint64) *trace.Run {
	rng := rand.New(rand.NewPCG(seed, 206))
	tr := trace.New(false)
	tr.Append(0, 4.18, 0, 0)
	for t := 20.0; ; t += 20 {
		x := amps * t / 3600 / capacity
		v := 4.15 - x - 0.8*math.Pow(x, 20) - 0.03*amps
		if v < 2.4 {
			break
		}
		tr.Append(t, v+0.0005*rng.NormFloat64(), amps*(1+0.0001*rng.NormFloat64()), 0)
	}
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 1, To: tr.Len()})
}

func budgetsOf(t *testing.T, r *trace.Run, cutoff float64) (measure.Results, measure.Budgets) {
	t.Helper()
	res, err := measure.Discharge(r, cutoff)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := measure.Uncertainty(r, res, tester.Spec{TimeBase: 1e-4,
		Voltage: []tester.Range{{Gain: 0.0005, Offset: 2e-3, Resolution: 1e-3}},
		Current: []tester.Range{{Gain: 0.001, Offset: 2e-3, Resolution: 1e-3}}, TwoWire: true, Lead: 0.05, LeadError: 0.01})
	return res, b
}

func named(b gum.Budget, name string) (us []float64) {
	for _, t := range b.Terms {
		if t.Name == name {
			us = append(us, t.U)
		}
	}
	return us
}

// For one run the mean's budget is the run's, and the repeatability; and it is
// what package measure gives for the mean of n whose budgets are alike.
func TestMeanOfOne(t *testing.T) {
	res, one := budgetsOf(t, ageing(5, 2, 1), 2.6)
	for q := range measure.Quantities {
		if len(one[q].Terms) == 0 {
			continue
		}
		v := q.Of(res)
		mean, b := Mean([]float64{v}, []gum.Budget{one[q]}, 0.003, 8)
		want := append(slices.Clone(one[q].Terms), gum.Term{Name: "repeatability", Input: "standard deviation of one run 0.3 %", U: v * 0.003, DF: 8})
		if mean != v || !slices.Equal(b.Terms, want) {
			t.Errorf("figure %d: %+v, want %+v", q, b.Terms, want)
		}
	}
	for _, n := range []int{1, 2, 3, 5} {
		var values []float64
		var budgets []gum.Budget
		for range n {
			values, budgets = append(values, res.Capacity), append(budgets, one[measure.Capacity])
		}
		_, b := Mean(values, budgets, 0.003, 8)
		want := measure.MeanBudget(res.Capacity, n, 0.003, 8, one)
		within(t, "u", b.Combined(), want.Combined(), 1e-12)
		within(t, "degrees of freedom", b.DF(), want.DF(), 1e-6*want.DF())
		if len(named(b, "current gain")) != 1 || len(b.Terms) != len(want.Terms) {
			t.Errorf("%d runs: %+v", n, b.Terms)
		}
	}
}

// By hand: gains 0.01 and 0.02 are one input, 0.015; two others would be
// halves of each. Edges 0.003 and 0.004 make 0.0025. Resolutions of 0.002 each
// stay, whatever their signs, and so do contacts. An input that one run has
// alone is halved with it.
func TestMeanByHand(t *testing.T) {
	r := gum.Rectangular
	term := func(name string, u float64) gum.Term { return gum.Term{Name: name, U: u, Shape: r} }
	_, b := Mean([]float64{5, 5.2}, []gum.Budget{
		{Terms: []gum.Term{term("current gain", 0.01), term("voltage offset", -0.004), term("first interval", 0.003), term("current resolution", 0.002), term("resistance of the leads", -0.01)}},
		{Terms: []gum.Term{term("current gain", 0.02), term("first interval", 0.004), term("current resolution", -0.002), term("resistance of the leads", -0.02), {Name: "time base", U: 0.001, Input: "other", Shape: r}}},
	}, 0.002, 5)
	for name, want := range map[string]float64{"current gain": 0.015, "voltage offset": -0.002, "first interval": 0.0025, "current resolution": 0.002,
		"resistance of the leads": -0.015, "time base": 0.0005, "repeatability": 5.1 * 0.002 / math.Sqrt2} {
		us := named(b, name)
		if len(us) != 1 {
			t.Fatalf("%s: %v", name, us)
		}
		within(t, name, us[0], want, 1e-15)
	}
	_, b = Mean([]float64{5, 5}, []gum.Budget{
		{Terms: []gum.Term{{Name: "current gain", Input: "±0.1 %", U: 0.01}}}, {Terms: []gum.Term{{Name: "current gain", Input: "±1 %", U: 0.1}}}}, 0, 0)
	if us := named(b, "current gain"); !slices.Equal(us, []float64{0.005, 0.05}) {
		t.Errorf("gains of two ranges: %v", us)
	}
	for _, x := range []struct {
		v []float64
		b []gum.Budget
	}{{nil, nil}, {[]float64{5}, nil}, {nil, make([]gum.Budget, 1)}} {
		if mean, _ := Mean(x.v, x.b, 0.003, 8); !math.IsNaN(mean) {
			t.Errorf("%v with %d budgets: %g", x.v, len(x.b), mean)
		}
	}
}

// The formula for two runs on one range of one tester, from JCGM 100:2008 5.2:
//
//	u²(Q₁ − Q₂) = (Q₁ − Q₂)²·u_g² + (t₁ − t₂)²·u_o² + (s₁ − s₂)²·u_Vc² + Σ(edge² + rep²)
//
// t in h, s = dQ/dV at the end.
func TestDifferenceFormula(t *testing.T) {
	const ug, uo, uv, edge, rep = 0.003, 0.004, 0.0012, 0.002, 0.0015
	of := func(q, hours, s float64) Contender {
		return Contender{Mean: q, Setup: "one", Budget: gum.Budget{Terms: []gum.Term{
			{Name: "current gain", U: q * ug, Shape: gum.Rectangular}, {Name: "current offset", U: hours * uo, Shape: gum.Rectangular},
			{Name: "voltage offset", U: s * uv}, {Name: "first interval", U: edge, Shape: gum.Rectangular}, {Name: "repeatability", U: rep * q, DF: 8}}}}
	}
	a, b := of(5, 5.1, -0.1), of(4.2, 1.4, -0.3)
	sq := func(x float64) float64 { return x * x }
	want := sq(0.8*ug) + sq(3.7*uo) + sq(0.2*uv) + 2*sq(edge) + sq(5*rep) + sq(4.2*rep)
	d := Difference(a, b)
	within(t, "u", d.Combined(), math.Sqrt(want), 1e-15)
	if back := Difference(b, a); math.Abs(back.Combined()-d.Combined()) > 1e-15 || named(d, "current gain")[0]*named(back, "current gain")[0] >= 0 {
		t.Errorf("turned round: %+v and %+v", d, back)
	}
	// One estimate of the repeatability stands behind both.
	if r := d.Terms[len(d.Terms)-1]; r.Name != "repeatability" || r.DF != 8 || math.Abs(r.U-rep*math.Hypot(5, 4.2)) > 1e-15 {
		t.Errorf("repeatability %+v", r)
	}
	b.Setup = "another"
	want = sq(5*ug) + sq(4.2*ug) + sq(5.1*uo) + sq(1.4*uo) + sq(0.1*uv) + sq(0.3*uv) + 2*sq(edge) + sq(5*rep) + sq(4.2*rep)
	within(t, "u on two testers", Difference(a, b).Combined(), math.Sqrt(want), 1e-15)
}

// Of two like runs on one tester everything that is one input is gone; contacts,
// resolutions, edges and the sensor stay, twice each.
func TestDifferenceOfLikeRuns(t *testing.T) {
	res, one := budgetsOf(t, ageing(5, 2, 1), 2.6)
	_, m := Mean([]float64{res.Energy}, []gum.Budget{one[measure.Energy]}, 0.003, 8)
	c := Contender{Mean: res.Energy, Budget: m}
	d := Difference(c, c)
	for _, name := range oneInput {
		if len(named(m, name)) != 1 || len(named(d, name)) != 0 {
			t.Errorf("%s: %v in the run, %v in the difference", name, named(m, name), named(d, name))
		}
	}
	for _, name := range []string{"resistance of the leads", "current resolution", "voltage resolution", "first interval", "scatter of the voltage"} {
		if us := named(d, name); len(us) != 2 || us[0] == 0 {
			t.Errorf("%s: %v", name, us)
		}
	}
	hot := gum.Budget{Terms: []gum.Term{{Name: "sensor of temperature", U: 0.5, Shape: gum.Rectangular}}}
	within(t, "sensor attached anew", Difference(Contender{Budget: hot}, Contender{Budget: hot}).Combined(), math.Sqrt(0.5), 1e-15)
	for _, x := range [][3]float64{{0, 8, 8}, {3, 8, 3}, {8, math.Inf(1), 8}, {0, math.Inf(1), math.Inf(1)}} {
		of := func(df float64) Contender {
			return Contender{Budget: gum.Budget{Terms: []gum.Term{{Name: "repeatability", U: 1, DF: df}}}}
		}
		for _, d := range []gum.Budget{Difference(of(x[0]), of(x[1])), Difference(of(x[1]), of(x[0]))} {
			if got := d.DF(); got != x[2] && math.Abs(got-x[2]) > 1e-9 {
				t.Errorf("%g and %g degrees of freedom make %g", x[0], x[1], got)
			}
		}
	}
}

// Against simulation: two cells, one tester whose gain and offset are drawn
// once for both, contacts and edges anew. The standard deviation of the gap is
// what the budget says.
func TestDifferenceBySimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 207))
	of := func(gain, offset, leads float64) Contender {
		return Contender{Budget: gum.Budget{Terms: []gum.Term{{Name: "current gain", U: gain, Shape: gum.Rectangular},
			{Name: "current offset", U: offset, Shape: gum.Rectangular}, {Name: "resistance of the leads", U: leads, Shape: gum.Rectangular}}}}
	}
	a, b := of(0.03, -0.004, 0.005), of(0.025, 0.004, 0.002)
	even := func() float64 { return math.Sqrt(3) * (2*rng.Float64() - 1) }
	const n = 200_000
	var ss float64
	for range n {
		g, o := even(), even()
		d := 0.03*g - 0.004*o + 0.005*even() - (0.025*g + 0.004*o + 0.002*even())
		ss += d * d / n
	}
	within(t, "u", Difference(a, b).Combined(), math.Sqrt(ss), 0.01*math.Sqrt(ss))
}
