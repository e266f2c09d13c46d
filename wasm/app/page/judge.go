//go:build js && wasm

package page

import (
	"fmt"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// sides are what a run can tell of a claim, by Evidence.Side.
var sides = map[string]string{
	"both":  say.Later("for or against"),
	"pass":  say.Later("can only show a pass"),
	"below": say.Later("can only show that it is below"),
	"none":  say.Later("tells nothing"),
	"void":  say.Later("does not count"),
}

func (p *page) listenDatasheet() {
	on(byID("datasheet"), "click", func(t dom.Element) {
		if b := closest(t, "button[data-cell-form]"); b != nil {
			openCellForm(b.GetAttribute("data-cell-form"))
		}
	})
	// What a verdict rests on is made once it is looked at. The event does not
	// bubble, so it is caught on the way down.
	byID("datasheet").Underlying().Call("addEventListener", "toggle", callback(func(args []js.Value) {
		if fold := wrap(args[0].Get("target")); fold.Underlying().Get("open").Bool() {
			p.unfoldEvidence(fold)
		}
	}), true)
}

// openCellForm goes to where the datasheet figures of a cell are typed.
func openCellForm(name string) {
	fold := byID("cells-fold")
	fold.Underlying().Set("open", true)
	into := findIn(fold, "summary")
	for _, item := range findAllIn(fold, "[data-cell]") {
		if item.GetAttribute("data-cell") == name {
			if first := findIn(item, "input, button, summary"); first != nil {
				into = first
			}
			break
		}
	}
	focus(into)
	into.Underlying().Call("scrollIntoView", map[string]any{"block": "center"})
}

func (p *page) renderJudged(r wire.Reply, _ js.Value) {
	j := r.Judged
	if j == nil {
		j = &wire.Judged{Why: r.Error}
	}
	setWhy("datasheet-why", j.Why)
	var blocks, rest markup
	var checked []wire.JudgedCell
	p.verdicts = map[string]wire.Verdict{}
	for _, c := range j.Cells {
		switch {
		case len(c.Verdicts)+len(c.Checks) == 0:
			rest += unjudged(c)
		default:
			blocks += p.judged(c)
			checked = append(checked, c)
		}
	}
	setList("datasheet-rules", j.Rule)
	show(byID("datasheet-rule"), len(j.Rule) > 0 && blocks != "")
	put(byID("datasheet-cells"), blocks)
	for k, list := range findAllIn(byID("datasheet-cells"), ".judged > .checks") {
		var items []dom.Node
		for _, check := range bySeverity(checked[k].Checks) {
			items = append(items, checkItem(check, nil, ""))
		}
		fill(list, items)
		show(list, len(items) > 0)
	}
	put(byID("datasheet-rest"), rest)
}

// unjudged is a line on a cell of which nothing is claimed.
func unjudged(c wire.JudgedCell) markup {
	why := c.Why
	if why == "" {
		why = say.Text("No claim of its datasheet is known.")
	}
	return mk("li", nil, mkSwatch(c.Colour), mk("strong", nil, c.Cell), mk("span", nil, why),
		mk("button", with("type=button", "data-cell-form="+c.Cell, "aria-label="+say.With("Enter its figures: %s", c.Cell)), say.Text("Enter its figures")))
}

// judged is one sample with all its verdicts; its checks are put in later.
func (p *page) judged(c wire.JudgedCell) markup {
	inside := mk("h3", nil, mkSwatch(c.Colour), c.Cell) + mk("p", with("class=hint"), c.Behind)
	var verdicts markup
	for k, v := range c.Verdicts {
		verdicts += p.verdict(v, fmt.Sprintf("rests %s %d", c.Cell, k), c.Cell)
	}
	if verdicts != "" {
		inside += mk("ul", with("class=verdicts"), verdicts)
	} else if c.Why != "" {
		inside += mk("p", with("class=why"), c.Why)
	}
	inside += mk("ul", with("class=checks"))
	if len(c.Sample) > 0 {
		inside += mk("details", with("data-part=sample "+c.Cell), mk("summary", nil, say.Text("Where the sample is from")),
			written("dl", with("class=lines"), c.Sample, func(l wire.Line) markup {
				return mk("div", nil, mk("dt", nil, l.Label), mk("dd", nil, mkFigureIn(l.Figure, l.Unit)))
			}))
	}
	return mk("section", with("class=judged"), inside)
}

// verdict is one claim, and what became of it.
func (p *page) verdict(v wire.Verdict, part, cell string) markup {
	p.verdicts[part] = v
	var numbers markup
	number := func(label string, f wire.Figure, unit, more string) {
		if f.Value == "" && (f.Why == "" || v.Grade == "above" || v.Grade == "under") {
			return
		}
		dd := mkFigureIn(f, unit)
		if more != "" {
			dd += mk("span", with("class=unit"), " ("+more+")")
		}
		numbers += mk("div", nil, mk("dt", nil, label), mk("dd", nil, dd))
	}
	if v.Grade != "open" {
		number(say.Text("Margin"), v.Margin, "Ah", v.Share)
		number(say.Text("Chance that it meets the claim"), v.Chance, "", "")
	}
	inside := mk("p", with("class=verdict-word"), mk("span", with("class=verdict-mark", "data-grade="+v.Grade, "aria-hidden=true")), mk("strong", nil, v.Word)) +
		mk("div", with("class=verdict-words"), mk("h4", nil, v.Claim), mk("p", nil, v.Sentence))
	if numbers != "" {
		inside += mk("dl", with("class=verdict-numbers"), numbers)
	}
	if len(v.Evidence) > 0 {
		inside += mk("details", with("class=rests", "data-part="+part),
			mk("summary", nil, say.Text("What it rests on"), mk("span", with("class=unseen"), ": "+cell+", "+v.Claim)), mk("div", nil))
	}
	return mk("li", with("class=verdict", "data-grade="+v.Grade), inside)
}

// unfoldEvidence makes the table of the runs that bear on a claim.
func (p *page) unfoldEvidence(fold dom.Element) {
	v, ok := p.verdicts[fold.GetAttribute("data-part")]
	if !ok || findIn(fold, "table") != nil {
		return
	}
	list := make([]wire.Figure, len(v.Evidence))
	for k, e := range v.Evidence {
		list[k] = e.Figure
	}
	var rows markup
	for k, td := range mkFigureCells(list, func(k int) string {
		if v.Evidence[k].AtLeast {
			return atLeast
		}
		return ""
	}) {
		e, class := v.Evidence[k], ""
		if e.Side == "void" {
			class = "void"
		}
		rows += mk("tr", with("data-side="+e.Side, "class="+class), mk("th", with("scope=row"), mk("span", with("class=run-name"), e.Name)), td,
			mk("td", with("class=words"), say.Text(sides[e.Side])), mk("td", with("class=words"), e.Says))
	}
	sum := markup("")
	if v.Best.Value != "" && v.BestOf > 0 {
		best, mean, said := inText(mkFigureIn(v.Best, "Ah")), inText(mkFigureIn(v.Mean, "Ah")), ""
		switch {
		case v.BestOf == 1:
			said = say.With("%s is the one valid attempt.", best)
		case v.Mean.Value == "":
			said = say.With("%s is the best of %d valid attempts.", best, v.BestOf)
		default:
			said = say.With("%s is the best of %d valid attempts; their mean is %s.", best, v.BestOf, mean)
		}
		sum = mk("p", with("class=hint"), markup("="+said+separator))
	}
	about := say.Text("Discharges that bear on this claim")
	put(findIn(fold, "div"), sum, mk("div", with("class=scroll fits", "tabindex=0", "role=region", "aria-label="+about),
		mk("table", nil, mk("caption", with("class=unseen"), about),
			mk("thead", nil, mk("tr", nil, mkHead(say.Text("Discharge"), ""), mkHead(say.Text("At the claim’s cut-off / Ah"), ""), mkHead(say.Text("Counts"), "words"), mkHead(say.Text("Why"), "words"))),
			mk("tbody", nil, rows))))
}
