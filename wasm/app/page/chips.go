//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// A chip is a discharge at its cell. It is dragged to another one, or moved by
// the list that its button opens.

// fillChips shows the discharges of a cell, and how many of it were typed.
func (row *cellRow) fillChips(c *wire.Cell, runs []*wire.Run, typed int) {
	var chips markup
	for k := range runs {
		chips += mk("li", nil, mkChip(runs[k]))
	}
	if typed > 0 {
		chips += mk("li", with("class=hint"), say.With("%d typed", typed))
	}
	all := mk("ul", with("aria-label="+say.With("Discharges of %s", c.Name)), chips)
	if chips == "" {
		all = mk("span", with("class=hint"), say.Text("no discharges"))
		if c.Runs == 0 {
			all += mk("button", with("type=button", "class=quiet", "data-act=drop", "aria-label="+say.With("Remove %s", c.Name)), say.Text("Remove"))
		}
	}
	if row.chips != string(all) {
		row.chips = string(all)
		put(findIn(row.item, ".cell-chips"), all)
	}
}

func mkChip(r *wire.Run) markup {
	name := mk("span", with("class=chip-name"), r.Name)
	if r.Void != "" {
		name = mk("s", with("class=chip-name"), r.Name) + mk("span", with("class=unseen"), " ", say.Text("(does not count)"))
	}
	if r.Guessed {
		name += mkText(" ") + mk("small", nil, say.Text("guess"))
	}
	return mk("span", with("class=chip", "draggable=true", "data-run="+r.ID), mkSwatch(r.Colour),
		mk("button", with("type=button", "class=quiet", "data-move="+r.ID, "aria-expanded=false", "title="+say.With("Move %s to another cell", r.Name)), name))
}

func (p *page) listenChips() {
	list := byID("cells-list")
	on(list, "click", func(t dom.Element) {
		switch b := closest(t, "button"); {
		case b == nil:
		case b.GetAttribute("data-move") != "":
			p.openMover(b)
		case b.GetAttribute("data-mover") != "":
			p.useMover(b.GetAttribute("data-mover"))
		}
	})
	list.Underlying().Call("addEventListener", "keydown", callback(func(args []js.Value) {
		if key := args[0].Get("key"); key.Type() == js.TypeString && key.String() == "Escape" && closest(wrap(args[0].Get("target")), "#mover") != nil {
			p.useMover("cancel")
		}
	}))
	p.listenDrags(list)
}

func (p *page) listenDrags(list dom.Element) {
	listenTo := func(event string, work func(e js.Value, t, item dom.Element)) {
		list.Underlying().Call("addEventListener", event, callback(func(args []js.Value) {
			if t := args[0].Get("target"); t.Get("nodeType").Int() == 1 { // not a text
				work(args[0], wrap(t), closest(wrap(t), "li[data-cell]"))
			}
		}))
	}
	var marked dom.Element
	mark := func(item dom.Element) {
		if marked != nil {
			marked.Underlying().Get("classList").Call("remove", "over")
		}
		if marked = item; item != nil {
			item.Underlying().Get("classList").Call("add", "over")
		}
	}
	listenTo("dragstart", func(e js.Value, t, _ dom.Element) {
		if chip := closest(t, ".chip"); chip != nil {
			p.dragged = chip.GetAttribute("data-run")
			e.Get("dataTransfer").Set("effectAllowed", "move")
			e.Get("dataTransfer").Call("setData", "text/plain", chip.TextContent())
		}
	})
	for _, event := range []string{"dragenter", "dragover"} {
		listenTo(event, func(e js.Value, _, item dom.Element) {
			if p.dragged == "" {
				return
			}
			if mark(item); item != nil {
				e.Call("preventDefault")
				e.Get("dataTransfer").Set("dropEffect", "move")
			}
		})
	}
	listenTo("drop", func(e js.Value, _, item dom.Element) {
		r := p.run(p.dragged)
		if p.dragged == "" {
			return
		}
		e.Call("preventDefault")
		p.dragged = ""
		mark(nil)
		if item != nil && r != nil && r.Cell != item.GetAttribute("data-cell") {
			p.assign(r.ID, item.GetAttribute("data-cell"))
		}
	})
	listenTo("dragend", func(js.Value, dom.Element, dom.Element) {
		p.dragged = ""
		mark(nil)
	})
}

// openMover opens, below a chip, the list of cells that it can go to.
func (p *page) openMover(button dom.Element) {
	id, item := button.GetAttribute("data-move"), closest(button, "li[data-cell]")
	r, old := p.run(id), byIDNow("mover")
	again := old != nil && old.GetAttribute("data-run") == id
	closeMover()
	if r == nil || again {
		return
	}
	var options markup
	for _, c := range p.view.Cells {
		if c.Name != r.Cell {
			options += mk("option", with("value="+c.Name), c.Name)
		}
	}
	if !r.Guessed {
		options += mk("option", with("value="), say.Text("back to the guess"))
	}
	inside := mk("span", with("class=hint"), say.With("There is no other cell to move %s to: add one first.", r.Name))
	if options != "" {
		inside = mk("label", with("for=mover-to"), say.With("Move %s to", r.Name)) + mk("select", with("id=mover-to", "autocomplete=off"), options) +
			mk("button", with("type=button", "data-mover=move"), say.Text("Move"))
	}
	m := made(mk("div", with("id=mover", "class=mover", "role=group", "aria-label="+say.With("Move %s", r.Name), "data-run="+id), inside,
		mk("button", with("type=button", "class=quiet", "data-mover=cancel"), say.Text("Cancel"))))
	item.AppendChild(m)
	button.SetAttribute("aria-expanded", "true")
	focus(findIn(m, "select, button"))
}

func closeMover() {
	if m := byIDNow("mover"); m != nil {
		m.Underlying().Call("remove")
	}
	for _, b := range findAllIn(byID("cells-list"), "[data-move][aria-expanded=true]") {
		b.SetAttribute("aria-expanded", "false")
	}
}

func (p *page) useMover(act string) {
	m := byIDNow("mover")
	if m == nil {
		return
	}
	run, to := m.GetAttribute("data-run"), ""
	if act == "move" {
		to = value(findIn(m, "select"))
	}
	closeMover()
	p.focusChip(run)
	if act == "move" {
		p.assign(run, to)
	}
}

// byIDNow is an element that comes and goes; nil where it is not there.
func byIDNow(id string) dom.Element {
	return wrap(doc.Underlying().Call("getElementById", id))
}

// assign puts a run to a cell, or, for "", back to the one that its file's name
// says. It is kept for an engine that has to start anew.
func (p *page) assign(run, name string) {
	c := wire.Command{Do: "assign", Run: run, Text: name}
	p.settled = append(p.settled, c)
	p.ask(c, func(r wire.Reply, _ js.Value) {
		if r.Error != "" {
			alarm(r.Error)
		}
		if r.View == nil {
			return
		}
		p.render(r.View)
		if now := p.run(run); now != nil {
			said := say.With("%s is of %s now.", now.Name, now.Cell)
			if now.Guessed {
				said = say.With("%s is of %s, as its file’s name says.", now.Name, now.Cell)
			}
			tell(said)
		}
		p.focusChip(run)
	})
}

func (p *page) focusChip(run string) {
	for _, b := range findAllIn(byID("cells-list"), "[data-move]") {
		if b.GetAttribute("data-move") == run {
			if !hasFocus(b) {
				focus(b)
			}
			return
		}
	}
}
