//go:build js && wasm

package page

import (
	"slices"
	"sort"
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// manyChecks is how many there may be before notes are folded away.
const manyChecks = 8

// severities in the order in which they are listed.
var severities = []string{"fault", "caution", "note"}

func (p *page) renderChecks() {
	runs := p.runs()
	for k := range p.view.Cells {
		if c := &p.view.Cells[k]; warnings(c) > 0 {
			runs = append(runs, &wire.Run{Name: c.Name, Checks: c.Checks[:warnings(c)]})
		}
	}
	count := 0
	for _, r := range runs {
		count += len(r.Checks)
	}
	var dangers []*danger
	var groups []markup
	var quiet markup
	var hushing int
	hushed := 0 // notes on discharges of which there is nothing else to say
	for k := range runs {
		r := runs[k]
		var list, notes markup
		open, folded := 0, 0
		for _, c := range bySeverity(r.Checks) {
			switch {
			case c.Safety:
				dangers = withDanger(dangers, c, r)
			case c.Severity == "note" && count > manyChecks:
				notes += mkCheck(c, mkCheckText(c, r, ""))
				folded++
			default:
				list += mkCheck(c, mkCheckText(c, r, ""))
				open++
			}
		}
		if open+folded == 0 {
			continue
		}
		title, rest := mk("h3", nil, mkSwatch(r.Colour), r.Name), mk("ul", with("class=checks"), notes)
		if open == 0 {
			quiet += mk("section", with("class=check-group"), title, rest)
			hushed, hushing = hushed+folded, hushing+1
			continue
		}
		title += mk("ul", with("class=checks"), list)
		if folded > 0 {
			title += mk("details", with("data-part=notes "+r.ID), mk("summary", nil, notesOf(folded)), rest)
		}
		groups = append(groups, mk("section", with("class=check-group"), title))
	}
	if hushing > 0 {
		groups = append(groups, mk("details", with("data-part=notes"), mk("summary", nil,
			counted(hushing, say.Later("1 other discharge"), say.Later("%d other discharges"))+": "+notesOf(hushed)), quiet))
	}
	var safety []markup
	for _, d := range dangers {
		safety = append(safety, mkCheck(d.check, d.said))
	}
	putRows(byID("safety-list"), safety)
	show(byID("safety"), len(dangers) > 0)
	putRows(byID("checks-list"), groups)
	showSection(byID("checks"), len(dangers) > 0 || len(groups) > 0)
}

// danger is a remark on safety: one for all runs of which the same is to be said.
type danger struct {
	check wire.Check
	said  markup
}

func withDanger(list []*danger, c wire.Check, r *wire.Run) []*danger {
	return grouped(list, c, mkCheckText(c, r, r.Name))
}

// grouped adds a check to a list, or to one in it of which the same is to be
// done.
func grouped(list []*danger, c wire.Check, said markup) []*danger {
	for _, d := range list {
		if d.check.Severity == c.Severity && d.check.Do == c.Do && d.check.Rule == c.Rule && d.check.Source == c.Source {
			d.said += said
			return list
		}
	}
	return append(list, &danger{c, said})
}

func bySeverity(checks []wire.Check) []wire.Check {
	sorted := slices.Clone(checks)
	sort.SliceStable(sorted, func(i, j int) bool {
		return slices.Index(severities, sorted[i].Severity) < slices.Index(severities, sorted[j].Severity)
	})
	return sorted
}

// checkItem is a check of a run, or of none; of names what it is about where
// that is not said above it.
func checkItem(c wire.Check, r *wire.Run, of string) dom.Element {
	return made(mkCheck(c, mkCheckText(c, r, of)))
}

// mkCheck is a check with what was seen, once or of several runs.
func mkCheck(c wire.Check, said markup) markup {
	body := said
	if c.Do != "" {
		body += mk("p", nil, mk("strong", nil, say.Text("What to do:"), " "), c.Do)
	}
	var rule []string
	if c.Rule != "" {
		rule = append(rule, say.With("Rule: %s.", strings.TrimSuffix(c.Rule, ".")))
	}
	if c.Source != "" {
		rule = append(rule, say.With("Source: %s.", strings.TrimSuffix(c.Source, ".")))
	}
	if rule != nil {
		body += mk("p", with("class=rule"), strings.Join(rule, " "))
	}
	return mk("li", with("class=check "+c.Severity),
		mk("span", with("class=severity"), mk("span", with("class=shape "+c.Severity, "aria-hidden=true")), say.Text(c.Severity)), mk("div", nil, body))
}

// mkCheckText is what was seen, and where.
func mkCheckText(c wire.Check, r *wire.Run, of string) markup {
	var text markup
	if of != "" {
		text = mk("strong", nil, of+": ")
	}
	text += mkText(c.Text + " ")
	if c.Marked && r != nil {
		text += mk("button", with("type=button", "class=quiet", "data-mark="+c.Text, "data-of="+r.ID,
			"aria-label="+say.With("Show on the curve of %s: %s", r.Name, c.Text)), say.Text("Show on the curve"))
	}
	return mk("p", with("class=said"), text)
}

// counted is a number of things, as one of two texts says it that are looked up
// here: "1 note", "%d notes".
func counted(n int, one, many string) string {
	if n == 1 {
		return say.Text(one)
	}
	return say.With(many, n)
}

func notesOf(n int) string { return counted(n, say.Later("1 note"), say.Later("%d notes")) }
