package engine

import (
	"slices"
	"strconv"
	"strings"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// known is a cell on the page: as typed, and as understood.
type known struct {
	typed wire.Cell
	cell.Cell
	// whole is the cell with the datasheet of its model, from another sample
	// where it has none of its own.
	whole   cell.Cell
	arrived cell.Arrived
	from    string
	errors  map[string]string
}

// most cells that are taken.
const mostCells = 1000

// cellOf reads a cell's figures off the wire.
func (e *Engine) cellOf(w wire.Cell) (cell.Cell, map[string]string) {
	t := &form{}
	text := func(s string) string { return clipTo(strings.TrimSpace(s), 300) }
	c := cell.Cell{Name: text(w.Name), Model: text(w.Model), Sample: text(w.Sample), Chemistry: cell.Chemistry(w.Chemistry), Size: text(w.Size),
		Marking: text(w.Marking), Currency: text(w.Currency), Notes: clipTo(strings.TrimSpace(w.Notes), 3000), RestByDatasheet: w.Rest == "datasheet",
		Bought: text(w.Bought), Lot: text(w.Lot), DateCode: text(w.DateCode), Wrapper: text(w.Wrapper)}
	c.Mass = t.plain("mass", w.Mass, "g", 1e5)
	c.SheetMass, c.MaxResistance = t.plain("sheetMass", w.SheetMass, "g", 1e5), t.reading("maxResistance", w.MaxResistance, quantity.Resistance, "mΩ", leastOhms, mostOhms)
	c.Price = t.plain("price", w.Price, w.Currency, 1e6)
	charge := func(field, s string) float64 { return t.number(field, s, quantity.Charge, "Ah", 1e-3, 1e4) }
	amps := func(field, s string) float64 { return t.number(field, s, quantity.Current, "A", 1e-4, 1e5) }
	volts := func(field, s string, least float64) float64 {
		return t.number(field, s, quantity.Voltage, "V", least, 5)
	}
	c.Rated, c.Minimum, c.Typical = charge("rated", w.Rated), charge("minimum", w.Minimum), charge("typical", w.Typical)
	c.RatedAt = cell.Condition{Current: amps("ratedCurrent", w.RatedCurrent), Cutoff: volts("ratedCutoff", w.RatedCutoff, 0.5)}
	c.MinimumAt = cell.Condition{Current: amps("minimumCurrent", w.MinimumCurrent), Cutoff: volts("minimumCutoff", w.MinimumCutoff, 0.5)}
	c.TypicalAt = cell.Condition{Current: amps("typicalCurrent", w.TypicalCurrent), Cutoff: volts("typicalCutoff", w.TypicalCutoff, 0.5)}
	c.Cutoff, c.ChargeVoltage, c.Nominal = volts("cutoff", w.Cutoff, 0.5), volts("chargeVoltage", w.ChargeVoltage, 1), volts("nominal", w.Nominal, 1)
	c.ChargeCurrent, c.MaxCharge, c.ChargeEnd = amps("chargeCurrent", w.ChargeCurrent), amps("maxCharge", w.MaxCharge), amps("chargeEnd", w.ChargeEnd)
	c.MaxCurrent = amps("maxCurrent", w.MaxCurrent)
	c.MaxTemp = t.number("maxTemp", w.MaxTemp, quantity.Temperature, "°C", 20, 200)
	c.MinTemp = t.number("minTemp", w.MinTemp, quantity.Temperature, "°C", -100, 60)
	c.HasMinTemp = strings.TrimSpace(w.MinTemp) != "" && t.errors["minTemp"] == ""
	if s := strings.TrimSpace(w.Series); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 || n > 300 {
			t.fault("series", say.With("“%s” is no number of cells in series. Type one such as 10.", clip(s)))
		} else {
			c.Series = n
		}
	}
	switch c.Chemistry {
	case "", cell.Ion, cell.Phosphate, cell.Titanate:
	default:
		t.fault("chemistry", say.With("“%s” is none of the kinds in the list.", clip(w.Chemistry)))
		c.Chemistry = ""
	}
	if c.Size != "" {
		if _, err := cell.ParseDesignation(c.Size); err != nil {
			t.fault("size", sentence(err.Error()))
		}
	}
	for _, x := range c.Contradictions(e.words) {
		if t.errors[x.Field] == "" {
			t.fault(x.Field, x.Says)
		}
	}
	// What cannot be is not reckoned with.
	if c.Cutoff > 0 && c.ChargeVoltage > 0 && c.Cutoff >= c.ChargeVoltage {
		c.Cutoff = 0
	}
	return c, t.errors
}

// setCell takes a cell's figures; where it had another name before, its runs
// come with it.
func (e *Engine) setCell(w *wire.Cell) {
	if w == nil || strings.TrimSpace(w.Name) == "" {
		return
	}
	name := clipTo(strings.TrimSpace(w.Name), 100)
	k := &known{typed: *w}
	k.typed.Name, k.typed.Was = name, ""
	was := strings.TrimSpace(w.Was)
	if was != "" && was != name && slices.Contains(e.cellNames(), name) {
		// Two cells of one name: neither is lost.
		e.nameTaken(was, name)
		return
	}
	if was != "" && was != name {
		for _, r := range e.all(nil) {
			if r.cell == was {
				e.assign(r.id, name)
			}
		}
		for i := range e.typedRuns {
			if e.typedRuns[i].Cell == was {
				e.typedRuns[i].Cell = name
			}
		}
		if at := slices.Index(e.cellOrder, was); at >= 0 {
			e.cellOrder[at] = name
		}
		if at := slices.Index(e.plan.Without, was); at >= 0 {
			e.plan.Without = slices.Clone(e.plan.Without) // the history has the other
			e.plan.Without[at] = name
		}
		delete(e.cells, was)
	}
	if e.cells == nil {
		e.cells = map[string]*known{}
	}
	if e.cells[name] == nil && len(e.cells) >= mostCells {
		return
	}
	if !slices.Contains(e.cellOrder, name) {
		e.cellOrder = append(e.cellOrder, name)
	}
	k.Cell, k.errors = e.cellOf(k.typed)
	k.arrive()
	e.cells[name] = k
	e.resolve()
}

// nameTaken says at a cell's field that its new name is another's.
func (e *Engine) nameTaken(was, name string) {
	k := e.cells[was]
	if e.cells == nil {
		e.cells = map[string]*known{}
	}
	if k == nil {
		k = &known{typed: wire.Cell{Name: was}, Cell: cell.Cell{Name: was}, whole: cell.Cell{Name: was}}
		e.cells[was] = k
		e.cellOrder = append(e.cellOrder, was)
	}
	if k.errors == nil {
		k.errors = map[string]string{}
	}
	k.errors["name"] = say.With("There is a cell “%s” already. Give this one another name, or move its discharges there.", clip(name))
}

// resolve gives each sample the datasheet of its model, and has runs measured
// anew whose cell is another now.
func (e *Engine) resolve() {
	names := e.cellOrder
	changed := map[string]bool{}
	for _, name := range names {
		k := e.cells[name]
		if k == nil {
			continue
		}
		whole, from := k.Cell, ""
		for _, other := range names {
			if o := e.cells[other]; o != nil && other != name && modelOf(o.Cell) == modelOf(k.Cell) {
				if with := whole.Inherit(o.Cell); with != whole {
					whole = with
					if from == "" {
						from = other
					}
				}
			}
		}
		if whole != k.whole || from != k.from {
			changed[name] = true
		}
		k.whole, k.from = whole, from
	}
	e.measureCells(changed)
}

func modelOf(c cell.Cell) string {
	if c.Model != "" {
		return c.Model
	}
	return c.Name
}

// dropCell forgets what was typed of a cell.
func (e *Engine) dropCell(name string) {
	name = strings.TrimSpace(name)
	if e.cells[name] == nil {
		return
	}
	delete(e.cells, name)
	e.cellOrder = slices.DeleteFunc(e.cellOrder, func(s string) bool { return s == name })
	e.resolve()
	e.measureCells(map[string]bool{name: true})
}

// cellNamed is what is known of a cell; nothing but its name where none of its
// figures were entered.
func (e *Engine) cellNamed(name string) cell.Cell {
	if k := e.cells[name]; k != nil {
		return k.whole
	}
	return cell.Cell{Name: name}
}

// cellNames lists the cells on the page: those of runs in their order, then
// those that were entered and have none.
func (e *Engine) cellNames() []string {
	var names []string
	seen := map[string]bool{}
	add := func(name string) {
		if name != "" && !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	for _, f := range e.files {
		for _, r := range f.runs {
			add(r.cell)
		}
	}
	for _, t := range e.typedRuns {
		if t.ok() {
			add(t.row.Cell)
		}
	}
	for _, name := range e.cellOrder {
		add(name)
	}
	return names
}

// cellViews are the cells as the page shows them.
func (e *Engine) cellViews() []wire.Cell {
	views := []wire.Cell{}
	runs, high, samples := map[string]int{}, map[string]float64{}, map[string]int{}
	for _, x := range e.entries() {
		runs[x.cell]++
		if x.run != nil {
			high[x.cell] = max(high[x.cell], x.run.res.Start)
		}
	}
	names := e.cellNames()
	inspected := e.inspected()
	for _, name := range names {
		samples[modelOf(e.cellNamed(name))]++
	}
	for _, name := range names {
		v := wire.Cell{Name: name}
		if k := e.cells[name]; k != nil {
			v = k.typed
			v.Errors, v.Ask, v.From = k.errors, "", k.from
		}
		c := e.cellNamed(name)
		v.Checks = checks(inspected[name])
		v.Runs, v.Samples = runs[name], samples[modelOf(c)]
		if high[name] > measure.PackFrom && c.Series <= 1 {
			v.Ask = say.With("It reads %s V: how many cells are in series?", e.words.Fixed(high[name], 1))
		}
		v.SizeWords = ""
		if d, err := cell.ParseDesignation(c.Size); err == nil && c.Size != "" {
			v.SizeWords = d.Words(e.words)
		}
		views = append(views, v)
	}
	return views
}

// cellTyped is the form as if typed.
func (e *Engine) cellTyped(c cell.Cell) wire.Cell {
	of := func(x float64) string { return e.typed(x, 1) }
	w := wire.Cell{Name: c.Name, Model: c.Model, Sample: c.Sample, Chemistry: string(c.Chemistry), Size: c.Size, Mass: of(c.Mass), Marking: c.Marking,
		Price: of(c.Price), Currency: c.Currency, Notes: c.Notes, Rated: of(c.Rated), RatedCurrent: of(c.RatedAt.Current), RatedCutoff: of(c.RatedAt.Cutoff),
		Minimum: of(c.Minimum), MinimumCurrent: of(c.MinimumAt.Current), MinimumCutoff: of(c.MinimumAt.Cutoff),
		Typical: of(c.Typical), TypicalCurrent: of(c.TypicalAt.Current), TypicalCutoff: of(c.TypicalAt.Cutoff),
		Cutoff: of(c.Cutoff), Nominal: of(c.Nominal), ChargeVoltage: of(c.ChargeVoltage), ChargeCurrent: of(c.ChargeCurrent), MaxCharge: of(c.MaxCharge),
		ChargeEnd: of(c.ChargeEnd), MaxCurrent: of(c.MaxCurrent), MinTemp: of(c.MinTemp), MaxTemp: of(c.MaxTemp), Series: of(float64(c.Series)),
		Bought: c.Bought, Lot: c.Lot, DateCode: c.DateCode, Wrapper: c.Wrapper, SheetMass: of(c.SheetMass), MaxResistance: of(1e3 * c.MaxResistance)}
	if c.RestByDatasheet {
		w.Rest = "datasheet"
	}
	return w
}
