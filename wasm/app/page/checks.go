//go:build js && wasm

package page

import (
	"fmt"
	"slices"
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// manyChecks is how many there may be before notes are folded away.
const manyChecks = 8

// severities in the order in which they are listed.
var severities = []string{"fault", "caution", "note"}

func (p *page) renderChecks() {
	runs := p.runs()
	count := 0
	for _, r := range runs {
		count += len(r.Checks)
	}
	var safety, groups, quiet []dom.Node
	dangers := map[string]dom.Element{} // by what there is to do about them
	hushed := 0                         // notes on discharges of which there is nothing else to say
	for k := range runs {
		r := &runs[k]
		list := el("ul", with("class=checks"))
		var notes []dom.Node
		open := 0
		for _, c := range bySeverity(r.Checks) {
			switch {
			case c.Safety:
				same := c.Severity + c.Do + c.Rule + c.Source
				if item := dangers[same]; item != nil {
					body := findIn(item, "div").Underlying()
					body.Call("insertBefore", checkText(c, r, r.Name).Underlying(), body.Call("querySelector", "p:not(.said)"))
					continue
				}
				dangers[same] = checkItem(c, r, r.Name)
				safety = append(safety, dangers[same])
			case c.Severity == "note" && count > manyChecks:
				notes = append(notes, checkItem(c, r, ""))
			default:
				list.AppendChild(checkItem(c, r, ""))
				open++
			}
		}
		if open+len(notes) == 0 {
			continue
		}
		group := el("section", with("class=check-group"), el("h3", nil, swatch(r.Colour), r.Name))
		folded := el("ul", with("class=checks"))
		fill(folded, notes)
		if open == 0 {
			group.AppendChild(folded)
			quiet, hushed = append(quiet, group), hushed+len(notes)
			continue
		}
		group.AppendChild(list)
		if len(notes) > 0 {
			group.AppendChild(el("details", with("data-part=notes "+r.ID), el("summary", nil, count1(len(notes), "note")), folded))
		}
		groups = append(groups, group)
	}
	if len(quiet) > 0 {
		rest := el("details", with("data-part=notes"), el("summary", nil, count1(hushed, "note")+" on "+count1(len(quiet), "other discharge")))
		for _, g := range quiet {
			rest.AppendChild(g)
		}
		groups = append(groups, rest)
	}
	fill(byID("safety-list"), safety)
	show(byID("safety"), len(safety) > 0)
	refill(byID("checks-list"), groups)
	show(byID("checks"), len(safety)+len(groups) > 0)
}

func bySeverity(checks []wire.Check) []wire.Check {
	sorted := slices.Clone(checks)
	slices.SortStableFunc(sorted, func(a, b wire.Check) int {
		return slices.Index(severities, a.Severity) - slices.Index(severities, b.Severity)
	})
	return sorted
}

// checkItem is a check of a run, or of none; of names what it is about where
// that is not said above it.
func checkItem(c wire.Check, r *wire.Run, of string) dom.Element {
	body := el("div", nil, checkText(c, r, of))
	if c.Do != "" {
		body.AppendChild(el("p", nil, el("strong", nil, "What to do: "), c.Do))
	}
	var rule []string
	if c.Rule != "" {
		rule = append(rule, "Rule: "+strings.TrimSuffix(c.Rule, ".")+".")
	}
	if c.Source != "" {
		rule = append(rule, "Source: "+strings.TrimSuffix(c.Source, ".")+".")
	}
	if rule != nil {
		body.AppendChild(el("p", with("class=rule"), strings.Join(rule, " ")))
	}
	return el("li", with("class=check "+c.Severity),
		el("span", with("class=severity"), el("span", with("class=shape "+c.Severity, "aria-hidden=true")), c.Severity), body)
}

// checkText is what was seen, and where.
func checkText(c wire.Check, r *wire.Run, of string) dom.Element {
	text := el("p", with("class=said"))
	if of != "" {
		text.AppendChild(el("strong", nil, of+": "))
	}
	text.Underlying().Call("append", c.Text+" ")
	if c.Marked && r != nil {
		text.AppendChild(el("button", with("type=button", "class=quiet", "data-mark="+c.Text, "data-of="+r.ID,
			"aria-label=Show on the curve of "+r.Name+": "+c.Text), "Show on the curve"))
	}
	return text
}

// count1 is a number of things: "1 note", "3 notes".
func count1(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
