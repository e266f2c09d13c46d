package publish

import (
	"io"
	"strings"
	"unicode/utf8"
)

// Glance is one discharge in few words, as a preview has it: on a server, whose
// words are English. Figures are in the
// units said, with their uncertainty, and empty where there are none.
type Glance struct {
	Name     string
	Amps     string // "0.98 A"
	Rate     string // "0.2 It"
	To       string // "to 2.50 V"; "to its own end, 2.50 V"
	Capacity string // Ah
	Energy   string // Wh
	Average  string // V
	TempMax  string // °C
	Remark   string
	Void     bool
}

// Glance is a discharge in few words.
func (o *Options) Glance(r *Run) Glance {
	g := Glance{Name: label(r), Capacity: o.figure(&r.Capacity, -4), Energy: o.figure(&r.Energy, -4), Average: o.figure(&r.Average, 3),
		TempMax: o.figure(&r.TempMax, 1), Void: line(r.Void) != ""}
	if amps := o.amount(r.Current, 3); amps != "" {
		g.Amps = amps + " A"
	}
	if rate := o.short(r.Rate, 2); rate != "" {
		g.Rate = rate + " It"
	}
	g.To = "to its own end"
	if v := o.amount(r.Cutoff, 3); v != "" {
		g.To = "to " + v + " V"
	} else if v := o.amount(r.End.Value, 3); v != "" {
		g.To += ", " + v + " V"
	}
	var remarks []string
	if g.Void {
		remarks = append(remarks, "does not count: "+line(r.Void))
	}
	if r.Over {
		remarks = append(remarks, "over the permitted current")
	}
	if r.Typed {
		remarks = append(remarks, "typed")
	}
	g.Remark = strings.Join(remarks, "; ")
	return g
}

// At is under what a discharge was made: "0.98 A (0.2 It) to 2.50 V".
func (g Glance) At() string {
	s := g.Amps
	if s != "" && g.Rate != "" {
		s += " (" + g.Rate + ")"
	}
	return strings.TrimSpace(s + " " + g.To)
}

// Title, Made and Caution are the first line of a post, the last one, and what is
// to be said where cells were driven hard, empty where none was.
func Title(p *Post) string   { return titled(p) }
func Made(p *Post) string    { return made(p) }
func Caution(p *Post) string { return caution(p) }

// Summary is a post in a few sentences, of so many characters at most: of each
// cell the discharge at its lowest current that counts, and the verdicts on it.
func (o *Options) Summary(p *Post, most int) string {
	first := map[string]*Run{}
	var order []string
	for k := range p.Runs {
		r := &p.Runs[k]
		if line(r.Void) != "" || !known(r.Capacity.Value) {
			continue
		}
		name := line(r.Cell)
		have := first[name]
		if have == nil {
			order = append(order, name)
		}
		if have == nil || r.Current < have.Current {
			first[name] = r
		}
	}
	var out []string
	for _, name := range order {
		g := o.Glance(first[name])
		s := g.Capacity + " Ah"
		if g.Energy != "" {
			s += ", " + g.Energy + " Wh"
		}
		if average, _, _ := strings.Cut(g.Average, " ± "); average != "" {
			s += ", average " + average + " V"
		}
		s += " at " + g.At()
		if name != "" {
			s = name + ": " + s
		}
		for k := range p.Verdicts {
			if v := &p.Verdicts[k]; line(v.Cell) == name && line(v.Word) != "" {
				s += "; " + Claimed(v) + ": " + line(v.Word)
			}
		}
		out = append(out, s+".")
	}
	if out == nil {
		return titled(p) + "."
	}
	return Shortened(strings.Join(out, " "), most)
}

// Claimed is the claim that a verdict is on, without its conditions: "Rated
// 4.900 Ah".
func Claimed(v *Verdict) string {
	s, _, _ := strings.Cut(line(v.Claim), " at ")
	return s
}

// Shortened is a text of so many characters at most, cut at a blank where one is
// near.
func Shortened(s string, most int) string {
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	s = string([]rune(s)[:max(most-1, 0)])
	if k := strings.LastIndexByte(s, ' '); k > len(s)*3/4 {
		s = s[:k]
	}
	return strings.TrimRight(s, " ,;:") + "…"
}

// Sections writes the parts of a post as HTML: as [HTML] without its title, lead
// and last line, and with tables that can be scrolled, in a div of class "wide".
func Sections(w io.Writer, p Post, o Options) error {
	f := &fragment{top: "h1", below: "h2", scroll: true}
	for _, s := range o.sections(&p) {
		s.render(f)
	}
	return put(w, f.text())
}
