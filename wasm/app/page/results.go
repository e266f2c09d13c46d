//go:build js && wasm

package page

import (
	"strconv"
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// figures are those of a run in the order of the table's head; those from
// optional on have no column where no run has them.
func figures(r *wire.Run) []wire.Figure {
	return []wire.Figure{r.Capacity, r.Energy, r.Duration, r.Average, r.MidPoint, r.Current, r.Start, r.End, r.Resistance, r.TempMax, r.TempRise}
}

const highestCommon = "highest common"

const (
	bounded    = 3 // how many of them are "at least" where a run ended early
	optional   = 8
	resistance = 8
)

func (p *page) renderResults() {
	runs := p.runs()
	rows := make([]dom.Element, len(runs))
	for k := range runs {
		rows[k] = runRow(&runs[k])
	}
	at := sameTime(runs)
	atHead := ""
	if at != "" {
		atHead = "at " + at
	}
	byID("resistance-at").SetTextContent(atHead)
	heads := findAllIn(byID("results"), "th[data-figure]")
	for k, th := range heads {
		column, any := make([]wire.Figure, len(runs)), false
		for i := range runs {
			column[i] = figures(&runs[i])[k]
			any = any || column[i].Value != ""
		}
		show(th, any || k < optional)
		if !any && k >= optional {
			continue
		}
		for i, td := range figureCells(column, func(i int) string {
			if runs[i].AtLeast && k < bounded {
				return atLeast
			}
			return ""
		}) {
			if k == resistance && at == "" && runs[i].ResistanceAt != "" && column[i].Value != "" {
				td.AppendChild(el("small", nil, "at "+runs[i].ResistanceAt))
			}
			td.SetAttribute("data-figure", th.GetAttribute("data-figure"))
			rows[i].AppendChild(td)
		}
	}
	nodes := make([]dom.Node, len(rows))
	for k, row := range rows {
		nodes[k] = row
	}
	fill(byID("results-rows"), nodes)
	p.renderCutoffs()
	p.renderRepeats()
}

// runRow is a row with its head alone.
func runRow(r *wire.Run) dom.Element {
	th := el("th", with("scope=row", "title="+r.Source), swatch(r.Colour), el("span", with("class=run-name"), r.Name))
	var about []string
	if r.Cell != "" && r.Cell != r.Name {
		about = append(about, r.Cell)
	}
	if r.Rate != "" {
		about = append(about, r.Rate)
	}
	if len(about) > 0 {
		th.AppendChild(el("small", nil, strings.Join(about, " · ")))
	}
	class := "class="
	if r.Void != "" {
		class = "class=void"
		th.AppendChild(el("small", with("class=void-reason"), "Does not count: "+r.Void))
	}
	th.AppendChild(el("button", with("type=button", "class=quiet", "data-details="+r.ID, "aria-label=Details of "+r.Name), "Details"))
	return el("tr", with("data-run="+r.ID, class), th)
}

// sameTime is the time after the load step that all resistances are of; empty
// where they are of several.
func sameTime(runs []wire.Run) string {
	at := ""
	for _, r := range runs {
		switch {
		case r.Resistance.Value == "" || r.ResistanceAt == at:
		case at == "":
			at = r.ResistanceAt
		default:
			return ""
		}
	}
	return at
}

// run is a discharge that is shown; nil for none.
func (p *page) run(id string) *wire.Run {
	for _, r := range p.runs() {
		if r.ID == id {
			return &r
		}
	}
	return nil
}

// runName is a discharge by name, struck through where it does not count.
func (p *page) runName(id string) dom.Element {
	r := p.run(id)
	switch {
	case r == nil:
		return el("span", nil, id)
	case r.Void != "":
		return el("s", with("title=Does not count: "+r.Void), r.Name, el("span", with("class=unseen"), " (does not count: "+r.Void+")"))
	}
	return el("span", nil, r.Name)
}

func (p *page) renderCutoffs() {
	c := p.view.Cutoffs
	show(byID("cutoffs"), c != nil && len(c.Columns) > 0)
	if c == nil {
		return
	}
	byEnergy := checked(byID("cutoffs-energy"))
	unit := "Ah"
	if byEnergy {
		unit = "Wh"
	}
	heads := []dom.Node{el("th", with("scope=col"), "Discharge", el("small", nil, "figures in "+unit))}
	var rows []dom.Node
	var trs []dom.Element
	var shown []wire.CutoffRow
	for _, row := range c.Rows {
		if r := p.run(row.Run); r != nil {
			tr := el("tr", with("data-run="+r.ID), el("th", with("scope=row"), swatch(r.Colour), r.Name))
			if r.Void != "" {
				tr.SetAttribute("class", "void")
			}
			trs, rows, shown = append(trs, tr), append(rows, tr), append(shown, row)
		}
	}
	for k, column := range c.Columns {
		class := "class="
		th := el("th", with("scope=col"), column.Voltage)
		if from := strings.TrimSuffix(strings.TrimSuffix(column.From, highestCommon), ", "); from != "" {
			th.AppendChild(el("small", nil, from))
		}
		if column.Common {
			class = "class=common"
			th.AppendChild(el("strong", nil, highestCommon))
		}
		th.SetAttribute("class", class[len("class="):])
		heads = append(heads, th)
		fields := make([]wire.CutoffField, len(shown))
		list := make([]wire.Figure, len(shown))
		for i, row := range shown {
			if k < len(row.Fields) {
				fields[i] = row.Fields[k]
			}
			list[i] = fields[i].Capacity
			if byEnergy {
				list[i] = fields[i].Energy
			}
		}
		for i, td := range figureCells(list, func(i int) string {
			if fields[i].AtLeast {
				return atLeast
			}
			return ""
		}) {
			td.SetAttribute("class", class[len("class="):])
			trs[i].AppendChild(td)
		}
	}
	fill(byID("cutoffs-head"), heads)
	fill(byID("cutoffs-rows"), rows)
	byID("cutoffs-note").SetTextContent(c.Note)
}

func (p *page) renderRepeats() {
	r := p.view.Repeats
	show(byID("repeats"), r != nil && len(r.Groups) > 0)
	if r == nil {
		return
	}
	var rows, checks []dom.Node
	means, bests := make([]wire.Figure, len(r.Groups)), make([]wire.Figure, len(r.Groups))
	for k, g := range r.Groups {
		means[k], bests[k] = g.Mean, g.Best
		for _, c := range g.Checks {
			checks = append(checks, checkItem(c, nil, strings.TrimSpace(g.Cell+" "+g.Rate)))
		}
	}
	bare := func(int) string { return "" }
	meanCells, bestCells := figureCells(means, bare), figureCells(bests, bare)
	for k, g := range r.Groups {
		names := el("ul", nil)
		for _, id := range g.Runs {
			names.AppendChild(el("li", nil, p.runName(id)))
		}
		spread := g.Spread
		if spread == "" {
			spread = "–"
		}
		rows = append(rows, el("tr", nil,
			el("th", with("scope=row"), g.Cell, el("small", nil, g.Rate)),
			el("td", with("class=words"), names),
			el("td", nil, strconv.Itoa(g.N)), meanCells[k], el("td", nil, spread), bestCells[k],
			el("td", with("class=words"), g.Trend)))
	}
	fill(byID("repeats-rows"), rows)
	byID("repeats-pooled").SetTextContent(r.Pooled)
	fill(byID("repeats-checks"), checks)
}
