//go:build js && wasm

package page

import (
	"fmt"
	"slices"
	"strconv"
	"syscall/js"
	"unicode/utf8"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

const (
	mostColumns = 64 // in the preview
	mostRunes   = 48 // in one of its cells
	// notUsed is the kind of a column that holds nothing of use.
	notUsed = "ignore"
)

// column is the head of one column in the preview.
type column struct {
	name, kind, unit, sure dom.Element
}

// render shows the last answer. Controls stay in place, and keep the focus.
func (m *panel) render() {
	l := m.look
	setText(byID("mapping-name"), say.With("“%s”", l.Name))
	question := l.Question
	if question != "" {
		question += " " + say.Text("No figures are given until it is answered.")
	}
	setText(byID("mapping-question"), question)
	// Beside a question it is what led to it.
	fault := byID("mapping-fault")
	setText(fault, l.Fault)
	class := "fault"
	if l.Question != "" {
		class = "hint"
	}
	fault.SetAttribute("class", class)
	show(byID("mapping-suggested"), m.suggested != "")
	kept := say.Text("What you settle is remembered on this machine for logs with the same header.")
	if m.nameless {
		kept = say.Text("Nothing in this log’s header tells it from others. What you settle is filled in here for the next one like it, which then waits for your word.")
	}
	setText(byID("mapping-kept"), kept)
	m.fill(byID("mapping-delimiter"), l.Delimiters, l.Rules.Delimiter)
	m.fill(byID("mapping-decimal"), l.Decimals, l.Rules.Decimal)
	m.fill(byID("mapping-encoding"), l.Encodings, l.Rules.Encoding)
	setValue(byID("mapping-discharge"), l.Rules.Discharge)
	m.renderHeader(l.Rules.Header)
	m.renderTyped("interval", l.Rules.Interval, m.rules.Interval, "time")
	m.renderTyped("current", l.Rules.Current, m.rules.Current, "current", "power", "resistance")
	m.renderPreview()
	m.renderGuesses()
}

func (m *panel) renderHeader(header string) {
	line, headless := byID("mapping-header"), byID("mapping-headless")
	headless.Underlying().Set("checked", header == "none")
	line.Underlying().Set("disabled", header == "none")
	if hasFocus(line) {
		return
	}
	if header == "none" {
		header = ""
	}
	setValue(line, header)
}

// renderTyped shows the field for something that a log may lack, where no
// column has it.
func (m *panel) renderTyped(what, inForce, typed string, kinds ...string) {
	lacking := len(m.look.Columns) > 0
	for _, c := range m.look.Columns {
		for _, k := range kinds {
			lacking = lacking && c.Kind != k
		}
	}
	field := byID("mapping-" + what)
	show(byID("mapping-"+what+"-field"), lacking || typed != "" || m.look.About == what)
	field.SetAttribute("aria-invalid", strconv.FormatBool(typed != "" && m.look.About == what))
	if typed == "" {
		typed = inForce
	}
	if !hasFocus(field) {
		setValue(field, typed)
	}
}

func (m *panel) renderPreview() {
	l := m.look
	shown := l.Columns[:min(len(l.Columns), mostColumns)]
	more := ""
	if n := len(l.Columns) - len(shown); n > 0 {
		more = counted(n, say.Later("1 more column is not shown."), say.Later("%d more columns are not shown."))
	}
	setText(byID("mapping-more"), more)
	if len(shown) != len(m.columns) {
		m.build(len(shown))
	}
	for k, c := range shown {
		head := m.columns[k]
		name := clip(c.Head)
		if name == "" {
			name = say.Text("no name")
		}
		setText(head.name, name)
		head.kind.SetAttribute("aria-label", say.With("Column %d, %s: holds", k+1, name))
		head.unit.SetAttribute("aria-label", say.With("Column %d, %s: unit", k+1, name))
		m.fill(head.kind, l.Kinds, c.Kind)
		m.fillUnits(head.unit, c)
		sure := c.Sure
		if c.Kind == notUsed {
			sure = ""
		}
		setText(head.sure, say.Text(sure))
		head.sure.SetAttribute("class", "sure "+sure)
	}
	var rows []dom.Node
	for k, fields := range l.Rows {
		row := el("tr", nil, el("th", with("scope=row"), strconv.Itoa(l.Line+k)))
		// A row may have more fields than there are columns, which is then what
		// the question is about.
		for i := range min(max(len(shown), len(fields)), mostColumns) {
			attributes, text := with("class=unused"), ""
			if i < len(shown) && shown[i].Kind != notUsed {
				attributes = nil
			}
			if i < len(fields) {
				text = clip(fields[i])
			}
			row.AppendChild(el("td", attributes, text))
		}
		rows = append(rows, row)
	}
	fill(byID("mapping-rows"), rows)
}

// build makes the head of the preview for n columns.
func (m *panel) build(n int) {
	for _, c := range m.columns {
		delete(m.shown, c.kind)
		delete(m.shown, c.unit)
	}
	m.columns = make([]*column, n)
	rows := [4]dom.Element{}
	for k, title := range []string{say.Text("Line"), say.Text("Holds"), say.Text("Unit"), say.Text("Guess")} {
		scope := "scope=row"
		if k == 0 {
			scope = "scope=col"
		}
		rows[k] = el("tr", nil, el("th", with(scope), title))
	}
	for k := range m.columns {
		at := "data-column=" + strconv.Itoa(k)
		c := &column{
			name: el("th", with("scope=col")),
			kind: el("select", with(at, "data-what=kind")),
			unit: el("select", with(at, "data-what=unit")),
			sure: el("td", with("class=sure")),
		}
		m.columns[k] = c
		rows[0].AppendChild(c.name)
		rows[1].AppendChild(el("td", nil, c.kind))
		rows[2].AppendChild(el("td", nil, c.unit))
		rows[3].AppendChild(c.sure)
	}
	fill(byID("mapping-head"), []dom.Node{rows[0], rows[1], rows[2], rows[3]})
}

// fill gives a select its choices, if they have changed, and sets it.
func (m *panel) fill(e dom.Element, choices []wire.Choice, now string) {
	if !slices.ContainsFunc(choices, func(c wire.Choice) bool { return c.Value == now }) {
		label := now
		if now == "" {
			label = "–"
		}
		choices = append([]wire.Choice{{Value: now, Label: label}}, choices...)
	}
	what := fmt.Sprintf("%q", choices)
	if m.shown[e] != what {
		m.shown[e] = what
		e.Underlying().Call("replaceChildren", m.options(what, choices).Call("cloneNode", true))
	}
	setValue(e, now)
}

// options are those of a select. They are made once for all columns.
func (m *panel) options(what string, choices []wire.Choice) js.Value {
	if made, ok := m.made[what]; ok {
		return made
	}
	box := doc.Underlying().Call("createDocumentFragment")
	for _, c := range choices {
		box.Call("append", el("option", with("value="+c.Value), c.Label).Underlying())
	}
	if len(m.made) < mostColumns {
		m.made[what] = box
	}
	return box
}

func (m *panel) fillUnits(e dom.Element, c wire.LookColumn) {
	var units []wire.Choice
	if c.Kind == notUsed {
		c.Unit, c.Units = "", nil
	}
	for _, u := range c.Units {
		units = append(units, wire.Choice{Value: u, Label: u})
	}
	m.fill(e, units, c.Unit)
	e.Underlying().Set("disabled", len(c.Units) == 0)
}

func (m *panel) renderGuesses() {
	var items []dom.Node
	add := func(sure, what, value, why string) {
		words := el("span", nil, el("strong", nil, what+": "), value)
		if why != "" {
			words.Underlying().Call("append", " — "+why)
		}
		items = append(items, el("li", nil, el("span", with("class=sure "+sure), say.Text(sure)), words))
	}
	for _, g := range m.look.Guesses {
		add(g.Sure, g.What, g.Value, g.Why)
	}
	for k, c := range m.look.Columns[:min(len(m.look.Columns), mostColumns)] {
		if c.Why == "" && c.Kind == notUsed {
			continue
		}
		value := c.Kind
		for _, kind := range m.look.Kinds {
			if kind.Value == c.Kind {
				value = kind.Label
			}
		}
		if c.Unit != "" && c.Kind != notUsed {
			value = say.With("%s in %s", value, c.Unit)
		}
		what := say.With("column %d", k+1)
		if c.Head != "" {
			what += ", " + clip(c.Head)
		}
		add(c.Sure, what, value, c.Why)
	}
	fill(byID("mapping-guesses"), items)
}

// clip cuts what a hostile log may make very long.
func clip(s string) string {
	if utf8.RuneCountInString(s) <= mostRunes {
		return s
	}
	return string([]rune(s)[:mostRunes-1]) + "…"
}

// setText changes a text only where it is another, so that it is not spoken
// again.
func setText(e dom.Element, text string) {
	if u := e.Underlying(); u.Get("textContent").String() != text {
		u.Set("textContent", text)
	}
}

func hasFocus(e dom.Element) bool {
	return doc.Underlying().Get("activeElement").Equal(js.Value(e.Underlying()))
}
