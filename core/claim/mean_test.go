package claim

import (
	"math"
	"testing"

	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/quantity"
)

// The mean's budget is that of the measurement's own, where all runs are alike.
func TestMeanBudget(t *testing.T) {
	one := gum.Budget{Terms: []gum.Term{
		{Name: "current gain", U: 0.01, Shape: gum.Rectangular}, {Name: "first interval", U: 0.002, Shape: gum.Rectangular},
		{Name: "last interval", U: 0.003, Shape: gum.Rectangular}, {Name: "scatter of the current", U: 0.004},
		{Name: "scatter of the voltage", U: -0.005, DF: 9}, {Name: "current offset", U: -0.006, DF: 20},
	}}
	var budgets measure.Budgets
	budgets[measure.Capacity] = one
	for n := 1; n <= 6; n++ {
		var runs []Run
		for range n {
			r := at(rated, 4.95, 0)
			r.Budget, r.Relative, r.DF = one, 0.002, 4
			runs = append(runs, r)
		}
		v := Judge(rated, runs, quantity.Words{})
		want := measure.MeanBudget(4.95, n, 0.002, 4, budgets)
		near(t, "U of the mean", v.MeanU, measure.MeanExpanded(want), 1e-8)
		near(t, "chance", v.Chance, want.Above(4.9-4.95), 1e-6)
	}
	// Of unlike runs: what is shared is averaged, what is not goes in quadrature.
	a, b := at(rated, 4.92, 0.03), at(rated, 4.96, 0.01)
	b.Budget.Terms = append(b.Budget.Terms, gum.Term{Name: "last interval", U: 0.02}, gum.Term{Name: "of this one", U: 0.05})
	a.Budget.Terms = append(a.Budget.Terms, gum.Term{Name: "last interval", U: 0.04})
	v := Judge(rated, []Run{a, b}, quantity.Words{})
	c := at(rated, 4.94, 0)
	c.Budget.Terms[0] = gum.Term{Name: "gain", U: 0.03, Shape: gum.Rectangular} // of another tester
	near(t, "unlike testers", Judge(rated, []Run{a, c}, quantity.Words{}).MeanU, 2*math.Sqrt(2*0.015*0.015+0.02*0.02), 2e-3)
	near(t, "unlike runs", v.MeanU, 2*math.Sqrt(0.02*0.02+0.02*0.02/4+0.04*0.04/4+0.05*0.05/4), 1e-6)
}

// Two runs whose repeatability is from themselves: Student's t with one degree of
// freedom. Its tail in closed form, Abramowitz and Stegun 26.7.3; k is 13.97,
// GUM table G.2.
func TestTwoRuns(t *testing.T) {
	runs := []Run{at(rated, 4.95, 1e-7), at(rated, 4.91, 1e-7)}
	s := 0.04 / math.Sqrt2
	for i := range runs {
		runs[i].Relative, runs[i].DF = s/4.93, 1
	}
	v := judged(t, rated, Pass, runs...)
	u := s / math.Sqrt2
	near(t, "U of the mean", v.MeanU, 13.97*u, 0.005*u)
	near(t, "chance", v.Chance, 0.5+math.Atan(0.03/u)/math.Pi, 1e-8)
}

// One rectangular term of half width a: the chance is (a + Q − T)/2a, and not Φ.
func TestRectangle(t *testing.T) {
	const a = 0.05
	r := at(rated, 4.9+0.9*a, 0)
	r.Budget.Terms[0] = gum.Term{Name: "gain", U: gum.LimitsToU(a), Shape: gum.Rectangular}
	v := judged(t, rated, PassWithin, r)
	near(t, "chance", v.Chance, 0.95, 1e-8)
}
