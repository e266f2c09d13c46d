//go:build js && wasm

package page

import (
	"reflect"
	"strconv"
	"strings"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// render brings the page to a view.
func (p *page) render(v *wire.View) {
	for k := range v.Runs {
		if !v.Runs[k].Same {
			p.versions["run "+v.Runs[k].ID]++
		}
	}
	if v.Cutoffs != nil {
		for _, row := range v.Cutoffs.Rows {
			if !row.Same {
				p.versions["cutoffs "+row.Run]++
			}
		}
	}
	if !v.Fill(&p.view) {
		p.askView() // what is missing comes with a whole view
		return
	}
	p.notice(v)
	p.view = *v
	for _, f := range v.Files {
		p.firstAnswer(f)
	}
	if len(p.waiting) > 0 && len(v.Files) > fewLogs {
		if !p.shownLater {
			p.shownLater = true
			p.showSoon.set(readingMS)
		}
		return
	}
	p.showView()
}

// notice tells whether a view is to change the lists of logs and of cells, which
// take long and seldom do.
func (p *page) notice(v *wire.View) {
	p.logsDue = p.logsDue || len(v.Files) != len(p.view.Files)
	for k := 0; k < len(v.Files) && !p.logsDue; k++ {
		p.logsDue = !reflect.DeepEqual(v.Files[k], p.view.Files[k])
	}
	p.cellsDue = p.cellsDue || !v.CellsSame || len(v.Runs) != len(p.view.Runs) || !reflect.DeepEqual(v.Typed, p.view.Typed)
	for k := 0; k < len(v.Runs) && !p.cellsDue; k++ {
		a, b := &v.Runs[k], &p.view.Runs[k]
		p.cellsDue = a.ID != b.ID || a.Name != b.Name || a.Cell != b.Cell || a.Guessed != b.Guessed || a.Colour != b.Colour || a.Void != b.Void
	}
}

// fewLogs is up to how many logs each is shown as soon as it is read; of more,
// those that come soon after each other are shown at once.
const fewLogs = 12

// showView shows the last view, and has its curves drawn where they are others
// than those drawn last.
func (p *page) showView() {
	p.shownLater = false
	v := &p.view
	p.bring()
	p.announce(v)
	p.recallCells()
	p.sendDue()
	if v.Drawn == p.drawnAs && p.show != resistanceCurves || len(v.Runs) == 0 && p.drawnAs == "" {
		return
	}
	p.drawnAs = v.Drawn
	p.draw()
}

// refresh shows the last view again: which logs are read anew, whose figures
// are held back, is not in it.
func (p *page) refresh() {
	p.logsDue, p.cellsDue = true, true
	p.bring()
}

// bring brings the page to the view, but for what is due only where noticed.
func (p *page) bring() {
	v := &p.view
	state := "empty"
	benched := p.grid.wanted || len(v.Cells)+len(v.Typed) > 0
	if len(v.Files)+len(p.waiting) > 0 || benched {
		state = "loaded"
	}
	setAttribute(find("body"), "data-state", state)
	for _, id := range []string{"cells", "curves", "results"} {
		showSection(byID(id), len(v.Runs) > 0 || id == "cells" && benched)
	}
	if p.logsDue {
		p.renderLogs()
	}
	p.renderResults()
	p.renderLegend()
	p.renderChecks()
	p.renderWorkspace()
	if e := byID("cutoff"); !hasFocus(e) {
		setValue(e, v.CutoffText)
	}
	for id, text := range map[string]string{"post-title": v.Title, "post-private": v.Private} {
		if e := byID(id); !hasFocus(e) {
			setValue(e, text)
		}
	}
	p.renderTester()
	if p.cellsDue {
		p.renderCells()
	}
	p.renderTyped()
	p.partsDue()
	byID("temperature").Underlying().Set("disabled", !v.Temperature)
	byID("cutoff-error").SetTextContent(v.CutoffError)
	show(byID("cutoff-error"), v.CutoffError != "")
	byID("cutoff").SetAttribute("aria-invalid", strconv.FormatBool(v.CutoffError != ""))
}

// runs are the discharges to show: not those of a log that is read again, since
// the way they were read before is in doubt.
func (p *page) runs() []*wire.Run {
	var shown []*wire.Run
	for k := range p.view.Runs {
		if r := &p.view.Runs[k]; len(p.waiting) == 0 || !p.isWaiting(r.File) {
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
			refused = append(refused, say.With("%s asks: %s", f.Name, f.Question))
		default:
			read = append(read, f.Name+": "+f.Summary)
		}
	}
	news := strings.Join(refused, " ")
	switch {
	case len(read) == 1:
		news = read[0] + ". " + news
	case len(read) > 1:
		news = say.With("%d logs read.", len(read)) + " " + news
	}
	if news != "" {
		tell(news)
	}
}
