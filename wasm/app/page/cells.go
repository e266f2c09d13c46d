//go:build js && wasm

package page

import (
	"fmt"
	"strconv"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// cellFields are the figures of a datasheet, as they are labelled.
var cellFields = []struct{ field, label string }{
	{"rated", "Rated / Ah"}, {"cutoff", "Cut-off / V"}, {"nominal", "Nominal / V"},
	{"chargeVoltage", "Charge to / V"}, {"chargeEnd", "Charge ends / A"},
	{"maxCurrent", "Max. current / A"}, {"maxTemp", "Max. temp. / °C"},
	{"size", "Size"}, {"series", "In series"},
}

func (p *page) listenCells() {
	list := byID("cells-list")
	on(list, "change", func(t dom.Element) {
		if item := closest(t, "li[data-cell]"); item != nil {
			p.commitCell(item)
		}
	})
	on(list, "click", func(t dom.Element) {
		b, item := closest(t, "button"), closest(t, "li[data-cell]")
		if b == nil || item == nil {
			return
		}
		name := item.GetAttribute("data-cell")
		p.bench.keepCell(wire.Cell{Name: name})
		p.set(wire.Command{Do: "cell", Cell: &wire.Cell{Name: name}}, noErrors)
		focus(findIn(item, "input"))
		say("What was typed of " + name + " is forgotten.")
	})
}

func noErrors(*wire.View) map[string]string { return nil }

// commitCell sends what is typed of a cell.
func (p *page) commitCell(item dom.Element) {
	var c wire.Cell
	if err := readForm(item, &c); err != nil {
		alarm("The cell’s figures cannot be taken: " + err.Error())
		return
	}
	was := item.GetAttribute("data-cell")
	if c.Name == "" {
		c.Name = was
	}
	kept := c
	if c.Name != was {
		c.Was = was
		item.SetAttribute("data-cell", c.Name) // so that the row stays, and the focus in it
		p.bench.keepCell(wire.Cell{Name: was})
	}
	delete(p.recalledCells, was)
	p.bench.keepCell(kept)
	p.set(wire.Command{Do: "cell", Cell: &c}, func(v *wire.View) map[string]string {
		for _, now := range v.Cells {
			if now.Name == c.Name {
				return now.Errors
			}
		}
		return nil
	})
}

// recallCells tells the engine what was typed of a cell at an earlier visit,
// once there is one of that name of which it knows nothing.
func (p *page) recallCells() {
	for _, c := range p.view.Cells {
		if _, done := p.recalledCells[c.Name]; done || hasFigures(c) {
			continue
		}
		if kept, ok := p.bench.cell(c.Name); ok {
			p.recalledCells[c.Name] = true
			p.set(wire.Command{Do: "cell", Cell: &kept}, noErrors)
		}
	}
}

// hasFigures tells whether anything is known of a cell but its name.
func hasFigures(c wire.Cell) bool {
	return c.Rated+c.Cutoff+c.ChargeVoltage+c.ChargeEnd+c.MaxCurrent+c.MaxTemp+c.Nominal+c.Size+c.Series+c.Rest != ""
}

func (p *page) renderCells() {
	if p.setting > 0 {
		return
	}
	list := byID("cells-list")
	items := map[string]dom.Element{}
	same := true
	for k, item := range findAllIn(list, "li[data-cell]") {
		name := item.GetAttribute("data-cell")
		items[name] = item
		same = same && k < len(p.view.Cells) && p.view.Cells[k].Name == name
	}
	same = same && len(items) == len(p.view.Cells)
	var nodes []dom.Node
	filled, ask := 0, ""
	for _, c := range p.view.Cells {
		item := items[c.Name]
		if item == nil {
			p.cellsMade++
			item = cellItem(c.Name, "cell-"+strconv.Itoa(p.cellsMade))
		}
		p.fillCell(item, c)
		nodes = append(nodes, item)
		if hasFigures(c) {
			filled++
		}
		if c.Ask != "" && ask == "" {
			ask = c.Name + ": " + c.Ask
		}
	}
	if !same { // not otherwise, since it takes the focus away
		fill(list, nodes)
	}
	state := count1(len(nodes), "cell")
	switch {
	case filled == 0:
		state += ", no datasheet figures"
	case filled < len(nodes):
		state += fmt.Sprintf(", datasheet figures of %d", filled)
	default:
		state += ", with datasheet figures"
	}
	if ask != "" {
		state += "."
	}
	setText(byID("cells-state"), state)
	setText(byID("cells-ask"), ask)
}

func cellItem(name, id string) dom.Element {
	fields := el("div", with("class=fields"), box("Cell", blank(id+"-name", "name", "size=16")))
	for _, f := range cellFields {
		size, mode := "size=6", "inputmode=decimal"
		if f.field == "size" {
			size, mode = "size=9", "inputmode=text"
		}
		b := box(f.label, blank(id+"-"+f.field, f.field, size, mode))
		if f.field == "series" {
			b.AppendChild(el("strong", with("class=ask")))
		}
		fields.AppendChild(b)
	}
	rest := el("select", with("id="+id+"-rest", "data-field=rest"),
		el("option", with("value="), "1 h to 4 h, as IEC 61960-3 has it"), el("option", with("value=datasheet"), "within 1 h, as the datasheet has it"))
	return el("li", with("class=cell", "data-cell="+name), fields,
		el("p", with("class=hint"), el("span", with("class=cell-runs")), el("label", nil, "Rest after charge: ", rest),
			el("button", with("type=button", "class=quiet", "aria-label=Forget the figures of "+name), "Forget")))
}

func (p *page) fillCell(item dom.Element, c wire.Cell) {
	fillForm(item, c, c.Errors)
	text := count1(c.Runs, "discharge") + "."
	_, kept := p.bench.cell(c.Name)
	switch {
	case p.recalledCells[c.Name]:
		text += " Filled in as you typed it at an earlier visit."
	case kept:
		text += " Remembered in this browser for logs of this cell."
	}
	setText(findIn(item, ".cell-runs"), text)
	show(findIn(item, "button"), kept)
	setText(findIn(item, ".ask"), c.Ask)
}
