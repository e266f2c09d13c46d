package plan

import (
	"fmt"
	"io"
	"strings"

	"plateau/core/publish"
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

// columns begins a table; the head of a column of numbers begins with >.
func (m *markdown) columns(heads ...string) {
	rule := make([]string, len(heads))
	for k, h := range heads {
		heads[k] = strings.TrimPrefix(h, ">")
		rule[k] = map[bool]string{true: "---:", false: "---"}[heads[k] != h]
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
	m.line("# Test plan\n")
	m.line("%s", m.text(m.Summary()))
	if len(m.Runs) > 0 {
		m.head("Discharges")
		m.runs()
	}
	if len(m.Channels) > 0 {
		m.head("Channels")
		m.columns(">Channel", "Cells", ">Hours", "From", "To")
		for _, c := range m.Channels {
			m.row(fmt.Sprint(c.Number), strings.Join(c.Cells, ", "), m.words.Fixed(c.Hours, 1), When(c.Start), When(c.End))
		}
	}
	if len(m.Left) > 0 {
		m.head("Left out")
		m.columns("Cell", "Current", "Why")
		for k := range m.Left {
			m.row(m.Left[k].Cell, m.Wish(&m.Left[k]), m.Left[k].Why)
		}
	}
	if len(m.Findings) > 0 {
		m.head("Findings")
		for _, f := range m.Findings {
			whose := ""
			if len(f.Cells) > 0 {
				whose = strings.Join(f.Cells, ", ") + ": "
			}
			m.line("- **%s** %s %s Rule: %s (%s).", f.Severity, m.text(whose+f.Text), m.text(f.Do), m.text(f.Says), m.text(f.Source))
		}
	}
	m.head("Cautions")
	m.list(m.Cautions)
	if len(m.Checklist) > 0 {
		m.head("Checklist")
		for _, t := range m.Checklist {
			box := " "
			if t.Run >= 0 && m.ticked.Fulfilled(t.Run) {
				box = "x"
			}
			m.line("- [%s] %s", box, m.text(strings.TrimSpace(When(t.When)+" "+t.Text)))
		}
		m.head("What the hours rest on")
		m.list(m.Assumed)
	}
}

func (m *markdown) runs() {
	m.columns("Cell", "Run", ">Channel", ">Set-point", ">C-rate", ">Off by", ">Cut-off", ">Set cut-off", "Charge", "Charge starts", "Discharge starts", "Ends", ">Hours")
	for k := range m.Runs {
		r := m.Row(k)
		m.row(r.Cell, r.Run, fmt.Sprint(r.Channel), r.Set, r.Rate, r.Off, r.Cutoff, r.SetCutoff, r.Charge, r.Charges, r.Discharges, r.Ends, m.words.Fixed(m.Runs[k].Hours(), 1))
	}
}

// Summary is a plan in a sentence or two.
func (p *Plan) Summary() string {
	if len(p.Runs) == 0 {
		return "There is nothing to run."
	}
	s := fmt.Sprintf("%s on %s, %s h in all", counted(len(p.Runs), "discharge"), counted(len(p.Channels), "channel"), p.words.Fixed(p.Hours, 1))
	if p.Dated {
		s += fmt.Sprintf(", from %s to %s (%s)", When(p.Start), When(p.End), zone(p))
	}
	s += "."
	if n := len(p.Left); n > 0 {
		s += fmt.Sprintf(" Left out: %s.", counted(n, "discharge"))
	}
	return s
}

// zone is that of the start, by its offset.
func zone(p *Plan) string {
	a, b := p.Start.Format("-07:00"), p.End.Format("-07:00")
	if a != b {
		return "UTC" + a + ", later UTC" + b
	}
	return "UTC" + a
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Words say why a run is in the plan, and which of several it is.
func (r *Run) Words() string {
	s := r.Basis.String()
	if r.Of > 1 {
		s += fmt.Sprintf(", %d of %d", r.Attempt, r.Of)
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
