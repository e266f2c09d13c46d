package engine

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"plateau/core/compare"
	"plateau/core/measure"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// contacts adds the check that compares the runs of one cell by their drop when
// the load comes on.
func (e *Engine) contacts(views []wire.Run) {
	runs := e.all(nil)
	for _, name := range e.cellNames() {
		var ohms []float64
		var at []int
		for k, r := range runs {
			if r.cell != name {
				continue
			}
			x, ok := r.stepResistance()
			ohm := math.NaN()
			if ok && x.Time == resistanceAt {
				ohm = x.Ohm
			}
			ohms, at = append(ohms, ohm), append(at, k)
		}
		off, median := compare.Contacts(ohms)
		for _, k := range off {
			views[at[k]].Checks = append(views[at[k]].Checks, wire.Check{Severity: measure.Caution.String(),
				Text: say.With("The resistance at 10 s after the step, %s mΩ, is well above the %s mΩ of other runs of this cell.", e.significant(1000*ohms[k], 3), e.significant(1000*median, 3)),
				Do:   say.Text("Look at the contacts and leads: a poor contact lowers the voltage, and with it capacity and energy to the cut-off."),
				Rule: say.Text("runs of one cell differ by less than 5 mΩ"), Source: say.Text("common practice, no source")})
		}
	}
}

// reach is how far down a run went, as one cell.
func (e *Engine) reach(r *run) compare.Reach {
	c := e.cellNamed(r.cell)
	low := r.Last().V
	if c.Cutoff > 0 {
		// A tester that stopped between two samples did reach its cut-off.
		if l := e.level(r, c.Cutoff*c.Cells()); l.err == nil && l.res.Ending == measure.JustAbove {
			low = l.res.End
		}
	}
	start := 0.0
	if r.whole.res.Rested {
		start = r.whole.res.Start / c.Cells()
	}
	return compare.Reach{Reached: low / c.Cells(), Claimed: c.Cutoff, Kind: kindOf(c, start), Void: r.void != "" || r.whole.err != nil}
}

// cutoffTable is the runs' figures at the cut-offs of all cells, the user's, and
// the highest common one.
func (e *Engine) cutoffTable(cols columns) *wire.Cutoffs {
	runs := e.all(nil)
	if len(runs) == 0 {
		return nil
	}
	type column struct {
		v      float64
		from   []string
		common bool
	}
	var list []column
	add := func(v float64, from string, common bool) {
		for k := range list {
			if math.Abs(list[k].v-v) < 5e-4 {
				list[k].from, list[k].common = append(list[k].from, from), list[k].common || common
				return
			}
		}
		list = append(list, column{v, []string{from}, common})
	}
	var reaches []compare.Reach
	packs := false
	for _, r := range runs {
		reaches = append(reaches, e.reach(r))
		packs = packs || e.cellNamed(r.cell).Series > 1
	}
	for _, name := range e.cellNames() {
		if c := e.cellNamed(name); c.Cutoff > 0 {
			add(c.Cutoff*c.Cells(), say.With("%s’s datasheet", name), false)
		}
	}
	if e.cutoff > 0 {
		add(e.cutoff, say.Text("yours"), false)
	}
	common, kind, ok := compare.Common(reaches)
	if ok && !packs {
		add(common, say.Text("highest common"), true)
	}
	if len(list) == 0 {
		return nil
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].v < list[j].v })
	out := &wire.Cutoffs{Columns: []wire.CutoffColumn{}, Rows: []wire.CutoffRow{}, Note: say.Text("Figures below a run’s own end are never extrapolated: “≥” says that the cell gives at least these.")}
	var short, other []string
	for k, r := range runs {
		switch x := reaches[k]; {
		case x.Void || !ok:
		case x.Kind != kind:
			other = append(other, r.name)
		case x.Short():
			short = append(short, r.name)
		}
	}
	if len(short) > 0 {
		out.Note += " " + say.With("Cut short, and so left out of the highest common cut-off: %s.", strings.Join(short, ", "))
	}
	if len(other) > 0 {
		out.Note += " " + say.With("Of another chemistry by their voltage, for which a common cut-off means nothing: %s.", strings.Join(other, ", "))
	}
	for _, c := range list {
		out.Columns = append(out.Columns, wire.CutoffColumn{Voltage: e.words.Fixed(c.v, 3) + " V", From: strings.Join(c.from, ", "), Common: c.common})
	}
	for _, r := range runs {
		row := wire.CutoffRow{Run: r.id, Late: r.late, Fields: []wire.CutoffField{}}
		if r.late {
			out.Rows = append(out.Rows, row)
			continue
		}
		for _, c := range list {
			row.Fields = append(row.Fields, e.atCutoff(r, c.v, cols))
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// atCutoff is a run's figures at one cut-off.
func (e *Engine) atCutoff(r *run, v float64, cols columns) wire.CutoffField {
	probe, l := *r, e.level(r, v)
	probe.res, probe.err, probe.budgets, probe.use = l.res, l.err, l.budgets, l.use
	return wire.CutoffField{Capacity: cols.of(e, &probe, measure.Capacity), Energy: cols.of(e, &probe, measure.Energy),
		AtLeast: probe.err == nil && probe.res.Ending == measure.NotReached}
}

// repeats tells of runs of one cell at one rate, in the order of the logs.
func (e *Engine) repeats(cols columns) *wire.Repeats {
	runs := e.all(nil)
	var rates []compare.Run
	runs = slices.DeleteFunc(runs, func(r *run) bool { return r.err != nil })
	for _, r := range runs {
		rates = append(rates, compare.Run{Cell: r.cell, Amps: r.res.Current})
	}
	var groups [][]*run
	for _, g := range compare.Groups(rates) {
		var of []*run
		for _, k := range g.Runs {
			of = append(of, runs[k])
		}
		groups = append(groups, of)
	}
	groups = slices.DeleteFunc(groups, func(g []*run) bool { return len(g) < 2 })
	if len(groups) == 0 {
		return nil
	}
	var attempts []compare.Attempt
	var names []string
	for k, g := range groups {
		names = append(names, fmt.Sprint(k))
		for j, r := range g {
			attempts = append(attempts, compare.Attempt{Group: names[k], Value: r.res.Capacity, Order: float64(j),
				Void: r.void != "" || r.res.Ending == measure.NotReached})
		}
	}
	found, pooled := compare.Repeats(attempts)
	out := &wire.Repeats{Groups: []wire.Repeat{}, Pooled: e.pooled(pooled)}
	for _, f := range found {
		g := groups[slices.Index(names, f.Group)]
		out.Groups = append(out.Groups, e.repeatView(f, g, pooled, cols))
	}
	return out
}

func (e *Engine) pooled(p compare.Pooled) string {
	if p.Assumed {
		share := func(it float64) string {
			relative, _ := compare.AssumedRepeatability(it)
			return e.significant(100*relative, 2) + " %"
		}
		return say.With("Too few repeats for a spread of their own: %s at 0.2 It, %s at 1 It, %s at higher rates is assumed (common practice, no source).", share(0.2), share(1), share(5))
	}
	spread := e.significant(100*p.Relative, 2)
	if p.DF == 1 {
		return say.With("Pooled over all repeats the standard deviation of one run is %s %%, with 1 degree of freedom.", spread)
	}
	return say.With("Pooled over all repeats the standard deviation of one run is %s %%, with %d degrees of freedom.", spread, p.DF)
}

// outlier remarks on a repeat that lies apart from the others. It is no ground to
// leave it out.
func (e *Engine) outlier(g []*run) []wire.Check {
	var values []float64
	var valid []*run
	for _, r := range g {
		if r.void == "" && r.res.Ending != measure.NotReached {
			values, valid = append(values, r.res.Capacity), append(valid, r)
		}
	}
	dist, critical, at, ok := compare.Grubbs(values)
	if !ok || dist <= critical {
		return nil
	}
	return []wire.Check{{Severity: measure.Note.String(),
		Text: say.With("%s lies %s standard deviations from the mean of %d repeats, more than the %s that chance leaves one in twenty.", valid[at].name, e.significant(dist, 3), len(values), e.significant(critical, 3)),
		Do:   say.Text("Look for what was different; leave it out only for a reason that you can name."),
		Rule: say.Text("Grubbs’ test, two-sided at 5 %"), Source: "NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17.1"}}
}

func (e *Engine) repeatView(f compare.Repeat, g []*run, pooled compare.Pooled, cols columns) wire.Repeat {
	rate := e.rate(e.cellNamed(g[0].cell), g[0].res.Current)
	amps := e.words.Fixed(g[0].res.Current, cols.current) + " A"
	if rate != "" {
		amps += ", " + rate
	}
	v := wire.Repeat{Cell: g[0].cell, Rate: amps, N: f.N, Trend: say.Text("three valid runs are needed to tell a trend")}
	for _, r := range g {
		v.Runs = append(v.Runs, r.id)
	}
	if f.N == 0 {
		v.Mean.Why, v.Best.Why = say.Text("No run counts."), say.Text("No run counts.")
		return v
	}
	relative, df := pooled.At(e.cellNamed(g[0].cell).Rate(g[0].res.Current))
	b := measure.MeanBudget(f.Mean, f.N, relative, df, g[0].budgets)
	v.Checks = e.outlier(g)
	v.Mean = wire.Figure{Value: e.words.Fixed(f.Mean, cols.charge), U: e.uncertain(measure.MeanExpanded(b), cols.charge)}
	v.Best = wire.Figure{Value: e.words.Fixed(f.Best, cols.charge)}
	if f.N > 1 {
		v.Spread = e.significant(f.S, 2)
	}
	if f.N > 2 {
		sign := "+"
		if f.Trend < 0 {
			sign = "−"
		}
		trend := say.Later("%s%s Ah a run, ± %s: no more than chance")
		if f.Trending {
			trend = say.Later("%s%s Ah a run, ± %s: more than chance")
		}
		v.Trend = say.With(trend, sign, e.significant(math.Abs(f.Trend), 2), e.significant(f.TrendT*f.TrendSE, 2))
	}
	return v
}
