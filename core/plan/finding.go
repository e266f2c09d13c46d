package plan

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
)

// Where rules are from.
const (
	practice  = say.Later("common practice, no source")
	datasheet = say.Later("the cell’s datasheet, as entered")
	spec      = say.Later("the tester’s specification, as entered")
)

var (
	ruleOurs     = measure.Rule{Says: say.Later("a plan needs it"), Source: practice}
	ruleCell     = measure.Rule{Says: say.Later("no more than the datasheet’s continuous discharge current"), Source: datasheet}
	ruleSheet    = measure.Rule{Says: say.Later("a datasheet does not contradict itself"), Source: datasheet}
	ruleTester   = measure.Rule{Says: say.Later("within what the tester can take"), Source: spec}
	ruleStep     = measure.Rule{Says: say.Later("a set-point is a whole number of the tester’s steps"), Source: spec}
	ruleHeld     = measure.Rule{Says: say.Later("currents are held within ±1 %"), Source: say.Later("IEC 61960-3 clause 4 (cited from memory)")}
	ruleRest     = measure.Rule{Says: say.Later("rest of 1 h to 4 h between charge and discharge"), Source: say.Later("IEC 61960-3 clause 7.3.1 (read in QCVN 101:2016 clause 2.8.1.2)")}
	ruleOnce     = measure.Rule{Says: say.Later("the discharge follows within 1 h of the charge"), Source: say.Later("the cell’s datasheet, as chosen for this cell")}
	ruleEmpty    = measure.Rule{Says: say.Later("before its charge the cell is discharged at 0.2 It to its cut-off"), Source: say.Later("IEC 61960-3 clause 7.2 (cited from memory)")}
	ruleAttempts = measure.Rule{Says: say.Later("at most five attempts count"), Source: say.Later("IEC 61960-3 clause 7.3.1 (read in QCVN 101:2016 clause 2.8.1.2)")}
	ruleLeads    = measure.Rule{Says: say.Later("the cell’s voltage counts, not that behind the leads"), Source: practice}
)

// say adds a finding; one that was said of another cell in the same words is
// said once, of both. Of more than [mostFindings] the rest is not kept.
func (p *planner) say(s measure.Severity, field string, r measure.Rule, do, format string, args ...any) *Finding {
	text := say.With(format, args...)
	key := fmt.Sprint(field, "\n", p.current, "\n", text)
	if k, ok := p.said[key]; ok {
		f := &p.Findings[k]
		if n := len(f.Cells); p.of != "" && n > 0 && f.Cells[n-1] != p.of {
			f.Cells = append(f.Cells, p.of)
		}
		return f
	}
	f := Finding{Severity: s, Field: field, Current: p.current - 1, Text: text, Do: say.Text(do), Rule: spoken(r)}
	if p.of != "" {
		f.Cells = []string{p.of}
	}
	if len(p.Findings) >= mostFindings {
		p.unsaid++
		return &f
	}
	p.said[key] = len(p.Findings)
	p.Findings = append(p.Findings, f)
	return &p.Findings[len(p.Findings)-1]
}

// spoken is a rule in the reader's language.
func spoken(r measure.Rule) measure.Rule {
	return measure.Rule{Says: say.Text(r.Says), Source: say.Text(r.Source)}
}

// danger adds a finding about safety.
func (p *planner) danger(s measure.Severity, field string, r measure.Rule, do, format string, args ...any) *Finding {
	f := p.say(s, field, r, say.Text(do)+say.Text(measure.Qualified), format, args...)
	f.Safety = true
	return f
}

// sorted puts what is about safety first, then by severity.
func sorted(list []Finding) {
	sort.SliceStable(list, func(i, j int) bool {
		if a, b := &list[i], &list[j]; a.Safety == b.Safety {
			return a.Severity > b.Severity
		}
		return list[i].Safety
	})
}

// plain is a number as it would be typed: up to so many decimals, no noughts at
// the end.
func plain(w quantity.Words, x float64, decimals int) string {
	s := w.Fixed(x, decimals)
	if decimals == 0 {
		return s
	}
	end := len(s)
	for end > 0 && s[end-1] == '0' {
		end--
	}
	if end > 0 && (s[end-1] == '.' || s[end-1] == ',') {
		end--
	}
	return s[:end]
}

func (p *Plan) amps(x float64) string { return plain(p.words, x, 6) + " A" }

func (p *Plan) watts(x float64) string {
	return plain(p.words, x, quantity.Decimals(x, 4)) + " W"
}

// volts has at least two decimals, as people write cut-offs.
func (p *Plan) volts(x float64) string {
	if x = math.Round(x*1e3) / 1e3; math.Abs(x-math.Round(x*100)/100) < 1e-9 {
		return p.words.Fixed(x, 2) + " V"
	}
	return p.words.Fixed(x, 3) + " V"
}

// percent is a deviation, with its sign.
func (p *Plan) percent(share float64) string {
	s := p.words.Fixed(100*math.Abs(share), 2)
	switch {
	case s == p.words.Fixed(0, 2):
		return s + " %"
	case share < 0:
		return "−" + s + " %"
	}
	return "+" + s + " %"
}

// checkRequest looks at what is of no one cell.
func (p *planner) checkRequest() {
	if len(p.Cells) > mostCells {
		p.Cells = p.Cells[:mostCells]
		p.say(measure.Fault, "cells", ruleOurs, say.Later("Plan the others apart."), say.Later("A plan takes %d cells: those after them are left out."), mostCells)
	}
	p.Cells = slices.Clone(p.Cells)
	for k := range p.Cells {
		if p.Cells[k].Name = strings.TrimSpace(p.Cells[k].Name); p.Cells[k].Name == "" {
			p.Cells[k].Name = say.With("cell %d", k+1)
		}
	}
	if len(p.Currents) > mostCurrents {
		p.Currents = p.Currents[:mostCurrents]
		p.say(measure.Fault, "currents", ruleOurs, say.Later("Plan the others apart."), say.Later("A plan takes %d currents: those after them are left out."), mostCurrents)
	}
	for k, c := range p.Currents {
		p.current = k + 1
		unit, most := "A", 1e4
		if c.OfIt {
			unit, most = "It", 1e3
		}
		if !(c.Value >= least) || c.Value > most {
			p.refused[k] = true
			p.say(measure.Fault, fmt.Sprintf("currents.%d", k), ruleOurs, say.Later("Type a number such as 3."), say.Later("This is no current that can be planned: it has to be above 0 %s and at most %g %s."), unit, most, unit)
		}
	}
	p.current = 0
	if p.Repeats < 0 || p.Repeats > mostRepeats {
		p.say(measure.Fault, "repeats", ruleOurs, say.Later("Type a number such as 3."), say.Later("From 1 to %d runs at each current can be planned; 1 is planned."), mostRepeats)
		p.Repeats = 1
	}
	if p.Repeats = max(p.Repeats, 1); p.Repeats > 5 {
		p.say(measure.Note, "repeats", ruleAttempts, say.Later("Leave it at five if the claim is all that counts."), say.Later("Of %d runs at 0.2 It only five are attempts at the rated capacity."), p.Repeats)
	}
	if h := p.Options.Hours; h != nil && !h.sound() {
		p.say(measure.Fault, "hours", ruleOurs, say.Later("Name a day, and hours that end after they begin, on the same day."), say.Later("These are no working hours: the plan goes on day and night."))
		p.Options.Hours = nil
	}
	p.hours = p.Options.Hours
	if y := p.Request.Start.Year(); y >= earliest && y <= latest {
		p.Dated = true
	} else {
		s := measure.Fault
		if p.Request.Start.IsZero() {
			s = measure.Note // none was named
		}
		p.say(s, "start", ruleOurs, say.Later("Name the day and the time at which the work begins."), say.Later("Without a start between %d and %d the plan has hours, but no dates."), earliest, latest)
		p.Request.Start, p.Options.Hours, p.hours = time0, nil, nil
	}
	p.checkRest("rest", &p.RestCharged)
	p.checkRest("restDischarged", &p.RestDischarged)
	if p.RestDischarged == 0 {
		p.RestDischarged = usualRest
	}
}

// sane takes the figures of a datasheet that are no numbers away, and says so.
func (p *planner) sane(c *cell.Cell) {
	for _, x := range [...]struct {
		field string
		value *float64
		most  float64
	}{
		{"rated", &c.Rated, 1e5}, {"minimum", &c.Minimum, 1e5}, {"typical", &c.Typical, 1e5},
		{"cutoff", &c.Cutoff, 100}, {"chargeVoltage", &c.ChargeVoltage, 100}, {"chargeCurrent", &c.ChargeCurrent, 1e5},
		{"maxCharge", &c.MaxCharge, 1e5}, {"chargeEnd", &c.ChargeEnd, 1e5}, {"maxCurrent", &c.MaxCurrent, 1e5},
		{"maxTemp", &c.MaxTemp, 500}, {"nominal", &c.Nominal, 100}, {"mass", &c.Mass, 1e6},
	} {
		p.number(x.field, x.value, x.most)
	}
	for _, at := range [...]*cell.Condition{&c.RatedAt, &c.MinimumAt, &c.TypicalAt} {
		p.number("rated", &at.Current, 1e5)
		p.number("rated", &at.Cutoff, 100)
	}
	if math.IsNaN(c.MinTemp) || math.Abs(c.MinTemp) > 500 {
		c.MinTemp, c.HasMinTemp = 0, false
	}
	if c.Series > 1000 || c.Series < 0 {
		p.say(measure.Fault, "series", ruleOurs, say.Later("Type the number of cells in series."), say.Later("There cannot be %d cells in series: the figure is left out."), c.Series)
		c.Series = 0
	}
}

// number takes a figure away that nobody means.
func (p *planner) number(field string, x *float64, most float64) {
	if *x == 0 || *x >= least && *x <= most {
		return
	}
	*x = 0
	p.say(measure.Fault, field, ruleOurs, say.Later("Look at the number and its unit."), say.Later("This figure cannot be planned with: it has to be above 0 and at most %g."), most)
}
