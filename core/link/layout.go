package link

import (
	"math"

	"plateau/core/publish"
	"plateau/core/say"
)

// What a link holds at most. It is far more than fits its length; a reader is
// not to be made to reserve memory by a few bytes.
const (
	mostLines    = 500
	mostCells    = 500
	mostRuns     = 2000
	mostRankings = 200
	mostRecords  = 50_000
	mostText     = 4 << 20
)

// sections of a post, by their numbers in the format.
func (c *codec) sections(p *publish.Post) []section {
	return []section{
		{1, say.Later("its head"), func() {
			c.name(&p.Title)
			c.name(&p.Day)
			c.name(&p.Program)
			c.lines(&p.Conditions)
		}},
		{2, say.Later("its method"), func() {
			c.names(&p.Method)
			c.name(&p.Tester.Name)
			c.flag(&p.Tester.Known)
			c.names(&p.Tester.Words)
		}},
		{3, say.Later("its list of cells"), func() { each(c, &p.Cells, mostCells, func(x *publish.Cell) { c.name(&x.Name) }) }},
		{4, say.Later("its cells"), func() { c.all(len(p.Cells), func(k int) { c.cell(&p.Cells[k]) }) }},
		{5, say.Later("its list of runs"), func() { c.runs(p) }},
		{6, say.Later("its figures"), func() { c.figures(p) }},
		{7, say.Later("its findings"), func() { c.all(len(p.Runs), func(k int) { each(c, &p.Runs[k].Checks, mostLines, c.check) }) }},
		{8, say.Later("its verdicts"), func() {
			each(c, &p.Verdicts, mostRuns, c.verdict)
			c.column(len(p.Verdicts), func(k int) *publish.Number { return &p.Verdicts[k].Best })
			c.column(len(p.Verdicts), func(k int) *publish.Number { return &p.Verdicts[k].Margin })
			c.column(len(p.Verdicts), func(k int) *publish.Number { return &p.Verdicts[k].Chance })
		}},
		{9, say.Later("its ranking"), func() {
			each(c, &p.Rankings, mostRankings, c.ranking)
			c.lines(&p.Leaders)
		}},
		{10, say.Later("its list of logs"), func() { each(c, &p.Logs, mostRuns, c.log) }},
		{11, say.Later("its private notes"), func() {
			c.text(&p.Private)
			c.all(len(p.Cells), func(k int) {
				x := &p.Cells[k]
				c.text(&x.Notes)
				c.name(&x.Bought)
				c.name(&x.Lot)
				c.name(&x.DateCode)
				c.name(&x.Wrapper)
			})
		}},
	}
}

type section struct {
	id   uint64
	what string
	do   func()
}

// all goes through a list whose length was said before.
func (c *codec) all(n int, item func(k int)) {
	for k := 0; k < n && c.err == nil; k++ {
		item(k)
	}
}

func (c *codec) cell(x *publish.Cell) {
	for _, s := range []*string{&x.Model, &x.Sample, &x.Chemistry, &x.Size, &x.Marking, &x.Currency} {
		c.name(s)
	}
	for _, f := range []*float64{&x.Mass, &x.Price, &x.Cutoff, &x.ChargeVoltage, &x.ChargeCurrent, &x.ChargeEnd, &x.MaxCurrent} {
		c.float(f)
	}
	c.small(&x.Series, 10_000)
	each(c, &x.Claims, 50, func(l *publish.Claim) {
		c.name(&l.What)
		c.float(&l.Capacity)
		c.float(&l.Current)
		c.float(&l.Cutoff)
	})
}

// runs writes column by column, since neighbours in a column are alike.
func (c *codec) runs(p *publish.Post) {
	each(c, &p.Runs, mostRuns, func(r *publish.Run) { c.name(&r.Cell) })
	if c.reading {
		for k := range p.Runs {
			p.Runs[k].Log = -1
			for _, x := range numbersOf(&p.Runs[k]) {
				x.Value = math.NaN()
			}
		}
	}
	column := func(do func(r *publish.Run)) { c.all(len(p.Runs), func(k int) { do(&p.Runs[k]) }) }
	column(func(r *publish.Run) { c.name(&r.Name) })
	column(func(r *publish.Run) {
		n := uint64(0)
		if !c.reading {
			for k, yes := range []bool{r.Typed, r.Over} {
				if yes {
					n |= 1 << k
				}
			}
		}
		c.uint(&n)
		r.Typed, r.Over = n&1 != 0, n&2 != 0
	})
	last := -1
	column(func(r *publish.Run) { // 0 for none, else the step from the log before, zigzag, 1 more where it is not below nought
		step := int64(0)
		if !c.reading && r.Log >= 0 {
			if step = int64(r.Log - last); step <= 0 {
				step--
			}
		}
		c.int(&step)
		switch {
		case step == 0:
			r.Log = -1
			return
		case step < 0:
			step++
		}
		if r.Log = last + int(step); c.reading && (step > mostRuns || step < -mostRuns || r.Log < 0 || r.Log >= mostRuns) {
			c.fail(say.Later("a run is of a log that is not there"))
			r.Log = -1
			return
		}
		last = r.Log
	})
	column(func(r *publish.Run) { c.float(&r.Current) })
	column(func(r *publish.Run) { c.float(&r.Rate) })
	column(func(r *publish.Run) { c.float(&r.Cutoff) })
	column(func(r *publish.Run) { c.name(&r.Void) })
}

// column is n figures of a kind.
func (c *codec) column(n int, figure func(k int) *publish.Number) {
	list := make([]*publish.Number, n)
	for k := range list {
		list[k] = figure(k)
	}
	c.numbers(list)
}

// numbersOf are a run's figures in the format's order.
func numbersOf(r *publish.Run) []*publish.Number {
	return []*publish.Number{&r.Capacity, &r.Energy, &r.Average, &r.MidPoint, &r.Duration, &r.Start, &r.End, &r.TempMax, &r.TempRise, &r.Resistance}
}

func (c *codec) figures(p *publish.Post) {
	for f := range numbersOf(&publish.Run{}) {
		c.column(len(p.Runs), func(k int) *publish.Number { return numbersOf(&p.Runs[k])[f] })
	}
	c.all(len(p.Runs), func(k int) { c.float(&p.Runs[k].ResistanceAt) })
}

func (c *codec) check(x *publish.Check) {
	n := 0
	if !c.reading {
		n = code(severities, x.Severity) << 1
		if x.Safety {
			n |= 1
		}
	}
	c.small(&n, 1<<8)
	x.Severity, x.Safety = c.word(severities, x.Severity, n>>1), n&1 != 0
	c.name(&x.Text)
}

// The words that a field may have are numbered from 1; 0 is any other, which
// follows.
var (
	severities = []string{say.Later("note"), say.Later("caution"), say.Later("fault")}
	grades     = []string{"pass", "pass-within", "below-within", "below", "above", "under", "open"}
	ranked     = []string{"capacity", "energy", "average", "temperature"}
)

func code(words []string, word string) int {
	for k, w := range words {
		if w == word {
			return k + 1
		}
	}
	return 0
}

// word is the word numbered n, or one that is written out.
func (c *codec) word(words []string, word string, n int) string {
	switch {
	case n == 0:
		c.name(&word)
		return word
	case n <= len(words):
		return words[n-1]
	}
	c.fail(say.Later("a word has an unknown number"))
	return ""
}

// coded is a word of a few.
func (c *codec) coded(words []string, word *string) {
	n := 0
	if !c.reading {
		n = code(words, *word)
	}
	c.small(&n, 1<<8)
	*word = c.word(words, *word, n)
}

func (c *codec) verdict(x *publish.Verdict) {
	c.name(&x.Cell)
	c.name(&x.Claim)
	c.coded(grades, &x.Grade)
	c.name(&x.Word)
	c.name(&x.Sentence)
	c.small(&x.BestOf, 10_000)
}

func (c *codec) ranking(x *publish.Ranking) {
	c.coded(ranked, &x.Figure)
	c.name(&x.Unit)
	c.name(&x.Rate)
	c.names(&x.Basis)
	each(c, &x.Places, mostCells, func(l *publish.Place) {
		c.name(&l.Cell)
		c.small(&l.N, 10_000)
		c.name(&l.Letters)
		c.name(&l.Mark)
	})
	c.column(len(x.Places), func(k int) *publish.Number { return &x.Places[k].Mean })
	c.names(&x.Gaps)
	c.names(&x.Out)
	c.name(&x.Why)
}

// log is a file; its digest lies apart where it is one, since it does not
// shrink: 1 says so, 0 that a text follows, which may be empty.
func (c *codec) log(x *publish.Log) {
	c.name(&x.Name)
	n := uint64(max(x.Bytes, 0))
	c.uint(&n)
	x.Bytes = int64(n & math.MaxInt64)
	_, apart := digest(x.SHA256)
	if c.flag(&apart); !apart {
		c.name(&x.SHA256)
		return
	}
	if !c.reading {
		sum, _ := digest(x.SHA256)
		c.digests = append(c.digests, sum...)
		return
	}
	if len(c.digests) < digestLen {
		c.fail(say.Later("a log’s digest is missing"))
		return
	}
	x.SHA256 = hexOf(c.digests[:digestLen])
	c.digests = c.digests[digestLen:]
}

const (
	digestLen = 32
	hexDigits = "0123456789abcdef"
)

// digest reads 64 hexadecimal digits in lower case.
func digest(s string) (sum []byte, ok bool) {
	if len(s) != 2*digestLen {
		return nil, false
	}
	for k := 0; k < len(s); k++ {
		d := -1
		switch b := s[k]; {
		case b >= '0' && b <= '9':
			d = int(b - '0')
		case b >= 'a' && b <= 'f':
			d = int(b-'a') + 10
		default:
			return nil, false
		}
		if k%2 == 0 {
			sum = append(sum, byte(d<<4))
		} else {
			sum[k/2] |= byte(d)
		}
	}
	return sum, true
}

func hexOf(sum []byte) string {
	s := make([]byte, 0, 2*len(sum))
	for _, b := range sum {
		s = append(s, hexDigits[b>>4], hexDigits[b&15])
	}
	return string(s)
}
