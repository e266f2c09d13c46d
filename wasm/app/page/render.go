//go:build js && wasm

package page

import (
	"fmt"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/quantity"
	"plateau/wasm/app/wire"
)

// render brings the page to a view.
func (p *page) render(v *wire.View) {
	before := p.view
	p.view = *v
	for _, f := range v.Files {
		p.forget(f.ID)
	}
	state := "empty"
	if len(v.Files)+len(p.waiting) > 0 {
		state = "loaded"
	}
	doc.QuerySelector("body").SetAttribute("data-state", state)
	for _, id := range []string{"curves", "results"} {
		show(byID(id).Closest("section"), len(v.Runs) > 0)
	}
	p.renderLogs()
	p.renderResults()
	p.renderLegend()
	p.renderChecks()
	byID("temperature").Underlying().Set("disabled", !v.Temperature)
	byID("cutoff-error").SetTextContent(v.CutoffError)
	show(byID("cutoff-error"), v.CutoffError != "")
	byID("cutoff").SetAttribute("aria-invalid", strconv.FormatBool(v.CutoffError != ""))
	p.announce(v)
	if len(v.Runs) > 0 || len(before.Runs) > 0 {
		p.draw()
	}
}

// announce tells of each log once, when it is done: of one by name, of many
// by their number.
func (p *page) announce(v *wire.View) {
	var read, refused []string
	for _, f := range v.Files {
		if p.known[f.ID] {
			continue
		}
		p.known[f.ID] = true
		if f.State == "refused" {
			refused = append(refused, f.Fault+". "+f.Hint)
		} else {
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

// renderLogs lists what wants attention in the open: logs that wait, that are
// refused, that had rows left out. The others are folded away below.
func (p *page) renderLogs() {
	if len(p.waiting) > 0 {
		doc.QuerySelector("body").SetAttribute("data-state", "loaded")
	}
	var open, folded []dom.Node
	for _, f := range p.view.Files {
		if f.State == "read" && f.Left == 0 {
			folded = append(folded, logItem(f))
		} else {
			open = append(open, logItem(f))
		}
	}
	for _, w := range p.waiting {
		open = append(open, el("li", with("class=log waiting", "data-id="+strconv.Itoa(w.ID)),
			el("div", with("class=log-head"),
				el("strong", with("class=log-name"), w.Name),
				el("button", with("type=button", "class=quiet", "data-act=cancel", "data-file="+strconv.Itoa(w.ID),
					"aria-label=Stop reading "+w.Name), "Stop")),
			el("progress", with("aria-label=Reading "+w.Name, "max=1", "value=0")),
			el("p", with("class=log-summary"), "waiting to be read")))
	}
	fill(byID("logs-list"), open)
	fill(byID("logs-read"), folded)
	show(byID("logs-read").Closest("details"), len(folded) > 0)
	title := fmt.Sprintf("%d logs read", len(folded))
	if len(folded) == 1 {
		title = "1 log read: " + p.only().Name
	}
	byID("logs-read-title").SetTextContent(title)
	for _, w := range p.waiting {
		p.renderProgress(w)
	}
}

// only is the one log that was read without a remark.
func (p *page) only() wire.File {
	for _, f := range p.view.Files {
		if f.State == "read" && f.Left == 0 {
			return f
		}
	}
	return wire.File{}
}

func (p *page) renderProgress(w *waiting) {
	item := doc.QuerySelector(fmt.Sprintf(`#logs-list li[data-id="%d"]`, w.ID))
	if item == nil || w.Total == 0 {
		return
	}
	bar := item.QuerySelector("progress").Underlying()
	bar.Set("max", w.Total)
	bar.Set("value", w.Bytes)
	words := quantity.Words{}
	item.QuerySelector(".log-summary").SetTextContent(fmt.Sprintf("%s of %s, %s rows, %s/s",
		words.Bytes(w.Bytes), words.Bytes(w.Total), words.Count(w.Rows), words.Bytes(int64(w.Rate))))
}

func logItem(f wire.File) dom.Element {
	id := strconv.Itoa(f.ID)
	item := el("li", with("class=log "+f.State, "data-id="+id),
		el("div", with("class=log-head"),
			el("strong", with("class=log-name"), f.Name),
			el("button", with("type=button", "class=quiet", "data-act=remove", "data-file="+id, "aria-label=Remove "+f.Name), "Remove")))
	if f.Fault != "" {
		item.AppendChild(el("p", with("class=log-fault"), f.Fault+"."))
		item.AppendChild(el("p", with("class=log-hint"), f.Hint))
	}
	if f.Summary != "" {
		item.AppendChild(el("p", with("class=log-summary"), f.Summary))
	}
	for _, n := range f.Notes {
		item.AppendChild(el("p", with("class=log-note"), n))
	}
	if f.Left > 0 {
		list := el("ul", with("class=left-out"))
		for _, x := range f.LeftOut {
			list.AppendChild(el("li", nil, fmt.Sprintf("line %d: %s", x.Line, x.Reason)))
		}
		if more := f.Left - len(f.LeftOut); more > 0 {
			list.AppendChild(el("li", nil, fmt.Sprintf("and %d more", more)))
		}
		title := "1 row left out"
		if f.Left > 1 {
			title = fmt.Sprintf("%d rows left out", f.Left)
		}
		item.AppendChild(el("details", with("class=log-left"), el("summary", nil, title), list))
	}
	if f.Guess != "" {
		item.AppendChild(el("details", with("class=log-guess"), el("summary", nil, "How it was read"), el("p", nil, f.Guess+".")))
	}
	return item
}

func (p *page) renderResults() {
	var rows []dom.Node
	for _, r := range p.view.Runs {
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
	for _, r := range p.view.Runs {
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
	for _, r := range p.view.Runs {
		for _, c := range r.Checks {
			items = append(items, el("li", with("class=check "+c.Severity),
				el("span", with("class=severity"), c.Severity), el("strong", nil, r.Name), el("span", nil, c.Text)))
		}
	}
	fill(byID("checks-list"), items)
	show(byID("checks"), len(items) > 0)
}
