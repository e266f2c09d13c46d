package plan

import (
	"fmt"
	"io"
	"strings"

	"plateau/core/publish"
	"plateau/core/say"
)

// Markdown writes a plan as CommonMark 0.31 with tables and task lists as GitHub
// Flavored Markdown 0.29 has them. Names are escaped, so that none is read as
// markup or as an address. What t has done is ticked; the zero Ticked has
// nothing.
func Markdown(w io.Writer, p Plan, t Ticked) error {
	m := &markdown{Plan: p, ticked: t}
	m.write()
	_, err := io.WriteString(w, m.String())
	return err
}

type markdown struct {
	strings.Builder
	Plan
	ticked Ticked
}

func (m *markdown) line(format string, args ...any) { fmt.Fprintf(m, format+"\n", args...) }

// text is escaped.
func (m *markdown) text(s string) string { return publish.MarkdownText(s) }

func (m *markdown) head(s string) { m.line("\n## %s\n", m.text(s)) }

func (m *markdown) row(fields ...string) {
	for k := range fields {
		if fields[k] = m.text(fields[k]); fields[k] == "" {
			fields[k] = "—"
		}
	}
	m.line("| %s |", strings.Join(fields, " | "))
}

// columns begins a table; kinds has a > for each column of numbers.
func (m *markdown) columns(kinds string, heads ...string) {
	rule := make([]string, len(heads))
	for k, h := range heads {
		heads[k] = say.Text(h)
		rule[k] = map[bool]string{true: "---:", false: "---"}[kinds[k] == '>']
	}
	m.row(heads...)
	m.line("| %s |", strings.Join(rule, " | "))
}

func (m *markdown) list(items []string) {
	for _, s := range items {
		m.line("- %s", m.text(s))
	}
}

func (m *markdown) write() {
	m.line("# %s\n", m.text(say.Text("Test plan")))
	m.line("%s", m.text(m.Summary()))
	if len(m.Runs) > 0 {
		m.head(say.Text("Discharges"))
		m.runs()
	}
	if len(m.Channels) > 0 {
		m.head(say.Text("Channels"))
		m.columns(">->--", say.Later("Channel"), say.Later("Cells"), say.Later("Hours"), say.Later("From"), say.Later("To"))
		for _, c := range m.Channels {
			m.row(fmt.Sprint(c.Number), strings.Join(c.Cells, ", "), m.words.Fixed(c.Hours, 1), When(c.Start), When(c.End))
		}
	}
	if len(m.Left) > 0 {
		m.head(say.Text("Left out"))
		m.columns("---", say.Later("Cell"), say.Later("Current"), say.Later("Why"))
		for k := range m.Left {
			m.row(m.Left[k].Cell, m.Wish(&m.Left[k]), m.Left[k].Why)
		}
	}
	if len(m.Findings) > 0 {
		m.head(say.Text("Findings"))
		for _, f := range m.Findings {
			whose := ""
			if len(f.Cells) > 0 {
				whose = strings.Join(f.Cells, ", ") + ": "
			}
			m.line("- **%s** %s %s %s", m.text(say.Text(f.Severity.String())), m.text(whose+f.Text), m.text(f.Do), m.text(say.With("Rule: %s (%s).", f.Says, f.Source)))
		}
	}
	m.head(say.Text("Cautions"))
	m.list(m.Cautions)
	if len(m.Checklist) > 0 {
		m.head(say.Text("Checklist"))
		for _, t := range m.Checklist {
			box := " "
			if t.Run >= 0 && m.ticked.Fulfilled(t.Run) {
				box = "x"
			}
			m.line("- [%s] %s", box, m.text(strings.TrimSpace(When(t.When)+" "+t.Text)))
		}
		m.head(say.Text("What the hours rest on"))
		m.list(m.Assumed)
	}
}

func (m *markdown) runs() {
	m.columns("-->>>>>>---->", say.Later("Cell"), say.Later("Run"), say.Later("Channel"), say.Later("Set-point"), say.Later("C-rate"), say.Later("Off by"), say.Later("Cut-off"), say.Later("Set cut-off"),
		say.Later("Charge"), say.Later("Charge starts"), say.Later("Discharge starts"), say.Later("Ends"), say.Later("Hours"))
	for k := range m.Runs {
		r := m.Row(k)
		m.row(r.Cell, r.Run, fmt.Sprint(r.Channel), r.Set, r.Rate, r.Off, r.Cutoff, r.SetCutoff, r.Charge, r.Charges, r.Discharges, r.Ends, m.words.Fixed(m.Runs[k].Hours(), 1))
	}
}

// Summary is a plan in a sentence or two.
func (p *Plan) Summary() string {
	if len(p.Runs) == 0 {
		return say.Text("There is nothing to run.")
	}
	channels := say.Text("1 channel")
	if n := len(p.Channels); n > 1 {
		channels = say.With("%d channels", n)
	}
	s, runs, hours := "", discharges(len(p.Runs)), p.words.Fixed(p.Hours, 1)
	if p.Dated {
		s = say.With("%s on %s, %s h in all, from %s to %s (%s).", runs, channels, hours, When(p.Start), When(p.End), zone(p))
	} else {
		s = say.With("%s on %s, %s h in all.", runs, channels, hours)
	}
	if n := len(p.Left); n > 0 {
		s += " " + say.With("Left out: %s.", discharges(n))
	}
	return s
}

// zone is that of the start, by its offset.
func zone(p *Plan) string {
	a, b := p.Start.Format("-07:00"), p.End.Format("-07:00")
	if a != b {
		return say.With("UTC%s, later UTC%s", a, b)
	}
	return "UTC" + a
}

func discharges(n int) string {
	if n == 1 {
		return say.Text("1 discharge")
	}
	return say.With("%d discharges", n)
}

// Words say why a run is in the plan, and which of several it is.
func (r *Run) Words() string {
	s := say.Text(r.Basis.String())
	if r.Of > 1 {
		s = say.With("%s, %d of %d", s, r.Attempt, r.Of)
	}
	return s
}

// Wish is the current that was asked for, in words.
func (p *Plan) Wish(l *LeftOut) string {
	switch {
	case l.AskedIt > 0 && l.Asked > 0:
		return plain(p.words, l.AskedIt, 3) + " It (" + p.amps(l.Asked) + ")"
	case l.AskedIt > 0:
		return plain(p.words, l.AskedIt, 3) + " It"
	}
	return p.amps(l.Asked)
}
