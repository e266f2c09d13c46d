package engine

import (
	"fmt"
	"math"
	"strings"

	"plateau/core/cell"
	"plateau/core/claim"
	"plateau/core/compare"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// remembered is what was worked out last from the same inputs.
type remembered struct {
	from string
	what any
}

// recall gives what was worked out under a name from the same inputs, or has it
// worked out.
func recall[T any](e *Engine, name, from string, work func() T) T {
	if m, ok := e.memo[name]; ok && m.from == from {
		if what, ok := m.what.(T); ok {
			return what
		}
	}
	what := work()
	if e.memo == nil || len(e.memo) > 4*mostCells {
		e.memo = map[string]remembered{}
	}
	e.memo[name] = remembered{from, what}
	return what
}

// gradeCodes are the grades on the wire.
var gradeCodes = map[claim.Grade]string{claim.Pass: "pass", claim.PassWithin: "pass-within", claim.BelowWithin: "below-within",
	claim.Below: "below", claim.Above: "above", claim.Under: "under", claim.Open: "open"}

var sideCodes = map[claim.Side]string{claim.Both: "both", claim.PassOnly: "pass", claim.FailOnly: "below", claim.Neither: "none", claim.Void: "void"}

// judge sets each cell against its datasheet.
func (e *Engine) judge() *wire.Judged {
	out := &wire.Judged{Rule: claim.Rule(e.words), Cells: []wire.JudgedCell{}}
	list := e.entries()
	if len(list) == 0 {
		out.Why = say.Text("There is no discharge to judge by. Drop a log, or type its figures.")
		return out
	}
	pooled := e.pooledOver(list, measure.Capacity, func(entry) float64 { return 0 })
	colours := e.colours()
	samples := map[string]int{}
	names := e.cellNames()
	of := map[string][]entry{}
	for _, x := range list {
		of[x.cell] = append(of[x.cell], x)
	}
	for _, name := range names {
		if len(of[name]) > 0 {
			samples[modelOf(e.cellNamed(name))]++
		}
	}
	for _, name := range names {
		c := e.cellNamed(name)
		n := samples[modelOf(c)]
		from := fmt.Sprintf("%+v %+v %d %t %d", c, pooled, n, e.words.Comma, e.specs)
		for _, x := range of[name] {
			from += fmt.Sprintf(" %s %p %v %s %s %v %v", x.id, x.run, x.typed != nil && x.typed.ok(), x.void, x.noAttempt, x.lower, x.higher)
			if x.typed != nil {
				from += fmt.Sprintf("%+v", x.typed.row)
			}
		}
		j := recall(e, "judge "+name, from, func() wire.JudgedCell { return e.judgeCell(c, of[name], pooled, n) })
		j.Colour = colours[name]
		out.Cells = append(out.Cells, j)
	}
	return out
}

func (e *Engine) judgeCell(c cell.Cell, list []entry, pooled compare.Pooled, samples int) wire.JudgedCell {
	j := wire.JudgedCell{Cell: c.Name, Verdicts: []wire.Verdict{}, Behind: e.behind(c, samples)}
	line := func(label, value string) {
		if value != "" {
			j.Sample = append(j.Sample, wire.Line{Label: label, Figure: wire.Figure{Value: value}})
		}
	}
	line(say.Text("Bought"), c.Bought)
	line(say.Text("Lot"), c.Lot)
	line(say.Text("Date code"), c.DateCode)
	line(say.Text("Marking"), c.Marking)
	line(say.Text("Wrapper"), c.Wrapper)
	if x, ok := c.Density(); ok && x > measure.Densest {
		j.Checks = append(j.Checks, wire.Check{Severity: measure.Caution.String(),
			Text: say.With("A rated capacity of %s Ah in the size %s would be %s Wh/l, which no cell holds.", e.words.Fixed(c.Rated, 2), c.Size, e.words.Fixed(x, 0)),
			Do:   say.Text("Doubt the claim: look at the wrapper, the weight and where the cell was bought."),
			Rule: say.With("the best cells hold about %.0f Wh/l", measure.Densest), Source: say.Text("common practice, no source")})
	}
	claims := c.Claims()
	switch {
	case len(claims) == 0:
		j.Why = say.Text("No capacity is claimed: enter the datasheet’s rated, minimum or typical capacity.")
		return j
	case len(list) == 0:
		j.Why = say.Text("There is no discharge of this cell.")
		return j
	}
	for _, cl := range claims {
		j.Verdicts = append(j.Verdicts, e.verdict(c, cl, list, pooled))
	}
	return j
}

var cannotTell = say.Later("No discharge can tell.")

// behind says how many samples stand behind a verdict.
func (e *Engine) behind(c cell.Cell, samples int) string {
	s := say.With("One sample of %s: the verdict is on this cell, not on the model.", modelOf(c))
	if samples > 1 {
		s = say.With("One of %d samples of %s: each verdict is on its own cell; a few samples do not judge a model.", samples, modelOf(c))
	}
	if c.Wrapper != "" {
		s += " " + say.With("There is doubt about its wrapper: %s.", strings.TrimSuffix(c.Wrapper, "."))
	}
	return s
}

func (e *Engine) verdict(c cell.Cell, cl cell.Claim, list []entry, pooled compare.Pooled) wire.Verdict {
	cells := c.Cells()
	var runs []claim.Run
	for _, x := range list {
		l := e.to(x, cl.Cutoff)
		r := claim.Run{Name: x.name, Current: x.amps, Reached: cl.Cutoff * cells, Capacity: l.res.Capacity, Budget: l.budgets[measure.Capacity],
			Void: x.void, Lower: x.lower, Higher: x.higher}
		if r.Void == "" {
			r.Void = x.noAttempt
		}
		switch {
		case x.typed != nil:
			r.Reached = x.typed.cutoff(c) * cells
			r.Capacity, r.Budget = x.typed.level.res.Capacity, x.typed.level.budgets[measure.Capacity]
			if math.Abs(r.Reached-cl.Cutoff*cells) <= near {
				r.Reached = cl.Cutoff * cells
			}
		case l.err != nil:
			r.Capacity = 0
		case l.res.Ending == measure.NotReached:
			r.Reached = l.res.Lowest
		}
		r.Relative, r.DF = pooled.At(e.rateOf(x))
		runs = append(runs, r)
	}
	v := claim.Judge(claim.Claim{Kind: claim.Kind(cl.Kind), Capacity: cl.Capacity, Current: cl.Current, Cutoff: cl.Cutoff * cells}, runs, e.words)
	d := 4
	for _, r := range runs {
		d = min(d, quantity.Decimals(max(r.Capacity, cl.Capacity), digits))
	}
	ah := func(x, u float64) wire.Figure {
		if math.IsNaN(x) {
			return wire.Figure{}
		}
		return wire.Figure{Value: e.words.Fixed(x, d), U: e.uncertain(u, d)}
	}
	w := wire.Verdict{Claim: e.claimWords(c, cl, d, true), Posted: wire.VerdictPosted{Claim: e.claimWords(c, cl, d, false), Word: v.Grade.String()}, Grade: gradeCodes[v.Grade], Word: say.Text(v.Grade.String()), Sentence: v.Sentence, Evidence: []wire.Evidence{},
		BestOf: v.BestOf, Best: ah(v.Best, v.U), Mean: ah(v.Mean, v.MeanU)}
	u := v.U
	if cl.Kind == cell.TypicalCapacity {
		u = v.MeanU
	}
	w.Numbers = wire.VerdictNumbers{Best: v.Best, BestU: v.U, Margin: v.Margin, MarginU: u, Chance: v.Chance}
	if math.IsNaN(v.Margin) {
		w.Margin.Why = say.Text(cannotTell)
	} else {
		w.Margin = wire.Figure{Value: e.signed(v.Margin, d), U: e.uncertain(u, d)}
		w.Share = e.signed(100*v.Margin/cl.Capacity, 1) + " %"
	}
	switch {
	case !math.IsNaN(v.Chance):
		w.Chance.Value = e.chance(v.Chance)
	case cl.Kind == cell.TypicalCapacity:
		w.Posted.Why = say.Later("A typical value is a centre, not a limit that is met or missed.")
	default:
		w.Posted.Why = say.Later("It takes a discharge at the claim’s own conditions.")
	}
	w.Chance.Why = say.Text(w.Posted.Why)
	for _, ev := range v.Evidence {
		r := runs[ev.Run]
		out := wire.Evidence{Run: list[ev.Run].id, Name: list[ev.Run].name, Side: sideCodes[ev.Side], Says: ev.Says}
		if r.Capacity > 0 {
			out.Figure, out.AtLeast = ah(r.Capacity, r.Budget.Expanded()), r.Reached > cl.Cutoff*cells+near
		} else {
			out.Figure.Why = say.Text("No figure at this cut-off.")
		}
		w.Evidence = append(w.Evidence, out)
	}
	return w
}

var claimFormats = map[cell.ClaimKind]string{cell.RatedCapacity: say.Later("Rated %s Ah at %s A"), cell.MinimumCapacity: say.Later("Minimum %s Ah at %s A"),
	cell.TypicalCapacity: say.Later("Typical %s Ah at %s A")}

// claimWords are a claim; origin has them say that its current is not the
// datasheet's own.
func (e *Engine) claimWords(c cell.Cell, cl cell.Claim, d int, origin bool) string {
	s := say.With(claimFormats[cl.Kind], e.words.Fixed(cl.Capacity, d), e.significant(cl.Current, 3))
	if rate := e.rate(c, cl.Current); rate != "" {
		s += ", " + rate
	}
	if cl.AssumedCurrent && origin {
		s += ", " + say.Text("as no other current was entered")
	}
	if cl.Cutoff > 0 {
		s += ", " + say.With("down to %s V", e.words.Fixed(cl.Cutoff*c.Cells(), 2))
	}
	return s
}

// signed writes a number with its sign.
func (e *Engine) signed(x float64, d int) string {
	s := e.words.Fixed(math.Abs(x), d)
	switch {
	case strings.Trim(s, "0.,") == "":
		return s
	case x < 0:
		return "−" + s
	}
	return "+" + s
}

// chance writes a probability in %, with no more certainty than there is.
func (e *Engine) chance(p float64) string {
	switch {
	case p > 0.9995:
		return say.With("over %s %%", e.words.Fixed(99.9, 1))
	case p < 0.0005:
		return say.With("under %s %%", e.words.Fixed(0.1, 1))
	case p > 0.1 && p < 0.9:
		return e.words.Fixed(100*p, 0) + " %"
	}
	return e.words.Fixed(100*p, 1) + " %"
}
