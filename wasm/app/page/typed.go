//go:build js && wasm

package page

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// grid are the discharges that were typed, and the rows that show them. One
// empty row stands at the end.
type grid struct {
	wanted bool            // someone wants to type, though there may be no log
	rows   []wire.TypedRun // as typed last
	shown  []string        // what each row was filled for
	names  string          // of cells that can be chosen
}

// typedFields are the columns that are typed, as they are labelled.
var typedFields = []struct{ field, label string }{
	{"cell", say.Later("Cell")}, {"current", say.Later("Current / A")}, {"capacity", say.Later("Capacity / Ah")},
	{"energy", say.Later("Energy / Wh")}, {"cutoff", say.Later("Cut-off / V")},
}

// typedField is a figure of a row by its column.
func typedField(t *wire.TypedRun, column int) *string {
	return []*string{&t.Cell, &t.Current, &t.Capacity, &t.Energy, &t.Cutoff}[column]
}

func isEmptyRow(t wire.TypedRun) bool {
	return t.Cell+t.Current+t.Capacity+t.Energy+t.Cutoff == ""
}

func gridBodies() []dom.Element { return findAllIn(byID("typed-grid"), "tbody") }

// gridInput is a field of the grid; nil where there is none.
func gridInput(row, column int) dom.Element {
	return byIDNow("typed-" + strconv.Itoa(row) + "-" + typedFields[column].field)
}

// gridPlace is where a field stands; false for what is none.
func gridPlace(e dom.Element) (row, column int, ok bool) {
	parts := strings.Split(e.GetAttribute("data-typed"), " ")
	if len(parts) != 2 {
		return 0, 0, false
	}
	row, err1 := strconv.Atoi(parts[0])
	column, err2 := strconv.Atoi(parts[1])
	return row, column, err1 == nil && err2 == nil
}

func (p *page) listenTyped() {
	table := byID("typed-grid")
	p.makeRows(1)
	on(table, "change", func(t dom.Element) {
		if _, _, ok := gridPlace(t); ok {
			p.commitTyped(typedIn())
		}
	})
	on(table, "input", func(t dom.Element) {
		if row, _, ok := gridPlace(t); ok && value(t) != "" {
			p.makeRows(max(row+2, len(gridBodies())))
		}
	})
	on(table, "click", func(t dom.Element) {
		b := closest(t, "button")
		if b == nil {
			return
		}
		k, err := strconv.Atoi(b.GetAttribute("data-row"))
		if err != nil {
			return
		}
		if b.GetAttribute("data-act") == "remove" {
			p.removeRow(k)
		} else {
			p.takeOffer(k, b.GetAttribute("data-field-of"), b.GetAttribute("data-text"))
		}
	})
	listenTo := func(event string, work func(row, column int, e js.Value)) {
		table.Underlying().Call("addEventListener", event, callback(func(args []js.Value) {
			if row, column, ok := gridPlace(wrap(args[0].Get("target"))); ok {
				work(row, column, args[0])
			}
		}))
	}
	listenTo("keydown", func(row, column int, e js.Value) {
		by := 0
		switch key := e.Get("key"); {
		case key.Type() != js.TypeString || e.Get("isComposing").Bool() || e.Get("altKey").Bool() || e.Get("ctrlKey").Bool() || e.Get("metaKey").Bool():
		case key.String() == "Enter" && e.Get("shiftKey").Bool(), key.String() == "ArrowUp" && column > 0:
			by = -1
		case key.String() == "Enter", key.String() == "ArrowDown" && column > 0: // in the cell's field the arrows choose a name
			by = 1
		}
		if by == 0 {
			return
		}
		e.Call("preventDefault")
		if to := gridInput(row+by, column); to != nil {
			focus(to)
			to.Underlying().Call("select")
		}
	})
	listenTo("paste", func(row, column int, e js.Value) {
		text := e.Get("clipboardData").Call("getData", "text/plain").String()
		if !strings.ContainsAny(strings.TrimRight(text, "\r\n"), "\t\n") {
			return
		}
		e.Call("preventDefault")
		p.pasteTyped(row, column, text)
	})
	on(byID("type-in"), "click", func(dom.Element) { p.openTyped() })
}

// openTyped goes to the grid, whether or not there are logs.
func (p *page) openTyped() {
	p.grid.wanted = true
	p.refresh()
	byID("typed-fold").Underlying().Set("open", true)
	rows := len(gridBodies())
	focus(gridInput(rows-1, 0))
	byID("typed-fold").Underlying().Call("scrollIntoView", map[string]any{"block": "nearest"})
}

// typedIn are the rows as they stand in the grid, without the empty ones at the
// end.
func typedIn() []wire.TypedRun {
	var rows []wire.TypedRun
	for k := range gridBodies() {
		var t wire.TypedRun
		for column := range typedFields {
			*typedField(&t, column) = strings.TrimSpace(value(gridInput(k, column)))
		}
		rows = append(rows, t)
	}
	return withoutEmpty(rows)
}

func withoutEmpty(rows []wire.TypedRun) []wire.TypedRun {
	for len(rows) > 0 && isEmptyRow(rows[len(rows)-1]) {
		rows = rows[:len(rows)-1]
	}
	return rows
}

// commitTyped sends the rows, and keeps them for an engine that has to start
// anew.
func (p *page) commitTyped(rows []wire.TypedRun) {
	for k := range rows[:min(len(rows), len(p.grid.rows))] {
		rows[k].Void = p.grid.rows[k].Void
	}
	p.sendTyped(rows)
}

func (p *page) sendTyped(rows []wire.TypedRun) {
	p.grid.rows = rows
	p.set(wire.Command{Do: "typed", Typed: rows}, noErrors)
}

func (p *page) removeRow(k int) {
	rows := typedIn()
	for i := range rows[:min(len(rows), len(p.grid.rows))] {
		rows[i].Void = p.grid.rows[i].Void
	}
	if k < len(rows) {
		rows = slices.Delete(rows, k, k+1)
	}
	p.putRows(rows)
	p.sendTyped(rows)
	focus(gridInput(min(k, len(gridBodies())-1), 0))
	tell(say.With("Row %d is removed.", k+1))
}

// takeOffer types another reading of a figure.
func (p *page) takeOffer(k int, field, text string) {
	for column, f := range typedFields {
		if f.field != field {
			continue
		}
		if to := gridInput(k, column); to != nil {
			setValue(to, text)
			focus(to)
			p.commitTyped(typedIn())
			tell(say.With("Row %d, %s: %s is taken.", k+1, say.Text(f.label), text))
		}
	}
}

// makeRows makes the rows of the grid as many as asked for.
func (p *page) makeRows(n int) {
	table := byID("typed-grid")
	bodies := gridBodies()
	for _, b := range bodies[min(len(bodies), n):] {
		b.Underlying().Call("remove")
	}
	p.grid.shown = p.grid.shown[:min(len(p.grid.shown), n)]
	if k := len(bodies); k < n { // not one by one, since there may be a thousand
		var rows markup
		for ; k < n; k++ {
			rows += mkTypedRow(k)
			p.grid.shown = append(p.grid.shown, "")
		}
		box := el("table", nil)
		put(box, rows)
		table.Underlying().Call("append", arrayOf(box.Underlying().Get("children"))...)
	}
	for k := max(0, min(len(bodies), n)-1); k < n; k++ { // the last one is empty: there is nothing to remove
		show(byIDNow("typed-"+strconv.Itoa(k)+"-remove"), k < n-1)
	}
}

// arrayOf are the entries of a list of the document, which changes while they
// are moved.
func arrayOf(list js.Value) []any {
	all := make([]any, list.Length())
	for k := range all {
		all[k] = list.Index(k)
	}
	return all
}

func mkTypedRow(k int) markup {
	n := strconv.Itoa(k)
	var fields markup
	for column, f := range typedFields {
		attributes := with("type=text", "id=typed-"+n+"-"+f.field, "data-typed="+n+" "+strconv.Itoa(column), "autocomplete=off", "spellcheck=false",
			"aria-label="+say.With("%s, row %d", say.Text(f.label), k+1))
		if column == 0 {
			attributes = append(attributes, "list=typed-cells")
		} else {
			attributes = append(attributes, "inputmode=decimal")
		}
		fields += mk("td", with("class=box"), mk("input", attributes))
	}
	return mk("tbody", nil,
		mk("tr", nil, fields, mk("td", with("class=average")),
			mk("td", nil, mk("button", with("type=button", "class=quiet", "data-act=remove", "data-row="+n, "id=typed-"+n+"-remove", "aria-label="+say.With("Remove row %d", k+1), "hidden"), say.Text("Remove")))),
		mk("tr", with("class=remarks", "hidden"), mk("td", with("colspan=7"))))
}

// putRows shows rows in the grid, whatever stands there.
func (p *page) putRows(rows []wire.TypedRun) {
	p.makeRows(len(rows) + 1)
	for k := range len(rows) + 1 {
		var t wire.TypedRun
		if k < len(rows) {
			t = rows[k]
		}
		for column := range typedFields {
			setValue(gridInput(k, column), *typedField(&t, column))
		}
	}
}

// renderTyped shows what the engine says of the typed discharges.
func (p *page) renderTyped() {
	if p.setting > 0 {
		return
	}
	rows := p.view.Typed
	p.grid.rows = nil
	// What is typed and not sent yet stays.
	p.makeRows(max(len(rows)+1, p.typing()+2))
	wrong, doubtful := 0, 0
	for k := range len(gridBodies()) {
		var t wire.TypedRun
		if k < len(rows) {
			t = rows[k]
			p.grid.rows = append(p.grid.rows, wire.TypedRun{Cell: t.Cell, Current: t.Current, Capacity: t.Capacity, Energy: t.Energy, Cutoff: t.Cutoff, Void: t.Void})
		}
		if len(t.Errors) > 0 {
			wrong++
		}
		if len(t.Offers) > 0 || slices.ContainsFunc(t.Checks, func(c wire.Check) bool { return c.Severity != "note" }) {
			doubtful++
		}
		if now := fmt.Sprint(t); now != p.grid.shown[k] {
			p.grid.shown[k] = now
			fillTypedRow(k, &t)
		}
	}
	names := ""
	var options markup
	for _, c := range p.view.Cells {
		names += c.Name + "\n"
		options += mk("option", with("value="+c.Name))
	}
	if names != p.grid.names {
		p.grid.names = names
		put(byID("typed-cells"), options)
	}
	state := say.Text("none typed")
	if n := len(rows); n > 0 {
		state = counted(n, say.Later("1 discharge"), say.Later("%d discharges"))
	}
	if wrong > 0 {
		state += ", " + counted(wrong, say.Later("1 row to complete or put right"), say.Later("%d rows to complete or put right"))
	}
	if doubtful > 0 {
		state += ", " + counted(doubtful, say.Later("1 row to look at again"), say.Later("%d rows to look at again"))
	}
	setText(byID("typed-state"), state)
}

// typing is the last row that has text in a field that has the focus, or -1.
func (p *page) typing() int {
	if e := wrap(doc.Underlying().Get("activeElement")); e != nil {
		if row, _, ok := gridPlace(e); ok {
			if value(e) == "" {
				return row - 1
			}
			return row
		}
	}
	return -1
}

func fillTypedRow(k int, t *wire.TypedRun) {
	for column, f := range typedFields {
		e := gridInput(k, column)
		if !hasFocus(e) {
			setValue(e, *typedField(t, column))
		}
		setWrong(e, t.Errors[f.field])
	}
	body := gridBodies()[k]
	average := ""
	if t.Average != "" {
		average = t.Average + " V"
	}
	setText(findIn(body, ".average"), average)
	var checks, offers markup
	for _, c := range t.Checks {
		checks += mkCheck(c, mkCheckText(c, nil, ""))
	}
	for _, o := range t.Offers {
		of := say.With("Row %d: use %s instead", k+1, o.Text)
		offers += mk("li", nil, mk("button", with("type=button", "data-row="+strconv.Itoa(k), "data-field-of="+o.Field, "data-text="+o.Text, "title="+of), say.With("Use %s instead", o.Text)),
			" ", mk("span", with("class=hint"), o.Why))
	}
	remarks := findIn(body, ".remarks")
	all := markup("")
	if checks != "" {
		all += mk("ul", with("class=checks"), checks)
	}
	if offers != "" {
		all += mk("ul", with("class=offers", "aria-label="+say.With("Other readings of row %d", k+1)), offers)
	}
	show(remarks, all != "")
	put(findIn(remarks, "td"), mk("div", nil, all))
}
