package publish

import (
	"strings"

	"plateau/core/measure"
	"plateau/core/say"
)

// renderer writes the blocks of a post in one format. Texts come as they are:
// it makes them one line and escapes them.
type renderer interface {
	title(text string)
	head(text string)
	para(x item)
	list(items []item)
	table(t *table)
	picture(html string) // the report alone has some
	text() string
}

// render writes a post: what it is, what holds for all of it, its parts, and
// which program made it.
func render(p *Post, o *Options, r renderer) string {
	r.title(titled(p))
	for _, x := range o.lead(p) {
		r.para(x)
	}
	for _, s := range o.sections(p) {
		s.render(r)
	}
	r.para(item{text: made(p)})
	return r.text()
}

func (s *section) render(r renderer) {
	r.head(s.title)
	for _, b := range s.blocks {
		switch {
		case b.picture != "":
			r.picture(b.picture)
		case b.table != nil:
			r.table(b.table)
		case b.list != nil:
			r.list(b.list)
		default:
			r.para(b.para)
		}
	}
}

// titled is the first line of a post.
func titled(p *Post) string {
	s := line(p.Title)
	if s == "" {
		s = say.Text("Measurements of cells")
	}
	if day := line(p.Day); day != "" {
		s += ", " + day
	}
	return s
}

// made is its last line.
func made(p *Post) string {
	s := line(p.Program)
	if s == "" {
		s = "Plateau"
	}
	return say.With("Made with %s.", s)
}

// lead are the paragraphs below the title.
func (o *Options) lead(p *Post) []item {
	var out []item
	if s := caution(p); s != "" {
		out = add(out, say.Text("Caution"), s)
	}
	s := say.Text("Decimal mark: point.")
	if o.Words.Comma {
		s = say.Text("Decimal mark: comma.")
	}
	if o.uncertain(p) {
		s = say.Text("Figures are given ± their expanded uncertainty, k = 2 (about 95 %).") + " " + s
	}
	return append(out, item{text: s})
}

// caution is what is to be said where cells were driven hard; empty where none
// was.
func caution(p *Post) string {
	var over, other []string
	for k := range p.Runs {
		r := &p.Runs[k]
		safety := false
		for _, c := range r.Checks {
			safety = safety || c.Safety
		}
		switch {
		case r.Over:
			over = append(over, label(r))
		case safety:
			other = append(other, label(r))
		}
	}
	s := ""
	if over != nil {
		s += " " + say.With("Over the cell’s permitted current, and not for imitation: %s.", strings.Join(over, "; "))
	}
	if other != nil {
		s += " " + say.With("With a warning: %s.", strings.Join(other, "; "))
	}
	if s == "" {
		return ""
	}
	return say.Text("Lithium cells can vent, burn and burst when they are driven too hard, get hot or are damaged.") + s + say.Text(measure.Qualified)
}

// uncertain tells whether any figure that is shown has an uncertainty.
func (o *Options) uncertain(p *Post) bool {
	figures, details, verdicts, standing := o.has(Figures), o.has(Details), o.has(Verdicts), o.has(Standing)
	for k := range p.Runs {
		r := &p.Runs[k]
		if figures && (r.Capacity.U > 0 || r.Energy.U > 0 || r.Average.U > 0 || r.TempMax.U > 0) ||
			details && (r.MidPoint.U > 0 || r.Duration.U > 0 || r.Start.U > 0 || r.End.U > 0 || r.TempRise.U > 0 || r.Resistance.U > 0) {
			return true
		}
	}
	for k := range p.Verdicts {
		v := &p.Verdicts[k]
		if verdicts && (v.Best.U > 0 || v.Margin.U > 0) {
			return true
		}
	}
	for n := range p.Rankings {
		k := &p.Rankings[n]
		for n := range k.Places {
			if x := &k.Places[n]; standing && x.Mean.U > 0 {
				return true
			}
		}
	}
	return false
}

// label names a run with its cell.
func label(r *Run) string {
	cell, name := line(r.Cell), line(r.Name)
	switch {
	case name == "":
		return cell
	case strings.Contains(strings.ToLower(name), strings.ToLower(cell)):
		return name
	}
	return cell + ", " + name
}

// sections are the parts that are asked for and hold something.
func (o *Options) sections(p *Post) []section {
	var out []section
	for _, part := range o.chosen() {
		s := section{key: part.Key, title: part.Title}
		switch part.Key {
		case Conditions:
			s.blocks = listed(lines(p.Conditions))
		case Pictures:
			s.blocks = o.pictures
		case Figures:
			s.blocks = o.figures(p)
		case Details:
			s.blocks = o.details(p)
		case Verdicts:
			s.blocks = o.verdicts(p)
		case Standing:
			s.blocks = o.ranking(p)
		case Gaps:
			s.blocks = listed(gaps(p))
		case Leaders:
			s.blocks = listed(lines(p.Leaders))
		case Findings:
			s.blocks = listed(o.findings(p))
		case Incoming:
			s.blocks = o.inspection(p)
		case Datasheets:
			s.blocks = o.datasheets(p)
		case Instrument:
			s.blocks = listed(instrument(&p.Tester))
		case Working:
			s.blocks = listed(sentences(p.Method))
		case Logs:
			s.blocks = o.logs(p)
		case Notes:
			s.blocks = listed(notes(p))
		}
		if s.blocks = joined(s.blocks); s.blocks != nil {
			out = append(out, s)
		}
	}
	return out
}

// joined puts lists that follow one another into one, as Markdown would.
func joined(blocks []block) []block {
	var out []block
	for _, b := range blocks {
		if n := len(out); n > 0 && b.list != nil && out[n-1].list != nil {
			out[n-1].list = append(out[n-1].list, b.list...)
			continue
		}
		out = append(out, b)
	}
	return out
}

func lines(list []Line) []item {
	var out []item
	for _, l := range list {
		out = add(out, say.Text(l.Head), say.Text(l.Text))
	}
	return out
}

func sentences(list []string) []item {
	var out []item
	for _, s := range list {
		out = add(out, "", say.Text(s))
	}
	return out
}

func instrument(t *Tester) []item {
	head := say.Text("Errors as assumed")
	if t.Known {
		head = say.Text("Errors as stated")
	}
	out := []item{{say.Text("Tester"), t.Name}}
	if line(t.Name) == "" {
		out = nil
	}
	if words := line(strings.Join(t.Words, " ")); words != "" {
		out = add(out, head, words)
	}
	return out
}

func (o *Options) findings(p *Post) []item {
	var out []item
	for k := range p.Runs {
		r := &p.Runs[k]
		out = o.remarks(out, label(r), r.Checks)
	}
	return out
}

func gaps(p *Post) []item {
	var out []item
	for n := range p.Rankings {
		k := &p.Rankings[n]
		if text := line(strings.Join(k.Gaps, " ")); text != "" {
			out = add(out, say.With("%s at %s", measured(k), k.Rate), text)
		}
	}
	return out
}

func notes(p *Post) []item {
	out := []item{{"", p.Private}}
	for k := range p.Cells {
		c := &p.Cells[k]
		for _, x := range [...]item{{say.Later("bought"), c.Bought}, {say.Later("lot"), c.Lot}, {say.Later("date code"), c.DateCode}, {say.Later("wrapper"), c.Wrapper}, {say.Later("as it came"), c.Inspection.Remark}, {say.Later("notes"), c.Notes}} {
			if line(x.text) != "" {
				out = add(out, c.Name+", "+say.Text(x.head), x.text)
			}
		}
	}
	return out
}
