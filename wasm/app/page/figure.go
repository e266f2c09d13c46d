//go:build js && wasm

package page

import (
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// atLeast is put before figures of a run that ended above the cut-off.
const atLeast = "≥ "

// figure is a number with its uncertainty, or a dash that says why there is
// none.
func figure(f wire.Figure, before string) []any {
	if f.Value == "" {
		return []any{el("span", with("class=none", "title="+f.Why), "–", el("span", with("class=unseen"), f.Why))}
	}
	parts := []any{before, el("span", with("class=value"), f.Value)}
	if f.U != "" {
		parts = append(parts, " ", el("span", with("class=u"), uncertainty(f)))
	}
	return parts
}

// uncertainty is that of a figure in words; that of a time on the clock is in
// seconds, where it is not on the clock itself.
func uncertainty(f wire.Figure) string {
	if strings.Contains(f.Value, ":") && !strings.Contains(f.U, ":") {
		return "± " + f.U + " s"
	}
	return "± " + f.U
}

// figureIn is a figure with its unit where there is room for words: what is
// missing says why in the open.
func figureIn(f wire.Figure, unit string) dom.Element {
	if f.Value == "" {
		why := f.Why
		if why == "" {
			why = say.Text("none")
		}
		return el("span", with("class=why"), why)
	}
	parts := figure(f, "")
	if unit != "" {
		parts = append(parts, " ", el("span", with("class=unit"), unit))
	}
	return el("span", with("class=figure"), parts...)
}

// head is a column's head, with its unit set apart: "Voltage / V".
func head(text string, attributes ...string) dom.Element {
	name, unit, ok := strings.Cut(text, " / ")
	th := el("th", append(attributes, "scope=col"), name)
	if ok {
		th.Underlying().Call("append", " ", el("span", nil, "/ "+unit).Underlying())
	}
	return th
}

// lines are labelled figures below each other.
func lines(list []wire.Line) dom.Element {
	box := el("dl", with("class=lines"))
	for _, l := range list {
		dd := el("dd", nil, figureIn(l.Figure, l.Unit))
		if l.Note != "" {
			dd.AppendChild(el("p", with("class=hint"), l.Note))
		}
		box.AppendChild(el("div", nil, el("dt", nil, l.Label), dd))
	}
	return box
}
