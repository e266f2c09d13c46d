package measure

import (
	"plateau/core/quantity"
	"plateau/core/say"
)

const (
	// PackFrom is the voltage from which it cannot be one cell's.
	PackFrom = 5.0 // V
	// Below lowest V no lithium cell of the common kinds is to be discharged:
	// iron-phosphate cells end at 2.0 V. No source.
	lowest = 1.95 // V
	// The habitual band of average voltages, a remark only. No source.
	averageLow, averageHigh = 2.9, 3.85 // V
	// Densest is what the best cells hold. No source.
	Densest = 850.0 // Wh/l
	// A capacity this far from the rated one is another cell's, or in another
	// unit. No source.
	farLow, farHigh = 0.4, 1.3
)

// end judges how the run came to its end.
func (x *finder) end() {
	res := x.Results
	last := x.Run.Last()
	rule := Rule{say.Later("the figures are those down to the cut-off"), clauseStart}
	switch res.Ending {
	case NotReached:
		x.say(Caution, rule, say.Later("Compare at a cut-off that this run reached, or repeat it down to the cut-off."),
			say.With("The run ended at %s, above the cut-off of %s: the cell gives at least these figures.", x.volts(res.Lowest), x.volts(x.Cutoff))).At = last.T
	case JustAbove:
		x.say(Note, rule, say.Later("Nothing need be done; a shorter interval would show the end itself."),
			say.With("The last sample lies just above the cut-off: the figures are carried on to %s along the last slope.", x.volts(x.Cutoff))).At = last.T
	case AllBelow:
		x.say(Fault, rule, say.Later("Choose a lower cut-off."), say.With("The voltage is below the cut-off of %s from the first sample on: no figures.", x.volts(x.Cutoff)))
	}
	x.dip()
	x.belowCutoff()
	x.pack()
}

// dip: a start below the cut-off ends no run, but would shut a device down.
func (x *finder) dip() {
	if !x.Results.atCutoff() {
		return
	}
	if k, t, ok := x.Run.FirstBelow(x.Cutoff, x.Results.Duration/10); ok {
		x.say(Note, Rule{say.Later("a dip at the start ends no run, but a device with that cut-off shuts down"), practice}, say.Later("Allow for it where the device has this cut-off."),
			say.With("The voltage dips to %s, below the cut-off, %s after the load came on.", x.volts(x.Run.Trace().Voltage(k)), quantity.Clock(t))).At = t
	}
}

func (x *finder) belowCutoff() {
	tr := x.Run.Trace()
	at := int(x.Run.Remember("place of the lowest voltage", func() float64 {
		_, at := tr.Lowest(x.Run.From, x.Run.To)
		return float64(at)
	}))
	if at < x.Run.From || at >= x.Run.To {
		return
	}
	low := tr.Voltage(at)
	cut, rule := x.Cell.Cutoff, Rule{say.Later("not below the datasheet’s cut-off"), datasheet}
	if cut == 0 {
		if x.Cell.Series <= 1 && x.Results.Start > PackFrom {
			return
		}
		cut, rule = lowest, Rule{say.Later("not below 2.0 V a cell, where iron-phosphate cells end; other kinds end higher"), practice}
	}
	const slack = 0.02 // V, of a tester that stops between two samples; no source
	if low < x.whole(cut-slack) {
		x.danger(rule, say.Later("Cells taken too low are damaged, and can be dangerous when they are charged again: do not recharge one found far below its cut-off."),
			say.With("The run went down to %s, below %s.", x.each(low), x.volts(x.whole(cut)))).At = tr.Time(at) - tr.Time(x.Run.From) + x.Run.Before.Width/2
	}
	if x.Cutoff > 0 && x.Cell.Cutoff > 0 && x.Cutoff < x.whole(x.Cell.Cutoff-slack) {
		x.say(Note, rule, say.Later("Judge the cell by figures at its datasheet’s cut-off."),
			say.With("The cut-off asked for, %s, is below the datasheet’s %s.", x.volts(x.Cutoff), x.volts(x.whole(x.Cell.Cutoff))))
	}
}

// pack: more than one cell in series.
func (x *finder) pack() {
	v := x.Results.Start
	switch {
	case x.Cell.Series > 1:
		if one := v / x.Cell.Cells(); one > PackFrom || one < 1.5 {
			x.say(Caution, Rule{say.Later("a lithium cell reads 2 V to 4.5 V"), practice}, say.Later("Correct the number of cells in series."),
				say.With("%s over %d cells are %s each, which is no cell’s voltage.", x.volts(v), x.Cell.Series, x.volts(one)))
		}
	case v > PackFrom:
		x.say(Caution, Rule{say.Later("one cell reads less than 5 V"), practice}, say.Later("Enter how many cells are in series; voltages of the datasheet are then taken for each cell."),
			say.With("The log reads %s: this is a pack. Its figures are those of the whole pack.", x.volts(v)))
	}
}

// plausible sets figures against what can be.
func (x *finder) plausible() {
	res := x.Results
	if !(res.Capacity > 0) {
		return
	}
	one := res.Average / x.Cell.Cells()
	pack := x.Cell.Series <= 1 && res.Start > PackFrom
	if !pack && (one < averageLow || one > averageHigh) {
		x.say(Note, Rule{say.Later("the average voltage of a lithium cell mostly lies between 2.9 V and 3.85 V"), practice}, say.Later("Check whether both current and voltage are read in the right unit; cells of other kinds can be outside."),
			say.With("The average voltage is %s.", x.each(res.Average)))
	}
	if full := x.whole(x.Cell.ChargeVoltage); full > 0 && res.Average > full {
		x.say(Fault, Rule{say.Later("the average voltage lies below the charge voltage"), say.Later("arithmetic")}, say.Later("Correct the unit of the voltage, or the datasheet’s figure."),
			say.With("The average voltage of %s is above the charge voltage of %s.", x.volts(res.Average), x.volts(full)))
	}
	if x.Cell.Rated > 0 {
		share := res.Capacity / x.Cell.Rated
		if share > farHigh || share < farLow && res.Ending != NotReached && x.Cutoff == 0 && x.Cell.Rate(res.Current) < 1.1 {
			x.say(Caution, Rule{say.Later("a cell gives about its rated capacity"), practice}, say.Later("Check whether the log is of this cell, the rated capacity right, and the current read in the right unit."),
				say.With("The run gave %s of the rated capacity.", x.percent(share)))
		}
	}
	if density, ok := x.Cell.Density(); ok && density > Densest {
		x.say(Caution, Rule{say.Later("the best cells hold about 850 Wh/l"), practice}, say.Later("Doubt the claim: look at the wrapper, the weight and where the cell was bought."),
			say.With("A rated capacity of %s Ah in the size %s would be %s Wh/l, which no cell holds.",
				x.Words.Fixed(x.Cell.Rated, 2), x.Cell.Size, x.Words.Fixed(density, 0)))
	}
}
