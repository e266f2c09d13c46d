package engine

import (
	"fmt"
	"math"
	"strings"

	"plateau/core/cell"
	"plateau/core/compare"
	"plateau/core/measure"
	"plateau/core/paste"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/typed"
	"plateau/wasm/app/wire"
)

// typedRun is a discharge that a person typed from the tester's display.
type typedRun struct {
	wire.TypedRun
	id, name string
	row      typed.Row
	level    level
}

const (
	mostTyped = 2000 // rows
	usualFull = 4.2  // V, charge voltage of the common kinds; common practice, no source
)

// ok says that it gives figures.
func (t typedRun) ok() bool { return t.level.err == nil && t.row.Cell != "" && t.row.Capacity > 0 }

// cutoff is the voltage in V that it went down to, else the cell's; 0 where
// neither is known.
func (t typedRun) cutoff(c cell.Cell) float64 {
	if t.row.Cutoff > 0 {
		return t.row.Cutoff
	}
	return c.Cutoff
}

// setTyped takes the whole grid.
func (e *Engine) setTyped(rows []wire.TypedRun) {
	e.typedRuns = nil
	for k, w := range rows[:min(len(rows), mostTyped)] {
		w.Errors, w.Average, w.Checks, w.Offers = nil, "", nil, nil
		w.Void = clipTo(strings.TrimSpace(w.Void), 300)
		e.typedRuns = append(e.typedRuns, typedRun{TypedRun: w, id: fmt.Sprintf("t.%d", k+1)})
	}
	e.checkTyped()
}

// checkTyped reads the typed runs and says what is doubtful in them.
func (e *Engine) checkTyped() {
	var rows []typed.Row
	for k := range e.typedRuns {
		t := &e.typedRuns[k]
		e.readTyped(t)
		rows = append(rows, t.row)
	}
	of := func(name string) typed.Kind {
		c, k := e.cellNamed(name), typed.Ion
		switch kindOf(c, 0) {
		case compare.IronPhosphate:
			k = typed.Phosphate
		case compare.Titanate:
			k = typed.Titanate
		}
		if c.Cutoff > 0 {
			k.Cutoff = c.Cutoff
		}
		if c.ChargeVoltage > 0 {
			k.Charge = c.ChargeVoltage
		}
		k.Cells = c.Cells()
		return k
	}
	for _, r := range typed.Check(rows, of, e.words) {
		t := &e.typedRuns[r.Row]
		t.Checks = append(t.Checks, wire.Check{Severity: r.Severity, Text: r.Says, Do: r.Do, Rule: r.Rule, Source: r.Source})
		for _, o := range r.Offers {
			t.Offers = append(t.Offers, wire.Offer{Field: o.Field, Text: o.Text, Why: o.Why})
		}
	}
}

// readTyped reads one row.
func (e *Engine) readTyped(t *typedRun) {
	f := &form{}
	w := &t.TypedRun
	t.row = typed.Row{Cell: clipTo(strings.TrimSpace(w.Cell), 100), CapacityText: strings.TrimSpace(w.Capacity), EnergyText: strings.TrimSpace(w.Energy)}
	t.row.Current = f.number("current", w.Current, quantity.Current, "A", 1e-3, 1e5)
	t.row.Capacity = f.number("capacity", w.Capacity, quantity.Charge, "Ah", 1e-4, 1e5)
	t.row.Energy = f.number("energy", w.Energy, quantity.Energy, "Wh", 1e-4, 1e6)
	t.row.Cutoff = f.number("cutoff", w.Cutoff, quantity.Voltage, "V", 0.5, 1500)
	w.Average, w.Checks, w.Offers, w.Errors = "", nil, nil, nil
	empty := w.Cell+w.Current+w.Capacity+w.Energy+w.Cutoff == ""
	if !empty {
		ask := func(field, typed, question string) {
			if strings.TrimSpace(typed) == "" {
				f.fault(field, question)
			}
		}
		ask("cell", w.Cell, say.Text("Of which cell?"))
		ask("current", w.Current, say.Text("At which current?"))
		ask("capacity", w.Capacity, say.Text("How many Ah?"))
	}
	w.Errors = f.errors
	t.name = say.With("%s %s A, typed", t.row.Cell, e.significant(t.row.Current, 3))
	c := e.cellNamed(t.row.Cell)
	t.level.res, t.level.budgets, t.level.err = measure.Typed(measure.Display{
		Capacity: t.row.Capacity, CapacityStep: lastDigit(t.row.CapacityText, quantity.Charge, "Ah"),
		Energy: t.row.Energy, EnergyStep: lastDigit(t.row.EnergyText, quantity.Energy, "Wh"),
		Current: t.row.Current, Cutoff: t.cutoff(c)}, e.spec)
	t.level.use = e.spec.For(usualFull, t.row.Current)
	if a := t.level.res.Average; t.level.err == nil && !math.IsNaN(a) {
		w.Average = e.words.Fixed(a, 3)
	}
}

// lastDigit is one step of the last digit of a number as typed, in the base unit.
func lastDigit(text string, of quantity.Kind, unit string) float64 {
	number := strings.TrimRight(text, " abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
	d := 0
	if k := strings.LastIndexAny(number, ".,"); k >= 0 {
		d = len(number) - k - 1
	}
	step := math.Pow(10, -float64(d))
	if u, ok := quantity.UnitOf(strings.TrimSpace(text[len(number):]), of); ok {
		step *= u.Factor
	}
	return step
}

func (e *Engine) typedViews() []wire.TypedRun {
	views := []wire.TypedRun{}
	for _, t := range e.typedRuns {
		views = append(views, t.TypedRun)
	}
	return views
}

// paste reads a pasted table; nothing is changed by it.
func (e *Engine) paste(c wire.Command) *wire.Pasted {
	read := paste.Cells
	if c.Show == "typed" {
		read = paste.Typed
	}
	rows, how, problems, err := read(c.Text)
	out := &wire.Pasted{Read: how}
	if out.Read == nil {
		out.Read = []string{}
	}
	for _, p := range problems {
		out.Problems = append(out.Problems, wire.LeftOut{Line: p.Line, Reason: p.Reason})
	}
	if err != nil {
		out.Why = sentence(err.Error())
		return out
	}
	for _, r := range rows {
		if c.Show == "typed" {
			out.Typed = append(out.Typed, wire.TypedRun{Cell: r["cell"], Current: r["current"], Capacity: r["capacity"], Energy: r["energy"], Cutoff: r["cutoff"]})
			continue
		}
		w := wire.Cell{Name: r["name"], Model: r["model"], Sample: r["sample"], Chemistry: chemistryOf(r["chemistry"]), Size: r["size"], Mass: r["mass"],
			Marking: r["marking"], Price: r["price"], Currency: r["currency"], Notes: r["notes"],
			Rated: r["rated"], RatedCurrent: r["ratedCurrent"], RatedCutoff: r["ratedCutoff"],
			Minimum: r["minimum"], MinimumCurrent: r["minimumCurrent"], MinimumCutoff: r["minimumCutoff"],
			Typical: r["typical"], TypicalCurrent: r["typicalCurrent"], TypicalCutoff: r["typicalCutoff"],
			Cutoff: r["cutoff"], Nominal: r["nominal"], ChargeVoltage: r["chargeVoltage"], ChargeCurrent: r["chargeCurrent"], MaxCharge: r["maxCharge"],
			ChargeEnd: r["chargeEnd"], MaxCurrent: r["maxCurrent"], MinTemp: r["minTemp"], MaxTemp: r["maxTemp"],
			Bought: r["bought"], Lot: r["lot"], DateCode: r["dateCode"], Wrapper: r["wrapper"]}
		_, w.Errors = e.cellOf(w)
		out.Cells = append(out.Cells, w)
	}
	return out
}

// chemistryOf takes the words of a table for a kind; what it does not know it
// leaves, to be seen at the field.
func chemistryOf(s string) string {
	l := strings.ToLower(s)
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(l, w) {
				return true
			}
		}
		return false
	}
	switch {
	case has("phos", "lfp", "fepo"):
		return string(cell.Phosphate)
	case has("titan", "lto"):
		return string(cell.Titanate)
	case has("nmc", "nca", "ncm", "lco", "lmo", "cobalt", "nickel", "mangan", "ion"):
		return string(cell.Ion)
	}
	return s
}
