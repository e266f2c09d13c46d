package engine

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"plateau/core/cell"
	"plateau/core/compare"
	"plateau/core/gum"
	"plateau/core/load"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// asked is a load as understood.
type asked struct {
	load.Ask           // of one cell
	series, parallel   float64
	amount, packCutoff float64 // A or W, V of the whole pack
	unit               string
}

// loadOf reads a load off the wire.
func (e *Engine) loadOf(w wire.Load) (a asked, errs map[string]string, ready bool) {
	t := &form{}
	count := func(field, s string) float64 {
		if s = strings.TrimSpace(s); s == "" {
			return 1
		}
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > 1000 {
			t.fault(field, say.With("“%s” is no number of cells. Type one such as 4.", clip(s)))
			return 1
		}
		return float64(n)
	}
	a.series, a.parallel = count("series", w.Series), count("parallel", w.Parallel)
	a.unit = "A"
	if w.Kind == "power" {
		a.unit = "W"
		a.amount = t.number("amount", w.Amount, quantity.Power, "W", 1e-4, 1e7)
		a.Power = a.amount / (a.series * a.parallel)
	} else {
		a.amount = t.number("amount", w.Amount, quantity.Current, "A", 1e-4, 1e6)
		a.Current = a.amount / a.parallel
	}
	a.packCutoff = t.number("cutoff", w.Cutoff, quantity.Voltage, "V", 0.5, 5000)
	a.Cutoff = a.packCutoff / a.series
	if a.packCutoff > 0 && t.errors["cutoff"] == "" && (a.Cutoff < 0.5 || a.Cutoff > 4.6) {
		t.fault("cutoff", say.With("%s V for %g in series is %s V for each cell, which is no cut-off. Type the cut-off of the whole pack.", e.words.Fixed(a.packCutoff, 2), a.series, e.words.Fixed(a.Cutoff, 2)))
	}
	return a, t.errors, len(t.errors) == 0 && a.amount > 0 && a.packCutoff > 0
}

// words say what is asked.
func (a asked) words(e *Engine) string {
	amount, down := e.significant(a.amount, 3), e.words.Fixed(a.packCutoff, 2)
	if a.series*a.parallel == 1 {
		return say.With("%s %s down to %s V", amount, a.unit, down)
	}
	return say.With("%s %s down to %s V from %g in series and %g in parallel: %s %s down to %s V for each cell. Cells of a pack are taken to be alike; in a pack the weakest ends it.",
		amount, a.unit, down, a.series, a.parallel, e.significant(a.Current+a.Power, 3), a.unit, e.words.Fixed(a.Cutoff, 3))
}

// answer tells which cell lasts longest on a load.
func (e *Engine) answer(w *wire.Load) *wire.Answered {
	if w != nil {
		e.load = *w
	}
	a, errs, ready := e.loadOf(e.load)
	out := &wire.Answered{Load: e.load, Cells: []wire.AnsweredCell{}}
	out.Load.Errors = errs
	if !ready {
		out.Why = say.Text("Say what the device takes, and at which voltage it goes off.")
		return out
	}
	out.Asked = a.words(e)
	list := e.entries()
	by := map[string][]entry{}
	for _, x := range list {
		by[x.cell] = append(by[x.cell], x)
	}
	pooled := e.pooledOver(list, measure.Capacity, func(entry) float64 { return 0 })
	colours := e.colours()
	var contenders []compare.Contender
	var at []int
	for _, name := range e.cellNames() {
		if len(by[name]) == 0 {
			continue
		}
		c := e.cellNamed(name)
		row, ans, ok := e.answerCell(c, by[name], a, pooled)
		row.Colour = colours[name]
		if ok {
			contenders = append(contenders, compare.Contender{Cell: name, Mean: ans.Runtime, N: 1, Budget: ans.RuntimeBudget, Setup: e.setup(e.to(by[name][0], 0))})
			at = append(at, len(out.Cells))
			out.Cautions = append(out.Cautions, e.loadCautions(c, a, ans)...)
		}
		out.Cells = append(out.Cells, row)
	}
	if len(out.Cells) == 0 {
		out.Why = say.Text("There is no discharge to answer from.")
		return out
	}
	order := compare.Rank(contenders, falseTold, true)
	var sorted []wire.AnsweredCell
	for place, k := range order.Ranked {
		row := out.Cells[at[k]]
		if len(order.Ranked) > 1 {
			row.Letters = order.Letters[place]
		}
		sorted = append(sorted, row)
	}
	for _, row := range out.Cells {
		if row.Runtime.Value == "" {
			sorted = append(sorted, row)
		}
	}
	out.Cells = sorted
	out.Best = e.best(order, contenders)
	if len(contenders) > 0 {
		out.Notes = []string{
			say.Text("Interpolated between the measured currents, never beyond them. ± holds what the interpolation may be off; it is k = 2."),
			say.Text("The discharges hold their own heating: the answer is for a cell cooled as on the bench, from full, at a like temperature. An enclosed pack is hotter."),
		}
	}
	return out
}

func (e *Engine) best(order compare.Order, list []compare.Contender) string {
	switch len(order.Ranked) {
	case 0:
		return say.Text("No cell can answer from what was measured.")
	case 1:
		return say.With("%s lasts %s; no other cell can answer.", list[order.Ranked[0]].Cell, quantity.Clock(list[order.Ranked[0]].Mean))
	}
	name := func(place int) string { return list[order.Ranked[place]].Cell }
	lead := order.Leaders()
	if len(lead) == 1 {
		p := order.Pair(0, 1)
		return say.With("%s lasts longest, %s; that is %s longer than %s, and more than the %s that can be told apart.", name(0), quantity.Clock(list[order.Ranked[0]].Mean),
			quantity.Clock(p.Gap), name(1), quantity.Clock(p.Least))
	}
	var names []string
	for _, k := range lead {
		names = append(names, name(k))
	}
	return say.With("%s last longest and are not told apart: about %s.", join(names), quantity.Clock(list[order.Ranked[0]].Mean))
}

// answerCell is one cell's answer; false where it has none.
func (e *Engine) answerCell(c cell.Cell, list []entry, a asked, pooled compare.Pooled) (wire.AnsweredCell, load.Answer, bool) {
	row := wire.AnsweredCell{Cell: c.Name}
	from := fmt.Sprintf("%+v %d %g", pooled, e.specs, c.Cells())
	var curves []load.Curve
	left := 0
	for _, x := range list {
		if x.run == nil || x.out() != "" {
			left++
			continue
		}
		relative, df := pooled.At(e.rateOf(x))
		curves = append(curves, load.Curve{Run: x.run.Run, Current: x.amps, Spec: e.spec, Relative: relative, DF: df})
		from += fmt.Sprintf(" %p", x.run.Run)
	}
	type built struct {
		m   *load.Map
		err error
	}
	why := func(s string) (wire.AnsweredCell, load.Answer, bool) {
		row.Runtime.Why = sentence(s)
		if left == 1 {
			row.Runtime.Why += " " + say.Text("1 discharge of this cell could not be used.")
		} else if left > 1 {
			row.Runtime.Why += " " + say.With("%d discharges of this cell could not be used.", left)
		}
		return row, load.Answer{}, false
	}
	if c.Series > 1 {
		return why(say.Text("its discharges are of a pack: answers are for single cells"))
	}
	m := recall(e, "map "+c.Name, from, func() built {
		m, err := load.New(curves)
		return built{m, err}
	})
	if m.err != nil {
		return why(e.loadWhy(m.err))
	}
	type answered struct {
		load.Answer
		err error
	}
	ans := recall(e, "answer "+c.Name, fmt.Sprintf("%s %+v", from, a.Ask), func() answered {
		x, err := m.m.Answer(a.Ask)
		return answered{x, err}
	})
	if ans.err != nil {
		var off load.Shutdown
		if errors.As(ans.err, &off) {
			row.Shutdown = say.With("The device would go off at the start: the voltage falls to %s V, below its %s V, though the cell recovers later.", e.words.Fixed(off.Voltage*a.series, 2), e.words.Fixed(a.packCutoff, 2))
			return row, load.Answer{}, false
		}
		return why(e.loadWhy(ans.err))
	}
	many := a.series * a.parallel
	fig := func(x float64, b gum.Budget, by float64) wire.Figure {
		u := by * measure.MeanExpanded(b)
		d := 0
		if u > 0 {
			d = min(3, max(0, 1-int(math.Floor(math.Log10(u)))))
		}
		return wire.Figure{Value: e.words.Fixed(by*x, d), U: e.uncertain(u, d)}
	}
	row.Runtime = wire.Figure{Value: quantity.Clock(ans.Runtime), U: quantity.Clock(math.Ceil(measure.MeanExpanded(ans.RuntimeBudget)))}
	row.Energy, row.Charge = fig(ans.Energy, ans.EnergyBudget, many), fig(ans.Charge, ans.ChargeBudget, a.parallel)
	if !math.IsNaN(ans.EndTemp) {
		row.EndTemp = wire.Figure{Value: e.words.Fixed(ans.EndTemp, 0), U: e.uncertain(measure.MeanExpanded(ans.EndTempBudget), 0)}
	} else {
		row.EndTemp.Why = say.Text("The logs have no temperature.")
	}
	row.Note = say.With("between %s A and %s A", e.significant(ans.Low, 3), e.significant(ans.High, 3))
	if ans.Low == ans.High {
		row.Note = say.With("as measured at %s A", e.significant(ans.Low, 3))
	}
	if ans.From != ans.To {
		row.Note += "; " + say.With("it takes %s A at the start and %s A at the end", e.significant(ans.From, 3), e.significant(ans.To, 3))
	}
	return row, ans.Answer, true
}

// loadWhy says in the reader's numbers why there is no answer.
func (e *Engine) loadWhy(err error) string {
	var few load.Few
	var outside load.Outside
	var low load.TooLow
	amps := func(x float64) string { return e.significant(x, 3) }
	switch {
	case errors.As(err, &few) && few.Current > 0:
		return say.With("all its discharges are at %s A: it takes two currents at least", amps(few.Current))
	case errors.As(err, &few):
		return say.Text("it has no discharge to answer from: it takes two currents at least")
	case errors.As(err, &outside):
		takes := say.With("the load takes %s A", amps(outside.To))
		if outside.From != outside.To {
			takes = say.With("the load takes %s A at the start and %s A at the end", amps(outside.From), amps(outside.To))
		}
		measured := say.With("measured down to this voltage was %s A alone", amps(outside.Low))
		if outside.High != outside.Low {
			measured = say.With("measured down to this voltage was %s A to %s A", amps(outside.Low), amps(outside.High))
		}
		if outside.Why != "" {
			measured += "; " + outside.Why
		}
		return say.With("%s; %s: no number beyond it", takes, measured)
	case errors.As(err, &low):
		return say.With("no discharge went down to %s V; the deepest ended at %s V", e.words.Fixed(low.Cutoff, 2), e.words.Fixed(low.Reached, 2))
	}
	return err.Error()
}

// loadCautions are about what a load does to a cell.
func (e *Engine) loadCautions(c cell.Cell, a asked, ans load.Answer) []wire.Check {
	var list []wire.Check
	danger := func(text, do, rule string) {
		list = append(list, wire.Check{Severity: measure.Caution.String(), Safety: true, Text: c.Name + ": " + text, Do: do + say.Text(measure.Qualified), Rule: rule, Source: say.Text("the cell’s datasheet, as entered")})
	}
	if top := max(ans.From, ans.To); c.MaxCurrent > 0 && top > c.MaxCurrent*permitted {
		danger(say.With("%s A is over the %s A that the cell may give continuously.", e.significant(top, 3), e.significant(c.MaxCurrent, 3)),
			say.Text("Overloaded cells overheat and can vent and burn: do not use it on this load."), say.Text("no more than the datasheet’s continuous discharge current"))
	}
	if c.Cutoff > 0 && a.Cutoff < c.Cutoff-0.02 {
		danger(say.With("the device goes on down to %s V a cell, below the cell’s cut-off of %s V.", e.words.Fixed(a.Cutoff, 2), e.words.Fixed(c.Cutoff, 2)),
			say.Text("Cells taken too low are damaged, and can be dangerous when they are charged again: use a protection that ends earlier."), say.Text("not below the datasheet’s cut-off"))
	}
	if hot := ans.EndTemp; hot > 60 || c.MaxTemp > 0 && hot > c.MaxTemp {
		limit := 60.0
		if c.MaxTemp > 0 {
			limit = c.MaxTemp
		}
		danger(say.With("it would end at about %s °C, over %s °C.", e.words.Fixed(hot, 0), e.words.Fixed(limit, 0)),
			say.Text("Hot lithium cells can vent and burn: cool it, or take less."), say.Text("no more than the datasheet’s temperature, or 60 °C"))
	}
	return list
}
