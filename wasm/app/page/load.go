//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

func (p *page) listenLoad(one *section) {
	ask := func(dom.Element) {
		label := say.Text("Current / A")
		if chosen("load-kind") == "power" {
			label = say.Text("Power / W")
		}
		setText(byID("load-amount-label"), label)
		p.askAgain(one)
	}
	form := byID("load-form")
	on(form, "input", ask)
	ask(form)
}

func (p *page) loadCommand() wire.Command {
	l := &wire.Load{}
	if err := readForm(byID("load-form"), l); err != nil {
		alarm(say.With("The load cannot be taken: %s", err))
	}
	return wire.Command{Do: "load", Load: l}
}

func (p *page) renderAnswered(r wire.Reply, _ js.Value) {
	a := r.Answered
	if a == nil {
		a = &wire.Answered{Why: r.Error}
	}
	for _, e := range findAllIn(byID("load-form"), "input[type=text]") {
		setWrong(e, a.Load.Errors[e.GetAttribute("data-field")])
	}
	setWhy("load-why", a.Why)
	show(byID("load-answer"), a.Best != "" || len(a.Cells)+len(a.Notes)+len(a.Cautions) > 0)
	setText(byID("load-best"), a.Best)
	setText(byID("load-asked"), a.Asked)
	var dangers, cautions []dom.Node
	for _, c := range bySeverity(a.Cautions) {
		if c.Safety {
			dangers = append(dangers, checkItem(c, nil, ""))
		} else {
			cautions = append(cautions, checkItem(c, nil, ""))
		}
	}
	fill(byID("load-dangers"), dangers)
	show(byID("load-safety"), len(dangers) > 0)
	fill(byID("load-cautions"), cautions)
	show(byID("load-cells"), len(a.Cells) > 0)
	put(byID("load-cells"), answers(a.Cells))
	setList("load-notes", a.Notes)
}

// answers is the table of what each cell does under the load.
func answers(list []wire.AnsweredCell) markup {
	figures, letters, warm := make([][]wire.Figure, 4), make([]string, len(list)), false
	for i, c := range list {
		for k, f := range []wire.Figure{c.Runtime, c.Energy, c.Charge, c.EndTemp} {
			figures[k] = append(figures[k], f)
		}
		letters[i] = c.Letters
		warm = warm || c.EndTemp.Value != ""
	}
	heads := mkHead(say.Text("Cell"), "") + mkHead(say.Text("Runtime / h:mm:ss"), "") + mkHead(say.Text("Energy / Wh"), "") + mkHead(say.Text("Charge / Ah"), "")
	if warm {
		heads += mkHead(say.Text("End temperature / °C"), "")
	} else {
		figures = figures[:3]
	}
	var columns [][]markup
	for _, column := range figures {
		columns = append(columns, mkFigureCells(column, bare))
	}
	if cells := mkLetters(letters); cells != nil {
		heads += mkHead(say.Text("Letters"), "words")
		columns = append(columns, cells)
	}
	heads += mkHead(say.Text("What it rests on"), "words")
	var rows markup
	for k, c := range list {
		head, class := mk("th", with("scope=row"), mkSwatch(c.Colour), c.Cell), ""
		if c.Shutdown != "" { // in the head, which stays in view
			class = "shutdown"
			head = mk("th", with("scope=row"), mkSwatch(c.Colour), c.Cell, mk("small", with("class=mark-word"), mk("span", with("class=shape caution", "aria-hidden=true")), c.Shutdown))
		}
		for _, column := range columns {
			head += column[k]
		}
		rows += mk("tr", with("class="+class), head, mk("td", with("class=words"), answerNote(c)))
	}
	return mk("table", nil, mk("caption", with("class=unseen"), say.Text("What each cell gives")), mk("thead", nil, mk("tr", nil, heads)), mk("tbody", nil, rows))
}

// answerNote says what an answer rests on, or why there is none.
func answerNote(c wire.AnsweredCell) string {
	if c.Note == "" && c.Runtime.Value == "" && c.Shutdown == "" {
		return c.Runtime.Why
	}
	return c.Note
}
