//go:build js && wasm

package page

import (
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// panel is the dialog in which a person checks how a log is read and settles
// what the reader cannot. It shows what the engine says of the log under the
// rules so far, each time one changes; the log itself is read again at the end
// only.
type panel struct {
	p    *page
	file wire.File
	do   string // the button it was opened by

	rules wire.Rules // what the person has settled
	look  *wire.Look // the answer to them, or to earlier ones while asking

	// suggested is where something is filled in that was settled for an earlier
	// log with the same header, until the person has done something about it.
	suggested string
	nameless  bool // the header has no names in it
	// pending is a question that only reading the whole log raised, so that no
	// look at its beginning tells whether it is answered.
	pending string

	asking bool // a look is on its way
	stale  bool // and the rules have changed since
	read   bool // and the log is to be read by the answer

	columns []*column
	shown   map[dom.Element]string // what each select was filled with
	made    map[string]js.Value    // options of selects, to be copied
}

func newPanel(p *page) *panel {
	return &panel{p: p, shown: map[dom.Element]string{}, made: map[string]js.Value{}}
}

// open asks how a log is read, and shows it once that is known.
func (m *panel) open(f wire.File, do string) {
	m.file, m.do, m.look, m.read, m.pending = f, do, nil, false, f.Question
	m.rules = m.p.rulesOf(f.ID)
	m.suggest()
	m.ask()
}

// suggest fills in what was settled for an earlier log with the same header and
// is not taken for granted.
func (m *panel) suggest() {
	m.suggested = ""
	last, ok := m.p.memory.recall(m.p.keyOf(m.file))
	m.nameless = last.Nameless || !ok && m.file.Ruled
	if !ok {
		return
	}
	r := m.rules
	if isEmpty(r) {
		r = last.Rules
	} else if r.Current == "" && r.Interval == "" {
		r.Current, r.Interval = last.Rules.Current, last.Rules.Interval
	}
	switch {
	case r.Current != m.rules.Current:
		m.suggested = "current"
	case r.Interval != m.rules.Interval:
		m.suggested = "interval"
	case rulesText(r) != rulesText(m.rules):
		m.suggested = "suggested"
	default:
		return
	}
	m.rules, m.pending = r, ""
}

// ask has the engine look at the log under the rules so far: one question at a
// time, and the last one always.
func (m *panel) ask() {
	if m.asking {
		m.stale = true
		return
	}
	m.asking, m.stale = true, false
	rules := m.rules
	m.p.ask(wire.Command{Do: "look", File: m.file.ID, Rules: &rules}, func(r wire.Reply, _ js.Value) {
		m.asking = false
		switch {
		case m.stale:
			m.ask()
		case r.Look == nil:
			m.failed(r.Error)
		default:
			m.answer(r.Look)
		}
	})
}

func (m *panel) failed(why string) {
	m.read = false
	if m.look == nil {
		alarm(m.file.Name + ": " + why)
		return
	}
	setText(byID("mapping-fault"), why)
}

func (m *panel) answer(l *wire.Look) {
	first := m.look == nil
	if first && isEmpty(m.rules) {
		m.nameless = !slices.ContainsFunc(l.Columns, func(c wire.LookColumn) bool { return c.Head != "" })
	}
	if first && l.Question != "" {
		m.pending = "" // it is the same one
	}
	if l.Question == "" && m.pending != "" {
		// Only reading the whole log raised it: the beginning does not show it.
		l.Question, l.About = m.pending, m.file.About
		if k := m.file.Column - 1; k >= 0 && k < len(l.Columns) {
			l.Columns[k].Sure = "unsure"
		}
	}
	m.look = l
	m.render()
	if first {
		openDialog("mapping")
		findIn(byID("mapping"), ".panel-body").Underlying().Set("scrollTop", 0)
		focus(m.about(byID("mapping-title")))
	}
	if m.read {
		m.finish()
	}
}

// about is the control that answers the question, or what else there is.
func (m *panel) about(otherwise dom.Element) dom.Element {
	if m.suggested != "" {
		return byID("mapping-" + m.suggested)
	}
	switch m.look.About {
	case "current", "interval":
		return byID("mapping-" + m.look.About)
	case "delimiter":
		// Where the comma is in question, it is so as a decimal mark.
		if r := m.look.Rules; r.Delimiter == "," && r.Decimal == "." {
			return byID("mapping-decimal")
		}
		return byID("mapping-delimiter")
	case "columns", "unit":
		if c := m.doubtful(); c != nil {
			if m.look.About == "unit" && !c.unit.HasAttribute("disabled") {
				return c.unit
			}
			return c.kind
		}
	}
	return otherwise
}

// doubtful is the first column that the question may be about: of those that
// have a unit where it is about that, else of those that are not used.
func (m *panel) doubtful() *column {
	unit := m.look.About == "unit"
	for _, want := range []func(c wire.LookColumn) bool{
		func(c wire.LookColumn) bool { return c.Sure == "unsure" && unit == (c.Kind != notUsed) },
		func(c wire.LookColumn) bool { return unit == (c.Kind != notUsed) },
		func(c wire.LookColumn) bool { return true },
	} {
		for k, c := range m.look.Columns {
			if k < len(m.columns) && want(c) {
				return m.columns[k]
			}
		}
	}
	return nil
}

// change takes a rule from a control.
func (m *panel) change(control dom.Element) {
	if m.look == nil {
		return
	}
	r := &m.rules
	text := strings.TrimSpace(value(control))
	switch control.ID() {
	case "mapping-delimiter":
		r.Delimiter, r.Columns = text, nil // the columns are others now
	case "mapping-decimal":
		r.Decimal = text
		if m.look.About == "delimiter" && r.Delimiter == "" {
			r.Delimiter = m.look.Rules.Delimiter // in question with it
		}
	case "mapping-encoding":
		r.Encoding = text
	case "mapping-header":
		r.Header = text
	case "mapping-headless":
		byID("mapping-header").Underlying().Set("disabled", checked(control))
		r.Header = ""
		if checked(control) {
			r.Header = "none"
		}
	case "mapping-discharge":
		r.Discharge = text
	case "mapping-interval":
		r.Interval, m.suggested = text, ""
	case "mapping-current":
		r.Current, m.suggested = text, ""
	default:
		if !m.changeColumn(control, text) {
			return
		}
	}
	m.read = false
	m.ask()
}

func (m *panel) changeColumn(control dom.Element, text string) bool {
	k, err := strconv.Atoi(control.GetAttribute("data-column"))
	if err != nil || k >= len(m.look.Columns) {
		return false
	}
	rule := wire.ColumnRule{Index: k, Kind: text}
	if control.GetAttribute("data-what") == "unit" {
		rule.Kind, rule.Unit = m.look.Columns[k].Kind, text
	}
	setColumn(&m.rules, rule)
	m.pending = ""
	return true
}

// setColumn puts a rule in place of an earlier one for the same column.
func setColumn(r *wire.Rules, rule wire.ColumnRule) {
	kept := []wire.ColumnRule{}
	for _, c := range r.Columns {
		if c.Index != rule.Index {
			kept = append(kept, c)
		}
	}
	r.Columns = append(kept, rule)
}

// finish reads the log by the rules that the last answer holds for, unless that
// leaves something open.
func (m *panel) finish() {
	l := m.look
	confirmed := m.confirmed()
	switch {
	case l.Question == "" && l.Fault == "":
		m.read = false
		m.close()
		m.p.settle(m.file, m.rules, m.nameless)
	case l.Question == "":
		m.read = false
		focus(byID("mapping-fault"))
	case rulesText(confirmed) != rulesText(m.rules):
		// To read it as it stands is to say that the guess in doubt is right.
		m.rules, m.pending = confirmed, ""
		m.ask()
	default:
		m.read = false
		focus(m.about(byID("mapping-question")))
	}
}

// confirmed is the rules with those added that settle the guess in question as
// it stands.
func (m *panel) confirmed() wire.Rules {
	r := m.rules
	switch m.look.About {
	case "delimiter":
		r.Delimiter, r.Decimal = m.look.Rules.Delimiter, m.look.Rules.Decimal
	case "columns", "unit":
		for k, c := range m.look.Columns {
			if c.Kind != notUsed {
				setColumn(&r, wire.ColumnRule{Index: k, Kind: c.Kind, Unit: c.Unit})
			}
		}
	}
	return r
}

// listen ties the dialog's controls to the rules.
func (m *panel) listen() {
	d := byID("mapping")
	on(d, "change", func(t dom.Element) {
		if t.TagName() == "SELECT" || t.ID() == "mapping-headless" {
			m.change(t)
		}
	})
	on(d, "input", func(t dom.Element) {
		if t.GetAttribute("type") == "text" {
			m.change(t)
		}
	})
	read := func() {
		if m.look == nil {
			return
		}
		m.read = true
		if !m.asking {
			m.finish()
		}
	}
	for _, id := range []string{"mapping-header", "mapping-interval", "mapping-current"} {
		onEnter(byID(id), read)
	}
	on(byID("mapping-read"), "click", func(dom.Element) { read() })
	on(byID("mapping-cancel"), "click", func(dom.Element) { m.close() })
	on(byID("mapping-reset"), "click", func(dom.Element) { m.reset() })
	on(d, "close", func(dom.Element) {
		m.look, m.read = nil, false
		focusAct(strconv.Itoa(m.file.ID), m.do, "map", "answer")
	})
}

func (m *panel) close() { closeDialog("mapping") }

// reset goes back to the reader's own guess: of a log that was read by rules,
// by reading it again; else in the panel alone.
func (m *panel) reset() {
	if m.file.Ruled {
		m.close()
		m.p.reset(m.file)
		return
	}
	m.p.memory.forget(m.p.keyOf(m.file))
	m.rules, m.read, m.suggested = wire.Rules{}, false, ""
	m.ask()
}
