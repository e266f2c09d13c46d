package engine

import (
	"fmt"
	"strconv"
	"strings"

	"plateau/core/cell"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/tester"
	"plateau/wasm/app/wire"
)

// form reads a form: fields as typed, into numbers in base units. What is wrong
// is listed by field and left out.
type form struct{ errors map[string]string }

func (t *form) fault(field, says string) {
	if t.errors == nil {
		t.errors = map[string]string{}
	}
	t.errors[field] = says
}

// number is a field's value in the base unit of what it is, where a bare number
// is in unit; 0 for an empty field.
func (t *form) number(field, text string, of quantity.Kind, unit string, least, most float64) float64 {
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
		t.fault(field, say.With("“%s” is no value in %s. Type a number such as 2.5.", clip(text), unit))
	case !(x >= least && x <= most):
		t.fault(field, say.With("%s %s cannot be right here.", clip(text), unit))
	default:
		return x
	}
	return 0
}

// plain is a number above zero that has no unit but the one that may be written
// behind it.
func (t *form) plain(field, text, unit string, most float64) float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0
	}
	x, ok := plainNumber(strings.TrimSpace(strings.TrimSuffix(text, unit)))
	switch {
	case !ok:
		t.fault(field, say.With("“%s” is no number. Type one such as 12.5.", clip(text)))
	case !(x > 0 && x <= most):
		t.fault(field, say.With("%s cannot be right here: it lies above 0 and up to %g.", clip(text), most))
	default:
		return x
	}
	return 0
}

// share is a percentage as a part of one; below zero counts as its size, since
// limits are written "±0.1" or "-0.1" too.
func (t *form) share(field, text string) float64 {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(text), "±"), "%"))
	if text == "" {
		return 0
	}
	x, ok := plainNumber(text)
	switch {
	case !ok:
		t.fault(field, say.With("“%s” is no percentage. Type a number such as 0.1.", clip(text)))
	case x < 0 || x > 50:
		t.fault(field, say.With("%s %% cannot be right here.", clip(text)))
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
	t := &form{}
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
	s.SetStep = t.number("step", w.Step, quantity.Current, "mA", 1e-6, 1e3)
	if text := strings.TrimSpace(w.Channels); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > 1000 {
			t.fault("channels", say.With("“%s” is no number of channels. Type one such as 4.", clip(text)))
		} else {
			s.Channels = n
		}
	}
	if s.Checked = strings.TrimSpace(w.Checked); s.Checked != "" {
		if !isDay(s.Checked) {
			t.fault("checked", say.With("“%s” is no day. Type one such as 2026-11-25.", clip(s.Checked)))
			s.Checked = ""
		}
	}
	return s, t.errors
}

// isDay tells whether s is a day of the calendar such as 2026-11-25.
func isDay(s string) bool {
	if len(s) != len("2026-11-25") {
		return false
	}
	var n [3]int
	at := 0
	for k, c := range []byte(s) {
		switch {
		case k == 4 || k == 7:
			if c != '-' {
				return false
			}
			at++
		case c < '0' || c > '9':
			return false
		default:
			n[at] = 10*n[at] + int(c-'0')
		}
	}
	year, month, day := n[0], n[1], n[2]
	if month < 1 || month > 12 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		days++
	}
	return day >= 1 && day <= days
}

// setTester takes a specification, and corrects the voltages where the leads'
// resistance is in them.
func (e *Engine) setTester(w *wire.Tester) {
	e.tester, e.demoTester = wire.Tester{}, false
	if w != nil {
		e.tester = *w
	}
	e.specs++
	lead := e.lead()
	for _, r := range e.all(nil) {
		r.levels = nil
	}
	e.spec, e.tester.Errors = specOf(e.tester)
	if e.lead() != lead {
		for _, f := range e.files {
			if f.log == nil || f.joined != 0 { // a part has its runs in the whole
				continue
			}
			colours := f.colours()
			e.findRuns(f)
			f.paint(colours)
		}
		e.colour()
	}
	e.measure()
	e.checkTyped()
}

// lead is the resistance in Ω by which voltages are corrected.
func (e *Engine) lead() float64 {
	if !e.spec.TwoWire {
		return 0
	}
	return e.spec.Lead
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

// testerTyped is the form as if typed.
func (e *Engine) testerTyped(s tester.Spec) wire.Tester {
	w := wire.Tester{Name: s.Name, TimeBase: e.typed(s.TimeBase, 0.01), Temperature: e.typed(s.Temperature, 1), MaxCurrent: e.typed(s.MaxCurrent, 1),
		MaxPower: e.typed(s.MaxPower, 1), Checked: s.Checked, Means: s.Means, Lead: e.typed(s.Lead, 1e-3), LeadError: e.typed(s.LeadError, 1e-3),
		Step: e.typed(s.SetStep, 1e-3), Channels: e.typed(float64(s.Channels), 1)}
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
