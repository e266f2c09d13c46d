package load

import (
	"math"

	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/say"
)

// shared are inputs that are the same in all runs on a tester: they add up with
// their signs. Runs in different ranges have different gains; all shares here
// are above zero, so that adding up is then rather too much.
func shared(name string) bool {
	switch name {
	case "current gain", "current offset", "time base", "voltage gain", "voltage offset",
		"resistance of the leads", "sensor of temperature":
		return true
	}
	return false
}

// anew are inputs that are drawn anew in each run, and fall with the repeats.
func anew(name string) bool {
	switch name {
	case "first interval", "last interval", "scatter of the current", "scatter of the voltage", "scatter of the temperature":
		return true
	}
	return false
}

// effect is what one input does to the figures by its name: shifts by one
// standard uncertainty, kept as sums or, for inputs that differ between runs, as
// sums of squares.
type effect struct {
	gum.Term
	q, e     float64 // Ah, Wh
	q2, e2   float64
	largest2 float64 // of the squares in q2 or e2
}

// budgets are the uncertainties of charge and energy at a constant current
// but for the model's term.
func (ps points) budgets() (charges, energies gum.Budget) {
	q, v := ps.of(charge), ps.of(average)
	// Where the reading of a run's current is off, the run stands at the wrong
	// current as well.
	slopeQ, slopeV := ps.slope(charge), ps.slope(average)
	var effects []effect
	var repeat float64
	df := math.Inf(1)
	for _, r := range ps {
		w, budgets := r.w, r.budgets
		one := r.runs[0]
		n := float64(len(r.runs))
		add := func(t gum.Term, dq, dv float64) {
			if anew(t.Name) {
				dq, dv = dq/math.Sqrt(n), dv/math.Sqrt(n)
			}
			dq, dv = w*dq, w*dv
			de := float64(v*dq) + float64(q*dv)
			at := -1
			for i := range effects {
				if effects[i].Name == t.Name {
					at = i
				}
			}
			if at < 0 {
				at = len(effects)
				effects = append(effects, effect{Term: t})
			}
			x := &effects[at]
			if shared(t.Name) {
				x.q += dq
				x.e += de
				return
			}
			x.q2 += float64(dq * dq)
			x.e2 += float64(de * de)
			x.largest2 = math.Max(x.largest2, float64(de*de))
		}
		for _, t := range budgets[measure.Energy].Terms {
			i := named(budgets[measure.Current], t.Name)
			add(t, named(budgets[measure.Capacity], t.Name)-float64(slopeQ*i), named(budgets[measure.Average], t.Name)-float64(slopeV*i))
		}
		rel := meanOf(r.runs, func(x results) float64 { return x.Relative }) / math.Sqrt(n)
		repeat += float64(w * w * rel * rel * r.charge * r.charge)
		if rel > 0 && one.DF > 0 {
			df = math.Min(df, one.DF)
		}
	}
	for _, x := range effects {
		t := x.Term
		if x.e2 > 0 && x.largest2 < 0.9*x.e2 {
			t.Shape = gum.Normal // two rectangles make none
		}
		t.U = x.q + math.Sqrt(x.q2)
		charges.Terms = put(charges.Terms, t)
		t.U = x.e + math.Sqrt(x.e2)
		energies.Terms = put(energies.Terms, t)
	}
	if repeat > 0 {
		t := gum.Term{Name: say.Later("repeatability"), Input: say.With("standard deviation of the runs taken together %.2g %%", 100*math.Sqrt(repeat)/q), DF: df}
		t.U = math.Sqrt(repeat)
		charges.Terms = put(charges.Terms, t)
		t.U *= v
		energies.Terms = put(energies.Terms, t)
	}
	return charges, energies
}

func put(terms []gum.Term, t gum.Term) []gum.Term {
	if t.U == 0 || math.IsNaN(t.U) {
		return terms
	}
	return append(terms, t)
}

// named is the term of a name, 0 for none.
func named(b gum.Budget, name string) float64 {
	for _, t := range b.Terms {
		if t.Name == name {
			return t.U
		}
	}
	return 0
}

// slope is the change of a figure with the current, between two points.
func (ps points) slope(of func(*point) float64) float64 {
	if len(ps) < 2 {
		return 0
	}
	x, y := ps[0], ps[1]
	return (of(y) - of(x)) / (y.current - x.current)
}

// scaled is the budget of a figure that is so many times another.
func scaled(b gum.Budget, by float64) gum.Budget {
	out := gum.Budget{}
	for _, t := range b.Terms {
		t.U *= by
		out.Terms = append(out.Terms, t)
	}
	return out
}

// temperature puts the highest temperature to an answer; the budgets of the
// sensor are those of like.
//
// The rise goes with I where a cell has no time to cool, I²R·t with t about 1/I,
// and with I² where it has come to a balance: the middle of the two is taken,
// and half their distance as its limits.
func (ps points) temperature(ans *Answer, like points) {
	one := ps.of(func(p *point) float64 { return p.rise })
	two := one
	if len(ps) == 2 {
		a, b := ps[0].current, ps[1].current
		x := a + float64(ps[1].w*(b-a))
		f := (float64(x*x) - float64(a*a)) / (float64(b*b) - float64(a*a))
		two = ps[0].rise + float64(f*(ps[1].rise-ps[0].rise))
	}
	ans.EndTempBudget = gum.Budget{}
	ans.EndTemp = ps.of(func(p *point) float64 { return p.start }) + (one+two)/2
	if math.IsNaN(ans.EndTemp) {
		return
	}
	sums := map[string]float64{}
	var terms []gum.Term
	for _, p := range like {
		for _, t := range p.budgets[measure.TempMax].Terms {
			if _, seen := sums[t.Name]; !seen {
				terms = append(terms, t)
			}
			if u := p.w * t.U; shared(t.Name) {
				sums[t.Name] += u
			} else {
				sums[t.Name] = math.Hypot(sums[t.Name], u)
			}
		}
	}
	for _, t := range terms {
		t.U = sums[t.Name]
		ans.EndTempBudget.Terms = put(ans.EndTempBudget.Terms, t)
	}
	ans.EndTempBudget.Terms = put(ans.EndTempBudget.Terms, gum.Term{Name: Interpolation,
		Input: say.Text("temperature rise, between growing with the current and growing with its square"), U: gum.LimitsToU(math.Abs(one-two) / 2), Shape: gum.Rectangular})
}
