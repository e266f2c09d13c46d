package engine

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/trace"
	"plateau/wasm/app/wire"
)

// budgeted are the figures of the details, in order.
var budgeted = []struct {
	q     measure.Quantity
	label string
	unit  string
}{
	{measure.Capacity, say.Later("Capacity"), "Ah"}, {measure.Energy, say.Later("Energy"), "Wh"},
	{measure.Average, say.Later("Average voltage"), "V"}, {measure.MidPoint, say.Later("Mid-point voltage"), "V"},
	{measure.Duration, say.Later("Duration"), ""}, {measure.Current, say.Later("Mean current"), "A"},
	{measure.Start, say.Later("Voltage at the start"), "V"}, {measure.End, say.Later("Voltage at the end"), "V"},
	{measure.TempStart, say.Later("Temperature at the start"), "°C"}, {measure.TempMax, say.Later("Highest temperature"), "°C"},
	{measure.TempRise, say.Later("Temperature rise"), "°C"},
}

// details is all there is to say of one run.
func (e *Engine) details(id string) wire.Reply {
	f, r := e.runNamed(id)
	if r == nil {
		return wire.Reply{Error: say.Text("This discharge is not on the page any more.")}
	}
	d := &wire.Details{Run: r.id, Name: r.name, Source: f.name, Cell: r.cell, Guessed: r.guessed, Void: r.void,
		Conditions: e.conditions(f, r), Figures: []wire.Budgeted{}, Resistances: []wire.Line{}, Charge: []wire.Line{},
		Counters: []wire.CounterLine{}, Checks: checksOf(r), Method: e.method(r)}
	cols := e.columns()
	for _, b := range budgeted {
		fig := cols.of(e, r, b.q)
		d.Figures = append(d.Figures, e.budgeted(say.Text(b.label), b.unit, fig, r.budgets[b.q]))
	}
	e.resistances(d, f, r)
	e.chargeLines(d, r)
	e.counterLines(d, r)
	return wire.Reply{Details: d}
}

func (e *Engine) runNamed(id string) (*file, *run) {
	for _, f := range e.files {
		for _, r := range f.runs {
			if r.id == id {
				return f, r
			}
		}
	}
	return nil, nil
}

// budgeted writes a figure's budget, the largest contribution first.
func (e *Engine) budgeted(label, unit string, fig wire.Figure, b gum.Budget) wire.Budgeted {
	out := wire.Budgeted{Label: label, Unit: unit, Figure: fig, Terms: []wire.Term{}}
	u := b.Combined()
	if fig.Value == "" || !(u > 0) {
		return out
	}
	if unit == "" {
		unit = "s"
	}
	out.Standard = e.small(u, unit)
	out.K = "k = 2"
	if df := b.DF(); !math.IsInf(df, 1) {
		k, n := e.words.Fixed(b.K(), 2), math.Floor(df)
		out.K = say.With("k = %s, %.0f degrees of freedom", k, n)
		if n == 1 {
			out.K = say.With("k = %s, 1 degree of freedom", k)
		}
	}
	order := make([]int, len(b.Terms))
	for k := range order {
		order[k] = k
	}
	sort.SliceStable(order, func(i, j int) bool {
		return math.Abs(b.Terms[order[i]].U) > math.Abs(b.Terms[order[j]].U)
	})
	for _, k := range order {
		t := b.Terms[k]
		if b.Share(k) < negligible {
			continue
		}
		out.Terms = append(out.Terms, wire.Term{Name: say.Text(t.Name), Input: t.Input, U: e.small(math.Abs(t.U), unit),
			Share: e.words.Fixed(100*b.Share(k), 1) + " %"})
	}
	return out
}

// negligible is the share of a variance that is not worth a line.
const negligible = 1e-9

// small writes a small number in thousandths of its unit, where that has a name.
func (e *Engine) small(x float64, unit string) string {
	switch unit {
	case "Ah", "Wh", "V", "A":
		if x < 0.1 {
			return e.significant(1000*x, 2) + " m" + unit
		}
	}
	return e.significant(x, 2) + " " + unit
}

// significant writes a number with so many significant digits.
func (e *Engine) significant(x float64, n int) string {
	if x == 0 {
		return "0"
	}
	return e.words.Fixed(x, max(0, n-1-int(math.Floor(math.Log10(math.Abs(x))))))
}

// conditions are how a run was made, as far as the log and the set-up tell.
func (e *Engine) conditions(f *file, r *run) []wire.Line {
	var lines []wire.Line
	line := func(label, value, unit, note string) {
		lines = append(lines, wire.Line{Label: label, Figure: wire.Figure{Value: value}, Unit: unit, Note: note})
	}
	c, w := e.cellNamed(r.cell), e.words
	rate := e.rate(c, r.res.Current)
	note := ""
	if rate == "" {
		note = say.Text("its rate is not known: the cell’s rated capacity is not entered")
	}
	line(say.Text("Current"), w.Fixed(r.res.Current, quantity.Decimals(r.res.Current, digits)), "A", strings.TrimSpace(rate+" "+note))
	if c.Series > 1 {
		line(say.Text("Cells in series"), fmt.Sprint(c.Series), "", say.With("%s V a cell at the start", w.Fixed(r.res.Start/c.Cells(), 3)))
	}
	switch {
	case e.cutoff > 0:
		line(say.Text("Cut-off"), w.Fixed(e.cutoff, 3), "V", say.Text("the one you asked for"))
	default:
		line(say.Text("Cut-off"), w.Fixed(r.res.End, 3), "V", say.Text("where the run ended by itself"))
	}
	switch {
	case r.charge != nil:
		line(say.Text("Rest before"), quantity.Clock(r.charge.Rest), "", say.Text("after the charge in the log"))
	case r.Before.Rest:
		k := r.From - 1
		for k > 0 && math.Abs(r.Trace().Current(k-1)) <= math.Abs(r.res.Current)/100 {
			k--
		}
		line(say.Text("Rest before"), say.With("at least %s", quantity.Clock(r.Trace().Time(r.From-1)-r.Trace().Time(k))), "", say.Text("the log begins in it, so that how long it was is not known"))
	default:
		line(say.Text("Rest before"), "", "", say.Text("none in the log"))
	}
	if math.IsNaN(r.res.TempStart) {
		line(say.Text("Temperature"), "", "", say.Text("the log has none: 20 °C ± 5 °C could not be checked"))
	} else {
		line(say.Text("Temperature"), w.Fixed(r.res.TempStart, 1), "°C", say.Text("of the cell, when the load came on"))
	}
	if n := r.To - r.From; n > 1 {
		line(say.Text("Samples"), w.Count(n), "", say.With("one every %s s", e.significant(r.Trace().TypicalInterval(r.From, r.To), 2)))
	}
	name := e.spec.Name
	if name == "" {
		name = say.Text("not described")
	}
	wires := say.Text("four-wire")
	if e.spec.TwoWire {
		wires = say.With("two-wire, %s mΩ of leads taken off", e.significant(1000*e.spec.Lead, 2))
		if e.spec.Lead == 0 {
			wires = say.Text("two-wire, no resistance of the leads stated")
		}
	}
	if !r.use.Known {
		wires += "; " + say.Text("the tolerances of IEC 61960-3 are assumed")
	}
	line(say.Text("Tester"), name, "", wires)
	if e.spec.Checked != "" {
		line(say.Text("Last check"), e.spec.Checked, "", e.spec.Means)
	}
	return lines
}

// method says how all of it was worked out.
func (e *Engine) method(r *run) []string {
	m := []string{
		say.Text("Capacity and energy are the trapezoidal sums of current, and of voltage times current, over the samples as logged; the interval in which the load came on or went off counts half."),
		say.Text("The average voltage is energy over capacity; the mid-point voltage is read at half the capacity."),
		say.Text("± is the expanded uncertainty by the GUM (JCGM 100:2008), coverage factor k = 2, for about 95 % confidence. It holds for this measurement; how far another charge and discharge of the same cell would differ is told by repeats."),
	}
	if e.cutoff > 0 {
		m = append(m, say.Text("The run ends where its voltage falls through the cut-off and stays below; an error of the voltage acts through that as well."))
	}
	m = append(m, r.use.Assumed...)
	return m
}

func (e *Engine) resistances(d *wire.Details, f *file, r *run) {
	line := func(label string, x measure.Resistance, note string) {
		if x.Fitted {
			note = strings.TrimPrefix(note+"; "+say.Text("from a fit through the samples around it"), "; ")
		}
		d.Resistances = append(d.Resistances, wire.Line{Label: label, Figure: e.ohms(r, x), Unit: "mΩ", Note: note})
	}
	within := func(x measure.Resistance) string {
		if x.Latest-x.Earliest < x.Time/20 {
			return ""
		}
		return say.With("the step lies within %s s, so this is at %s s to %s s", e.significant(x.Latest-x.Earliest, 2), e.significant(max(x.Earliest, 0), 2), e.significant(x.Latest, 2))
	}
	for _, x := range r.step {
		line(say.With("R at %s s after the step", e.significant(x.Time, 2)), x, within(x))
	}
	back, why := measure.RecoveryResistance(r.Run, nil)
	for _, x := range back {
		line(say.With("R from the recovery, %s s after the load", e.significant(x.Time, 2)), x, within(x))
	}
	pulses, none := measure.TwoPulses(r.Trace(), e.cellNamed(r.cell).Rated)
	for _, x := range pulses {
		note := say.Text("two pulses, but not in the times of the standard")
		if x.Standard {
			note = say.Text("by the two pulses of IEC 61960-3 7.7.3 (cited from memory)")
		}
		line(say.Text("R from two pulses"), x, note)
	}
	for _, missing := range []struct{ what, why string }{{say.Text("Load step"), r.stepWhy}, {say.Text("Recovery"), why}, {say.Text("Two pulses"), none}} {
		if missing.why != "" {
			d.ResistanceWhy = append(d.ResistanceWhy, missing.what+": "+missing.why+".")
		}
	}
}

func (e *Engine) chargeLines(d *wire.Details, r *run) {
	c := r.charge
	d.ChargeWhy = sentence(r.chargeWhy)
	if c == nil {
		return
	}
	w := e.words
	line := func(label, value, u, unit, note string) {
		d.Charge = append(d.Charge, wire.Line{Label: label, Figure: wire.Figure{Value: value, U: u}, Unit: unit, Note: note})
	}
	qb, eb := measure.ChargeBudgets(*c, r.use)
	part := ""
	if !c.Whole {
		part = say.Text("the log begins during the charge: this is only a part of it")
	}
	dq, de := quantity.Decimals(c.Capacity, digits), quantity.Decimals(c.Energy, digits)
	line(say.Text("Charge put in"), w.Fixed(c.Capacity, dq), e.uncertain(qb.Expanded(), dq), "Ah", part)
	line(say.Text("Energy put in"), w.Fixed(c.Energy, de), e.uncertain(eb.Expanded(), de), "Wh", part)
	line(say.Text("Duration of the charge"), quantity.Clock(c.Duration), "", "", "")
	line(say.Text("At constant current"), w.Fixed(100*c.CC, 1), "", "%", say.Text("share of the charge"))
	held := say.Text("share of the charge")
	if !math.IsNaN(c.CVVoltage) {
		held = say.With("share of the charge, at %s V", w.Fixed(c.CVVoltage, 3))
	}
	line(say.Text("At constant voltage"), w.Fixed(100*c.CV, 1), "", "%", held)
	line(say.Text("Ending current"), w.Fixed(c.EndCurrent, quantity.Decimals(c.EndCurrent, 3)), "", "A", "")
	if !math.IsNaN(c.TempMax) {
		line(say.Text("Highest temperature of the charge"), w.Fixed(c.TempMax, 1), "", "°C", "")
	}
	whole, _ := measure.Discharge(r.Run, 0) // not to a cut-off above its end
	eff, why := c.Efficiency(whole)
	if why != "" {
		d.ChargeWhy = sentence(why)
	}
	if !(eff.Coulombic > 0) {
		return
	}
	budgets, _ := measure.Uncertainty(r.Run, whole, e.spec)
	cb, wb := measure.EfficiencyBudgets(eff, *c, whole, budgets, r.use)
	over := ""
	if eff.Coulombic > 1 {
		over = say.Text("over 100 %: the tester’s gains of charge and discharge current may differ, or the charge began at a lower state than this discharge ended at")
	}
	line(say.Text("Coulombic efficiency"), w.Fixed(100*eff.Coulombic, 2), e.uncertain(100*cb.Expanded(), 2), "%", over)
	line(say.Text("Energy efficiency"), w.Fixed(100*eff.Energy, 2), e.uncertain(100*wb.Expanded(), 2), "%", "")
}

func (e *Engine) counterLines(d *wire.Details, r *run) {
	for _, c := range measure.Counted(r.Run) {
		label, dec := say.Text("Charge / Ah"), quantity.Decimals(c.Ours, digits)
		if c.Of == trace.CounterEnergy {
			label = say.Text("Energy / Wh")
		}
		sign := "+"
		if c.Difference() < 0 {
			sign = "−"
		}
		d.Counters = append(d.Counters, wire.CounterLine{Label: label, Log: e.words.Fixed(c.Log, dec), Ours: e.words.Fixed(c.Ours, dec),
			Difference: sign + e.words.Fixed(math.Abs(100*c.Difference()), 2) + " %"})
	}
	if len(d.Counters) == 0 {
		d.CountersWhy = say.Text("The log has no count of its own of Ah or Wh for this discharge, or none whose unit is known.")
	}
}

// sentence makes one of a reason.
func sentence(why string) string {
	if why == "" {
		return ""
	}
	r := []rune(why)
	return strings.ToUpper(string(r[0])) + strings.TrimSuffix(string(r[1:]), ".") + "."
}

// checksOf are a run's findings as the page shows them.
func checksOf(r *run) []wire.Check { return checks(r.checks) }

func checks(found []measure.Finding) []wire.Check {
	checks := []wire.Check{}
	for _, c := range found {
		checks = append(checks, wire.Check{Severity: c.Severity.String(), Text: c.Text, Do: c.Do, Rule: c.Says, Source: c.Source,
			Safety: c.Safety, Marked: !math.IsNaN(c.At)})
	}
	return checks
}
