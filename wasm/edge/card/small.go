package card

import "plateau/core/publish"

const (
	mostEntries = 2000
	mostText    = 256 << 10 // bytes of all texts
)

// small tells a post that does not hold more than a preview shows: an address of
// some thousand characters can unpack to tens of thousands of entries.
func small(p *publish.Post) bool {
	n, text := 0, 0
	count := func(list ...string) {
		n++
		for _, s := range list {
			text += len(s)
		}
	}
	lines := func(list []publish.Line) {
		for _, l := range list {
			count(l.Head, l.Text)
		}
	}
	each := func(list []string) {
		for _, s := range list {
			count(s)
		}
	}
	count(p.Title, p.Day, p.Program, p.Tester.Name)
	lines(p.Conditions)
	lines(p.Leaders)
	each(p.Method)
	each(p.Tester.Words)
	for k := range p.Cells {
		c := &p.Cells[k]
		count(c.Name, c.Model, c.Sample, c.Chemistry, c.Size, c.Marking, c.Currency)
		for _, x := range c.Claims {
			count(x.What)
		}
	}
	for k := range p.Runs {
		r := &p.Runs[k]
		count(r.Cell, r.Name, r.Void)
		for _, f := range [...]*publish.Number{&r.Capacity, &r.Energy, &r.Average, &r.MidPoint, &r.Duration, &r.Start, &r.End, &r.TempMax, &r.TempRise, &r.Resistance} {
			text += len(f.Why)
		}
		for _, c := range r.Checks {
			count(c.Severity, c.Text)
		}
	}
	for k := range p.Verdicts {
		v := &p.Verdicts[k]
		count(v.Cell, v.Claim, v.Word, v.Sentence)
	}
	for k := range p.Rankings {
		x := &p.Rankings[k]
		count(x.Figure, x.Unit, x.Rate, x.Why)
		each(x.Basis)
		each(x.Gaps)
		each(x.Out)
		for _, c := range x.Places {
			count(c.Cell, c.Letters, c.Mark)
		}
	}
	for _, l := range p.Logs {
		count(l.Name, l.SHA256)
	}
	return n <= mostEntries && text <= mostText
}
