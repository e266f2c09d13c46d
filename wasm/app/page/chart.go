//go:build js && wasm

package page

import (
	"slices"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// What is drawn, as Command.Show has it.
const (
	voltageCurves     = "voltage"
	incrementalCurves = "incremental"
	resistanceCurves  = "resistance"
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

// listenCurves ties the controls beside the chart to what is drawn.
func (p *page) listenCurves() {
	on(byID("curves"), "change", func(t dom.Element) {
		switch {
		case t.GetAttribute("name") == "show":
			p.setShow(value(t))
		case t.GetAttribute("name") == "axis":
			p.axis = value(t)
			p.drawWhole()
		case t.ID() == "temperature":
			p.draw()
		case t.HasAttribute("data-run"):
			p.hidden[t.GetAttribute("data-run")] = !checked(t)
			p.draw()
			p.readout()
		}
	})
	on(byID("window"), "input", func(dom.Element) { p.draw() })
	on(byID("reset-zoom"), "click", func(dom.Element) { p.drawWhole() })
	leave := func(dom.Element) { p.host.Get("chart").Call("highlight", nil) }
	for _, id := range []string{"legend-rows", "results-rows"} {
		on(byID(id), "pointerover", p.highlight)
		on(byID(id), "pointerleave", leave)
	}
	on(byID("checks"), "click", func(t dom.Element) {
		if b := closest(t, "button[data-mark]"); b != nil {
			p.showMark(b.GetAttribute("data-of"), b.GetAttribute("data-mark"))
		}
	})
}

// setShow changes what is drawn, and which controls go with it.
func (p *page) setShow(what string) {
	p.show = what
	for _, e := range findAll("[data-show]") {
		show(e, e.GetAttribute("data-show") == what)
	}
	byID("show-"+what).Underlying().Set("checked", true)
	p.drawWhole()
}

// drawWhole draws anew what is shown over its whole abscissa.
func (p *page) drawWhole() {
	p.from, p.to, p.hoverX = nil, nil, nil
	p.host.Get("chart").Call("resetZoom")
	p.draw()
	p.readout()
}

// looking is what the person looks at, as a command has it.
func (p *page) looking() wire.Command {
	return wire.Command{Show: p.show, Axis: p.axis, Window: value(byID("window")), Hidden: p.hiddenRuns()}
}

// hiddenRuns are the curves that are not to be drawn. Resistance is worked out
// from all runs of a cell, be they in view or not.
func (p *page) hiddenRuns() []string {
	var ids []string
	drawn := map[string]bool{}
	for _, r := range p.shownRuns() {
		drawn[r.ID] = !p.hidden[r.ID]
	}
	for k := range p.view.Runs {
		r := &p.view.Runs[k]
		if !drawn[r.ID] && p.show != resistanceCurves || p.isWaiting(r.File) {
			ids = append(ids, r.ID)
		}
	}
	if p.show == resistanceCurves {
		for _, s := range p.cellCurves {
			if p.hidden[s.Run] {
				ids = append(ids, s.Run)
			}
		}
	}
	return ids
}

// draw asks for the curves as they should look now, and draws them. An answer
// that a later question has overtaken is dropped.
func (p *page) draw() {
	p.curvesAsked++
	asked := p.curvesAsked
	c := p.looking()
	c.Do, c.From, c.To, c.Width = "curves", p.from, p.to, p.width
	p.command(c, func(r wire.Reply, buffers js.Value) {
		if r.Curves != nil && asked == p.curvesAsked {
			p.drawn(r.Curves, buffers)
		}
	})
}

func (p *page) drawn(c *wire.Curves, buffers js.Value) {
	text, err := plain.Marshal(c)
	if err != nil {
		return
	}
	p.columns, p.marks = c.Columns, c.Marks
	p.curvesDrawn = p.curvesAsked
	if p.show == resistanceCurves {
		p.keepCells(slices.Clone(c.Series))
	}
	p.renderLegend()
	show(byID("chart"), c.Why == "")
	show(byID("chart-help"), c.Why == "")
	setText(byID("chart-why"), c.Why)
	setText(byID("chart-note"), c.Note)
	setWrong(byID("window"), c.WindowError)
	cutoff := any(nil)
	if c.Cutoff != nil && p.show == voltageCurves {
		cutoff = *c.Cutoff
	}
	p.host.Get("chart").Call("draw", js.Global().Get("JSON").Call("parse", string(text)), buffers, map[string]any{
		"show":        p.show,
		"temperature": p.show == resistanceCurves || p.show == voltageCurves && checked(byID("temperature")) && p.view.Temperature,
		"cutoff":      cutoff,
	})
	if then := p.onDrawn; then != nil {
		p.onDrawn = nil
		then()
	}
}

// showMark puts the chart's cursor on the place of a check.
func (p *page) showMark(run, text string) {
	turned := p.turnTo(run)
	if turned || p.show != voltageCurves || p.hidden[run] || p.from != nil {
		delete(p.hidden, run)
		p.legendMade = ""
		p.onDrawn = func() { p.pointAt(run, text) }
		p.setShow(voltageCurves)
		return
	}
	if p.curvesDrawn < p.curvesAsked { // its marks are on their way
		p.onDrawn = func() { p.pointAt(run, text) }
		return
	}
	p.pointAt(run, text)
}

func (p *page) pointAt(run, text string) {
	for _, m := range p.marks {
		if m.Run == run && m.Text == text {
			byID("curves").Underlying().Call("scrollIntoView")
			p.host.Get("chart").Call("point", run, m.X)
			return
		}
	}
	alarm(say.Text("This place is not on the curve that is drawn."))
}
