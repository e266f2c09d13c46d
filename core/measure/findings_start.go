package measure

import (
	"math"

	"plateau/core/quantity"
	"plateau/core/say"
)

const (
	// IEC 61960-3 7.3.1: the charged cell rests 1 h to 4 h. Read in QCVN
	// 101:2016 clause 2.8.1.2, which carries it.
	restLeast = 3600.0  // s
	restMost  = 14400.0 // s
	// Datasheets that measure "within 1 h after the charge".
	restDatasheet = 3600.0 // s
	// IEC 61960-3 7.3.1: 20 °C ± 5 °C.
	ambientLow, ambientHigh = 15.0, 25.0 // °C
	// drifting is how far a resting cell may still change. No source.
	drifting = 1.0 // °C
	// A charged cell at rest lies less than this below its charge voltage. No
	// source: lithium-ion cells of the common kinds relax by 0.02 V to 0.06 V.
	relaxed = 0.1 // V
	// Iron-phosphate cells fall back farther, to about 3.35 V. No source.
	relaxedIron, isIron = 0.3, 3.9 // V; charged to less than isIron
	// usualCharge is the charge voltage of the common kinds. No source.
	usualCharge = 4.2 // V
	// phosphate is the highest voltage at which an iron-phosphate cell rests;
	// above it the cell is of another kind. No source.
	phosphate = 3.65 // V
	// A charge has ended as it should where its current fell to that of the
	// datasheet, give or take a tenth; without one, to a twentieth of It.
	endSlack, endShare = 1.1, 0.055
)

var (
	ruleStart = Rule{say.Later("a discharge starts from a fully charged cell at rest"), clauseStart}
	ruleRest  = Rule{say.Later("rest of 1 h to 4 h between charge and discharge"), clauseRest}
	ruleOnce  = Rule{say.Later("the discharge follows within 1 h of the charge"), say.Later("the cell’s datasheet, as chosen for this cell")}
	ruleCool  = Rule{say.Later("20 °C ± 5 °C for charge, rest and discharge"), clauseRest}
)

func (x *finder) start() {
	switch {
	case x.Run.From == 0:
		x.say(Caution, Rule{say.Later("the log covers the whole discharge"), practice}, say.Later("Start the log before the discharge."),
			say.Text("The log begins under load: what was taken out before its first row is not counted.")).bears(Lowers, say.Later("the log begins under load")).At = 0
	case !x.Run.Before.Rest:
		x.say(Caution, ruleStart, say.Later("Charge and rest the cell, then repeat the run. The charge of two loads is not added up: what a cell gives at a lower current afterwards is not what it gives at the higher one."),
			say.Text("The discharge follows on another load without a rest: it did not start from a full, rested cell.")).bears(Lowers, say.Later("it follows on another load")).At = 0
	}
}

func (x *finder) fullyCharged() {
	full := x.Cell.ChargeVoltage
	if c := x.Charge; c != nil {
		end, rule := x.Cell.ChargeEnd*endSlack, Rule{say.Later("the charge ends at the datasheet’s current"), datasheet}
		if !(end > 0) {
			end, rule = x.Cell.Rated*endShare, Rule{say.Later("the charge ends at about 0.05 It"), practice}
		}
		if end > 0 && c.EndCurrent > end {
			x.say(Caution, rule, say.Later("Let the charger hold the voltage until the current has fallen to it."),
				say.With("The charge ended at %s, above %s: the cell was not full.", x.amps(c.EndCurrent), x.amps(end))).bears(Lowers, say.Later("its charge ended early"))
		}
		if full > 0 && c.Top < x.whole(full)-0.05 {
			x.say(Caution, Rule{say.Later("charge to the datasheet’s voltage"), datasheet}, say.Later("Set the charger to it."),
				say.With("The charge went to %s only; the datasheet has %s.", x.volts(c.Top), x.volts(x.whole(full)))).bears(Lowers, say.Later("it was charged to a lower voltage"))
		}
		return
	}
	v := x.Results.Start
	one := v / x.Cell.Cells()
	if !x.Results.Rested || x.Cell.Series <= 1 && v > PackFrom {
		return
	}
	fall := relaxed
	if full > 0 && full < isIron {
		fall = relaxedIron
	}
	rule := Rule{say.Later("a charged cell rests less than 0.1 V below its charge voltage, one of iron phosphate less than 0.3 V"), practice}
	switch {
	case full > 0 && one < full-fall:
		x.say(Caution, rule, say.Later("Charge it to the datasheet’s voltage and ending current, let it rest, then repeat the run."),
			say.With("The run started at %s, more than %s below the charge voltage of %s: the cell was not full, or had rested for long.",
				x.each(v), x.volts(fall), x.volts(full))).bears(Lowers, say.Later("it was not full"))
	case full == 0 && one > phosphate && one < usualCharge-relaxed:
		x.say(Note, rule, say.Later("Enter the cell’s charge voltage if it is another, or charge the cell fully."),
			say.With("The run started at %s: a cell charged to %s rests above %s.", x.each(v), x.volts(usualCharge), x.volts(usualCharge-relaxed)))
	}
}

func (x *finder) rest() {
	c := x.Charge
	if c == nil {
		return
	}
	rest := quantity.Clock(c.Rest)
	switch {
	case x.Cell.RestByDatasheet && c.Rest > restDatasheet:
		x.say(Caution, ruleOnce, say.Later("Start the discharge sooner, or judge the run by IEC 61960-3."), say.With("The cell rested for %s after its charge: longer than 1 h.", rest)).bears(NoAttempt, say.Later("it rested for longer than 1 h after its charge"))
	case x.Cell.RestByDatasheet:
	case c.Rest < restLeast:
		x.say(Caution, ruleRest, say.Later("Let the cell rest for an hour at least, then repeat the run; or choose the datasheet’s rule for this cell."),
			say.With("The cell rested for %s after its charge: shorter than 1 h.", rest)).bears(NoAttempt, say.Later("it rested for less than 1 h after its charge"))
	case c.Rest > restMost:
		x.say(Caution, ruleRest, say.Later("Start the discharge within 4 h of the charge."), say.With("The cell rested for %s after its charge: longer than 4 h.", rest)).bears(NoAttempt, say.Later("it rested for longer than 4 h after its charge"))
	}
}

// ambient judges the surroundings by the cell before the load, which after its
// rest has their temperature.
func (x *finder) ambient() {
	tr := x.Run.Trace()
	temp := math.NaN()
	if x.Run.From > 0 && x.Run.Before.Rest {
		temp = tr.Temperature(x.Run.From - 1)
	}
	if math.IsNaN(temp) {
		temp = x.Results.TempStart
	}
	if temp < ambientLow || temp > ambientHigh {
		bearing, because := Lowers, say.Later("it was colder than 15 °C")
		if temp > ambientHigh {
			bearing, because = Raises, say.Later("it was warmer than 25 °C")
		}
		x.say(Caution, ruleCool, say.Later("Repeat it at 20 °C ± 5 °C, or state the temperature with the figures."),
			say.With("The cell was at %s when the load came on, outside %g °C to %g °C.", x.celsius(temp), ambientLow, ambientHigh)).bears(bearing, because)
	}
	first := tr.QuietFrom(x.Run.From-1, math.Abs(x.Results.Current)/100)
	if first < 0 || !x.Run.Before.Rest {
		return
	}
	if from := tr.Temperature(first); math.Abs(from-temp) > drifting {
		x.say(Note, Rule{say.Later("the cell starts at the temperature of its surroundings"), practice}, say.Later("Let it rest longer."),
			say.With("The cell went from %s to %s while it rested: it was not at the temperature of its surroundings yet.", x.celsius(from), x.celsius(temp)))
	}
}
