//go:build js && wasm

package page

import (
	"fmt"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// render brings the page to a view.
func (p *page) render(v *wire.View) {
	drawn := len(p.view.Runs) > 0
	p.view = *v
	for _, f := range v.Files {
		p.firstAnswer(f)
	}
	p.refresh()
	p.announce(v)
	if len(v.Runs) > 0 || drawn {
		p.draw()
	}
}

// refresh shows the last view again: which logs are read anew, whose figures
// are held back, is not in it.
func (p *page) refresh() {
	v := &p.view
	state := "empty"
	if len(v.Files)+len(p.waiting) > 0 {
		state = "loaded"
	}
	find("body").SetAttribute("data-state", state)
	for _, id := range []string{"curves", "results"} {
		show(closest(byID(id), "section"), len(v.Runs) > 0)
	}
	p.renderLogs()
	p.renderResults()
	p.renderLegend()
	p.renderChecks()
	byID("temperature").Underlying().Set("disabled", !v.Temperature)
	byID("cutoff-error").SetTextContent(v.CutoffError)
	show(byID("cutoff-error"), v.CutoffError != "")
	byID("cutoff").SetAttribute("aria-invalid", strconv.FormatBool(v.CutoffError != ""))
}

// runs are the discharges to show: not those of a log that is read again, since
// the way they were read before is in doubt.
func (p *page) runs() []wire.Run {
	var shown []wire.Run
	for _, r := range p.view.Runs {
		if !p.isWaiting(r.File) {
			shown = append(shown, r)
		}
	}
	return shown
}

// announce tells of each log once, when it is done: of one by name, of many
// by their number.
func (p *page) announce(v *wire.View) {
	var read, refused []string
	for _, f := range v.Files {
		if p.known[f.ID] || p.isWaiting(f.ID) {
			continue
		}
		p.known[f.ID] = true
		switch f.State {
		case "refused":
			refused = append(refused, f.Fault+". "+f.Hint)
		case "asks":
			refused = append(refused, f.Name+" asks: "+f.Question)
		default:
			read = append(read, f.Name+": "+f.Summary)
		}
	}
	news := strings.Join(refused, " ")
	switch {
	case len(read) == 1:
		news = read[0] + ". " + news
	case len(read) > 1:
		news = fmt.Sprintf("%d logs read. %s", len(read), news)
	}
	if news != "" {
		say(news)
	}
}

func (p *page) renderResults() {
	var rows []dom.Node
	for _, r := range p.runs() {
		row := el("tr", with("data-run="+r.ID),
			el("th", with("scope=row", "title="+r.Source), swatch(r.Colour), r.Name))
		for _, text := range []string{r.Capacity, r.Energy, r.Average, r.MidPoint, r.Duration, r.Current, r.Start, r.End, r.TempMax, r.TempRise} {
			if text == "" {
				text = "–"
			}
			row.AppendChild(el("td", nil, text))
		}
		rows = append(rows, row)
	}
	fill(byID("results-rows"), rows)
}

// swatch is a short piece of a run's line, as the chart draws it.
func swatch(colour int) dom.Element {
	return el("span", with("class=swatch", "aria-hidden=true", "data-colour="+strconv.Itoa(colour%8), "data-dash="+strconv.Itoa(colour/8%4)))
}

// readings is how many columns the legend has besides the curve's name.
const readings = 5

// cell is one reading in the legend, and what it shows.
type cell struct {
	node js.Value
	text string
}

func (p *page) renderLegend() {
	p.cells = map[string]*[readings]cell{}
	var rows []dom.Node
	for _, r := range p.runs() {
		box := el("input", with("type=checkbox", "data-run="+r.ID))
		box.Underlying().Set("checked", !p.hidden[r.ID])
		row := el("tr", with("data-run="+r.ID),
			el("th", with("scope=row"), el("label", nil, box, swatch(r.Colour), r.Name)))
		cells := &[readings]cell{}
		for k := range cells {
			td := el("td", nil)
			cells[k].node = td.Underlying()
			row.AppendChild(td)
		}
		p.cells[r.ID] = cells
		rows = append(rows, row)
	}
	fill(byID("legend-rows"), rows)
}

func (p *page) renderChecks() {
	var items []dom.Node
	for _, r := range p.runs() {
		for _, c := range r.Checks {
			items = append(items, el("li", with("class=check "+c.Severity),
				el("span", with("class=severity"), c.Severity), el("strong", nil, r.Name), el("span", nil, c.Text)))
		}
	}
	fill(byID("checks-list"), items)
	show(byID("checks"), len(items) > 0)
}
