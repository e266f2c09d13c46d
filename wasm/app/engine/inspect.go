package engine

import (
	"strings"

	"plateau/core/cell"
	"plateau/core/demo"
	"plateau/core/inspect"
	"plateau/core/measure"
	"plateau/core/plan"
	"plateau/core/publish"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// Bounds of what is read off meters, in base units and mm.
const (
	leastOhms, mostOhms = 1e-4, 10
	mostVolts           = 1000
	leastMM, mostMM     = 0.3, 1000
)

// reading is a field's value in the base unit of what it is. Its digits may stand
// in groups. Of one that is out of bounds by a slip of the unit, it says so.
func (t *form) reading(field, text string, of quantity.Kind, unit string, least, most float64) float64 {
	text = strings.Join(strings.Fields(text), "")
	if of == quantity.None {
		text = strings.TrimSuffix(text, unit)
	}
	x := t.number(field, text, of, unit, -1e300, 1e300)
	if text == "" || t.errors[field] != "" || x >= least && x <= most {
		return x
	}
	y := x * 1e3
	if y > most {
		y = x / 1e3
	}
	why := say.With("%s cannot be right here.", clip(text))
	if y >= least && y <= most {
		if u, ok := quantity.UnitOf(unit, of); ok {
			y /= u.Factor
		}
		why = say.With("%s cannot be right here. If the unit slipped, type %g %s.", clip(text), y, unit)
	}
	t.fault(field, why)
	return 0
}

// arrive reads what was measured of a cell as it came.
func (k *known) arrive() {
	w, t := &k.typed.Arrived, &form{k.errors}
	k.arrived = cell.Arrived{Voltage: t.reading("arrived.voltage", w.Voltage, quantity.Voltage, "V", -mostVolts, mostVolts),
		Diameter:   t.reading("arrived.diameter", w.Diameter, quantity.None, "mm", leastMM, mostMM),
		Length:     t.reading("arrived.length", w.Length, quantity.None, "mm", leastMM, mostMM),
		Resistance: t.reading("arrived.resistance", w.Resistance, quantity.Resistance, "mΩ", leastOhms, mostOhms)}
	k.arrived.HasVoltage = strings.TrimSpace(w.Voltage) != "" && t.errors["arrived.voltage"] == ""
	if w.Day != "" && !isDay(w.Day) {
		t.fault("arrived.day", say.With("“%s” is no day. Type one such as 2026-11-25.", clip(w.Day)))
	}
	k.errors = t.errors
}

// inspected are the findings of the incoming inspection by cell.
func (e *Engine) inspected() map[string][]measure.Finding {
	var list []inspect.Sample
	for _, name := range e.cellOrder {
		k := e.cells[name]
		if k == nil || k.arrived == (cell.Arrived{}) && k.Mass == 0 {
			continue
		}
		s := inspect.Sample{Cell: k.whole, Arrived: k.arrived}
		s.Name, s.Model = name, modelOf(k.whole)
		for _, r := range e.all(nil) {
			if r.cell != name || r.late || s.Resistance == 0 {
				continue
			}
			// The budget takes long: no other than a lower one is of interest.
			if x, ok := r.stepResistance(); ok && x.Ohm < s.Resistance && (s.Loaded == 0 || x.Ohm < s.Loaded) {
				s.Loaded, s.LoadedU = x.Ohm, measure.ResistanceBudget(r.Run, x, r.use).Expanded()
			}
		}
		list = append(list, s)
	}
	all := map[string][]measure.Finding{}
	for k, found := range inspect.Samples(list, e.words) {
		all[list[k].Name] = found
	}
	return all
}

// arrivedTyped is an inspection as if typed.
func (e *Engine) arrivedTyped(a demo.Arrival) wire.Arrived {
	return wire.Arrived{Day: a.Day, Voltage: e.typed(a.Voltage, 1), Diameter: e.typed(a.Diameter, 1), Length: e.typed(a.Length, 1),
		Resistance: e.typed(a.Resistance, 1e-3), Remark: a.Remark}
}

// makePlan makes the plan, and says of which samples it asks what is not to be done.
func (e *Engine) makePlan(r plan.Request) plan.Plan {
	p, all := plan.Make(r), e.inspected()
	var warnings []plan.Finding
	for _, c := range r.Cells {
		for _, f := range all[c.Name] {
			if f.Safety {
				warnings = append(warnings, plan.Finding{Severity: f.Severity, Field: "cells", Current: -1, Cells: []string{c.Name}, Text: f.Text, Do: f.Do, Rule: f.Rule, Safety: true})
			}
		}
	}
	p.Findings = append(warnings, p.Findings...)
	return p
}

// postInspected puts inspections into a post. Two printed pages have room for what
// was found alone.
func (e *Engine) postInspected(cells []publish.Cell, found bool) {
	all := e.inspected()
	for n := range cells {
		c := &cells[n]
		k := e.cells[c.Name]
		if k == nil {
			continue
		}
		a, i := &k.typed.Arrived, &c.Inspection
		if i.Remark = clipTo(a.Remark, 300); !found {
			i.Arrived = k.arrived
		}
		if isDay(a.Day) {
			i.Day = a.Day
		}
		for _, f := range all[c.Name] {
			i.Checks = append(i.Checks, publish.Check{Severity: f.Severity.String(), Text: f.Text, Safety: f.Safety})
		}
	}
}
