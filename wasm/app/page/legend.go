//go:build js && wasm

package page

import (
	"fmt"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// cell is one reading in the legend, and what it shows.
type cell struct {
	node js.Value
	text string
}

// swatch is a short piece of a run's line, as the chart draws it.
func swatch(colour int) dom.Element {
	return made(mkSwatch(colour))
}

// renderLegend lists the curves: those of the runs, or, of resistance, those of
// the cells that were drawn last or are switched off.
func (p *page) renderLegend() {
	curves := p.cellCurves
	if p.show != resistanceCurves {
		curves = nil
		for _, r := range p.shownRuns() {
			curves = append(curves, wire.Series{Run: r.ID, Name: r.Name, Colour: r.Colour})
		}
	}
	made := fmt.Sprintf("%q %v", p.columns, curves)
	if made == p.legendMade {
		return
	}
	p.legendMade = made
	heads := mkHead(say.Text("Curve"), "")
	for _, c := range p.columns {
		heads += mkHead(c, "")
	}
	put(byID("legend-head"), heads)
	var rows markup
	for _, c := range curves {
		box := with("type=checkbox", "data-run="+c.Run)
		if !p.hidden[c.Run] {
			box = append(box, "checked")
		}
		row := mk("th", with("scope=row"), mk("label", nil, mk("input", box), mkSwatch(c.Colour), c.Name))
		for range p.columns {
			row += mk("td", nil)
		}
		rows += mk("tr", with("data-run="+c.Run), row)
	}
	put(byID("legend-rows"), rows)
	p.readings = map[string][]cell{}
	nodes := byID("legend-rows").Underlying().Call("querySelectorAll", "td")
	for k, c := range curves {
		cells := make([]cell, len(p.columns))
		for i := range cells {
			cells[i].node = nodes.Index(k*len(p.columns) + i)
		}
		p.readings[c.Run] = cells
	}
}

// keepCells takes the curves of cells that came, beside those switched off.
func (p *page) keepCells(now []wire.Series) {
	was := p.cellCurves
	p.cellCurves = now
	for k, s := range was {
		if p.hidden[s.Run] {
			p.cellCurves = append(p.cellCurves[:min(k, len(p.cellCurves)):min(k, len(p.cellCurves))], append([]wire.Series{s}, p.cellCurves[min(k, len(p.cellCurves)):]...)...)
		}
	}
}

// readout asks what every curve shows at the pointer; one question at a time,
// and the last one always.
func (p *page) readout() {
	if p.asking {
		return
	}
	if p.hoverX == nil {
		p.renderReadout(nil)
		return
	}
	x := *p.hoverX
	p.asking = true
	c := p.looking()
	c.Do, c.X = "readout", x
	p.command(c, func(r wire.Reply, _ js.Value) {
		p.asking = false
		if p.hoverX == nil || *p.hoverX != x {
			p.readout()
			return
		}
		p.renderReadout(r.Readout)
	})
}

func (p *page) renderReadout(r *wire.Readout) {
	rows := map[string]wire.ReadoutRun{}
	at := ""
	if r != nil {
		at = say.With("at %s", r.X)
		for _, row := range r.Runs {
			rows[row.Run] = row
		}
	}
	byID("readout-x").SetTextContent(at)
	for id, cells := range p.readings {
		values := rows[id].Values
		for k := range cells {
			text := ""
			if k < len(values) {
				text = values[k]
			}
			if cells[k].text != text {
				cells[k].text = text
				cells[k].node.Set("textContent", text)
			}
		}
	}
}

// highlight lifts out the curve of the row under the pointer.
func (p *page) highlight(t dom.Element) {
	if row := closest(t, "tr[data-run]"); row != nil {
		p.host.Get("chart").Call("highlight", row.GetAttribute("data-run"))
	}
}
