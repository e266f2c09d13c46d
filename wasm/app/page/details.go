//go:build js && wasm

package page

import (
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// openDetails shows all there is to say of a run.
func (p *page) openDetails(run string) {
	p.askDetails(run, func() {
		setValue(byID("details-reason"), "")
		setWrong(byID("details-reason"), "")
		openDialog("details")
		findIn(byID("details"), ".panel-body").Underlying().Set("scrollTop", 0)
		focus(byID("details-title"))
	})
}

func (p *page) askDetails(run string, then func()) {
	p.command(wire.Command{Do: "details", Run: run}, func(r wire.Reply, _ js.Value) {
		if r.Details == nil {
			return
		}
		p.detailed = run
		p.renderDetails(r.Details)
		if then != nil {
			then()
		}
	})
}

// change sends a command about the run whose details are shown, and shows what
// became of it. It is kept for an engine that has to start anew.
func (p *page) changeRun(c wire.Command) {
	c.Run = p.detailed
	p.settled = append(p.settled, c)
	p.ask(c, func(r wire.Reply, _ js.Value) {
		if r.Error != "" {
			setText(byID("details-fault"), r.Error)
			return
		}
		if r.View != nil {
			p.render(r.View)
		}
		p.askDetails(p.detailed, nil)
	})
}

func (p *page) listenDetails() {
	d, cell, reason := byID("details"), byID("details-cell"), byID("details-reason")
	assign := func() {
		if name := strings.TrimSpace(value(cell)); name != "" {
			p.changeRun(wire.Command{Do: "assign", Text: name})
		}
	}
	void := func() {
		why := strings.TrimSpace(value(reason))
		if why == "" {
			setWrong(reason, say.Text("Say why, so that it can be understood later."))
			focus(reason)
			return
		}
		setWrong(reason, "")
		p.changeRun(wire.Command{Do: "void", Text: why})
		focus(byID("details-title"))
	}
	onEnter(cell, assign)
	onEnter(reason, void)
	on(byID("details-assign"), "click", func(dom.Element) { assign() })
	on(byID("details-void"), "click", func(dom.Element) { void() })
	on(byID("details-count"), "click", func(dom.Element) {
		p.changeRun(wire.Command{Do: "void"})
		setValue(reason, "")
		focus(byID("details-title"))
	})
	on(byID("details-close"), "click", func(dom.Element) { closeDialog("details") })
	on(d, "close", func(dom.Element) {
		for _, b := range findAllIn(byID("results"), "button[data-details]") {
			if b.GetAttribute("data-details") == p.detailed {
				focus(b)
			}
		}
	})
}

func (p *page) renderDetails(d *wire.Details) {
	setText(byID("details-name"), d.Name)
	setText(byID("details-fault"), "")
	source := say.With("From %s", d.Source)
	if r := p.run(d.Run); r != nil && r.Rate != "" {
		source += " · " + r.Rate
	}
	setText(byID("details-source"), source)
	setValue(byID("details-cell"), d.Cell)
	guessed := ""
	if d.Guessed {
		guessed = say.Text("guessed from the file’s name")
	}
	setText(byID("details-guessed"), guessed)
	var names []dom.Node
	for _, c := range p.view.Cells {
		names = append(names, el("option", with("value="+c.Name)))
	}
	fill(byID("cell-names"), names)
	void := ""
	if d.Void != "" {
		void = say.With("Does not count: %s", d.Void)
	}
	setText(byID("details-voided"), void)
	show(byID("details-count"), d.Void != "")
	show(byID("details-void-box"), d.Void == "")

	var left, right []dom.Node
	figures := el("ul", with("class=budgets"))
	for _, b := range d.Figures {
		figures.AppendChild(el("li", nil, budget(b)))
	}
	left = part(left, say.Text("Figures"), figures)
	left = part(left, say.Text("Resistance"), append(some(len(d.Resistances), lines(d.Resistances)), sentences(d.ResistanceWhy...)...)...)
	left = part(left, say.Text("Charge and efficiency"), append(some(len(d.Charge), lines(d.Charge)), sentences(d.ChargeWhy)...)...)
	left = part(left, say.Text("The log’s own counters"), append(some(len(d.Counters), counters(d.Counters)), sentences(d.CountersWhy)...)...)
	right = part(right, say.Text("Conditions"), some(len(d.Conditions), lines(d.Conditions))...)
	checks := el("ul", with("class=checks"))
	for _, c := range bySeverity(d.Checks) {
		what := ""
		if c.Safety {
			what = say.Text("Safety")
		}
		checks.AppendChild(checkItem(c, nil, what))
	}
	right = part(right, say.Text("Checks"), append(some(len(d.Checks), checks), sentences(none(len(d.Checks), say.Text("Nothing to remark.")))...)...)
	right = part(right, say.Text("Method"), sentences(d.Method...)...)
	refill(byID("details-left"), left)
	refill(byID("details-right"), right)
}

// part adds a titled section, unless there is nothing in it.
func part(to []dom.Node, title string, inside ...dom.Element) []dom.Node {
	if len(inside) == 0 {
		return to
	}
	s := el("section", nil, el("h3", nil, title))
	for _, x := range inside {
		s.AppendChild(x)
	}
	return append(to, s)
}

func some(n int, e dom.Element) []dom.Element {
	if n == 0 {
		return nil
	}
	return []dom.Element{e}
}

func none(n int, text string) string {
	if n > 0 {
		return ""
	}
	return text
}

func sentences(texts ...string) []dom.Element {
	var all []dom.Element
	for _, t := range texts {
		if t != "" {
			all = append(all, el("p", with("class=hint"), t))
		}
	}
	return all
}

// shareOf makes a length for the style sheet of "< 0,1 %".
var shareOf = strings.NewReplacer("<", "", "≤", "", " ", "", "\u00a0", "", "\u202f", "", ",", ".")

// budget is a figure that unfolds into what its uncertainty is made of.
func budget(b wire.Budgeted) dom.Element {
	label, number := el("span", with("class=label"), b.Label), figureIn(b.Figure, b.Unit)
	if len(b.Terms) == 0 {
		return el("div", with("class=budget"), el("div", with("class=budget-head"), label, number))
	}
	rows := el("tbody", nil)
	for _, t := range b.Terms {
		bar := el("span", with("class=bar", "aria-hidden=true"))
		style(bar, "--share", shareOf.Replace(t.Share))
		rows.AppendChild(el("tr", nil, el("th", with("scope=row"), t.Name), el("td", with("class=words"), t.Input),
			el("td", nil, withUnit(t.U, b.Unit)), el("td", nil, t.Share, bar)))
	}
	return el("details", with("class=budget", "data-part="+b.Label),
		el("summary", with("class=budget-head"), label, number),
		el("div", with("class=scroll", "tabindex=0", "role=region", "aria-label="+say.With("Uncertainty of %s", b.Label)),
			el("table", nil,
				el("thead", nil, el("tr", nil, head(say.Text("Contribution")), head(say.Text("What went in"), "class=words"), head("u"), head(say.Text("Share of variance")))),
				rows)),
		el("p", with("class=hint"), say.With("Combined standard uncertainty u = %s; expanded by %s.", withUnit(b.Standard, b.Unit), b.K)))
}

// withUnit is a number with its unit, which it may have already.
func withUnit(text, unit string) string {
	if text == "" || unit == "" || strings.HasSuffix(text, unit) {
		return text
	}
	return text + " " + unit
}

func counters(list []wire.CounterLine) dom.Element {
	rows := el("tbody", nil)
	for _, c := range list {
		rows.AppendChild(el("tr", nil, el("th", with("scope=row"), c.Label), el("td", nil, c.Log), el("td", nil, c.Ours), el("td", nil, c.Difference)))
	}
	return el("div", with("class=scroll", "tabindex=0", "role=region", "aria-label="+say.With("Counters, %d", len(list))),
		el("table", nil, el("thead", nil, el("tr", nil, head(say.Text("Count")), head(say.Text("Log")), head("Plateau"), head(say.Text("Difference")))), rows))
}
