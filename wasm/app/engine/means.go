package engine

import (
	"math"

	"plateau/core/compare"
	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// mean is what one cell gives at one rate, over its repeats.
type mean struct {
	compare.Contender
	amps, it float64
	runs     []entry
	levels   []level
}

// left is a discharge that has no part in a mean.
type left struct {
	entry
	level
	why string
}

// means takes the entries of one cell at one rate together, for one figure, all
// down to one cut-off in V of one cell. What cannot be compared is left out.
func (e *Engine) mean(list []entry, q measure.Quantity, cutoff float64, pooled compare.Pooled) (m mean, out []left) {
	var values []float64
	var budgets []gum.Budget
	for _, x := range list {
		l := e.to(x, cutoff)
		why := x.out()
		switch v := q.Of(l.res); {
		case why != "":
		case l.err != nil:
			why = sentence(l.err.Error())
		case l.res.Ending == measure.NotReached:
			why = say.With("It ended at %s V, above the cut-off.", e.words.Fixed(l.res.Lowest, 3))
		case math.IsNaN(v):
			why = say.Text("This figure does not come out of it.")
		default:
			values, budgets = append(values, v), append(budgets, l.budgets[q])
			m.runs, m.levels = append(m.runs, x), append(m.levels, l)
			m.amps += x.amps
			if s := e.setup(l); m.N == 0 {
				m.Setup = s
			} else if s != m.Setup {
				m.Setup = "several, " + x.cell
			}
			m.N++
			continue
		}
		out = append(out, left{x, l, why})
	}
	if m.N == 0 {
		return m, out
	}
	m.Cell = list[0].cell
	m.amps /= float64(m.N)
	m.it = e.cellNamed(m.Cell).Rate(m.amps)
	relative, df := e.repeatability(q, pooled, m.it, values)
	m.Mean, m.Budget = compare.Mean(values, budgets, relative, df)
	return m, out
}

// temperatureRepeats in °C is the standard deviation of a run's temperature where
// there are no repeats: rooms are no steadier. Common practice, no source.
const temperatureRepeats = 1.0

// repeatability is that of one run's figure, as a share.
func (e *Engine) repeatability(q measure.Quantity, pooled compare.Pooled, it float64, values []float64) (relative, df float64) {
	relative, df = pooled.At(it)
	switch q {
	case measure.TempMax, measure.TempRise:
		if pooled.Assumed {
			var sum float64
			for _, v := range values {
				sum += v / float64(len(values))
			}
			relative = temperatureRepeats / max(math.Abs(sum), 1)
		}
	case measure.Average:
		// Charge and energy move together: most of their scatter cancels in the
		// quotient. Common practice, no source.
		if pooled.Assumed {
			relative /= 3
		}
	}
	return relative, df
}

// pooledOver is the repeatability of a figure from all repeats, each cell down to
// its cut-off.
func (e *Engine) pooledOver(list []entry, q measure.Quantity, cutoff func(entry) float64) compare.Pooled {
	var attempts []compare.Attempt
	for k, g := range groupsOf(list, e) {
		for j, at := range g.Runs {
			x := list[at]
			l := e.to(x, cutoff(x))
			attempts = append(attempts, compare.Attempt{Group: x.cell + "\x00" + string(rune(k)), Value: q.Of(l.res), Order: float64(j),
				Void: x.out() != "" || l.err != nil || l.res.Ending == measure.NotReached})
		}
	}
	_, pooled := compare.Repeats(attempts)
	return pooled
}

// groupsOf puts the entries of one cell at one rate together.
func groupsOf(list []entry, e *Engine) []compare.Group { return compare.Groups(runsOf(list, e)) }

func runsOf(list []entry, e *Engine) []compare.Run {
	runs := make([]compare.Run, len(list))
	for k, x := range list {
		runs[k] = compare.Run{Cell: x.cell, Amps: x.amps, It: e.rateOf(x)}
	}
	return runs
}

// figured is one quantity by which cells are compared.
type figured struct {
	key, name, unit string
	q               measure.Quantity
	decimals        func(columns) int
	least           bool // the lowest is the best
	ranking         string
}

func decimals(n int) func(columns) int { return func(columns) int { return n } }

var rankedBy = []figured{
	{"capacity", say.Later("Capacity"), "Ah", measure.Capacity, func(c columns) int { return c.charge }, false, say.Later("Ranking by capacity at %s")},
	{"energy", say.Later("Energy"), "Wh", measure.Energy, func(c columns) int { return c.energy }, false, say.Later("Ranking by energy at %s")},
	{"average", say.Later("Average voltage"), "V", measure.Average, decimals(3), false, say.Later("Ranking by average voltage at %s")},
	{"temperature", say.Later("End temperature"), "°C", measure.TempMax, decimals(1), true, say.Later("Ranking by end temperature at %s")},
}

func (e *Engine) meanFigure(m mean, decimals int) wire.Figure {
	return wire.Figure{Value: e.words.Fixed(m.Mean, decimals), U: e.uncertain(measure.MeanExpanded(m.Budget), decimals)}
}
