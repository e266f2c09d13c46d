//go:build js && wasm

package page

import (
	"slices"
	"sort"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

func (p *page) listenCompare(one *section) {
	p.host.Get("chart").Call("mountPoints", byID("compare-chart").Underlying())
	on(byID("compare"), "change", func(t dom.Element) {
		if t.HasAttribute("data-run") {
			if checked(t) {
				delete(p.offCells, t.GetAttribute("data-run"))
			} else {
				p.offCells[t.GetAttribute("data-run")] = true
			}
		}
		p.askAgain(one)
	})
	legend := byID("compare-legend")
	on(legend, "mouseover", func(t dom.Element) {
		if key := closest(t, "[data-run]"); key != nil {
			p.host.Get("chart").Call("highlightPoints", key.GetAttribute("data-run"))
		}
	})
	on(legend, "mouseout", func(dom.Element) { p.host.Get("chart").Call("highlightPoints", nil) })
}

func (p *page) compareCommand() wire.Command {
	c := wire.Command{Do: "compare", Figure: value(byID("compare-figure")), Axis: chosen("compare-axis")}
	show(byID("compare-axis"), c.Figure != "ragone")
	for run := range p.offCells {
		c.Hidden = append(c.Hidden, run)
	}
	sort.SliceStable(c.Hidden, func(i, j int) bool { return c.Hidden[i] < c.Hidden[j] })
	return c
}

// chosen is the value of the radio button of that name that is on.
func chosen(name string) string {
	if e := find("input[name=" + name + "]:checked"); e != nil {
		return value(e)
	}
	return ""
}

func (p *page) renderCompared(r wire.Reply, buffers js.Value) {
	c := r.Compared
	if c == nil {
		c = &wire.Compared{Why: r.Error}
	}
	setWhy("compare-why", c.Why)
	drawn := c.Why == "" && len(c.Series) > 0
	show(byID("compare-chart"), c.Why == "")
	show(byID("compare-text"), drawn)
	setText(byID("compare-drawn"), c.Title)
	setText(byID("compare-note"), c.Note)
	byID("compare-chart").SetAttribute("aria-label", c.Title)
	p.renderKeys(c)
	tables := func(id string, t wire.Table, caption string) {
		show(byID(id), len(t.Rows) > 0)
		put(byID(id), table(t, caption))
	}
	tables("compare-table", c.Table, c.Title)
	tables("compare-summary", c.Summary, say.Text("Cell by cell"))
	show(byID("compare-summary-title"), len(c.Summary.Rows) > 0)
	if c.Why == "" {
		series := make([]any, len(c.Series))
		for k, s := range c.Series {
			series[k] = map[string]any{"run": s.Run, "name": s.Name, "colour": s.Colour}
		}
		p.host.Get("chart").Call("drawPoints", map[string]any{"xLabel": c.XLabel, "yLabel": c.YLabel, "log": c.Log, "series": series}, buffers)
	}
}

// renderKeys lists the cells that are on the chart or switched off.
func (p *page) renderKeys(c *wire.Compared) {
	now := slices.Clone(c.Series)
	for k, s := range p.compared {
		there := slices.ContainsFunc(now, func(n wire.Series) bool { return n.Run == s.Run })
		if p.offCells[s.Run] && !there {
			now = slices.Insert(now, min(k, len(now)), s)
		}
	}
	same := slices.Equal(now, p.compared)
	p.compared = now
	show(byID("compare-legend"), len(now) > 0)
	if same { // not otherwise, since it takes the focus away
		return
	}
	keys := []dom.Node{findIn(byID("compare-legend"), "legend")}
	for _, s := range now {
		box := el("input", with("type=checkbox", "data-run="+s.Run))
		box.Underlying().Set("checked", !p.offCells[s.Run])
		keys = append(keys, el("label", with("data-run="+s.Run), box, swatch(s.Colour), s.Name))
	}
	was := ""
	if focused := wrap(doc.Underlying().Get("activeElement")); focused != nil && closest(focused, "#compare-legend") != nil {
		was = focused.GetAttribute("data-run")
	}
	fill(byID("compare-legend"), keys)
	for _, box := range findAllIn(byID("compare-legend"), "input") {
		if was != "" && box.GetAttribute("data-run") == was {
			focus(box)
		}
	}
}
