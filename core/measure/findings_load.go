package measure

import (
	"math"

	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/trace"
)

const (
	// IEC 61960-3 clause 4 holds currents to ±1 %. Cited from memory.
	currentHeld = 0.01
	// fewSamples in a run make its sums and its end coarse. No source.
	fewSamples = 100
	// edgeShare of the capacity is how much the load's edges may hide before it
	// is said. No source.
	edgeShare = 0.002
	// Counts of the log may differ from the sums of its samples by counterNear;
	// from counterFar on they count something else. No source.
	counterNear, counterFar = 0.005, 0.05
)

var ruleSamples = Rule{say.Later("at least 100 samples in a run, and one at each change of the load"), practice}

// load judges how the current was held.
func (x *finder) load() {
	r, mean := x.Run, x.Results.Current
	from, to := r.From+1, r.To-1 // the first and the last may lie on the load's edges
	if to-from < 3 || !(mean > 0) {
		return
	}
	low, high := r.RememberBoth("currents within", func() (float64, float64) { return r.CurrentRange(from, to) })
	// One step of the reading is no change of the current.
	step := 0.0
	if u := x.Tester.For(x.Results.Start, mean); u.Known {
		step = u.Current.Resolution
	}
	if step == 0 {
		step = min(quantum(r, amps), currentHeld*mean)
	}
	if allowed := currentHeld*mean + step; high-mean <= allowed && mean-low <= allowed {
		return
	}
	rule := Rule{say.Later("the current is held within ±1 %"), say.Later("IEC 61960-3 clause 4 (cited from memory)")}
	if x.constantPower() {
		x.say(Note, Rule{say.Later("figures at constant power are not those at constant current"), practice}, say.Later("Compare it with runs at the same power only."),
			say.With("The load took constant power, %s W, and no constant current: it went from %s to %s.",
				x.Words.Fixed(mean*x.Results.Average, 2), x.amps(low), x.amps(high))).bears(NoAttempt, say.Later("the load took constant power"))
		return
	}
	x.say(Caution, rule, say.Later("Check whether the tester reached its power limit, the leads were loose or the load was stepped or pulsed; then repeat the run."),
		say.With("The current was not held: %s to %s about a mean of %s (%s and %s).",
			x.amps(low), x.amps(high), x.amps(mean), x.signed(low/mean-1), x.signed(high/mean-1))).bears(NoAttempt, say.Later("the current was not held"))
}

func (x *finder) signed(share float64) string {
	if share < 0 {
		return "−" + x.percent(-share)
	}
	return "+" + x.percent(share)
}

// constantPower tells whether V·I stays within the bounds of the current.
func (x *finder) constantPower() bool {
	power := x.Results.Current * x.Results.Average
	r := x.Run
	step := max(1, (r.To-r.From)/200)
	for k := r.From + 1; k < r.To-1; k += step {
		p := r.Trace().Voltage(k) * r.Trace().Current(k)
		if math.Abs(p-power) > 2*currentHeld*power {
			return false
		}
	}
	return true
}

// limits are those of the cell and of the tester.
func (x *finder) limits() {
	amps := x.Results.Current
	if top := x.Cell.MaxCurrent; top > 0 && amps > top*(1+currentHeld) {
		x.danger(Rule{say.Later("no more than the datasheet’s continuous discharge current"), datasheet}, say.Later("Do not repeat it: overloaded cells overheat and can vent and burn."),
			say.With("%s is over the %s that the cell may give continuously.", x.amps(amps), x.amps(top))).At = 0
	}
	if top := x.Tester.MaxCurrent; top > 0 && amps > top*(1+currentHeld) {
		x.say(Caution, Rule{say.Later("within the tester’s current"), specification}, say.Later("Check whether the specification is right."),
			say.With("%s is over the %s that the tester can take.", x.amps(amps), x.amps(top)))
	}
	if top, p := x.Tester.MaxPower, amps*x.Results.Start; top > 0 && p > top*(1+currentHeld) {
		x.say(Caution, Rule{say.Later("within the tester’s power"), specification}, say.Later("Use a lower current, or see that the current was held."),
			say.With("%s at %s are %s W, over the tester’s %s W.", x.amps(amps), x.volts(x.Results.Start), x.Words.Fixed(p, 1), x.Words.Fixed(top, 1)))
	}
	hottest, limit, rule := x.Results.TempMax, 60.0, Rule{say.Later("no more than 60 °C, where most datasheets end"), practice}
	if x.Cell.MaxTemp > 0 {
		limit, rule = x.Cell.MaxTemp, Rule{say.Later("no more than the datasheet’s temperature on discharge"), datasheet}
	}
	if hottest > limit {
		f := x.danger(rule, say.Later("Hot lithium cells can vent and burn: stop such a run and let the cell cool where it can do no harm."),
			say.With("The cell reached %s, over %g °C.", x.celsius(hottest), limit))
		f.At = x.hotAt(limit)
	}
	x.chargeVoltage()
}

// hotAt is when the cell first was above a temperature.
func (x *finder) hotAt(limit float64) float64 {
	for p := range x.Run.Points(x.Run.From) {
		if p.Temp > limit {
			return p.T
		}
	}
	return math.NaN()
}

// chargeVoltage looks at the whole log, charges included.
func (x *finder) chargeVoltage() {
	const slack = 0.05 // V, as datasheets give it; common practice, no source
	tr := x.Run.Trace()
	top := x.Run.Remember("highest voltage of the log", func() float64 {
		top, _ := tr.Peak(0, tr.Len())
		return top
	})
	limit, rule := x.Cell.ChargeVoltage+slack, Rule{say.Later("no more than the datasheet’s charge voltage, give or take 0.05 V"), datasheet}
	if x.Cell.ChargeVoltage == 0 {
		if x.Cell.Series <= 1 && top > PackFrom {
			return
		}
		limit, rule = 4.25, Rule{say.Later("no more than 4.25 V a cell, unless its datasheet has more"), say.Later("IEC 62133-2 Annex A for lithium cobalt oxide (cited from memory)")}
	}
	if top > x.whole(limit) {
		x.danger(rule, say.Later("Overcharged cells can vent and burn: look at the charger’s setting before anything else."),
			say.With("The log goes up to %s, above %s.", x.each(top), x.volts(x.whole(limit)))).bears(Raises, say.Later("it was charged above its charge voltage"))
	}
}

// log judges how the run was recorded.
func (x *finder) log() {
	r, res := x.Run, x.Results
	n := r.To - r.From
	if n < fewSamples {
		x.say(Caution, ruleSamples, say.Later("Log more often."), say.With("The run has %d samples only: its figures and its end are coarse.", n))
	}
	if res.Capacity > 0 && res.EdgeLimit > edgeShare*res.Capacity {
		on, off, mAh := x.Words.Fixed(r.Before.Width, 0), x.Words.Fixed(r.After.Width, 0), x.Words.Fixed(res.EdgeLimit*1000, 0)
		seen := say.With("The log has no sample at the moment when the load came on (a gap of %s s): the capacity can be off by up to %s mAh.", on, mAh)
		if res.toLoadOff() && !res.Fixed {
			seen = say.With("The log has no sample at the moment when the load came on or went off (gaps of %s s and %s s): the capacity can be off by up to %s mAh.", on, off, mAh)
		}
		x.say(Caution, ruleSamples, say.Later("Log more often, or have the tester write a row when the load changes."), seen).At = 0
	}
	if gap, at := longestGap(r); gap > 0 {
		x.say(Caution, Rule{say.Later("no interval ten times the mean one"), practice}, say.Later("Look at what happened then: a pause of the load would make the charge too large."),
			say.With("The log has a gap of %s s, %s after the start: what happened in it is drawn as a straight line.", x.Words.Fixed(gap, 0), quantity.Clock(at))).bears(NoAttempt, say.Later("the log has a gap")).At = at
	}
	if x.WentBack > 0 {
		seen := say.With("Time goes back in %d rows of the log, first in line %d: left out.", x.WentBack, x.WentBackLine)
		if x.WentBack == 1 {
			seen = say.With("Time goes back in line %d of the log: left out.", x.WentBackLine)
		}
		x.say(Caution, Rule{say.Later("time goes forward"), practice}, say.Later("Look at those rows in the log."), seen)
	}
	if x.Restarts > 0 {
		seen := say.With("The log’s clock begins anew %d times, first in line %d: the parts were put one after the other.", x.Restarts, x.RestartLine)
		if x.Restarts == 1 {
			seen = say.With("The log’s clock begins anew once, in line %d: the parts were put one after the other.", x.RestartLine)
		}
		x.say(Caution, Rule{say.Later("one clock through the whole log"), practice}, say.Later("Check whether a pause lies between the parts; if the cell rested there, the run is not one discharge."), seen)
	}
}

// longestGap is the longest interval in s between two loaded samples, and when
// it began after the start; 0 where none stands out: ten times the mean one
// and a two-hundredth of the run.
func longestGap(r *trace.Run) (gap, at float64) {
	tr := r.Trace()
	gap, end := r.RememberBoth("longest gap", func() (float64, float64) {
		gap, k := tr.LongestGap(r.From, r.To)
		return gap, float64(k)
	})
	span := tr.Time(r.To-1) - tr.Time(r.From)
	if n := float64(r.To - r.From - 1); !(gap > 10*span/n) || !(gap > span/200) {
		return 0, 0
	}
	return gap, tr.Time(int(end)-1) - tr.Time(r.From) + r.Before.Width/2
}

// counters sets the log's own counts against the sums of its samples.
func (x *finder) counters() {
	for _, c := range Counted(x.Run) {
		d := math.Abs(c.Difference())
		if !(d > counterNear) {
			continue
		}
		do := say.Later("Find out which is right: the counter may start earlier, miss the first samples, or use another current than the one logged.")
		if d > counterFar {
			do = say.Later("The counter most likely counts something else, or its unit is another; correct how the log is read, or leave the counter out.")
		}
		x.say(Caution, Rule{say.Later("the log’s own count agrees with its samples within 0.5 %"), practice}, do,
			say.With("The log counts %s %s for this discharge; its samples add up to %s %s (%s).",
				x.Words.Fixed(c.Log, quantity.Decimals(c.Ours, 4)), c.Unit(), x.Words.Fixed(c.Ours, quantity.Decimals(c.Ours, 4)), c.Unit(), x.signed(c.Log/c.Ours-1)))
	}
}
