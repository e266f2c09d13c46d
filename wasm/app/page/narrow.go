//go:build js && wasm

package page

import (
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// pageful is how many discharges are shown at a time: as many as there are
// colours and dash patterns to tell their curves apart by.
const pageful = 32

// narrow is which of the discharges are shown as curves and in the tables.
type narrow struct {
	words string // all of them are in a discharge's name, cell, rate or file
	from  int
	all   bool // however many there are
}

func (p *page) listenNarrow() {
	on(byID("find"), "input", func(t dom.Element) {
		p.narrow.words, p.narrow.from = value(t), 0
		p.narrowed()
	})
	for _, id := range []string{"curves", "results"} {
		on(byID(id), "click", func(t dom.Element) {
			b := closest(t, "button[data-narrow]")
			if b == nil {
				return
			}
			switch b.GetAttribute("data-narrow") {
			case "back":
				p.narrow.from -= pageful
			case "on":
				p.narrow.from += pageful
			case "all":
				p.narrow.all = !p.narrow.all
				p.narrow.from = 0
			}
			p.narrowed()
		})
	}
}

func (p *page) narrowed() {
	p.renderResults()
	p.renderLegend()
	p.draw()
	p.readout()
}

// found are the discharges that have the words sought.
func (p *page) found() []*wire.Run {
	words := strings.Fields(strings.ToLower(p.narrow.words))
	runs := p.runs()
	if len(words) == 0 || len(runs) <= pageful {
		return runs
	}
	var found []*wire.Run
next:
	for _, r := range runs {
		all := strings.ToLower(r.Name + " " + r.Cell + " " + r.Rate + " " + r.Source)
		for _, w := range words {
			if !strings.Contains(all, w) {
				continue next
			}
		}
		found = append(found, r)
	}
	return found
}

// shownRuns are the discharges whose curves and rows are shown.
func (p *page) shownRuns() []*wire.Run {
	found := p.found()
	if p.narrow.all || len(found) <= pageful {
		p.narrow.from = 0
		return found
	}
	p.narrow.from = min(max(p.narrow.from, 0), (len(found)-1)/pageful*pageful)
	return found[p.narrow.from:min(p.narrow.from+pageful, len(found))]
}

// turnTo has a discharge be among those that are shown, and tells whether it was
// not.
func (p *page) turnTo(id string) bool {
	for _, r := range p.shownRuns() {
		if r.ID == id {
			return false
		}
	}
	p.narrow.words = ""
	setValue(byID("find"), "")
	for k, r := range p.found() {
		if r.ID == id {
			p.narrow.from = k / pageful * pageful
		}
	}
	p.renderResults()
	p.renderLegend()
	return true
}

// tellFar tells the engine which rows are not in view: they may come later.
func (p *page) tellFar(shown []*wire.Run) {
	near := map[string]bool{}
	for _, r := range shown {
		near[r.ID] = true
	}
	var far []string
	for k := range p.view.Runs {
		if id := p.view.Runs[k].ID; !near[id] {
			far = append(far, id)
		}
	}
	if key := strings.Join(far, " "); key != p.far {
		p.far = key
		p.ask(wire.Command{Do: "far", Hidden: far}, func(wire.Reply, js.Value) {})
	}
}

// renderNarrow says which of the discharges are shown.
func (p *page) renderNarrow(list []*wire.Run) {
	p.tellFar(list)
	shown := len(list)
	total, found := len(p.runs()), len(p.found())
	said := say.With("Discharges %d to %d of %d", p.narrow.from+1, p.narrow.from+shown, found)
	switch {
	case found == 0:
		said = say.Text("None of the discharges has these words.")
	case shown == found && found < total:
		said = say.With("%d discharges of %d", found, total)
		if found == 1 {
			said = say.With("1 discharge of %d", total)
		}
	case shown == found:
		said = say.With("All %d discharges", total)
	}
	for _, bar := range findAll(".narrow") {
		show(bar, total > pageful)
		if total <= pageful {
			continue
		}
		setText(findIn(bar, ".narrow-said"), said)
		for _, b := range findAllIn(bar, "button[data-narrow]") {
			switch b.GetAttribute("data-narrow") {
			case "back":
				b.Underlying().Set("disabled", p.narrow.from == 0)
			case "on":
				b.Underlying().Set("disabled", p.narrow.from+shown >= found)
			case "all":
				show(b, found > pageful)
				text := say.Text("Show all")
				if p.narrow.all {
					text = say.With("Show %d at a time", pageful)
				}
				setText(b, text)
			}
		}
	}
}
