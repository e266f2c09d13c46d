package claim

import (
	"math"

	"plateau/core/gum"
	"plateau/core/quantity"
	"plateau/core/say"
)

// group is runs of one side at one current, in order.
type group struct {
	side    Side
	current float64 // A, that of the claim where it is the same
	runs    []int

	best  int // the run, of those that count for it
	of    int
	grade Grade   // one of the four of a limit
	value float64 // Ah, by which it was graded
	u     float64 // Ah, of value
}

// judge is one claim and the runs set against it.
type judge struct {
	Claim
	runs   []Run
	w      quantity.Words
	why    [][]string // what made each run one-sided
	groups []*group
}

// Judge sets the runs of one sample, in the order in which they were made,
// against a claim. Words are for its sentences.
func Judge(c Claim, runs []Run, w quantity.Words) Verdict {
	nan := math.NaN()
	v := Verdict{Grade: Open, Best: nan, BestRun: -1, U: nan, Mean: nan, MeanU: nan, Margin: nan, Chance: nan}
	j := &judge{Claim: c, runs: runs, w: w}
	for i, r := range runs {
		side, lower, higher, says := c.side(r, w)
		if side < Neither {
			if n := len(j.join(i, side).runs); n > attempts && c.Kind != Typical {
				says = say.With("The first five runs of its kind decide, and this is run %d: it counts for the mean alone.", n) + " " + says
			}
		}
		j.why = append(j.why, append(lower, higher...))
		v.Evidence = append(v.Evidence, Evidence{i, side, says})
	}
	own, decides, shown, against := j.decide()
	if shown == nil {
		v.Sentence = j.nothing(v.Evidence)
		return v
	}
	v.Best, v.BestOf, v.BestRun = runs[shown.best].Capacity, shown.of, shown.best
	v.U = runs[shown.best].Budget.Expanded()
	of := shown
	if own != nil {
		of = own
	}
	mean, budget := j.mean(of)
	v.Mean, v.N, v.MeanU = mean, len(of.runs), expanded(budget)
	if own != nil && c.Kind != Typical {
		v.Chance = budget.Above(c.Capacity - mean)
	}
	if decides != nil {
		v.Grade, v.Margin = decides.grade, decides.value-c.Capacity
		if c.Kind == Typical {
			v.Grade = Above
			if decides.grade > PassWithin {
				v.Grade = Under
			}
		}
	}
	v.Sentence = j.sentence(v, own, decides, shown, against)
	return v
}

// join puts run i with those of its side and current.
func (j *judge) join(i int, side Side) *group {
	at := j.runs[i].Current
	if same(at, j.Current) {
		at = j.Current
	}
	for _, g := range j.groups {
		if g.side == side && same(at, g.current) && (at == j.Current) == (g.current == j.Current) {
			g.runs = append(g.runs, i)
			return g
		}
	}
	g := &group{side: side, current: at, runs: []int{i}}
	j.groups = append(j.groups, g)
	return g
}

// decide grades the groups: own is the one that counts both ways, decides the
// one that the verdict is by, shown the one whose figures are shown, against one
// that contradicts. Each may be nil.
func (j *judge) decide() (own, decides, shown, against *group) {
	var pass, fail *group
	for _, g := range j.groups {
		j.grade(g)
		switch {
		case g.grade == Open: // its mean is no number
		case g.side == Both:
			own = g
		case g.side == PassOnly && (pass == nil || better(g.grade, g.value, pass.grade, pass.value)):
			pass = g
		case g.side == FailOnly && (fail == nil || g.grade > fail.grade || g.grade == fail.grade && g.value < fail.value):
			fail = g
		}
	}
	decides = own
	switch {
	case pass == nil || pass.grade > PassWithin:
	case own == nil || pass.grade < own.grade && j.Kind != Typical:
		decides = pass
	case own.grade > PassWithin && pass.grade == Pass:
		against = pass
	}
	switch {
	case fail == nil:
	case decides == nil && fail.grade >= BelowWithin:
		decides = fail
	case decides != nil && decides.grade <= PassWithin && fail.grade == Below:
		against = fail
	}
	for _, g := range [...]*group{decides, pass, fail} {
		if shown == nil {
			shown = g
		}
	}
	return own, decides, shown, against
}

// grade finds the best of a group, and how the group stands to the claim.
func (j *judge) grade(g *group) {
	count := g.runs
	if j.Kind != Typical {
		count = count[:min(len(count), attempts)]
	}
	g.of, g.best = len(count), -1
	for _, i := range count {
		q, u := j.runs[i].Capacity, j.runs[i].Budget.Expanded()
		if z := zone(q-j.Capacity, u); g.best < 0 || better(z, q, g.grade, g.value) {
			g.best, g.grade, g.value, g.u = i, z, q, u
		}
	}
	if j.Kind == Typical {
		mean, b := j.mean(g)
		g.value, g.u = mean, expanded(b)
		g.grade = zone(mean-j.Capacity, g.u)
	}
}

// better tells whether one graded capacity is better than another.
func better(grade Grade, q float64, than Grade, thanQ float64) bool {
	if (grade == Pass) != (than == Pass) {
		return grade == Pass
	}
	return q > thanQ
}

// zone is the zone of ILAC-G8:09/2019 4.2.3 for a margin over a lower limit with
// its expanded uncertainty, both in Ah and compared in nAh; Open for no numbers.
func zone(margin, u float64) Grade {
	m, w := math.Round(margin*1e9), math.Round(u*1e9)
	switch {
	case math.IsNaN(m + w):
		return Open
	case m >= w:
		return Pass
	case m >= 0:
		return PassWithin
	case m > -w:
		return BelowWithin
	}
	return Below
}

// mean is the mean capacity of a group in Ah and its uncertainty. What is the
// same in all runs stays: a term of one name and shape is taken to be one error,
// and its mean counts. What is drawn anew in each falls with √n, the cell's
// repeatability on top.
func (j *judge) mean(g *group) (float64, gum.Budget) {
	n := float64(len(g.runs))
	var b gum.Budget
	var mean, relative, df float64
	for _, i := range g.runs {
		r := j.runs[i]
		mean += r.Capacity / n
		relative += float64(r.Relative * r.Relative)
		df = fewer(df, r.DF)
	next:
		for _, t := range r.Budget.Terms {
			for k := range b.Terms {
				if o := &b.Terms[k]; o.Name == t.Name && o.Shape == t.Shape {
					if perRun(t.Name) {
						own := t.U / n
						o.U = math.Sqrt(float64(o.U*o.U) + float64(own*own))
					} else {
						o.U += t.U / n
					}
					o.DF = fewer(o.DF, t.DF)
					continue next
				}
			}
			t.U /= n
			b.Terms = append(b.Terms, t)
		}
	}
	if relative > 0 || math.IsNaN(relative) {
		b.Terms = append(b.Terms, gum.Term{Name: say.Later("repeatability"), U: mean * math.Sqrt(relative) / n, DF: df})
	}
	return mean, b
}

// fewer is the smaller of two degrees of freedom, of which 0 is infinitely many.
func fewer(a, b float64) float64 {
	if !(a > 0) || b > 0 && b < a {
		return b
	}
	return a
}

// perRun tells the terms of a run's budget that are drawn anew in each run: those
// that measure.MeanBudget takes so.
func perRun(name string) bool {
	switch name {
	case "first interval", "last interval", "scatter of the current", "scatter of the voltage":
		return true
	}
	return false
}

// expanded is the expanded uncertainty of a mean: the wider of the convolved
// interval and that by Welch and Satterthwaite, since with few repeats each falls
// short of its level where the other does not.
func expanded(b gum.Budget) float64 {
	const level = 0.9545
	return max(b.Interval(level), b.Expanded())
}
