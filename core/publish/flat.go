package publish

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// CSV writes a post's runs as one flat table by RFC 4180: a header, CRLF line
// ends, units in the heads, an empty field where there is no figure. Heads with
// _U_k2_ are expanded uncertainties, k = 2. With a decimal comma the separator is
// a semicolon, as spreadsheets of those locales have it; the last head is
// decimal_point or decimal_comma. A name that a spreadsheet would take for a
// formula gets an apostrophe. Of Options only Words counts.
func CSV(w io.Writer, p Post, o Options) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if o.Words.Comma {
		out.Comma = ';'
	}
	for _, row := range o.flat(&p) {
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// TSV writes the same table with tabs, to be pasted into a spreadsheet. No field
// is quoted: one that begins with a quote gets an apostrophe.
func TSV(w io.Writer, p Post, o Options) error {
	var b strings.Builder
	for _, row := range o.flat(&p) {
		for c, f := range row {
			if c > 0 {
				b.WriteByte('\t')
			}
			if strings.HasPrefix(f, `"`) {
				b.WriteByte('\'')
			}
			b.WriteString(f)
		}
		b.WriteString("\r\n")
	}
	return put(w, b.String())
}

// flat is a header and a row for each run.
func (o *Options) flat(p *Post) [][]string {
	t := &table{}
	t.heads = strings.Fields("post day cell discharge current_A rate_It cutoff_V")
	for k := range flatFigures {
		q := &flatFigures[k]
		t.heads = append(t.heads, q.head+"_"+q.unit, q.head+"_U_k2_"+q.unit)
	}
	t.heads = append(t.heads, strings.Fields("resistance_after_s at_least missing void over_permitted_current typed findings log log_SHA256 conditions tester made_with decimal_"+o.mark())...)
	t.rows = append(t.rows, t.heads)
	var s []string
	for _, c := range p.Conditions {
		s = append(s, c.Head+": "+c.Text)
	}
	conditions := strings.Join(s, "; ")
	for k := range p.Runs {
		r := &p.Runs[k]
		t.add(field(p.Title), field(p.Day), field(r.Cell), field(r.Name), o.value(r.Current, 5), o.value(r.Rate, 5), o.value(r.Cutoff, 5))
		for n := range flatFigures {
			q := &flatFigures[n]
			x := q.of(r)
			t.more(o.plainNumber(x.Value, q.decimals), o.value(x.U, q.decimals+1))
		}
		var l Log
		if r.Log >= 0 && r.Log < len(p.Logs) {
			l = p.Logs[r.Log]
		}
		atLeast, missing := flaws(r)
		t.more(o.value(r.ResistanceAt, 3), atLeast, field(missing), field(r.Void), yes(r.Over), yes(r.Typed), field(found(r)),
			field(l.Name), field(l.SHA256), field(conditions), field(p.Tester.Name), field(p.Program), "yes")
	}
	return t.rows
}

// value is a number above zero; empty where it is not.
func (o *Options) value(x float64, decimals int) string {
	if x > 0 {
		return o.plainNumber(x, decimals)
	}
	return ""
}

// found are a run's findings.
func found(r *Run) string {
	s := ""
	for _, c := range r.Checks {
		s += " | " + c.Severity + ": " + c.Text
	}
	return strings.TrimPrefix(s, " | ")
}

// flaws are which figures are at least so much, and which are not there.
func flaws(r *Run) (atLeast, missing string) {
	for k := range flatFigures {
		q := &flatFigures[k]
		x := q.of(r)
		if x.AtLeast {
			atLeast += "; " + q.head
		}
		if !known(x.Value) && x.Why != "" {
			missing += "; " + q.head + ": " + x.Why
		}
	}
	return strings.TrimPrefix(atLeast, "; "), strings.TrimPrefix(missing, "; ")
}

func yes(x bool) string { return map[bool]string{true: "yes"}[x] }

// flatFigures are the figures of a run.
var flatFigures = [...]struct {
	head, unit string
	decimals   int
	of         func(r *Run) *Number
}{
	{"capacity", "Ah", 6, func(r *Run) *Number { return &r.Capacity }},
	{"energy", "Wh", 6, func(r *Run) *Number { return &r.Energy }},
	{"average_voltage", "V", 5, func(r *Run) *Number { return &r.Average }},
	{"midpoint_voltage", "V", 5, func(r *Run) *Number { return &r.MidPoint }},
	{"duration", "s", 3, func(r *Run) *Number { return &r.Duration }},
	{"start_voltage", "V", 5, func(r *Run) *Number { return &r.Start }},
	{"end_voltage", "V", 5, func(r *Run) *Number { return &r.End }},
	{"max_temperature", "C", 2, func(r *Run) *Number { return &r.TempMax }},
	{"temperature_rise", "C", 2, func(r *Run) *Number { return &r.TempRise }},
	{"resistance", "ohm", 6, func(r *Run) *Number { return &r.Resistance }},
}

// plainNumber is a number for machines, with the decimal mark asked for.
func (o *Options) plainNumber(x float64, decimals int) string {
	s := number(x, decimals)
	if len(s) > 40 {
		s = strconv.FormatFloat(x, 'e', -1, 64)
	}
	if o.Words.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// field is a text on one line that no spreadsheet takes for a formula, full-width
// signs, and signs behind what cannot be seen, among them.
func field(s string) string {
	s = line(s)
	seen := strings.TrimLeft(s, "\u200b\u200c\u200d\u200e\u200f\u061c\u2060\u00ad' ")
	if r, _ := utf8.DecodeRuneInString(seen); strings.ContainsRune("＝＋－＠", r) || len(seen) < len(s) && plain(seen) != seen {
		return "'" + s
	}
	return plain(s)
}
