//go:build js && wasm

package page

import (
	"fmt"
	"strconv"
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// inspection is what the table of the incoming inspection was filled for.
type inspection struct {
	names string
	shown []string // of each row
}

// inspectFields are its columns, as they are labelled in English.
var inspectFields = []struct{ field, label, kind string }{
	{"arrived.voltage", say.Later("Open-circuit voltage / V"), "inputmode=decimal"}, {"mass", say.Later("Mass / g"), "inputmode=decimal"},
	{"arrived.diameter", say.Later("Diameter / mm"), "inputmode=decimal"}, {"arrived.length", say.Later("Length / mm"), "inputmode=decimal"},
	{"arrived.resistance", say.Later("A.c. resistance / mΩ"), "inputmode=decimal"}, {"arrived.day", say.Later("Day"), "type=date"}, {"arrived.remark", say.Later("Remark"), "spellcheck=false"},
}

func (p *page) listenInspect() {
	on(byID("inspect-fold"), "toggle", func(dom.Element) { p.renderInspect() })
	on(byID("inspect-table"), "change", func(t dom.Element) {
		if body := closest(t, "tbody"); body != nil {
			p.commitInspect(body)
		}
	})
	on(byID("inspect-add"), "click", func(dom.Element) { p.addSample() })
	onEnter(byID("inspect-name"), p.addSample)
	onEnter(byID("inspect-model"), p.addSample)
	on(byID("inspect-open"), "click", func(dom.Element) {
		p.grid.wanted = true // there may be no log
		p.refresh()
		byID("inspect-fold").Underlying().Set("open", true)
		byID("inspect-fold").Underlying().Call("scrollIntoView", map[string]any{"block": "nearest"})
		focus(byID("inspect-name"))
	})
}

// addSample puts a sample into the table of which there is no log yet.
func (p *page) addSample() {
	e := byID("inspect-name")
	c := wire.Cell{Name: strings.TrimSpace(value(e)), Model: strings.TrimSpace(value(byID("inspect-model")))}
	why := ""
	if c.Name == "" {
		why = say.Text("Type the sample’s name, as it is written on it.")
	} else if p.cellNamed(c.Name) != nil {
		why = say.With("There is a cell “%s” already. Give this one another name.", c.Name)
	}
	setWrong(e, why)
	focus(e)
	if why != "" {
		return
	}
	setValue(e, "")
	p.set(wire.Command{Do: "cell", Cell: &c}, func(*wire.View) map[string]string {
		for _, b := range findAllIn(byID("inspect-table"), "tbody") {
			if b.GetAttribute("data-cell") == c.Name {
				focus(findIn(b, "input"))
			}
		}
		return nil
	})
}

// commitInspect sends what is typed of a sample.
func (p *page) commitInspect(body dom.Element) {
	of := p.cellNamed(body.GetAttribute("data-cell"))
	if of == nil {
		return
	}
	c := asTyped(*of)
	c.Mass, c.Arrived = "", wire.Arrived{}
	if err := readForm(body, &c); err != nil {
		alarm(say.With("The inspection cannot be taken: %s", err))
		return
	}
	p.bench.keepCells(c)
	p.recalledCells[c.Name], p.cellsDue = false, true
	p.set(wire.Command{Do: "cell", Cell: &c}, func(*wire.View) map[string]string {
		if now := p.cellNamed(c.Name); now != nil {
			return now.Errors
		}
		return nil
	})
}

// warnings is how many checks of a cell say not to charge it: they stand first.
func warnings(c *wire.Cell) (n int) {
	for n < len(c.Checks) && c.Checks[n].Safety {
		n++
	}
	return n
}

// renderInspect shows the samples as they came, and what was found.
func (p *page) renderInspect() {
	cells := p.view.Cells
	names, n, stop := "", 0, 0
	for k := range cells {
		names += cells[k].Name + "\n"
		if cells[k].Arrived != (wire.Arrived{}) {
			n++
		}
		if warnings(&cells[k]) > 0 {
			stop++
		}
	}
	state, warning := say.Text("none yet"), ""
	if n > 0 {
		state = say.With("samples looked at: %d", n)
	}
	if stop > 0 {
		warning = say.With("not to be charged: %d", stop)
	}
	setText(byID("inspect-state"), state)
	setText(byID("inspect-stop"), warning)
	if p.setting > 0 || !byID("inspect-fold").Underlying().Get("open").Bool() {
		return
	}
	table, g := byID("inspect-table"), &p.inspection
	if names != g.names {
		var rows markup
		for k := range cells {
			rows += mkInspectRow(k, cells[k].Name)
		}
		for _, b := range findAllIn(table, "tbody") {
			b.Underlying().Call("remove")
		}
		box := el("table", nil)
		put(box, rows)
		table.Underlying().Call("append", arrayOf(box.Underlying().Get("children"))...)
		g.names, g.shown = names, make([]string, len(cells))
	}
	show(closest(table, ".scroll"), len(cells) > 0)
	for k, b := range findAllIn(table, "tbody") {
		c := &cells[k]
		now := fmt.Sprint(*c)
		if now == g.shown[k] {
			continue
		}
		g.shown[k] = now
		fillForm(b, c, c.Errors)
		var list markup
		for _, x := range c.Checks {
			list += mkCheck(x, mkCheckText(x, nil, ""))
		}
		remarks := findIn(b, ".remarks")
		show(remarks, list != "")
		put(findIn(remarks, "td"), mk("div", nil, mk("ul", with("class=checks"), list)))
	}
}

func mkInspectRow(k int, name string) markup {
	row := mk("th", with("scope=row"), name)
	for n, f := range inspectFields {
		row += mk("td", with("class=box"), mk("input", with("id=inspect-"+strconv.Itoa(k)+"-"+strconv.Itoa(n), "data-field="+f.field, "autocomplete=off", f.kind, "aria-label="+say.Text(f.label)+", "+name)))
	}
	return mk("tbody", with("data-cell="+name), mk("tr", nil, row), mk("tr", with("class=remarks", "hidden"), mk("td", with("colspan=8"))))
}
