package engine

import (
	"fmt"
	"math"

	"plateau/core/cell"
	"plateau/core/compare"
	"plateau/core/measure"
	"plateau/core/say"
	"plateau/core/tester"
)

// level is a run's figures down to one cut-off.
type level struct {
	res     measure.Results
	budgets measure.Budgets
	use     tester.Use
	err     error
}

// near in V is how close two cut-offs are one: half a step of a display with two
// decimals.
const near = 0.005

// mostLevels is how many cut-offs a run remembers its figures at.
const mostLevels = 24

// level works out a run's figures down to a cut-off in V (0 for its own end), or
// remembers them.
func (e *Engine) level(r *run, cutoff float64) *level {
	if l := r.levels[cutoff]; l != nil {
		return l
	}
	l := &level{}
	l.res, l.err = measure.Discharge(r.Run, cutoff)
	l.budgets, l.use = measure.Uncertainty(r.Run, l.res, e.spec)
	if r.levels == nil || len(r.levels) >= mostLevels {
		r.levels = map[float64]*level{}
	}
	r.levels[cutoff] = l
	return l
}

// entry is a discharge as comparisons take it: one of a log, or one typed.
type entry struct {
	id, name, cell string
	run            *run      // nil for a typed one
	typed          *typedRun // nil for one of a log
	amps           float64
	void           string // why a person has it not count
	noAttempt      string // why its procedure makes it none
	lower, higher  []string
}

// entries are all discharges that have figures.
func (e *Engine) entries() []entry {
	var list []entry
	for _, f := range e.files {
		for _, r := range f.runs {
			if r.whole.err != nil {
				continue
			}
			x := entry{id: r.id, name: r.name, cell: r.cell, run: r, amps: r.whole.res.Current, void: r.void}
			for _, c := range r.checks {
				switch c.Bearing {
				case measure.Lowers:
					x.lower = append(x.lower, c.Because)
				case measure.Raises:
					x.higher = append(x.higher, c.Because)
				case measure.NoAttempt:
					x.noAttempt = c.Because
				}
			}
			list = append(list, x)
		}
	}
	for k := range e.typedRuns {
		if t := &e.typedRuns[k]; t.ok() {
			list = append(list, entry{id: t.id, name: t.name, cell: t.row.Cell, typed: t, amps: t.row.Current, void: t.Void})
		}
	}
	return list
}

// out is why an entry has no place in a comparison of what cells give: empty
// where it has one.
func (x entry) out() string {
	switch {
	case x.void != "":
		return say.With("It does not count: %s.", x.void)
	case x.noAttempt != "":
		return sentence(x.noAttempt)
	case len(x.lower) > 0:
		return sentence(x.lower[0])
	}
	return ""
}

// rate is an entry's current as a multiple of It; 0 where that is not known.
func (e *Engine) rateOf(x entry) float64 { return e.cellNamed(x.cell).Rate(x.amps) }

// to is an entry's figures down to a cut-off in V of one cell.
func (e *Engine) to(x entry, cutoff float64) level {
	c := e.cellNamed(x.cell)
	if x.run != nil {
		return *e.level(x.run, cutoff*c.Cells())
	}
	own := x.typed.cutoff(c)
	l := x.typed.level
	if cutoff > 0 && own > 0 {
		switch {
		case own > cutoff+near:
			l.res.Ending = measure.NotReached
		case own < cutoff-near:
			l.err = say.Error("it was typed down to %s V, and has no curve that could be cut off at %s V", e.words.Fixed(own, 3), e.words.Fixed(cutoff, 3))
		}
	}
	return l
}

// setup names the range of the tester that an entry was measured on.
func (e *Engine) setup(l level) string {
	return fmt.Sprint(l.use.Voltage.Range, l.use.Current.Range, l.use.LeadError)
}

// reachOf is how far down an entry went.
func (e *Engine) reachOf(x entry) compare.Reach {
	if x.run != nil {
		return e.reach(x.run)
	}
	c := e.cellNamed(x.cell)
	own := x.typed.cutoff(c)
	return compare.Reach{Reached: own, Claimed: c.Cutoff, Kind: kindOf(c, 0), Void: x.void != "" || !(own > 0)}
}

func kindOf(c cell.Cell, start float64) compare.Kind {
	switch c.Chemistry {
	case cell.Phosphate:
		return compare.IronPhosphate
	case cell.Ion:
		return compare.LithiumIon
	case cell.Titanate:
		return compare.Titanate
	}
	return compare.KindOf(c.ChargeVoltage, start)
}

// cutoffs are the cut-offs in V, of one cell, to which kinds of cells are
// compared: the person's for all, else for each kind the highest that its runs
// have in common.
func (e *Engine) kindCutoffs(list []entry) map[compare.Kind]float64 {
	by := map[compare.Kind][]compare.Reach{}
	for _, x := range list {
		if r := e.reachOf(x); !r.Void && x.noAttempt == "" {
			by[r.Kind] = append(by[r.Kind], r)
		}
	}
	out := map[compare.Kind]float64{}
	for kind, reaches := range by {
		out[kind] = commonOf(reaches)
		if e.cutoff > 0 {
			out[kind] = e.cutoff
		}
	}
	return out
}

// commonOf is the highest common cut-off; of a single run where it ended.
func commonOf(reaches []compare.Reach) float64 {
	if v, _, ok := compare.Common(reaches); ok {
		return v
	}
	v := math.Inf(1)
	for _, r := range reaches {
		v = min(v, r.Reached)
	}
	return v
}

// colours are those of cells: of their first discharge, and free ones.
func (e *Engine) colours() map[string]int {
	of := map[string]int{}
	next := 0
	for _, f := range e.files {
		for _, r := range f.runs {
			if _, seen := of[r.cell]; !seen {
				of[r.cell] = r.colour
			}
			next = max(next, r.colour+1)
		}
	}
	for _, name := range e.cellNames() {
		if _, seen := of[name]; !seen {
			of[name] = next
			next++
		}
	}
	return of
}
