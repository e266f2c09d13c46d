//go:build js && wasm

package page

import (
	"encoding/json"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// mountChart ties the chart adapter to the page.
func (p *page) mountChart() {
	number := func(v js.Value) *float64 {
		if v.Type() != js.TypeNumber {
			return nil
		}
		x := v.Float()
		return &x
	}
	p.host.Get("chart").Call("mount", byID("chart").Underlying(), map[string]any{
		"onHover": callback(func(args []js.Value) {
			p.hoverX = number(args[0])
			p.readout()
		}),
		"onRange": callback(func(args []js.Value) {
			p.from, p.to = number(args[0]), number(args[1])
			p.draw()
		}),
		"onSize": callback(func(args []js.Value) {
			if w := args[0].Int(); w > 0 && w != p.width {
				p.width = w
				p.draw()
			}
		}),
	})
}

func (p *page) hiddenRuns() []string {
	var ids []string
	for _, r := range p.view.Runs {
		if p.hidden[r.ID] || p.isWaiting(r.File) {
			ids = append(ids, r.ID)
		}
	}
	return ids
}

// draw asks for the curves as they should look now, and draws them. An answer
// that a later question has overtaken is dropped.
func (p *page) draw() {
	p.curvesAsked++
	asked := p.curvesAsked
	c := wire.Command{Do: "curves", Axis: p.axis, From: p.from, To: p.to, Width: p.width, Hidden: p.hiddenRuns()}
	p.command(c, func(r wire.Reply, buffers js.Value) {
		if r.Curves == nil || asked != p.curvesAsked {
			return
		}
		text, err := json.Marshal(r.Curves)
		if err != nil {
			return
		}
		cutoff := any(nil)
		if r.Curves.Cutoff != nil {
			cutoff = *r.Curves.Cutoff
		}
		p.host.Get("chart").Call("draw", js.Global().Get("JSON").Call("parse", string(text)), buffers, map[string]any{
			"temperature": byID("temperature").Underlying().Get("checked").Bool() && p.view.Temperature,
			"cutoff":      cutoff,
		})
	})
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
	p.command(wire.Command{Do: "readout", Axis: p.axis, X: x, Hidden: p.hiddenRuns()}, func(r wire.Reply, _ js.Value) {
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
	for id, cells := range p.cells {
		row := rows[id]
		for k, text := range [readings]string{row.Voltage, row.Charge, row.Energy, row.Time, row.Temperature} {
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
