//go:build js && wasm

package page

import (
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// pasting is the dialog that takes cells from a pasted table.
type pasting struct {
	soon  *timer
	text  string // that was asked about last
	cells []wire.Cell
}

const pasteMS = 150 // after the last key

func (p *page) listenPaste() {
	p.pasting.soon = newTimer(p.previewPaste)
	on(byID("cells-paste-open"), "click", func(dom.Element) {
		setValue(byID("cells-paste-text"), "")
		p.showPaste(nil)
		openDialog("cells-paste")
		focus(byID("cells-paste-text"))
	})
	on(byID("cells-paste-text"), "input", func(dom.Element) { p.pasting.soon.set(pasteMS) })
	on(byID("cells-paste-close"), "click", func(dom.Element) { closeDialog("cells-paste") })
	on(byID("cells-paste-take"), "click", func(dom.Element) { p.takeCells() })
	on(byID("cells-paste"), "close", func(dom.Element) { focus(byID("cells-paste-open")) })
}

func (p *page) previewPaste() {
	text := value(byID("cells-paste-text"))
	p.pasting.text = text
	if strings.TrimSpace(text) == "" {
		p.showPaste(nil)
		return
	}
	p.ask(wire.Command{Do: "paste", Show: "cells", Text: text}, func(r wire.Reply, _ js.Value) {
		if p.pasting.text != text {
			return
		}
		if r.Pasted == nil {
			r.Pasted = &wire.Pasted{Why: r.Error}
		}
		p.showPaste(r.Pasted)
	})
}

// showPaste shows what would be taken; nil for nothing pasted yet.
func (p *page) showPaste(r *wire.Pasted) {
	if r == nil {
		r = &wire.Pasted{}
		p.pasting.text = ""
	}
	p.pasting.cells = r.Cells
	setText(byID("cells-paste-why"), r.Why)
	var how, problems markup
	for _, s := range r.Read {
		how += mk("li", nil, s)
	}
	there := 0
	for _, c := range r.Cells {
		if p.cellNamed(c.Name) != nil {
			there++
		}
	}
	if there > 0 {
		how += mk("li", nil, counted(there, say.Later("Already on the page: 1 cell. What the table says is put in; its other figures stay."),
			say.Later("Already on the page: %d cells. What the table says is put in; their other figures stay.")))
	}
	for _, x := range r.Problems {
		problems += mk("li", nil, say.With("Line %d: %s", x.Line, x.Reason))
	}
	put(byID("cells-paste-how"), how)
	put(byID("cells-paste-problems"), problems)
	show(byID("cells-paste-left"), problems != "")
	put(byID("cells-paste-table"), mkPasted(r.Cells))
	show(byID("cells-paste-table"), len(r.Cells) > 0)
	take := byID("cells-paste-take")
	setText(take, counted(len(r.Cells), say.Later("Take 1 cell"), say.Later("Take %d cells")))
	take.Underlying().Set("disabled", len(r.Cells) == 0)
	status := ""
	if len(r.Cells) > 0 {
		status = counted(len(r.Cells), say.Later("1 cell can be taken."), say.Later("%d cells can be taken."))
	}
	setText(byID("cells-paste-status"), status)
}

// mkPasted is a table of cells, with the columns in which there is anything.
func mkPasted(cells []wire.Cell) markup {
	texts := make([]map[string]string, len(cells))
	for k := range cells {
		c := asTyped(cells[k])
		texts[k] = fieldsOf(&c)
	}
	var heads markup
	rows := make([]markup, len(cells))
	for _, g := range cellGroups {
		for _, f := range g.fields {
			any := false
			for k := range cells {
				any = any || texts[k][f.field] != "" || cells[k].Errors[f.field] != ""
			}
			if !any {
				continue
			}
			label := say.Text(f.label)
			if f.before != "" {
				label = say.Text(f.before) + ", " + label
			}
			heads += mkHead(label, "")
			for k := range cells {
				text := mkText(texts[k][f.field])
				if why := cells[k].Errors[f.field]; why != "" {
					text += mk("span", with("class=field-error"), why)
				}
				if f.field == "name" {
					rows[k] += mk("th", with("scope=row"), text)
				} else {
					rows[k] += mk("td", nil, text)
				}
			}
		}
	}
	var all markup
	for _, r := range rows {
		all += mk("tr", nil, r)
	}
	return mk("table", nil, mk("caption", with("class=unseen"), say.Text("Cells that can be taken")), mk("thead", nil, mk("tr", nil, heads)), mk("tbody", nil, all))
}

// fieldsOf are the texts of a cell by the names of its fields.
func fieldsOf(c *wire.Cell) map[string]string {
	texts := map[string]string{}
	text, err := plain.Marshal(c)
	if err != nil {
		return texts
	}
	root := js.Global().Get("JSON").Call("parse", string(text))
	for _, g := range cellGroups {
		for _, f := range g.fields {
			if v := root.Get(f.field); v.Type() == js.TypeString {
				texts[f.field] = v.String()
			}
		}
	}
	return texts
}

// takeCells puts the pasted cells on the page. Of one that is there, what the
// table does not say stays.
func (p *page) takeCells() {
	var cells []wire.Cell
	for _, c := range p.pasting.cells {
		now := wire.Cell{}
		if old := p.cellNamed(c.Name); old != nil {
			now = *old
		}
		text, err := plain.Marshal(asTyped(c))
		if err == nil {
			err = plain.Unmarshal(text, &now)
		}
		if err != nil {
			alarm(say.With("The cells cannot be taken: %s", err))
			return
		}
		cells = append(cells, asTyped(now))
		delete(p.recalledCells, c.Name)
	}
	if cells == nil {
		return
	}
	p.bench.keepCells(cells...)
	p.set(wire.Command{Do: "cells", Cells: cells}, noErrors)
	byID("cells-fold").Underlying().Set("open", true)
	closeDialog("cells-paste")
	tell(counted(len(cells), say.Later("1 cell taken."), say.Later("%d cells taken.")))
}

// pasteTyped fills the grid from a row on with a pasted table. One without heads
// that is pasted into a later column begins there.
func (p *page) pasteTyped(row, column int, text string) {
	text = strings.TrimRight(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n")
	first, _, _ := strings.Cut(text, "\n")
	if at := strings.TrimSpace(first); column > 0 && at != "" && strings.ContainsRune("0123456789.,+-", rune(at[0])) {
		var heads []string
		for _, f := range typedFields[:min(column+1+strings.Count(first, "\t"), len(typedFields))] {
			heads = append(heads, f.field)
		}
		before := strings.Repeat("\t", column)
		text = strings.Join(heads, "\t") + "\n" + before + strings.ReplaceAll(text, "\n", "\n"+before)
	}
	p.ask(wire.Command{Do: "paste", Show: "typed", Text: text}, func(r wire.Reply, _ js.Value) {
		said := r.Error
		if r.Pasted != nil && r.Pasted.Why != "" {
			said = r.Pasted.Why
		}
		if said != "" || r.Pasted == nil {
			setText(byID("typed-pasted"), say.With("Nothing was taken of what was pasted: %s", said))
			return
		}
		rows := typedIn()
		above := ""
		if row > 0 && row <= len(rows) {
			above = rows[row-1].Cell
		}
		for k, t := range r.Pasted.Typed {
			for len(rows) <= row+k {
				rows = append(rows, wire.TypedRun{})
			}
			for c := range typedFields {
				if text := *typedField(&t, c); text != "" {
					*typedField(&rows[row+k], c) = text
				}
			}
			if rows[row+k].Cell == "" {
				rows[row+k].Cell = above
			}
			above = rows[row+k].Cell
		}
		words := append([]string{counted(len(r.Pasted.Typed), say.Later("1 row pasted."), say.Later("%d rows pasted."))}, r.Pasted.Read...)
		for _, x := range r.Pasted.Problems {
			words = append(words, say.With("Line %d: %s", x.Line, x.Reason))
		}
		setText(byID("typed-pasted"), strings.Join(words, " "))
		p.putRows(rows)
		p.commitTyped(withoutEmpty(rows))
	})
}
