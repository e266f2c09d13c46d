package load

import (
	"math"

	"plateau/core/gum"
	"plateau/core/say"
)

const (
	// The voltage under a constant power is found to solved V in tries at most;
	// a cell that cannot give the power has none.
	solved = 1e-9
	tries  = 40
)

// power answers for a constant power P in W. At each depth the voltage V is the
// one at the current P/V; the runtime is ∫V dq / P.
func (s *slice) power(watts float64) (Answer, error) {
	to := watts / s.cutoff
	from := watts / s.highest()
	if err := s.admit(from, to); err != nil {
		return Answer{}, err
	}
	j, _ := s.place(from)
	i, _ := s.place(to)
	t := s.tableOf(j, i+1)
	c := t.power(watts, line)
	if c.from < s.rates[0].current*(1-sameCurrent) {
		return Answer{}, Outside{Low: s.low, High: s.high, From: c.from, To: to, Why: s.short}
	}
	mean := float64(c.charge*watts) / c.energy
	level := t.constant(mean, line)
	points := t.points(mean, level.depth, true)
	// What the table loses of the runs' own sums.
	energy := c.energy * float64(points.of(charge)*points.of(average)) / level.energy
	ans := Answer{Charge: c.charge, Energy: energy, Runtime: energy / watts * 3600, From: c.from, To: to}
	ans.Low, _ = t.mixed(c.from, line).span(s)
	_, ans.High = t.mixed(to, line).span(s)
	ans.ChargeBudget, ans.EnergyBudget = points.budgets()
	ans.ChargeBudget = scaled(ans.ChargeBudget, ans.Charge/points.of(charge))
	ans.EnergyBudget = scaled(ans.EnergyBudget, ans.Energy/float64(points.of(charge)*points.of(average)))
	var dq, de float64
	for _, k := range t.others(j, i) {
		o := t.power(watts, k)
		dq = math.Max(dq, math.Abs(o.charge-c.charge))
		de = math.Max(de, math.Abs(o.energy-c.energy))
	}
	ans.model(dq, de, len(s.rates))
	// A cell remembers some of the lower currents before, in its heat and in
	// its gradients: how far the discharge at the mean current lies from this one
	// is the size of what that may do. No source; by trial on simulated cells.
	input := say.With("how far the discharge at the mean current of %.3g A lies from this one", mean)
	past := func(u float64) gum.Term {
		return gum.Term{Name: say.Later("current that rises"), Input: input, U: math.Abs(u), DF: modelDF}
	}
	ans.ChargeBudget.Terms = put(ans.ChargeBudget.Terms, past(level.charge-c.charge))
	ans.EnergyBudget.Terms = put(ans.EnergyBudget.Terms, past(level.energy-c.energy))
	ans.RuntimeBudget = scaled(ans.EnergyBudget, 3600/watts)
	// Most of the heat comes late: as much as at a current between the mean and
	// the last one, give or take half of that.
	points.temperature(&ans, points)
	even := ans.EndTemp
	late := (mean + to) / 2
	t.points(late, t.constant(late, line).depth, false).temperature(&ans, points)
	ans.EndTempBudget.Terms = put(ans.EndTempBudget.Terms, gum.Term{Name: say.Later("current that rises"), Input: say.Text("heat that comes late"),
		U: gum.LimitsToU(math.Abs(ans.EndTemp - even)), Shape: gum.Rectangular})
	return ans, nil
}

// highest is the highest voltage under load in V.
func (s *slice) highest() float64 {
	top := 0
	for _, e := range s.ends {
		top = max(top, e.run.top())
	}
	return math.Max(float64(top)/levels, s.cutoff)
}

// span is the lowest and the highest of the mixture's currents in A.
func (b mix) span(s *slice) (low, high float64) {
	low, high = math.Inf(1), 0
	for k, w := range b.w[:b.n] {
		if w != 0 {
			i := s.rates[b.at[k]].current
			low, high = math.Min(low, i), math.Max(high, i)
		}
	}
	return low, high
}

// power is the discharge at a constant power in W.
func (t *table) power(watts float64, way kind) course {
	var c course
	cutoff := t.s.cutoff
	var lastV, lastQ float64
	v := t.s.highest()
	for n := range steps + 1 {
		var b mix
		fits := false
		for range tries {
			b = t.mixed(watts/v, way)
			next := b.sum(func(k int) float64 { return t.v[k][n] })
			if !(next > 0) {
				break
			}
			fits = math.Abs(next-v) < solved
			v = next
			if fits {
				break
			}
		}
		q := b.sum(func(k int) float64 { return t.charge[k] }) * float64(n) / steps
		if n == 0 {
			c.from = watts / v
			lastV, lastQ = v, q
			continue
		}
		c.depth = float64(n)
		end := !fits || v <= cutoff
		if end && lastV > v {
			f := math.Min((lastV-cutoff)/(lastV-v), 1)
			c.depth = float64(n-1) + f
			q = lastQ + float64(f*(q-lastQ))
			v = math.Max(v, cutoff)
		}
		// Charge does not come back: where there is less of it at a lower
		// voltage, the voltage breaks down.
		if q > c.charge {
			c.energy += float64((q - c.charge) * (v + lastV) / 2)
			c.charge = q
		}
		if end {
			break
		}
		lastV, lastQ = v, q
	}
	return c
}
