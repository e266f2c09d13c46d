package measure

import (
	"math"

	"plateau/core/gum"
	"plateau/core/say"
	"plateau/core/tester"
)

// Display is a discharge as a tester's display has it at its end, and as a
// person typed it. Zero stands for what was not typed. A step is one of the last
// digit that was typed.
type Display struct {
	Capacity, CapacityStep float64 // Ah
	Energy, EnergyStep     float64 // Wh
	Current                float64 // A, as set
	Cutoff                 float64 // V, at which it ended
}

// endSlope is how much of its capacity a cell gives on each volt about its
// cut-off, where no curve tells: its cut-off's error acts through it. No source;
// the demo's cells and those of published logs have 5 % to 15 %.
const endSlope = 0.1 // 1/V

// ErrDisplay says that a display gives no figures: capacity and current are
// needed.
var ErrDisplay = say.LaterError("capacity and current are needed")

// Typed is what a display tells, with its uncertainty on a tester. NaN stands for
// what it does not. The names of the terms are those of [Uncertainty], so that
// what two runs have in common is known.
func Typed(d Display, spec tester.Spec) (Results, Budgets, error) {
	var b Budgets
	nan := math.NaN()
	res := Results{Capacity: d.Capacity, Energy: nan, Average: nan, MidPoint: nan, Current: d.Current, Start: nan, End: d.Cutoff, Lowest: d.Cutoff,
		TempStart: nan, TempMax: nan, TempRise: nan, Ending: AtCutoff}
	if !(d.Capacity > 0) || !(d.Current > 0) {
		return res, b, ErrDisplay
	}
	res.Duration = d.Capacity / d.Current * 3600
	volts := max(d.Cutoff, usualCharge)
	if d.Energy > 0 {
		res.Energy, res.Average = d.Energy, d.Energy/d.Capacity
	}
	use := spec.For(volts, d.Current)
	u := &budgeter{res: res, use: use}
	u.currentLimits()
	u.times()
	v := use.Voltage
	cut := endSlope * d.Capacity // Ah/V
	gain, offset := v.U(v.Gain), v.U(v.Offset)
	dq := float64(cut * gain * d.Cutoff)
	u.charge(source{say.Later("voltage gain"), percent(v.Gain) + v.Words(), v.Shape()}, dq, float64(dq*d.Cutoff)+float64(gain*res.Energy))
	dq = cut * offset
	u.charge(source{say.Later("voltage offset"), milli(v.Offset, "mV") + v.Words(), v.Shape()}, dq, float64(dq*d.Cutoff)+float64(offset*d.Capacity))
	digit := func(name string) source { return source{name, say.Text("as typed"), gum.Rectangular} }
	u.charge(digit(say.Later("last digit of the charge")), gum.Resolution(d.CapacityStep), 0)
	u.charge(digit(say.Later("last digit of the energy")), 0, gum.Resolution(d.EnergyStep))
	return res, u.budgets(), nil
}
