//go:build js && wasm

package page

import (
	"strconv"
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// cellField is a control of a cell's form. Before is what its label leaves to
// what stands before it. Texts are kept in English.
type cellField struct {
	field, label, before string
	size                 int
}

// cellGroups are the fields of a cell, as they are labelled and grouped.
var cellGroups = []struct {
	title, hint string
	fields      []cellField
}{
	{say.Later("Identity"), "", []cellField{{"name", say.Later("Cell"), "", 14}, {"model", say.Later("Model"), "", 14}, {"sample", say.Later("Sample"), "", 5}, {"chemistry", say.Later("Chemistry"), "", 0},
		{"size", say.Later("Size"), "", 9}, {"mass", say.Later("Mass / g"), "", 6}, {"marking", say.Later("Marking"), "", 14}, {"price", say.Later("Price"), "", 6}, {"currency", say.Later("Currency"), "", 5}, {"notes", say.Later("Notes"), "", 0}}},
	{say.Later("Claims"), say.Later("Left empty, “at” is 0.2 It (in A, a fifth of the rated capacity in Ah), and “down to” is the cut-off below."),
		[]cellField{{"rated", say.Later("Rated / Ah"), "", 6}, {"ratedCurrent", say.Later("at / A"), say.Later("Rated capacity"), 5}, {"ratedCutoff", say.Later("down to / V"), say.Later("Rated capacity"), 5},
			{"minimum", say.Later("Minimum / Ah"), "", 6}, {"minimumCurrent", say.Later("at / A"), say.Later("Minimum capacity"), 5}, {"minimumCutoff", say.Later("down to / V"), say.Later("Minimum capacity"), 5},
			{"typical", say.Later("Typical / Ah"), "", 6}, {"typicalCurrent", say.Later("at / A"), say.Later("Typical capacity"), 5}, {"typicalCutoff", say.Later("down to / V"), say.Later("Typical capacity"), 5}}},
	{say.Later("Voltages and currents"), "", []cellField{{"cutoff", say.Later("Cut-off / V"), "", 6}, {"nominal", say.Later("Nominal / V"), "", 6}, {"chargeVoltage", say.Later("Charge voltage / V"), "", 6},
		{"chargeCurrent", say.Later("Standard charge / A"), "", 6}, {"maxCharge", say.Later("Max. charge / A"), "", 6}, {"chargeEnd", say.Later("Ending current / A"), "", 6},
		{"maxCurrent", say.Later("Max. current / A"), "", 6}, {"series", say.Later("In series"), "", 4}}},
	{say.Later("Temperature and rest"), "", []cellField{{"minTemp", say.Later("Min. temp. / °C"), "", 6}, {"maxTemp", say.Later("Max. temp. / °C"), "", 6}, {"rest", say.Later("Rest after charge"), "", 0}}},
	{say.Later("As new, by the datasheet"), "", []cellField{{"sheetMass", say.Later("Mass of the datasheet / g"), "", 6}, {"maxResistance", say.Later("Max. a.c. resistance / mΩ"), "", 6}}},
	{say.Later("Where it is from"), "", []cellField{{"bought", say.Later("Bought from, and when"), "", 20}, {"lot", say.Later("Lot"), "", 10}, {"dateCode", say.Later("Date code"), "", 10}, {"wrapper", say.Later("Doubts about the wrapper"), "", 24}}},
}

// cellChoices are the fields that are chosen from a list.
var cellChoices = map[string][][2]string{
	"chemistry": {{"", say.Later("by its voltage")}, {"ion", say.Later("lithium ion, 3.6 V")}, {"phosphate", say.Later("iron phosphate, 3.2 V")}, {"titanate", say.Later("titanate, 2.4 V")}},
	"rest":      {{"", say.Later("1 h to 4 h, as IEC 61960-3 has it")}, {"datasheet", say.Later("within 1 h, as the datasheet has it")}},
}

// mkCellForm is the form of a cell, empty.
func mkCellForm(id, name string) markup {
	var groups markup
	for _, g := range cellGroups {
		var boxes markup
		for _, f := range g.fields {
			boxes += mkCellField(id+"-"+f.field, f)
		}
		var hint markup
		if g.hint != "" {
			hint = mk("p", with("class=hint"), say.Text(g.hint))
		}
		groups += mk("fieldset", with("class=group"), mk("legend", nil, say.Text(g.title)), hint, mk("div", with("class=fields"), boxes))
	}
	return groups + mk("p", with("class=hint cell-foot"), mk("span", with("class=cell-said")),
		mk("button", with("type=button", "class=quiet", "data-act=forget", "aria-label="+say.With("Forget the figures of %s", name)), say.Text("Forget")))
}

func mkCellField(id string, f cellField) markup {
	label := mkText(say.Text(f.label))
	if f.before != "" {
		label = mk("span", with("class=unseen"), say.Text(f.before)+", ") + label
	}
	attributes := with("id="+id, "data-field="+f.field, "autocomplete=off")
	var control, more markup
	switch choices := cellChoices[f.field]; {
	case choices != nil:
		var options markup
		for _, c := range choices {
			options += mk("option", with("value="+c[0]), say.Text(c[1]))
		}
		control = mk("select", attributes, options)
	case f.field == "notes":
		control = mk("textarea", append(attributes, "rows=2"))
	default:
		mode := "inputmode=text"
		if strings.Contains(f.label, " / ") || f.field == "price" {
			mode = "inputmode=decimal"
		}
		control = mk("input", append(attributes, "type=text", "spellcheck=false", "size="+strconv.Itoa(f.size), mode))
	}
	switch f.field {
	case "series":
		more = mk("strong", with("class=ask"))
	case "size":
		more = mk("span", with("class=hint size-words"))
	}
	class := "class=box"
	if f.before == "" {
		class = "class=box first"
	}
	return mk("div", with(class, "data-of="+f.field), mk("label", with("for="+id), label), control, more)
}

// asTyped is a cell without what the engine says of it.
func asTyped(c wire.Cell) wire.Cell {
	c.Was, c.Errors, c.Checks, c.Runs, c.Ask, c.From, c.Samples, c.SizeWords = "", nil, nil, 0, "", "", 0, ""
	return c
}

// hasSheet tells whether anything of a cell's datasheet is known.
func hasSheet(c *wire.Cell) bool {
	return c.Rated+c.Minimum+c.Typical+c.Cutoff+c.Nominal+c.ChargeVoltage+c.ChargeCurrent+c.MaxCharge+c.ChargeEnd+c.MaxCurrent+c.MinTemp+c.MaxTemp+c.SheetMass+c.MaxResistance+c.From != ""
}

// isTold tells whether anything was typed of a cell but its name.
func isTold(c *wire.Cell) bool {
	own := *c
	own.From = ""
	return hasSheet(&own) || c.Arrived != (wire.Arrived{}) || c.Model+c.Sample+c.Chemistry+c.Size+c.Mass+c.Marking+c.Price+c.Currency+c.Notes+c.Series+c.Rest+c.Bought+c.Lot+c.DateCode+c.Wrapper+
		c.RatedCurrent+c.RatedCutoff+c.MinimumCurrent+c.MinimumCutoff+c.TypicalCurrent+c.TypicalCutoff != ""
}

// commitCell sends what is typed of a cell.
func (p *page) commitCell(item dom.Element) {
	var c wire.Cell
	was := item.GetAttribute("data-cell")
	if of := p.cellNamed(was); of != nil {
		c = asTyped(*of) // the form may have a part of it alone
	}
	if err := readForm(item, &c); err != nil {
		alarm(say.With("The cell’s figures cannot be taken: %s", err))
		return
	}
	if c.Name == "" {
		c.Name = was
	}
	row := p.cellRows[was]
	row.taken, p.cellsDue = "", true
	if c.Name != was && p.cellNamed(c.Name) != nil { // the rest is taken
		row.taken, c.Name = c.Name, was
	}
	now := c.Name
	if c.Name == was {
		p.bench.keepCells(c)
	} else {
		p.bench.keepCells(wire.Cell{Name: was}, c)
		c.Was = was
		// So that the row stays, and the focus in it.
		p.cellRows[c.Name] = row
		delete(p.cellRows, was)
		row.item.SetAttribute("data-cell", c.Name)
		item.SetAttribute("data-cell", c.Name)
		for _, r := range p.view.Runs {
			if r.Cell == was { // a new engine would guess again
				p.settled = append(p.settled, wire.Command{Do: "assign", Run: r.ID, Text: c.Name})
			}
		}
		for k := range p.grid.rows {
			if p.grid.rows[k].Cell == was {
				p.grid.rows[k].Cell = c.Name
			}
		}
	}
	// What is taken back is not to come again from an earlier visit.
	p.recalledCells[was], p.recalledCells[now] = false, false
	p.set(wire.Command{Do: "cell", Cell: &c}, func(*wire.View) map[string]string {
		if row.taken != "" {
			return map[string]string{"name": row.nameTaken()}
		}
		if of := p.cellNamed(now); of != nil {
			return of.Errors
		}
		return nil
	})
}
