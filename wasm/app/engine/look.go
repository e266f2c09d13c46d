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

// delimiterChoices and markChoices are what a person can choose from; labelled
// has their labels as they are shown.
var (
	delimiterChoices = []wire.Choice{{Value: ",", Label: say.Later("comma")}, {Value: ";", Label: say.Later("semicolon")},
		{Value: "\t", Label: say.Later("tab")}, {Value: "|", Label: say.Later("pipe")}, {Value: " ", Label: say.Later("blanks")}}
	markChoices = []wire.Choice{{Value: ".", Label: say.Later("point")}, {Value: ",", Label: say.Later("comma")}}
	kindChoices = []logfile.Kind{logfile.Time, logfile.Voltage, logfile.Current, logfile.Temperature,
		logfile.Power, logfile.Resistance, logfile.Charge, logfile.Energy}
)

func labelled(choices []wire.Choice) (out []wire.Choice) {
	for _, c := range choices {
		out = append(out, wire.Choice{Value: c.Value, Label: say.Text(c.Label)})
	}
	return out
}

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
			return r, say.Error("“%s” is no number of a line: type that of the header, such as 3", clip(w.Header))
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
			return r, say.Error("“%s” is no interval; type one such as 10 s", clip(s))
		}
	}
	if s := strings.TrimSpace(w.Current); s != "" {
		if r.Current, err = quantity.Parse(s, quantity.Current); err != nil || r.Current == 0 {
			return r, say.Error("“%s” is no current; type one such as 2 A", clip(s))
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
		return wire.Reply{Error: say.Text("This log is not on the page any more.")}
	}
	out := &wire.Look{File: f.id, Name: f.name, Key: f.key, Guesses: []wire.Guess{}, Columns: []wire.LookColumn{}, Rows: [][]string{},
		Delimiters: labelled(delimiterChoices), Decimals: labelled(markChoices), Kinds: []wire.Choice{{Value: ignored, Label: say.Text("not used")}}}
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
			col.Kind, col.Why = ignored, say.With("another column is the better %s", c.Kind.Label())
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
		return wire.Reply{Error: say.Text("There is no trace of this log to save.")}
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
		return wire.Reply{Error: say.Text("This log is not on the page any more.")}
	}
	v := logfile.LookAt(f.name, f.head, f.rules)
	var b strings.Builder
	line := func(s string) { b.WriteString(s + "\n") }
	line(Version)
	line(say.With("Browser: %s", c.Text) + "\n")
	line(say.With("Log: %s", logfile.Mask(f.name)))
	if f.log != nil {
		line(say.With("Read as: %s", logfile.Mask(f.log.Words())))
	}
	if f.fault != nil {
		line(say.With("Refused: %s", logfile.Mask(f.fault.Error())))
	}
	if f.question != "" {
		line(say.With("Asked: %s", logfile.Mask(say.Kept(f.question))))
	}
	if v.Layout != nil {
		line("\n" + say.Text("Guesses:"))
		for _, g := range v.Layout.Guesses {
			line(fmt.Sprintf("  %s: %s (%s: %s)", say.Text(g.What), say.Text(g.Value), say.Text(g.Sure.String()), logfile.Mask(say.Kept(g.Why))))
		}
		for _, col := range v.Layout.Columns {
			sure, why := col.Sure()
			line("  " + say.With("column %d “%s”: %s %s (%s: %s)", col.Index+1, logfile.Mask(short(col.Head)), col.Kind.Label(), col.Unit.Symbol, say.Text(sure.String()), say.Kept(why)))
		}
		line("\n" + say.Text("First lines:"))
		for _, l := range logfile.HeadLines(v) {
			line("  " + logfile.Mask(l))
		}
	}
	if f.log != nil && len(f.log.LeftOut) > 0 {
		line("")
		if f.log.Left == 1 {
			line(say.Text("1 row left out:"))
		} else {
			line(say.With("%d rows left out, the first:", f.log.Left))
		}
		for _, x := range f.log.LeftOut[:min(len(f.log.LeftOut), 10)] {
			line("  " + say.With("line %d: %s", x.Line, logfile.Mask(say.Kept(x.Reason))))
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
