//go:build js && wasm

package page

import (
	"strconv"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// inspection is the table of samples as they came: a row is a part of the cell's
// form.
type inspection struct {
	names  string // that it has rows for
	wanted bool   // the cell that is added is to be typed into it
}

// inspectFields are its columns, as they are labelled in English.
var inspectFields = [...]struct{ field, label, kind string }{
	{"name", say.Later("Sample"), "size=12"}, {"model", say.Later("Model"), "list=typed-cells"}, {"arrived.voltage", say.Later("Open-circuit voltage / V"), "inputmode=decimal"},
	{"mass", say.Later("Mass / g"), "inputmode=decimal"}, {"arrived.diameter", say.Later("Diameter / mm"), "inputmode=decimal"}, {"arrived.length", say.Later("Length / mm"), "inputmode=decimal"},
	{"arrived.resistance", say.Later("A.c. resistance / mΩ"), "inputmode=decimal"}, {"arrived.day", say.Later("Day"), "type=date"}, {"arrived.remark", say.Later("Remark"), "size=16"},
}

func (p *page) listenInspect() {
	fold := byID("inspect-fold")
	on(fold, "toggle", func(dom.Element) { p.renderCells() })
	on(byID("inspect-table"), "change", func(t dom.Element) { p.commitCell(closest(t, "tbody")) })
	for _, id := range []string{"inspect-add", "inspect-open"} {
		on(byID(id), "click", func(dom.Element) {
			fold.Underlying().Set("open", true)
			p.inspection.wanted = true
			p.addCell()
		})
	}
}

// warnings is how many checks of a cell say not to charge it: they stand first.
func warnings(c *wire.Cell) (n int) {
	for n < len(c.Checks) && c.Checks[n].Safety {
		n++
	}
	return n
}

// renderInspect shows cells as they came, and what was found.
func (p *page) renderInspect(cells []*wire.Cell) {
	n, stop, names := 0, 0, ""
	for _, c := range cells {
		names += c.Name + "\n"
		if c.Arrived != (wire.Arrived{}) {
			n++
		}
		stop += min(1, warnings(c))
	}
	state, warning := say.Text("none yet"), ""
	if n > 0 {
		state = say.With("samples looked at: %d", n)
	}
	if stop > 0 {
		warning = "· " + say.With("not to be charged: %d", stop)
	}
	setText(byID("inspect-state"), state)
	setText(byID("inspect-stop"), warning)
	if !byID("inspect-fold").Underlying().Get("open").Bool() {
		return
	}
	table := byID("inspect-table")
	if names != p.inspection.names {
		p.inspection.names = names
		at := doc.Underlying().Get("activeElement").Get("id").String()
		put(table, mkInspect(cells))
		if e := byIDNow(at); e != nil {
			focus(e)
		}
	}
	for k, b := range findAllIn(table, "tbody") {
		fillForm(b, cells[k], cells[k].Errors)
		var list markup
		for _, x := range cells[k].Checks {
			list += mkCheck(x, mkCheckText(x, nil, ""))
		}
		remarks := findIn(b, ".remarks")
		show(remarks, list != "")
		put(findIn(remarks, "ul"), list)
	}
}

// mkInspect is the table, its fields empty.
func mkInspect(cells []*wire.Cell) markup {
	var heads, rows markup
	for _, f := range inspectFields {
		heads += mkHead(say.Text(f.label), "")
	}
	for k, c := range cells {
		var row markup
		for _, f := range inspectFields {
			row += mk("td", with("class=box"), mk("input", with("id=inspect-"+strconv.Itoa(k)+f.field, "data-field="+f.field, "autocomplete=off", "type=text", f.kind, "aria-label="+say.Text(f.label)+", "+c.Name)))
		}
		rows += mk("tbody", with("data-cell="+c.Name), mk("tr", nil, row),
			mk("tr", with("class=remarks"), mk("td", with("colspan=9"), mk("div", nil, mk("ul", with("class=checks"))))))
	}
	return mk("thead", nil, mk("tr", nil, heads)) + rows
}
