//go:build js && wasm

package page

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// cellRow is what the page shows of a cell. Its form is made when it is opened
// first.
type cellRow struct {
	item         dom.Element
	id           string
	made         bool
	taken        string // a name that it was to have, and another cell has
	shown, chips string // what they were written for
}

func (p *page) listenCells() {
	p.cellRows = map[string]*cellRow{}
	list := byID("cells-list")
	on(list, "change", func(t dom.Element) {
		if item := closest(t, "li[data-cell]"); item != nil && t.GetAttribute("data-field") != "" {
			p.commitCell(item)
		}
	})
	on(list, "click", func(t dom.Element) {
		b, item := closest(t, "button"), closest(t, "li[data-cell]")
		if b == nil || item == nil {
			return
		}
		name := item.GetAttribute("data-cell")
		switch b.GetAttribute("data-act") {
		case "forget":
			p.bench.keepCells(wire.Cell{Name: name})
			p.set(wire.Command{Do: "cell", Cell: &wire.Cell{Name: name}}, noErrors)
			focus(findIn(item, "input"))
			tell(say.With("What was typed of %s is forgotten.", name))
		case "drop":
			p.bench.keepCells(wire.Cell{Name: name})
			delete(p.recalledCells, name)
			p.set(wire.Command{Do: "drop", Text: name}, noErrors)
			focus(byID("cells-add"))
			tell(say.With("%s is removed, and what was typed of it forgotten.", name))
		}
	})
	// The event does not bubble, so it is caught on the way down.
	list.Underlying().Call("addEventListener", "toggle", callback(func(args []js.Value) {
		fold := wrap(args[0].Get("target"))
		if item := closest(fold, "li[data-cell]"); item != nil && fold.Underlying().Get("open").Bool() {
			p.makeForm(item.GetAttribute("data-cell"))
		}
	}), true)
	on(byID("cells-add"), "click", func(dom.Element) { p.addCell() })
	on(byID("datasheet"), "click", func(t dom.Element) {
		if b := closest(t, "button[data-cell-form]"); b != nil {
			p.unfoldCell(b.GetAttribute("data-cell-form"))
		}
	})
	p.listenChips()
	p.listenTyped()
	p.listenPaste()
	p.listenInspect()
}

func noErrors(*wire.View) map[string]string { return nil }

// cellNamed is a cell of the last view; nil for none.
func (p *page) cellNamed(name string) *wire.Cell {
	for k := range p.view.Cells {
		if p.view.Cells[k].Name == name {
			return &p.view.Cells[k]
		}
	}
	return nil
}

// addCell makes a cell of a name that is free.
func (p *page) addCell() {
	kept := p.bench.cells()
	for n := 1; ; n++ {
		name := say.With("Cell %d", n)
		if _, known := kept[name]; !known && p.cellNamed(name) == nil {
			p.wantedCell = name
			p.set(wire.Command{Do: "cell", Cell: &wire.Cell{Name: name}}, noErrors)
			return
		}
	}
}

// unfoldCell opens a cell's form.
func (p *page) unfoldCell(name string) *cellRow {
	row := p.cellRows[name]
	if row != nil {
		p.makeForm(name)
		findIn(row.item, "details").Underlying().Set("open", true)
	}
	return row
}

func (p *page) makeForm(name string) {
	row, c := p.cellRows[name], p.cellNamed(name)
	if row == nil || c == nil || row.made {
		return
	}
	row.made, row.shown = true, ""
	put(findIn(row.item, ".cell-form"), mkCellForm(row.id, name))
	p.fillCell(row, c, p.bench.cells())
}

// recallCells tells the engine what was typed of cells at an earlier visit, once
// there is one of that name of which it knows nothing.
func (p *page) recallCells() {
	var kept map[string]wire.Cell
	var again []wire.Cell
	for k := range p.view.Cells {
		c := &p.view.Cells[k]
		if _, done := p.recalledCells[c.Name]; done || isTold(c) {
			continue
		}
		if kept == nil {
			kept = p.bench.cells()
		}
		if known, ok := kept[c.Name]; ok {
			p.recalledCells[c.Name] = true
			again = append(again, known)
		}
	}
	if again != nil {
		p.set(wire.Command{Quiet: true, Do: "cells", Cells: again}, noErrors)
	}
}

// retellCells tells a new engine of cells and of typed discharges.
func (p *page) retellCells() {
	var cells []wire.Cell
	for _, c := range p.view.Cells {
		if isTold(&c) || c.Runs == 0 {
			cells = append(cells, asTyped(c))
		}
	}
	if cells != nil {
		p.set(wire.Command{Quiet: true, Do: "cells", Cells: cells}, noErrors)
	}
	if len(p.grid.rows) > 0 {
		p.set(wire.Command{Quiet: true, Do: "typed", Typed: p.grid.rows}, noErrors)
	}
}

func (p *page) renderCells() {
	if p.setting > 0 {
		p.cellsDue = true
		return
	}
	p.cellsDue = false
	list := byID("cells-list")
	kept := p.bench.cells()
	chips := map[string][]*wire.Run{}
	for _, r := range p.runs() {
		chips[r.Cell] = append(chips[r.Cell], r)
	}
	typed := map[string]int{}
	for _, t := range p.view.Typed {
		typed[strings.TrimSpace(t.Cell)]++
	}
	had := wrap(doc.Underlying().Get("activeElement"))
	if had != nil && !list.Contains(had) {
		had = nil
	}
	chip := ""
	if had != nil {
		chip = had.GetAttribute("data-move")
	}
	var nodes []dom.Node
	var order []string
	var shown []*wire.Cell
	filled, wrong, ask := 0, 0, ""
	for k := range p.view.Cells {
		c := &p.view.Cells[k]
		row := p.cellRows[c.Name]
		if row == nil {
			p.cellsMade++
			row = newCellRow(c.Name, "cell-"+strconv.Itoa(p.cellsMade))
			p.cellRows[c.Name] = row
		}
		if row.taken != "" && row.taken != c.Name {
			taken := *c // the view stays as it came
			c = &taken
			errors := map[string]string{"name": row.nameTaken()}
			maps.Copy(errors, c.Errors)
			c.Errors = errors
		}
		shown = append(shown, c)
		p.fillCell(row, c, kept)
		row.fillChips(c, chips[c.Name], typed[c.Name])
		nodes, order = append(nodes, row.item), append(order, c.Name)
		if hasSheet(c) {
			filled++
		}
		if len(c.Errors) > 0 {
			wrong++
		}
		if c.Ask != "" && ask == "" {
			ask = c.Name + ": " + c.Ask
		}
	}
	if !slices.Equal(order, p.cellOrder) {
		p.cellOrder = order
		for name := range p.cellRows {
			if !slices.Contains(order, name) {
				delete(p.cellRows, name)
			}
		}
		fill(list, nodes)
	}
	if chip != "" {
		p.focusChip(chip)
	} else if had != nil && list.Contains(had) && !hasFocus(had) {
		focus(had)
	}
	state := cellsOf(len(nodes))
	switch {
	case len(nodes) == 0:
		state = say.Text("none yet")
	case filled == 0:
		state += ", " + say.Text("no datasheet figures")
	case filled < len(nodes):
		state += ", " + say.With("datasheet figures of %d", filled)
	default:
		state += ", " + say.Text("with datasheet figures")
	}
	if wrong > 0 {
		state += "; " + counted(wrong, say.Later("something to put right in 1 cell"), say.Later("something to put right in %d cells"))
	}
	if ask != "" {
		state += "."
	}
	setText(byID("cells-state"), state)
	setText(byID("cells-ask"), ask)
	p.renderInspect(shown)
	p.openWanted()
}

// openWanted opens the cell that was just added, once it is there.
func (p *page) openWanted() {
	if p.wantedCell == "" {
		return
	}
	if p.inspection.wanted {
		for _, e := range findAllIn(byID("inspect-table"), "[data-field=name]") {
			if value(e) == p.wantedCell {
				p.wantedCell, p.inspection.wanted = "", false
				focus(e)
				e.Underlying().Call("select")
			}
		}
		return
	}
	if row := p.unfoldCell(p.wantedCell); row != nil {
		tell(say.With("%s is added.", p.wantedCell))
		p.wantedCell = ""
		byID("cells-fold").Underlying().Set("open", true)
		name := findIn(row.item, "[data-field=name]")
		focus(name)
		name.Underlying().Call("select")
	}
}

func newCellRow(name, id string) *cellRow {
	return &cellRow{id: id, item: made(mk("li", with("class=cell", "data-cell="+name),
		mk("details", nil, mk("summary", nil), mk("div", with("class=cell-form"))),
		mk("div", with("class=cell-chips"))))}
}

func cellsOf(n int) string { return counted(n, say.Later("1 cell"), say.Later("%d cells")) }

// nameTaken says that a cell's new name is another's.
func (row *cellRow) nameTaken() string {
	return say.With("There is a cell “%s” already. Give this one another name, or move its discharges there.", row.taken)
}

// fillCell shows what is known of a cell.
func (p *page) fillCell(row *cellRow, c *wire.Cell, kept map[string]wire.Cell) {
	_, isKept := kept[c.Name]
	recalled := p.recalledCells[c.Name]
	now := fmt.Sprint(*c, isKept, recalled)
	if now == row.shown {
		return
	}
	row.shown = now
	put(findIn(row.item, "summary"), mkCellHead(c))
	if !row.made {
		return
	}
	fillForm(row.item, c, c.Errors)
	text := ""
	switch {
	case recalled:
		text = say.Text("Filled in as you typed it at an earlier visit.")
	case isKept:
		text = say.Text("Remembered in this browser for logs of this cell.")
	}
	setText(findIn(row.item, ".cell-said"), text)
	forget := findIn(row.item, "[data-act=forget]")
	forget.SetAttribute("aria-label", say.With("Forget the figures of %s", c.Name))
	show(forget, isKept)
	setText(findIn(row.item, ".box .ask"), c.Ask)
	setText(findIn(row.item, ".size-words"), c.SizeWords)
}

// mkCellHead is a cell in a line.
func mkCellHead(c *wire.Cell) markup {
	var known []string
	add := func(format, text, unit string) {
		if text != "" {
			known = append(known, say.With(format, withUnit(text, unit)))
		}
	}
	if c.Model != c.Name {
		add("%s", c.Model, "")
	}
	add(say.Later("sample %s"), c.Sample, "")
	add(say.Later("rated %s"), c.Rated, "Ah")
	add(say.Later("cut-off %s"), c.Cutoff, "V")
	add("%s", c.Size, "")
	add("%s", c.Mass, "g")
	add(say.Later("Datasheet figures from %s"), c.From, "")
	if known == nil {
		known = append(known, say.Text("no figures yet"))
	}
	head := mk("strong", with("class=cell-name"), c.Name) + mkText(" ") + mk("span", with("class=hint"), strings.Join(known, " · "))
	if n := len(c.Errors); n > 0 {
		head += mkText(" ") + mk("strong", with("class=wrong"), counted(n, say.Later("1 field to put right"), say.Later("%d fields to put right")))
	}
	if c.Ask != "" {
		head += mkText(" ") + mk("strong", with("class=ask"), c.Ask)
	}
	return head
}
