package engine

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plateau/core/logfile"
	"plateau/core/publish"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// keptHead is how much of each log is kept to look at again.
const keptHead = 64 << 10

// ignored is the kind of a column that is not read, on the wire.
const ignored = "ignore"

// delimiterChoices and markChoices are what a person can choose from.
var (
	delimiterChoices = []wire.Choice{{Value: ",", Label: "comma"}, {Value: ";", Label: "semicolon"},
		{Value: "\t", Label: "tab"}, {Value: "|", Label: "pipe"}, {Value: " ", Label: "blanks"}}
	markChoices = []wire.Choice{{Value: ".", Label: "point"}, {Value: ",", Label: "comma"}}
	kindChoices = []logfile.Kind{logfile.Time, logfile.Voltage, logfile.Current, logfile.Temperature,
		logfile.Power, logfile.Resistance, logfile.Charge, logfile.Energy}
)

// rulesOf reads a person's rules off the wire. An error says which of them is
// none.
func rulesOf(w *wire.Rules) (logfile.Rules, error) {
	var r logfile.Rules
	if w == nil {
		return r, nil
	}
	r.Encoding = w.Encoding
	one := func(s string, choices []wire.Choice) byte {
		if slices.ContainsFunc(choices, func(c wire.Choice) bool { return c.Value == s }) {
			return s[0]
		}
		return 0
	}
	r.Delimiter, r.Decimal = one(w.Delimiter, delimiterChoices), one(w.Decimal, markChoices)
	switch w.Header {
	case "":
	case "none":
		r.Header = logfile.NoHeader
	default:
		n, err := strconv.Atoi(strings.TrimSpace(w.Header))
		if err != nil || n < 1 {
			return r, fmt.Errorf("%q is no line number for the header", w.Header)
		}
		r.Header = n
	}
	switch w.Discharge {
	case "negative":
		r.Discharge = logfile.NegativeSign
	case "positive":
		r.Discharge = logfile.PositiveSign
	}
	var err error
	if s := strings.TrimSpace(w.Interval); s != "" {
		if r.Interval, err = quantity.Parse(s, quantity.Time); err != nil || !(r.Interval > 0) {
			return r, fmt.Errorf("%q is no interval; type one such as 10 s", s)
		}
	}
	if s := strings.TrimSpace(w.Current); s != "" {
		if r.Current, err = quantity.Parse(s, quantity.Current); err != nil || r.Current == 0 {
			return r, fmt.Errorf("%q is no current; type one such as 2 A", s)
		}
	}
	for _, c := range w.Columns {
		kind, ok := logfile.KindNamed(c.Kind)
		if !ok {
			kind = logfile.Unknown
		}
		r.Columns = append(r.Columns, logfile.ColumnRule{Index: c.Index, Kind: kind, Unit: c.Unit})
	}
	return r, nil
}

// look shows how a log would be read under rules; it changes nothing.
func (e *Engine) look(c wire.Command) wire.Reply {
	f := e.find(c.File)
	if f == nil {
		return wire.Reply{Error: "This log is not on the page any more."}
	}
	out := &wire.Look{File: f.id, Name: f.name, Key: f.key, Guesses: []wire.Guess{}, Columns: []wire.LookColumn{}, Rows: [][]string{},
		Delimiters: delimiterChoices, Decimals: markChoices, Kinds: []wire.Choice{{Value: ignored, Label: "not used"}}}
	for _, k := range kindChoices {
		out.Kinds = append(out.Kinds, wire.Choice{Value: k.String(), Label: k.Label()})
	}
	for _, enc := range logfile.Encodings {
		out.Encodings = append(out.Encodings, wire.Choice{Value: enc.Name, Label: enc.Name})
	}
	if c.Rules != nil {
		out.Rules = *c.Rules
	}
	rules, err := rulesOf(c.Rules)
	if err != nil {
		out.Fault = err.Error()
		rules.Interval, rules.Current = 0, 0
	}
	v := logfile.LookAt(f.name, f.head, rules)
	if v.Fault != nil && out.Fault == "" {
		out.Fault = v.Fault.Error()
	}
	if v.Question != nil {
		out.Question, out.About = say.Kept(v.Question.Ask), v.Question.About
	}
	if v.Layout != nil {
		e.lookLayout(out, v)
	}
	return wire.Reply{Look: out}
}

func (e *Engine) lookLayout(out *wire.Look, v logfile.View) {
	lay := v.Layout
	out.Rules.Encoding, out.Rules.Delimiter, out.Rules.Decimal = lay.Encoding, string(lay.Delimiter), string(lay.Decimal)
	if out.Rules.Header == "" {
		out.Rules.Header = "none"
		if lay.HeaderLine > 0 {
			out.Rules.Header = strconv.Itoa(lay.HeaderLine)
		}
	}
	out.Line = lay.FirstRow
	for _, g := range lay.Guesses {
		out.Guesses = append(out.Guesses, wire.Guess{What: say.Text(g.What), Value: say.Text(g.Value), Sure: g.Sure.String(), Why: say.Kept(g.Why)})
	}
	for _, row := range v.Rows {
		var cells []string
		for _, cell := range row {
			cells = append(cells, short(cell))
		}
		out.Rows = append(out.Rows, cells)
	}
	used := map[int]bool{}
	for _, c := range lay.Used() {
		used[c.Index] = true
	}
	for _, c := range lay.Columns {
		sure, why := c.Sure()
		col := wire.LookColumn{Head: short(c.Head), Kind: c.Kind.String(), Unit: c.Unit.Symbol, Units: logfile.UnitsOf(c.Kind), Sure: sure.String(), Why: say.Kept(why)}
		if !slices.ContainsFunc(kindChoices, func(k logfile.Kind) bool { return k == c.Kind }) {
			col.Kind, col.Unit = ignored, ""
		}
		if len(used) > 0 && !used[c.Index] && col.Kind != ignored {
			col.Kind, col.Why = ignored, "another column is the better "+c.Kind.String()
		}
		if c.Unit.Clock {
			col.Units, col.Unit = nil, ""
		}
		out.Columns = append(out.Columns, col)
	}
}

// short cuts a cell for the preview.
func short(s string) string {
	if r := []rune(strings.ToValidUTF8(strings.TrimSpace(s), "\ufffd")); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return strings.ToValidUTF8(strings.TrimSpace(s), "\ufffd")
}

// bdf is a log's whole trace under the labels of the Battery Data Format.
func (e *Engine) bdf(id int) wire.Reply {
	f := e.find(id)
	if f == nil || f.log == nil {
		return wire.Reply{Error: "There is no trace of this log to save."}
	}
	// As read: the log is the evidence, a correction is not.
	tr := f.log.Trace
	lead := tr.Lead()
	tr.SetLead(0)
	defer tr.SetLead(lead)
	var b bytes.Buffer
	if err := publish.TraceBDF(&b, tr); err != nil {
		return wire.Reply{Error: err.Error()}
	}
	return wire.Reply{Download: &wire.Download{Name: stem(f.name) + ".bdf.csv", Type: "text/csv;charset=utf-8", Text: b.String()}}
}

// Version is what a report says of the program.
const Version = "Plateau 0.3"

// report is what a person can send to get help, with every digit masked.
func (e *Engine) report(c wire.Command) wire.Reply {
	f := e.find(c.File)
	if f == nil {
		return wire.Reply{Error: "This log is not on the page any more."}
	}
	v := logfile.LookAt(f.name, f.head, f.rules)
	var b strings.Builder
	fmt.Fprintf(&b, "%s\nBrowser: %s\n\n", Version, c.Text)
	fmt.Fprintf(&b, "Log: %s\n", logfile.Mask(f.name))
	if f.log != nil {
		fmt.Fprintf(&b, "Read as: %s\n", logfile.Mask(f.log.Words()))
	}
	if f.fault != nil {
		fmt.Fprintf(&b, "Refused: %s\n", logfile.Mask(f.fault.Error()))
	}
	if f.question != "" {
		fmt.Fprintf(&b, "Asked: %s\n", logfile.Mask(say.Kept(f.question)))
	}
	if v.Layout != nil {
		b.WriteString("\nGuesses:\n")
		for _, g := range v.Layout.Guesses {
			fmt.Fprintf(&b, "  %s: %s (%s: %s)\n", say.Text(g.What), say.Text(g.Value), say.Text(g.Sure.String()), logfile.Mask(say.Kept(g.Why)))
		}
		for _, col := range v.Layout.Columns {
			sure, why := col.Sure()
			fmt.Fprintf(&b, "  column %d “%s”: %s %s (%s: %s)\n", col.Index+1, logfile.Mask(short(col.Head)), col.Kind.Label(), col.Unit.Symbol, say.Text(sure.String()), say.Kept(why))
		}
		b.WriteString("\nFirst lines:\n")
		for _, l := range logfile.HeadLines(v) {
			fmt.Fprintf(&b, "  %s\n", logfile.Mask(l))
		}
	}
	if f.log != nil && len(f.log.LeftOut) > 0 {
		fmt.Fprintf(&b, "\n%d rows left out, the first:\n", f.log.Left)
		for _, x := range f.log.LeftOut[:min(len(f.log.LeftOut), 10)] {
			fmt.Fprintf(&b, "  line %d: %s\n", x.Line, logfile.Mask(say.Kept(x.Reason)))
		}
	}
	return wire.Reply{Report: &wire.Report{Text: b.String()}}
}

func (e *Engine) find(id int) *file {
	for _, f := range e.files {
		if f.id == id {
			return f
		}
	}
	return nil
}
