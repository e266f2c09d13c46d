package plan

import (
	"fmt"
	"math"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/say"
	"plateau/core/tester"
)

const (
	// IEC 61960-3 clause 4 holds currents to ±1 %. Cited from memory.
	currentHeld = 0.01
	// sameRate is how far apart two currents of one rate may lie, as a share of
	// the larger: what package compare gathers by. Common practice, no source.
	sameRate = 0.03
	// rounding of sums in binary: 0.2 × 4.9 A is 0.98 A.
	rounding = 1e-9
	// dropSeen in V is what leads may take unsaid: ends within it count as the
	// same for package claim. Common practice, no source.
	dropSeen = 0.005
)

// snapped is the current of so many whole steps that is nearest, and the next
// lower one where that is over top (0 for none). Without a step it is the
// current itself. It is rounded to 1 µA, so that steps of 0.01 A give 0.07 A.
func snapped(amps, step, top float64) float64 {
	if !(step > 0) {
		return amps
	}
	n := math.Round(amps / step)
	if top > 0 && float64(n*step) > top*(1+rounding) {
		n = math.Floor(top/step + rounding)
	}
	return math.Round(n*step*1e6) / 1e6
}

// checkTester looks at the tester's specification.
func (p *planner) checkTester() {
	t := &p.Tester
	for _, x := range [...]struct {
		field string
		value *float64
		most  float64
	}{
		{"tester.maxCurrent", &t.MaxCurrent, 1e5}, {"tester.maxPower", &t.MaxPower, 1e7}, {"tester.step", &t.SetStep, 1e4},
		{"tester.lead", &t.Lead, 10}, {"tester.leadError", &t.LeadError, 10},
	} {
		p.number(x.field, x.value, x.most)
	}
	t.Current, t.Voltage = sound(t.Current), sound(t.Voltage)
	if t.Channels < 0 || t.Channels > 1000 {
		p.say(measure.Fault, "tester.channels", ruleOurs, say.Later("Type how many cells the tester takes at a time."), say.Later("There cannot be %d channels: the plan takes one."), t.Channels)
		t.Channels = 1
	}
	t.Channels = max(t.Channels, 1)
	if t.SetStep > 0 && t.SetStep < 1e-6 {
		t.SetStep = 0 // finer than it could matter
	}
	if t.MaxCurrent == 0 {
		p.say(measure.Note, "tester.maxCurrent", ruleTester, say.Later("Enter it, and the plan leaves out what the tester cannot do."), say.Later("The tester’s highest current is not entered: no run is checked against it."))
	}
	if t.MaxPower == 0 {
		p.say(measure.Note, "tester.maxPower", ruleTester, say.Later("Enter it, and the plan leaves out what the tester cannot do."), say.Later("The tester’s highest power is not entered: no run is checked against it."))
	}
	if t.SetStep == 0 && t.Step(0) == 0 {
		p.say(measure.Note, "tester.step", ruleStep, say.Later("Enter it: C-rates are then those of the set-points."), say.Later("In which steps the tester’s current is set is not entered: the set-points are not rounded."))
	}
	if t.TwoWire && t.Lead == 0 {
		p.say(measure.Caution, "tester.lead", ruleLeads, say.Later("Enter the resistance of leads and contacts, or connect with four wires."),
			say.Later("With two wires the tester sees the cut-off before the cell is there, at high currents long before: what the leads take is not entered, and the cut-offs are not corrected."))
	}
}

// sound are ranges without those that are not made of numbers.
func sound(list []tester.Range) (out []tester.Range) {
	for _, r := range list {
		if r.UpTo >= 0 && r.Resolution >= 0 && r.UpTo+r.Resolution < 1e6 && (r.Resolution == 0 || r.Resolution >= 1e-6) {
			out = append(out, r)
		}
	}
	return out
}

// full is the voltage in V that a cell has at most, and whether that is what is
// usual for its kind, and not what was entered. Common practice, no source.
func full(c *cell.Cell) (volts float64, assumed bool) {
	switch {
	case c.ChargeVoltage > 0:
		return c.ChargeVoltage * c.Cells(), false
	case c.Chemistry == cell.Phosphate:
		return 3.65 * c.Cells(), true
	case c.Chemistry == cell.Titanate:
		return 2.8 * c.Cells(), true
	}
	return 4.2 * c.Cells(), true
}

// set fills in a run's set-point and cut-off. Where a limit stands against it,
// it says so and returns the field and the reason.
func (p *planner) set(c *cell.Cell, r *Run) (field, why string) {
	t := &p.Tester
	refuse := func(field string, rule measure.Rule, do, format string, args ...any) (string, string) {
		f := p.say(measure.Fault, field, rule, do, format, args...)
		return field, f.Text
	}
	if !(r.Asked > 0) {
		return "rated", say.Text("The rated capacity is not entered: there is no It.")
	}
	volts, assumed := full(c)
	if t.MaxCurrent > 0 && r.Asked > t.MaxCurrent*(1+rounding) {
		field, why = refuse("tester.maxCurrent", ruleTester, say.Later("Choose a lower current, or another tester."), say.Later("%s is over the tester’s %s: left out."), p.amps(r.Asked), p.amps(t.MaxCurrent))
	}
	if c.MaxCurrent > 0 && r.Asked > c.MaxCurrent*(1+rounding) {
		f := p.danger(measure.Fault, "maxCurrent", ruleCell, say.Later("Do not run it: overloaded cells overheat and can vent and burn."),
			say.Later("%s is over the %s that the cell may give continuously: left out."), p.amps(r.Asked), p.amps(c.MaxCurrent))
		return "maxCurrent", f.Text
	}
	if why != "" {
		return field, why
	}
	if t.MaxPower > 0 && r.Asked*volts > t.MaxPower*(1+rounding) {
		over := say.Later("%s from a cell at %s (full) are %s, over the tester’s %s: left out.")
		if assumed {
			over = say.Later("%s from a cell at %s (full, as is usual for its kind) are %s, over the tester’s %s: left out.")
		}
		top := t.MaxPower / volts
		if step := t.Step(top); step > 0 {
			top = math.Round(math.Floor(top/step+rounding)*step*1e6) / 1e6
		}
		return refuse("tester.maxPower", ruleTester, say.With("Choose a current of %s at most, or another tester.", p.amps(math.Floor(top*1e3+rounding)/1e3)),
			over, p.amps(r.Asked), p.volts(volts), p.watts(float64(r.Asked*volts)), p.watts(t.MaxPower))
	}
	top := math.Inf(1)
	for _, x := range [...]float64{c.MaxCurrent, t.MaxCurrent, t.MaxPower / volts} {
		if x > 0 {
			top = min(top, x)
		}
	}
	if r.SetStep = t.Step(r.Asked); r.SetStep > r.Asked*(1+sameRate) {
		return refuse("tester.step", ruleStep, say.Later("Choose a higher current, or a tester with finer steps."), say.Later("One step of the tester, %s, is larger than the current of %s: left out."), p.amps(r.SetStep), p.amps(r.Asked))
	}
	if r.Set = snapped(r.Asked, r.SetStep, top); !(r.Set > 0) {
		return refuse("tester.step", ruleStep, say.Later("Choose another current, or a tester with finer steps."), say.Later("No step of the tester of %s lies between 0 A and %s: left out."), p.amps(r.SetStep), p.amps(top))
	}
	r.Rate, r.Deviation = c.Rate(r.Set), r.Set/r.Asked-1
	if math.Abs(r.Deviation) < rounding {
		r.Deviation = 0
	}
	p.deviates(r)
	if q := capacity(c) / r.Set; q > mostHours {
		return refuse(p.field(r), ruleOurs, say.Later("Choose a higher current."), say.Later("%s takes %s h to the cut-off, more than %d days: left out."), p.amps(r.Set), p.words.Fixed(q, 0), mostHours/24)
	}
	return p.cutoff(c, r)
}

// field is where a run was asked for.
func (p *planner) field(r *Run) string {
	if r.Current < 0 {
		return "rated"
	}
	return fmt.Sprintf("currents.%d", r.Current)
}

// deviates says where a set-point is far from what was asked for.
func (p *planner) deviates(r *Run) {
	d := math.Abs(r.Deviation)
	switch {
	case d > currentHeld && (r.Basis != Chosen || d > sameRate):
		p.say(measure.Caution, "tester.step", ruleHeld, say.Later("State the true C-rate with the figures, or use a tester with finer steps."),
			say.Later("%s is set for %s: %s off, since the tester goes in steps of %s."), p.amps(r.Set), p.amps(r.Asked), p.percent(r.Deviation), p.amps(r.SetStep))
	case d > currentHeld:
		p.say(measure.Note, "tester.step", ruleHeld, say.Later("State the true C-rate with the figures."),
			say.Later("%s is set for %s: %s off, since the tester goes in steps of %s."), p.amps(r.Set), p.amps(r.Asked), p.percent(r.Deviation), p.amps(r.SetStep))
	}
}

// cutoff fills in the cut-off, and what is to be set at a tester that reads the
// cell's voltage behind its leads: V − I·R, with R at its least, rounded up, so
// that the cell itself never goes below its cut-off.
func (p *planner) cutoff(c *cell.Cell, r *Run) (field, why string) {
	r.Cutoff = float64(c.Cutoff * c.Cells())
	r.SetCutoff = r.Cutoff
	if !p.Tester.TwoWire || p.Tester.Lead == 0 {
		return "", ""
	}
	r.Drop = float64(r.Set * p.Tester.Lead)
	off := min(p.Tester.For(r.Cutoff, r.Set).LeadError, p.Tester.Lead)
	step := voltStep(p.Tester.Voltage, r.Cutoff)
	sure := float64(r.Set * (p.Tester.Lead - off))
	r.SetCutoff = min(math.Round(float64(math.Ceil((r.Cutoff-sure)/step-1e-6)*step)*1e6)/1e6, r.Cutoff)
	if r.Drop >= r.Cutoff || r.SetCutoff <= 0 {
		f := p.say(measure.Fault, "tester.lead", ruleLeads, say.Later("Connect with four wires, or with thicker and shorter leads."),
			say.Later("At %s the leads take %s, all of the cut-off of %s: left out."), p.amps(r.Set), p.volts(r.Drop), p.volts(r.Cutoff))
		return "tester.lead", f.Text
	}
	return "", ""
}

// voltStep is the step of a cut-off: that of the readings, or 1 mV.
func voltStep(ranges []tester.Range, volts float64) float64 {
	step := 1e-3
	top := math.Inf(1)
	for _, r := range ranges {
		end := r.UpTo
		if end == 0 {
			end = math.MaxFloat64
		}
		if r.Resolution > 0 && volts <= end && end < top {
			step, top = r.Resolution, end
		}
	}
	return step
}
