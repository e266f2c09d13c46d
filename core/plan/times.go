package plan

import (
	"math"
	"time"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/say"
)

const (
	// IEC 61960-3 7.3.1: the charged cell rests 1 h to 4 h. Read in QCVN
	// 101:2016 clause 2.8.1.2, which carries it.
	restLeast, restMost = time.Hour, 4 * time.Hour
	// Datasheets that measure "within 1 h after the charge".
	restDatasheet = time.Hour
	// usualRest is the rest after a discharge, and shortRest that after the
	// charge of a cell judged by its datasheet. Common practice, no source.
	usualRest, shortRest = time.Hour, 30 * time.Minute
	// tailTime is the ratio of a cell's resistance to the slope of its voltage
	// over its charge near the end of a charge, in h: see [chargeHours]. No
	// source. By the logs of a large pouch cell (Oak Ridge National Laboratory,
	// DOI 10.5281/zenodo.2580327) it makes the charge 16 % longer than it was.
	tailTime = 0.3
	// Where a datasheet has no charge, the hours are those of 0.5 It down to
	// 0.05 It. Common practice, no source.
	usualCharge, usualEnd = 0.5, 0.05
	// residue is what a cell may still give at 0.2 It after another current, as
	// a share of its capacity. No source.
	residue = 0.2
)

// time0 stands for the start of a plan without dates.
var time0 = time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC)

// window is how long a rest may last.
type window struct{ least, most time.Duration }

// chargeHours is how long a charge of an empty cell takes: at constant current
// I, then at constant voltage while the current falls to end (A). Near the end
// the voltage is taken to rise in line with the charge, by k V/Ah behind a
// resistance R, so that at constant voltage the current falls as exp(−t/τ),
// τ = R/k, and what it still brings in is Iτ:
//
//	t = (Q − Iτ)/I + τ·ln(I/end)
//
// Q in Ah, I and end in A, above zero. Where Iτ is above Q the charge begins at
// constant voltage, from Q/τ.
func chargeHours(q, i, end float64) float64 {
	start := min(i, q/tailTime)
	t := (q - start*tailTime) / i
	if start > end {
		// Log1p, since Log is in assembly on some machines, with other last bits.
		t += float64(tailTime * math.Log1p(start/end-1))
	}
	return t
}

// minutes is a time in h, rounded up to whole minutes, at least one.
func minutes(h float64) time.Duration {
	return time.Duration(max(math.Ceil(float64(h*60)-1e-6), 1)) * time.Minute
}

// capacity is the most in Ah that a datasheet claims: a run lasts no longer than
// that takes, if the cell is not better than its claims.
func capacity(c *cell.Cell) float64 { return max(c.Rated, c.Minimum, c.Typical) }

// charge says how a cell is charged, and how long that takes.
func (p *planner) charge(c *cell.Cell) (r Run, lasts time.Duration) {
	q := capacity(c)
	r.ChargeTo, r.ChargeEnd = c.ChargeVoltage*c.Cells(), c.ChargeEnd
	r.ChargeAmps = c.ChargeCurrent
	if over := c.MaxCharge; over > 0 && r.ChargeAmps > over {
		r.ChargeAmps = over // which of the two is wrong has been said
	}
	i, end := r.ChargeAmps, r.ChargeEnd
	if i == 0 {
		i = usualCharge * q
		if c.MaxCharge > 0 {
			i = min(i, c.MaxCharge)
		}
		r.AssumedTimes = true
		p.say(measure.Note, "chargeCurrent", measure.Rule{Says: say.Later("charge by the maker’s method"), Source: say.Later("IEC 61960-3 clause 7.2 (read in QCVN 101:2016 clause 2.8.1.2)")},
			say.Later("Look it up in the datasheet before you charge."), say.Later("The charge current is not entered: the hours are those of 0.5 It."))
	}
	if top := p.Tester.MaxCurrent; top > 0 && r.ChargeAmps > top {
		p.say(measure.Note, "chargeCurrent", ruleTester, say.Later("Charge it on another charger, or plan for more hours."), say.Later("The charge current of %s is over the tester’s %s."), p.amps(r.ChargeAmps), p.amps(top))
	}
	if end == 0 || end >= i {
		if end >= i {
			r.ChargeEnd = 0
		}
		end = usualEnd * q
		r.AssumedTimes = true
		p.say(measure.Note, "chargeEnd", measure.Rule{Says: say.Later("the charge ends at about 0.05 It"), Source: practice},
			say.Later("Look it up in the datasheet before you charge."), say.Later("There is no ending current of the charge to plan with: the hours are those of 0.05 It."))
	}
	if c.ChargeVoltage == 0 {
		p.danger(measure.Caution, "chargeVoltage", measure.Rule{Says: say.Later("charge to the datasheet’s voltage"), Source: datasheet},
			say.Later("Look it up before you charge: overcharged cells can vent and burn."), say.Later("The charge voltage is not entered."))
	}
	return r, minutes(min(chargeHours(q, i, end), 10*mostHours))
}

// checkRest looks at a rest as asked for.
func (p *planner) checkRest(field string, rest *time.Duration) {
	if *rest < 0 || *rest > 7*24*time.Hour {
		p.say(measure.Fault, field, ruleOurs, say.Later("Type a time such as 1 h."), say.Later("A rest cannot be negative, nor longer than 7 days."))
		*rest = 0
	}
}

// rest is how long a cell rests after its charge.
func (p *planner) rest(c *cell.Cell) window {
	w := window{p.RestCharged, restMost}
	if c.RestByDatasheet {
		w.most = restDatasheet
	}
	switch {
	case w.least == 0 && c.RestByDatasheet:
		w.least = shortRest
	case w.least == 0:
		w.least = restLeast
	case c.RestByDatasheet && w.least > restDatasheet:
		p.say(measure.Caution, "rest", ruleOnce, say.Later("Plan a rest of an hour at most, or choose the standard’s rule for these cells."), say.Later("A rest of %s is longer than 1 h."), p.lasts(w.least))
	case !c.RestByDatasheet && (w.least < restLeast || w.least > restMost):
		p.say(measure.Caution, "rest", ruleRest, say.Later("Plan a rest of 1 h to 4 h."), say.Later("A rest of %s is not within 1 h to 4 h: no run would count as an attempt at the claim."), p.lasts(w.least))
	}
	w.most = max(w.most, w.least)
	return w
}

// lasts is a time in words: "5 h 20 min".
func (p *Plan) lasts(d time.Duration) string {
	d = d.Round(time.Minute)
	h, m := int(d/time.Hour), int(d/time.Minute%60)
	switch {
	case h == 0:
		return p.words.Fixed(float64(m), 0) + " min"
	case m == 0:
		return p.words.Fixed(float64(h), 0) + " h"
	}
	return p.words.Fixed(float64(h), 0) + " h " + p.words.Fixed(float64(m), 0) + " min"
}
