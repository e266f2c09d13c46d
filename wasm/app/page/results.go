//go:build js && wasm

package page

import (
	"strconv"
	"strings"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// figures are those of a run in the order of the table's head; those from
// optional on have no column where no run has them.
func figures(r *wire.Run) []wire.Figure {
	return []wire.Figure{r.Capacity, r.Energy, r.Duration, r.Average, r.MidPoint, r.Current, r.Start, r.End, r.Resistance, r.TempMax, r.TempRise}
}

const (
	bounded    = 3 // how many of them are "at least" where a run ended early
	optional   = 8
	resistance = 8
)

func (p *page) renderResults() {
	runs := p.shownRuns()
	p.renderNarrow(runs)
	at := sameTime(runs)
	atHead := ""
	if at != "" {
		atHead = say.With("at %s", at)
	}
	setText(byID("resistance-at"), atHead)
	heads := findAllIn(byID("results"), "th[data-figure]")
	all := make([][]wire.Figure, len(runs))
	for i := range runs {
		all[i] = figures(runs[i])
	}
	// What a row looks like hangs on all of them by the room for uncertainties.
	shape, widest, column := at, make([]int, len(heads)), make([]wire.Figure, len(runs))
	for k, th := range heads {
		any := false
		for i := range runs {
			column[i] = all[i][k]
			any = any || column[i].Value != ""
		}
		shown := any || k < optional
		show(th, shown)
		widest[k] = -1
		if shown {
			widest[k] = widestU(column)
		}
		shape += " " + strconv.Itoa(widest[k])
	}
	rows := make([]markup, len(runs))
	for i := range runs {
		r := runs[i]
		rows[i] = p.recall("run "+r.ID, shape, func() markup {
			row := runHead(r)
			for k, f := range all[i] {
				if k >= len(heads) || widest[k] < 0 {
					continue
				}
				before := ""
				if r.AtLeast && k < bounded {
					before = atLeast
				}
				td := mkFigureCell(f, before, widest[k], with("data-figure="+heads[k].GetAttribute("data-figure")))
				if k == resistance && at == "" && r.ResistanceAt != "" && f.Value != "" {
					td = into(td, mk("small", nil, say.With("at %s", r.ResistanceAt)))
				}
				row += td
			}
			return mk("tr", with("data-run="+r.ID, voidClass(r)), row)
		})
	}
	putRows(byID("results-rows"), rows)
	p.renderCutoffs()
	p.renderRepeats()
}

// runHead is a row's head.
func runHead(r *wire.Run) markup {
	inside := mkSwatch(r.Colour) + mk("span", with("class=run-name"), r.Name)
	var about []string
	if r.Cell != "" && r.Cell != r.Name && !strings.HasPrefix(r.Name, r.Cell+" ") {
		about = append(about, r.Cell)
	}
	if r.Rate != "" {
		about = append(about, r.Rate)
	}
	inside += mk("span", with("class=run-foot"), mk("small", nil, strings.Join(about, " · ")),
		mk("button", with("type=button", "class=quiet", "data-details="+r.ID, "aria-label="+say.With("Details of %s", r.Name)), say.Text("Details")))
	if r.Void != "" {
		inside += mk("small", with("class=void-reason"), say.With("Does not count: %s", r.Void))
	}
	return mk("th", with("scope=row", "title="+r.Source), inside)
}

// voidClass marks a row of a run that does not count.
func voidClass(r *wire.Run) string {
	if r.Void != "" {
		return "class=void"
	}
	return "class="
}

// sameTime is the time after the load step that all resistances are of; empty
// where they are of several.
func sameTime(runs []*wire.Run) string {
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
	for k := range p.view.Runs {
		if r := &p.view.Runs[k]; r.ID == id && !p.isWaiting(r.File) {
			return r
		}
	}
	return nil
}

// runName is a discharge by name, struck through where it does not count.
func (p *page) runName(id string) markup {
	r := p.run(id)
	switch {
	case r == nil:
		return mk("span", nil, id)
	case r.Void != "":
		return mk("s", with("title="+say.With("Does not count: %s", r.Void)), r.Name, mk("span", with("class=unseen"), " ", say.With("(does not count: %s)", r.Void)))
	}
	return mk("span", nil, r.Name)
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
	heads := mk("th", with("scope=col"), say.Text("Discharge"), mk("small", nil, say.With("figures in %s", unit)))
	runs := map[string]*wire.Run{}
	for _, r := range p.shownRuns() {
		runs[r.ID] = r
	}
	highestCommon := say.Text("highest common")
	var rows []markup
	var shown []wire.CutoffRow
	for _, row := range c.Rows {
		if r := runs[row.Run]; r != nil {
			rows, shown = append(rows, mk("th", with("scope=row"), mkSwatch(r.Colour), r.Name)), append(shown, row)
		}
	}
	for k, column := range c.Columns {
		class := "class="
		th := mkText(column.Voltage)
		if from := strings.TrimSuffix(strings.TrimSuffix(column.From, highestCommon), ", "); from != "" {
			th += mk("small", nil, from)
		}
		if column.Common {
			class = "class=common"
			th += mk("strong", nil, highestCommon)
		}
		heads += mk("th", with("scope=col", class), th)
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
		for i, td := range mkFigureCells(list, func(i int) string {
			if fields[i].AtLeast {
				return atLeast
			}
			return ""
		}, class) {
			rows[i] += td
		}
	}
	for k, row := range shown {
		rows[k] = mk("tr", with("data-run="+row.Run, voidClass(runs[row.Run])), rows[k])
	}
	put(byID("cutoffs-head"), heads)
	putRows(byID("cutoffs-rows"), rows)
	byID("cutoffs-note").SetTextContent(c.Note)
}

func (p *page) renderRepeats() {
	r := p.view.Repeats
	show(byID("repeats"), r != nil && len(r.Groups) > 0)
	if r == nil {
		return
	}
	var rows, checks markup
	means, bests := make([]wire.Figure, len(r.Groups)), make([]wire.Figure, len(r.Groups))
	for k, g := range r.Groups {
		means[k], bests[k] = g.Mean, g.Best
		for _, c := range g.Checks {
			checks += mkCheck(c, mkCheckText(c, nil, strings.TrimSpace(g.Cell+" "+g.Rate)))
		}
	}
	meanCells, bestCells := mkFigureCells(means, bare), mkFigureCells(bests, bare)
	for k, g := range r.Groups {
		spread := g.Spread
		if spread == "" {
			spread = "–"
		}
		rows += mk("tr", nil,
			mk("th", with("scope=row"), g.Cell, mk("small", nil, g.Rate)),
			mk("td", with("class=words"), written("ul", nil, g.Runs, func(id string) markup { return mk("li", nil, p.runName(id)) })),
			mk("td", nil, strconv.Itoa(g.N)), meanCells[k], mk("td", nil, spread), bestCells[k],
			mk("td", with("class=words"), g.Trend))
	}
	put(byID("repeats-rows"), rows)
	byID("repeats-pooled").SetTextContent(r.Pooled)
	put(byID("repeats-checks"), checks)
}
