package plan

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/say"
)

// wish is one current asked for.
type wish struct {
	Run
	field string // where it was asked for
}

// plan takes in one cell.
func (p *planner) plan(k int) {
	c := &p.Cells[k]
	p.of, p.current = c.Name, 0
	defer func() { p.of, p.current = "", 0 }()
	if p.names[c.Name] {
		p.say(measure.Caution, "name", ruleOurs, say.Later("Give each sample a name of its own."), say.Later("Two cells have this name: runs of the one tick off those of the other."))
	}
	p.names[c.Name] = true
	p.sane(c)
	for _, x := range c.Contradictions(p.words) {
		s := measure.Caution
		if x.Field == "cutoff" {
			s = measure.Fault
		}
		p.say(s, x.Field, ruleSheet, say.Later("Look at the datasheet."), "%s", x.Says)
	}
	wishes := p.wishes(c)
	if field, why := p.unfit(c); why != "" {
		for _, w := range wishes {
			p.leave(c, w, field, why)
		}
		return
	}
	if c.MaxCurrent == 0 {
		p.danger(measure.Caution, "maxCurrent", ruleCell, say.Later("Look it up in the datasheet before you run the cell at a high current: overloaded cells overheat and can vent and burn."),
			say.Later("The permitted discharge current is not entered: no run is checked against it."))
	}
	var made []wish
	for _, w := range wishes {
		p.current = w.Current + 1
		if field, why := p.set(c, &w.Run); why != "" {
			p.leave(c, w, field, why)
			continue
		}
		same := slices.IndexFunc(made, func(o wish) bool { return math.Abs(o.Set-w.Set) <= rounding*w.Set && w.Basis != Closing })
		if same >= 0 {
			if o := &made[same]; o.Basis == Chosen && w.Basis == HighRate {
				o.Basis, o.AskedIt = HighRate, w.AskedIt
			}
			p.say(measure.Note, w.field, ruleStep, say.Later("Choose another current, or leave it out."), say.Later("%s is planned once: it was asked for twice, or two currents round to it."), p.amps(w.Set))
			continue
		}
		if near := slices.IndexFunc(made, func(o wish) bool { return math.Abs(o.Set-w.Set) <= sameRate*max(o.Set, w.Set) }); near >= 0 && w.Basis != Closing {
			p.say(measure.Note, w.field, measure.Rule{Says: say.Later("currents within 3 % of each other stand beside each other as one rate"), Source: practice}, say.Later("Leave one of the two out."),
				say.Later("%s and %s are so near each other that their runs count as repeats."), p.amps(made[near].Set), p.amps(w.Set))
		}
		made = append(made, w)
	}
	p.current = 0
	// The standard's run comes first, then currents rise.
	sort.SliceStable(made, func(i, j int) bool {
		a, b := &made[i], &made[j]
		if x, y := rank(a.Basis), rank(b.Basis); x != y {
			return x < y
		}
		return a.Set < b.Set
	})
	p.arrange(c, made)
}

func rank(b Basis) int { return [...]int{Chosen: 1, Rated: 0, HighRate: 1, Closing: 2}[b] }

// wishes are the currents that a cell is to be run at.
func (p *planner) wishes(c *cell.Cell) (list []wish) {
	add := func(b Basis, current int, field string, x Current) {
		w := wish{field: field}
		w.Cell, w.Basis, w.Current, w.Asked = c.Name, b, current, x.Value
		if x.OfIt {
			w.AskedIt, w.Asked = x.Value, float64(x.Value*c.Rated)
		}
		list = append(list, w)
	}
	add(Rated, -1, "rated", Current{0.2, true})
	if p.Options.HighRate {
		add(HighRate, -1, "rated", Current{1, true})
	}
	for k, x := range p.Currents {
		b := Chosen
		if x == (Current{1, true}) {
			b = HighRate
		}
		if !p.refused[k] {
			add(b, k, fmt.Sprintf("currents.%d", k), x)
		}
	}
	if p.Options.Closing {
		add(Closing, -1, "rated", Current{0.2, true})
	}
	return list
}

// unfit says why none of a cell's runs can be planned, and the field that it
// comes from.
func (p *planner) unfit(c *cell.Cell) (field, why string) {
	switch {
	case capacity(c) == 0:
		p.say(measure.Fault, "rated", ruleOurs, say.Later("Type the rated capacity, as the datasheet has it."), say.Later("Without a capacity neither C-rates nor hours can be told: the cell is left out."))
		return "rated", say.Text("No capacity is entered.")
	case c.Cutoff == 0:
		p.say(measure.Fault, "cutoff", ruleOurs, say.Later("Type the cut-off, as the datasheet has it."), say.Later("Without a cut-off no discharge can be set: the cell is left out."))
		return "cutoff", say.Text("No cut-off is entered.")
	case c.ChargeVoltage > 0 && c.Cutoff >= c.ChargeVoltage:
		return "cutoff", say.With("The cut-off of %s does not lie below the charge voltage of %s.", p.volts(c.Cutoff), p.volts(c.ChargeVoltage))
	}
	if c.Rated == 0 {
		p.say(measure.Caution, "rated", measure.Rule{Says: say.Later("It is the rated capacity over 1 h"), Source: say.Later("IEC 61434")}, say.Later("Type the rated capacity, as the datasheet has it."),
			say.Later("The rated capacity is not entered: there is no It, and no run at 0.2 It. The hours are those of %s Ah."), plain(p.words, capacity(c), 3))
	}
	return "", ""
}

// leave puts a run among those that are left out.
func (p *planner) leave(c *cell.Cell, w wish, field, why string) {
	if len(p.Left) >= MostRuns {
		p.unlisted++
		return
	}
	p.Left = append(p.Left, LeftOut{Cell: c.Name, Current: w.Current, Basis: w.Basis, Asked: w.Asked, AskedIt: w.AskedIt, Field: field, Why: why})
}

// arrange makes a cell's runs of its currents, in order, with what leads up to
// each.
func (p *planner) arrange(c *cell.Cell, made []wish) {
	var w work
	how, lasts := p.charge(c)
	w.rest = p.rest(c)
	var empty, emptyTo float64 // set-point and cut-off with which the cell is emptied
	for _, x := range made {
		if x.Basis == Rated {
			empty, emptyTo = x.Set, x.SetCutoff
		}
	}
	if p.Pretest && empty == 0 && len(made) > 0 {
		p.say(measure.Caution, "rated", ruleEmpty, say.Later("Enter the rated capacity, or see why there is no run at 0.2 It."), say.Later("The cell cannot be emptied at 0.2 It before its charge: there is no run at 0.2 It."))
	}
	var before float64 // the current of the run before
	q := capacity(c)
	if lasts > mostHours*60*60*1e9 {
		for _, x := range made {
			p.leave(c, x, "chargeCurrent", say.Text("Its charge would take more than 30 days."))
		}
		if len(made) > 0 {
			p.say(measure.Fault, "chargeCurrent", ruleOurs, say.Later("Look at the charge current and its unit."), say.Later("The charge would take more than %d days: the cell is left out."), mostHours/24)
		}
		return
	}
	for _, x := range made {
		for n := range p.Repeats {
			if x.Basis == Closing && n > 0 {
				break
			}
			if p.total == MostRuns {
				p.say(measure.Fault, "cells", ruleOurs, say.Later("Plan the remaining runs separately."), say.Later("A plan holds %d runs: what comes after them is left out."), MostRuns)
				p.leave(c, x, "cells", say.With("The plan holds %d runs already.", MostRuns))
				break
			}
			p.total++
			r := x.Run
			r.Attempt, r.Of = n+1, p.Repeats
			if x.Basis == Closing {
				r.Of = 1
			}
			r.ChargeTo, r.ChargeAmps, r.ChargeEnd, r.AssumedTimes = how.ChargeTo, how.ChargeAmps, how.ChargeEnd, how.AssumedTimes
			if first := len(w.runs) == 0; p.Pretest && empty > 0 && (first || r.Basis != Chosen && before != empty) {
				share := 1.0
				if !first {
					share = residue
				}
				r.EmptyFirst = true
				r.Steps = append(r.Steps, Step{Kind: Empty, Amps: empty, Volts: emptyTo, Lasts: minutes(float64(share*q) / empty)}, Step{Kind: Rest, Lasts: p.RestDischarged})
			}
			r.Steps = append(r.Steps, Step{Kind: Charge, Lasts: lasts}, Step{Kind: Rest, Lasts: w.rest.least},
				Step{Kind: Discharge, Amps: r.Set, Volts: r.SetCutoff, Lasts: minutes(q / r.Set)}, Step{Kind: Rest, Lasts: p.RestDischarged})
			for _, s := range r.Steps {
				w.busy += s.Lasts
			}
			before = r.Set
			w.runs = append(w.runs, r)
		}
	}
	if n := len(w.runs); n > 0 {
		w.runs[0].First, w.runs[n-1].Last = true, true
		p.work = append(p.work, w)
	}
}
