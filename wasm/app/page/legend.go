//go:build js && wasm

package page

import (
	"fmt"
	"strconv"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// cell is one reading in the legend, and what it shows.
type cell struct {
	node js.Value
	text string
}

// swatch is a short piece of a run's line, as the chart draws it.
func swatch(colour int) dom.Element {
	return el("span", with("class=swatch", "aria-hidden=true", "data-colour="+strconv.Itoa(colour%8), "data-dash="+strconv.Itoa(colour/8%4)))
}

// renderLegend lists the curves: those of the runs, or, of resistance, those of
// the cells that were drawn last or are switched off.
func (p *page) renderLegend() {
	curves := p.cellCurves
	if p.show != resistanceCurves {
		curves = nil
		for _, r := range p.runs() {
			curves = append(curves, wire.Series{Run: r.ID, Name: r.Name, Colour: r.Colour})
		}
	}
	made := fmt.Sprintf("%q %v", p.columns, curves)
	if made == p.legendMade {
		return
	}
	p.legendMade = made
	heads := []dom.Node{head("Curve")}
	for _, c := range p.columns {
		heads = append(heads, head(c))
	}
	fill(byID("legend-head"), heads)
	p.readings = map[string][]cell{}
	var rows []dom.Node
	for _, c := range curves {
		box := el("input", with("type=checkbox", "data-run="+c.Run))
		box.Underlying().Set("checked", !p.hidden[c.Run])
		row := el("tr", with("data-run="+c.Run),
			el("th", with("scope=row"), el("label", nil, box, swatch(c.Colour), c.Name)))
		cells := make([]cell, len(p.columns))
		for k := range cells {
			td := el("td", nil)
			cells[k].node = td.Underlying()
			row.AppendChild(td)
		}
		p.readings[c.Run] = cells
		rows = append(rows, row)
	}
	fill(byID("legend-rows"), rows)
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
		at = "at " + r.X
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
