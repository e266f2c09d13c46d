package engine

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/tester"
	"plateau/wasm/app/wire"
)

// typed reads a form: fields as typed, into numbers in base units. What is wrong
// is listed by field and left out.
type typed struct{ errors map[string]string }

func (t *typed) fault(field, format string, args ...any) {
	if t.errors == nil {
		t.errors = map[string]string{}
	}
	t.errors[field] = fmt.Sprintf(format, args...)
}

// number is a field's value in the base unit of what it is, where a bare number
// is in unit; 0 for an empty field.
func (t *typed) number(field, text string, of quantity.Kind, unit string, least, most float64) float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0
	}
	x, err := quantity.Parse(text, of)
	if bare, ok := plainNumber(text); ok {
		u, known := quantity.UnitOf(unit, of)
		x, err = float64(bare*u.Factor), nil
		if !known {
			x = bare
		}
	}
	switch {
	case err != nil:
		t.fault(field, "“%s” is no value in %s. Type a number such as 2.5.", clip(text), unit)
	case !(x >= least && x <= most):
		t.fault(field, "%s %s cannot be right here.", clip(text), unit)
	default:
		return x
	}
	return 0
}

// share is a percentage as a part of one; below zero counts as its size, since
// limits are written "±0.1" or "-0.1" too.
func (t *typed) share(field, text string) float64 {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(text), "±"), "%"))
	if text == "" {
		return 0
	}
	x, ok := plainNumber(text)
	switch {
	case !ok:
		t.fault(field, "“%s” is no percentage. Type a number such as 0.1.", clip(text))
	case x < 0 || x > 50:
		t.fault(field, "%s %% cannot be right here.", clip(text))
	default:
		return x / 100
	}
	return 0
}

// plainNumber reads a number without a unit, with a point or a comma.
func plainNumber(s string) (float64, bool) {
	s = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(s), "±"))
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil && strings.Trim(s, "+-.0123456789eE") == ""
}

func clip(s string) string {
	if r := []rune(s); len(r) > 30 {
		return string(r[:30]) + "…"
	}
	return s
}

// specOf reads a tester's specification off the wire.
func specOf(w wire.Tester) (tester.Spec, map[string]string) {
	t := &typed{}
	s := tester.Spec{Name: strings.TrimSpace(w.Name), Means: strings.TrimSpace(w.Means)}
	if w.Basis == "calibration" {
		s.Basis = tester.Calibration
	}
	ranges := func(name string, list []wire.Range, of quantity.Kind, unit string, most float64) (out []tester.Range) {
		for k, r := range list[:min(len(list), 20)] {
			at := fmt.Sprintf("%s.%d.", name, k)
			out = append(out, tester.Range{
				UpTo: t.number(at+"upTo", r.UpTo, of, unit, 0, most), Gain: t.share(at+"gain", r.Gain),
				Offset:     t.number(at+"offset", strings.TrimPrefix(strings.TrimSpace(r.Offset), "±"), of, "m"+unit, 0, most),
				Resolution: t.number(at+"resolution", r.Resolution, of, "m"+unit, 0, most),
			})
		}
		return out
	}
	s.Voltage = ranges("voltage", w.Voltage, quantity.Voltage, "V", 1e3)
	s.Current = ranges("current", w.Current, quantity.Current, "A", 1e4)
	s.TimeBase = t.share("timeBase", w.TimeBase)
	s.Temperature = t.number("temperature", strings.TrimPrefix(strings.TrimSpace(w.Temperature), "±"), quantity.Temperature, "°C", 0, 50)
	s.TwoWire = w.Wires == "2"
	s.Lead = t.number("lead", w.Lead, quantity.Resistance, "mΩ", 0, 10)
	s.LeadError = t.number("leadError", strings.TrimPrefix(strings.TrimSpace(w.LeadError), "±"), quantity.Resistance, "mΩ", 0, 10)
	s.MaxCurrent = t.number("maxCurrent", w.MaxCurrent, quantity.Current, "A", 0, 1e4)
	s.MaxPower = t.number("maxPower", w.MaxPower, quantity.Power, "W", 0, 1e6)
	if s.Checked = strings.TrimSpace(w.Checked); s.Checked != "" {
		if _, err := time.Parse(time.DateOnly, s.Checked); err != nil {
			t.fault("checked", "“%s” is no day. Type one such as 2026-11-25.", clip(s.Checked))
			s.Checked = ""
		}
	}
	return s, t.errors
}

// cellOf reads a cell's datasheet figures off the wire.
func cellOf(w wire.Cell) (cell.Cell, map[string]string) {
	t := &typed{}
	c := cell.Cell{Name: strings.TrimSpace(w.Name), Size: strings.TrimSpace(w.Size), RestByDatasheet: w.Rest == "datasheet"}
	c.Rated = t.number("rated", w.Rated, quantity.Charge, "Ah", 1e-3, 1e4)
	c.Cutoff = t.number("cutoff", w.Cutoff, quantity.Voltage, "V", 0.5, 5)
	c.ChargeVoltage = t.number("chargeVoltage", w.ChargeVoltage, quantity.Voltage, "V", 1, 5)
	c.ChargeEnd = t.number("chargeEnd", w.ChargeEnd, quantity.Current, "A", 1e-4, 1e4)
	c.MaxCurrent = t.number("maxCurrent", w.MaxCurrent, quantity.Current, "A", 1e-3, 1e5)
	c.MaxTemp = t.number("maxTemp", w.MaxTemp, quantity.Temperature, "°C", 20, 200)
	c.Nominal = t.number("nominal", w.Nominal, quantity.Voltage, "V", 1, 5)
	if c.Cutoff > 0 && c.ChargeVoltage > 0 && c.Cutoff >= c.ChargeVoltage {
		t.fault("cutoff", "The cut-off lies above the charge voltage.")
		c.Cutoff = 0
	}
	if s := strings.TrimSpace(w.Series); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > 300 {
			t.fault("series", "“%s” is no number of cells in series. Type one such as 10.", clip(s))
		} else {
			c.Series = n
		}
	}
	if c.Size != "" && c.Volume() == 0 {
		t.fault("size", "“%s” tells no size. Type one such as 21700 or INR22/71.", clip(c.Size))
	}
	return c, t.errors
}

// known is a cell on the page: as typed, and as understood.
type known struct {
	typed wire.Cell
	cell.Cell
	errors map[string]string
}

// setTester takes a specification, and corrects the voltages where the leads'
// resistance is in them.
func (e *Engine) setTester(w *wire.Tester) {
	e.tester, e.demoTester = wire.Tester{}, false
	if w != nil {
		e.tester = *w
	}
	lead := e.lead()
	e.spec, e.tester.Errors = specOf(e.tester)
	if e.lead() != lead {
		for _, f := range e.files {
			if f.log == nil {
				continue
			}
			colours := f.colours()
			e.findRuns(f)
			f.paint(colours)
		}
		e.colour()
	}
	e.measure()
}

// lead is the resistance in Ω by which voltages are corrected.
func (e *Engine) lead() float64 {
	if !e.spec.TwoWire {
		return 0
	}
	return e.spec.Lead
}

// setCell takes a cell's figures; where it had another name before, its runs
// come with it.
func (e *Engine) setCell(w *wire.Cell) {
	if w == nil || strings.TrimSpace(w.Name) == "" {
		return
	}
	name := strings.TrimSpace(w.Name)
	k := &known{typed: *w}
	k.typed.Name, k.typed.Was = name, ""
	k.Cell, k.errors = cellOf(k.typed)
	if was := strings.TrimSpace(w.Was); was != "" && was != name {
		for _, r := range e.all(nil) {
			if r.cell == was {
				e.assign(r.id, name)
			}
		}
		delete(e.cells, was)
	}
	if e.cells == nil {
		e.cells = map[string]*known{}
	}
	e.cells[name] = k
	e.measure()
}

// cellNamed is what is known of a cell; nothing but its name where none of its
// figures were entered.
func (e *Engine) cellNamed(name string) cell.Cell {
	if k := e.cells[name]; k != nil {
		return k.Cell
	}
	return cell.Cell{Name: name}
}

// assign says of which cell a run is; an empty name goes back to the guess.
func (e *Engine) assign(id, name string) {
	if e.assigned == nil {
		e.assigned = map[string]string{}
	}
	if name = strings.TrimSpace(name); name == "" {
		delete(e.assigned, id)
	} else {
		e.assigned[id] = name
	}
	for _, r := range e.all(nil) {
		if r.id == id {
			e.name(r)
		}
	}
}

// name gives a run the cell that it is of.
func (e *Engine) name(r *run) {
	name, ok := e.assigned[r.id]
	r.guessed = !ok
	if !ok {
		name = cell.Guess(r.stem)
	}
	r.cell = name
	r.void = e.void[r.id]
}

// setVoid says why a run does not count; an empty reason has it count again.
func (e *Engine) setVoid(id, why string) {
	if e.void == nil {
		e.void = map[string]string{}
	}
	if why = strings.TrimSpace(why); why == "" {
		delete(e.void, id)
	} else {
		e.void[id] = clipTo(why, 300)
	}
	for _, r := range e.all(nil) {
		r.void = e.void[r.id]
	}
}

func clipTo(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n]) + "…"
	}
	return s
}

// cellNames lists the cells on the page: those of runs in their order, then
// those that were entered and have none.
func (e *Engine) cellNames() []string {
	var names []string
	for _, r := range e.all(nil) {
		if !slices.Contains(names, r.cell) {
			names = append(names, r.cell)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(e.cells)) {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// cellViews are the cells as the page shows them.
func (e *Engine) cellViews() []wire.Cell {
	views := []wire.Cell{}
	for _, name := range e.cellNames() {
		v := wire.Cell{Name: name}
		if k := e.cells[name]; k != nil {
			v = k.typed
			v.Errors, v.Runs, v.Ask = k.errors, 0, ""
		}
		var high float64
		for _, r := range e.all(nil) {
			if r.cell == name {
				v.Runs++
				high = max(high, r.res.Start)
			}
		}
		if high > measure.PackFrom && e.cellNamed(name).Series <= 1 {
			v.Ask = fmt.Sprintf("It reads %s V: how many cells are in series?", e.words.Fixed(high, 1))
		}
		views = append(views, v)
	}
	return views
}

// testerEmpty: nothing is said of the tester.
func testerEmpty(w wire.Tester) bool {
	return w.Name == "" && len(w.Voltage) == 0 && len(w.Current) == 0 && w.TimeBase == "" && w.Temperature == "" && w.Lead == "" && w.Wires != "2"
}

// typed writes a number as one types it into a form; nothing for nought.
func (e *Engine) typed(x, unit float64) string {
	if x == 0 {
		return ""
	}
	s := strconv.FormatFloat(x/unit, 'g', 6, 64)
	if e.words.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// cellTyped and testerTyped are the forms as if typed.
func (e *Engine) cellTyped(c cell.Cell) wire.Cell {
	w := wire.Cell{Name: c.Name, Rated: e.typed(c.Rated, 1), Cutoff: e.typed(c.Cutoff, 1), ChargeVoltage: e.typed(c.ChargeVoltage, 1), ChargeEnd: e.typed(c.ChargeEnd, 1),
		MaxCurrent: e.typed(c.MaxCurrent, 1), MaxTemp: e.typed(c.MaxTemp, 1), Nominal: e.typed(c.Nominal, 1), Size: c.Size, Series: e.typed(float64(c.Series), 1)}
	if c.RestByDatasheet {
		w.Rest = "datasheet"
	}
	return w
}

func (e *Engine) testerTyped(s tester.Spec) wire.Tester {
	w := wire.Tester{Name: s.Name, TimeBase: e.typed(s.TimeBase, 0.01), Temperature: e.typed(s.Temperature, 1), MaxCurrent: e.typed(s.MaxCurrent, 1),
		MaxPower: e.typed(s.MaxPower, 1), Checked: s.Checked, Means: s.Means, Lead: e.typed(s.Lead, 1e-3), LeadError: e.typed(s.LeadError, 1e-3)}
	if s.Basis == tester.Calibration {
		w.Basis = "calibration"
	}
	if s.TwoWire {
		w.Wires = "2"
	}
	ranges := func(list []tester.Range) (out []wire.Range) {
		for _, r := range list {
			out = append(out, wire.Range{UpTo: e.typed(r.UpTo, 1), Gain: e.typed(r.Gain, 0.01), Offset: e.typed(r.Offset, 1e-3), Resolution: e.typed(r.Resolution, 1e-3)})
		}
		return out
	}
	w.Voltage, w.Current = ranges(s.Voltage), ranges(s.Current)
	return w
}
