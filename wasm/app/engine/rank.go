package engine

import (
	"slices"
	"strings"

	"plateau/core/compare"
	"plateau/core/measure"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// falseTold is the chance that any two equal cells at a rate are told apart.
const falseTold = 0.05

// permitted is how far a current may lie over a cell's maximum and still count
// as it: as currents are held by IEC 61960-3 clause 4, cited from memory.
const permitted = 1.01

// over tells whether an entry's current is over what its cell may give.
func (e *Engine) over(x entry) bool {
	c := e.cellNamed(x.cell)
	return c.MaxCurrent > 0 && x.amps > c.MaxCurrent*permitted
}

// by is the figure that a command names; capacity where it names none.
func by(list []figured, key string) figured {
	for _, f := range list {
		if f.key == key {
			return f
		}
	}
	return list[0]
}

// rank orders the cells at each rate.
func (e *Engine) rank(c wire.Command) *wire.Ranked {
	f := by(rankedBy, c.Figure)
	out := &wire.Ranked{Figure: say.Text(f.name) + " / " + f.unit, Basis: []string{}, Rates: []wire.RankedRate{}, Overall: []wire.Leader{}, Sums: []string{}}
	list := e.entries()
	if len(list) == 0 {
		out.Why = say.Text("There is no discharge to rank.")
		return out
	}
	cuts := e.kindCutoffs(list)
	cutoff := func(x entry) float64 { return cuts[e.reachOf(x).Kind] }
	pooled := e.pooledOver(list, f.q, cutoff)
	out.Basis = e.basis(list, cuts, pooled, f)
	colours, d := e.colours(), f.decimals(e.columns())
	leads := map[string][]string{}
	shares := map[string][]string{}
	for _, rate := range compare.Rates(runsOf(list, e)) {
		r := e.rankRate(rate, list, f, d, cutoff, pooled, colours, c.Over, out)
		out.Rates = append(out.Rates, r.RankedRate)
		if len(r.first) == 0 {
			continue
		}
		words := join(r.first)
		if len(r.first) > 1 {
			words = say.With("%s, not told apart", words)
		}
		out.Overall = append(out.Overall, wire.Leader{Rate: r.Rate, Words: words})
		for _, name := range r.first {
			if len(r.first) == 1 {
				leads[name] = append(leads[name], r.Rate)
			} else {
				shares[name] = append(shares[name], r.Rate)
			}
		}
	}
	for _, name := range e.cellNames() {
		switch l, s := join(leads[name]), join(shares[name]); {
		case l != "" && s != "":
			out.Sums = append(out.Sums, say.With("%s leads at %s; is among the first, not told apart, at %s.", name, l, s))
		case l != "":
			out.Sums = append(out.Sums, say.With("%s leads at %s.", name, l))
		case s != "":
			out.Sums = append(out.Sums, say.With("%s is among the first, not told apart, at %s.", name, s))
		}
	}
	return out
}

// ranked is a rate with those that lead it.
type ranked struct {
	wire.RankedRate
	first []string
}

func (e *Engine) rankRate(rate compare.Rate, list []entry, f figured, d int, cutoff func(entry) float64, pooled compare.Pooled,
	colours map[string]int, countOver bool, all *wire.Ranked) ranked {
	out := ranked{RankedRate: wire.RankedRate{Rate: e.rateWords(rate, list), Cells: []wire.RankedCell{}, Gaps: []string{}, Out: []wire.RankedOut{}}}
	var names []string
	members := map[string][]entry{}
	for _, k := range rate.Runs {
		x := list[k]
		if members[x.cell] == nil {
			names = append(names, x.cell)
		}
		members[x.cell] = append(members[x.cell], x)
	}
	var means []mean
	var contenders []compare.Contender
	leave := func(x entry, l level, why string) {
		o := wire.RankedOut{Name: x.name, Why: why}
		if l.err == nil {
			o.Figure = e.figure(f.q.Of(l.res), l.budgets[f.q], d)
			o.AtLeast = !f.least && (l.res.Ending == measure.NotReached || len(x.lower) > 0)
		}
		out.Out = append(out.Out, o)
	}
	for _, name := range names {
		m, left := e.mean(members[name], f.q, cutoff(members[name][0]), pooled)
		for _, x := range left {
			leave(x.entry, x.level, x.why)
		}
		if m.N == 0 {
			continue
		}
		if e.over(m.runs[0]) {
			all.Over = true
			if !countOver {
				for k, x := range m.runs {
					leave(x, m.levels[k], say.With("%s A is over the %s A that the cell may give: not for imitation, and not in the order.", e.significant(x.amps, 3), e.significant(e.cellNamed(name).MaxCurrent, 3)))
				}
				continue
			}
		}
		means, contenders = append(means, m), append(contenders, m.Contender)
	}
	order := compare.Rank(contenders, falseTold, !f.least)
	mixed := e.mixed(means)
	for place, k := range order.Ranked {
		m := means[k]
		rc := wire.RankedCell{Cell: m.Cell, Colour: colours[m.Cell], Figure: e.meanFigure(m, d), N: m.N, Letters: order.Letters[place],
			Mean: m.Mean, U: measure.MeanExpanded(m.Budget)}
		if e.over(m.runs[0]) {
			rc.Mark = say.Text("over the permitted current")
		}
		if mixed {
			rc.Mark = strings.TrimPrefix(rc.Mark+"; "+say.With("down to %s V", e.words.Fixed(cutoff(m.runs[0]), 2)), "; ")
		}
		out.Cells = append(out.Cells, rc)
	}
	switch {
	case len(out.Cells) == 0:
		out.Why = say.Text("No discharge at this rate can be ranked.")
	case len(out.Cells) == 1:
		out.Why = say.With("%s alone has a figure at this rate: there is nothing to compare it with.", out.Cells[0].Cell)
	default:
		for i := 0; i+1 < len(order.Ranked); i++ {
			out.Gaps = append(out.Gaps, e.gap(order, means, i, f, d))
		}
		for _, place := range order.Leaders() {
			out.first = append(out.first, means[order.Ranked[place]].Cell)
		}
	}
	return out
}

// mixed tells whether cells at a rate are taken down to unlike voltages.
func (e *Engine) mixed(means []mean) bool {
	return slices.ContainsFunc(means, func(m mean) bool { return e.reachOf(m.runs[0]).Kind != e.reachOf(means[0].runs[0]).Kind }) && e.cutoff == 0
}

// gap is a sentence on two neighbours.
func (e *Engine) gap(order compare.Order, means []mean, i int, f figured, d int) string {
	p := order.Pair(i, i+1)
	a, b := means[order.Ranked[i]].Cell, means[order.Ranked[i+1]].Cell
	by, least := e.words.Fixed(p.Gap, d), e.uncertain(p.Least, d)
	if p.Told {
		if f.least {
			return say.With("%s stays below %s by %s %s, more than the %s %s that this set-up can tell apart.", a, b, by, f.unit, least, f.unit)
		}
		return say.With("%s leads %s by %s %s, more than the %s %s that this set-up can tell apart.", a, b, by, f.unit, least, f.unit)
	}
	return say.With("%s and %s are not told apart: %s %s lie between them, and this set-up can tell %s %s.", a, b, by, f.unit, least, f.unit)
}

// rateWords name a rate.
func (e *Engine) rateWords(r compare.Rate, list []entry) string {
	if r.ByIt {
		x := list[r.Runs[0]]
		return e.rate(e.cellNamed(x.cell), x.amps)
	}
	return e.words.Fixed(r.Amps, max(1, 2-int(r.Amps/10))) + " A"
}

// basis says to which cut-off, and how cells are told apart.
func (e *Engine) basis(list []entry, cuts map[compare.Kind]float64, pooled compare.Pooled, f figured) []string {
	var s []string
	volts := func(v float64) string { return e.words.Fixed(v, 2) }
	goes := map[compare.Kind]string{compare.LithiumIon: say.Later("lithium ion down to %s V"), compare.IronPhosphate: say.Later("iron phosphate down to %s V"),
		compare.Titanate: say.Later("titanate down to %s V"), compare.UnknownKind: say.Later("cells of unknown kind down to %s V")}
	switch {
	case e.cutoff > 0:
		s = append(s, say.With("All figures go down to %s V, your cut-off.", volts(e.cutoff)))
	case len(cuts) == 1:
		for _, v := range cuts {
			s = append(s, say.With("All figures go down to %s V, the highest cut-off that the discharges have in common.", volts(v)))
		}
	default:
		var parts []string
		for _, kind := range []compare.Kind{compare.LithiumIon, compare.IronPhosphate, compare.Titanate, compare.UnknownKind} {
			if v, ok := cuts[kind]; ok {
				parts = append(parts, say.With(goes[kind], volts(v)))
			}
		}
		s = append(s, say.With("Each chemistry goes to its own highest common cut-off: %s. Set your device’s cut-off above the curves to compare at one voltage.", join(parts)))
	}
	s = append(s, e.pooled(pooled))
	return append(s, say.Text("Means of repeats are compared pair by pair; what two cells have in common on one range of one tester cancels. Holm’s step-down over all pairs at a rate keeps the chance of telling any equal cells apart at 5 %."))
}

func join(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + say.Text(" and ") + list[len(list)-1]
}
