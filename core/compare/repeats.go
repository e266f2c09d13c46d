package compare

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"

	"plateau/core/fit"
	"plateau/core/gum"
)

// Attempt is one run of a cell at a rate, for one figure.
type Attempt struct {
	Value float64 // of the figure, in its unit; above zero
	// Order is when it was run: a time in s or a count.
	Order float64
	// Void says that a fault makes it no attempt, for the Reason: it is kept,
	// and counts for nothing.
	Void   bool
	Reason string
	Group  string // the cell and the rate: what should repeat
}

// counts says whether an attempt gave a figure.
func (a Attempt) counts() bool {
	return !a.Void && a.Value > 0 && !math.IsInf(a.Value, 0)
}

// Repeat is the runs of one cell at one rate taken together, valid ones only.
type Repeat struct {
	Group string
	N     int     // valid runs; with none the rest is zero
	Void  int     // ones left out, and ones without a figure
	Mean  float64 // in the figure's unit, as S, Best, Trend and TrendSE are
	// S is the sample standard deviation about the mean, a trend included; NaN
	// for one run.
	S float64
	// Best is the highest of the first BestOf valid runs, five at most: IEC
	// 61960-3 clause 7.3.1 lets a cell reach its rated capacity at any of five
	// attempts. It is no estimate of the cell: the best of five equal ones lies
	// 1.16 standard deviations above their mean.
	Best   float64
	BestOf int
	// Trend is the change from one run to the next, at their mean distance in
	// Order, with its standard error; TrendT is Student's t for 95 % by which
	// it is judged. Ageing shows here, and not as bad repeatability. From three
	// runs on; TrendDF is 0 where there is no trend to be had.
	Trend, TrendSE, TrendT float64
	TrendDF                int
	// Trending says that the trend is more than its standard error times TrendT.
	Trending bool

	scatter float64 // relative, a trend beyond doubt taken out
	df      int
}

// Pooled is the repeatability from all groups together.
type Pooled struct {
	Relative float64 // standard deviation of one run, as a share of the figure; NaN where Assumed
	DF       int
	Assumed  bool // there were no repeats
}

// bestOf is the attempts that IEC 61960-3 clause 7.3.1 allows.
const bestOf = 5

// Repeats takes the attempts together by group, in the order in which the
// groups come first, and pools their relative standard deviations (GUM
// 4.2.4):
//
//	s² = Σ ν_i·(s_i/m_i)² / Σ ν_i
//
// over the groups of two valid runs and more, m_i the mean of a group and ν_i
// its runs less one. Where a group has a trend beyond the 99 % bounds of chance
// s_i is what scatters about that trend, and ν_i one less again.
func Repeats(all []Attempt) (groups []Repeat, pooled Pooled) {
	members := map[string][]Attempt{}
	for _, a := range all {
		if _, seen := members[a.Group]; !seen {
			groups = append(groups, Repeat{Group: a.Group})
		}
		members[a.Group] = append(members[a.Group], a)
	}
	var sum float64
	for i := range groups {
		g := &groups[i]
		g.take(members[g.Group])
		if g.df > 0 {
			sum += float64(float64(g.df) * float64(g.scatter*g.scatter))
			pooled.DF += g.df
		}
	}
	if pooled.DF == 0 {
		return groups, Pooled{Relative: math.NaN(), Assumed: true}
	}
	pooled.Relative = math.Sqrt(sum / float64(pooled.DF))
	return groups, pooled
}

// take works out a group from its attempts.
func (g *Repeat) take(all []Attempt) {
	var valid []Attempt
	for _, a := range all {
		if a.counts() {
			valid = append(valid, a)
		}
	}
	g.N, g.Void = len(valid), len(all)-len(valid)
	if g.N == 0 {
		return
	}
	sort.SliceStable(valid, func(i, j int) bool { return cmp.Less(valid[i].Order, valid[j].Order) })
	var orders, values []float64
	for _, a := range valid {
		orders = append(orders, a.Order)
		values = append(values, a.Value)
	}
	g.BestOf = min(g.N, bestOf)
	g.Best = slices.Max(values[:g.BestOf])
	g.Mean, g.S = stat.MeanStdDev(values, nil)
	g.df, g.scatter = g.N-1, g.S/g.Mean
	g.trend(orders, values)
}

// trend puts a line through the figures in order.
func (g *Repeat) trend(orders, values []float64) {
	if g.N < 3 {
		return
	}
	line, err := fit.Line(orders, values)
	if err != nil {
		return // no order, or all at once
	}
	each := (orders[g.N-1] - orders[0]) / float64(g.N-1)
	g.Trend, g.TrendSE, g.TrendDF = line.Coef[1]*each, line.SE[1]*math.Abs(each), line.DF
	g.TrendT = gum.StudentT(0.975, float64(line.DF))
	// What is left of the rounding of equal figures is no trend.
	g.Trending = math.Abs(g.Trend) > max(g.TrendT*g.TrendSE, 1e-12*g.Mean)
	// Taken out of the scatter only where it is beyond much doubt: each trend of
	// chance that is taken out makes the scatter smaller than it is.
	if sure := gum.StudentT(0.995, float64(line.DF)); g.Trending && math.Abs(g.Trend) > sure*g.TrendSE {
		g.df, g.scatter = line.DF, line.S/g.Mean
	}
}

// AssumedRepeatability is the relative standard deviation that one run is taken
// to have where there are no repeats, at a rate in multiples of It, and how far
// that is to be trusted, as degrees of freedom. Common practice, no source.
func AssumedRepeatability(rateIt float64) (relative, df float64) {
	switch {
	case rateIt <= 0.5:
		relative = 0.0015
	case rateIt <= 2:
		relative = 0.003
	default: // a rate that is not known as well
		relative = 0.005
	}
	return relative, 8
}

// At is the repeatability of one run at a rate in multiples of It: the pooled
// one, or where there were no repeats the assumed one.
func (p Pooled) At(rateIt float64) (relative, df float64) {
	if p.Assumed || p.DF == 0 {
		return AssumedRepeatability(rateIt)
	}
	return p.Relative, float64(p.DF)
}

// Grubbs tests whether one of the values lies apart from the others: at is the
// one farthest from the mean, g its distance in standard deviations, critical
// what a sample of normal values exceeds once in twenty, on either side. NIST/
// SEMATECH e-Handbook of Statistical Methods 1.3.5.17.1. It is a ground for a
// remark, never for leaving a run out. ok is false where the test says nothing:
// below five values, whose g cannot be large whatever they are, and where they
// do not differ.
func Grubbs(values []float64) (g, critical float64, at int, ok bool) {
	n := len(values)
	if n < 5 {
		return 0, 0, 0, false
	}
	mean, s := stat.MeanStdDev(values, nil)
	if !(s > 1e-12*math.Abs(mean)) || math.IsInf(s, 0) {
		return 0, 0, 0, false
	}
	for i, v := range values {
		if d := math.Abs(v-mean) / s; d > g {
			g, at = d, i
		}
	}
	return g, grubbsCritical(n, 0.05/2), at, true
}

// grubbsCritical is what g exceeds on one side with a chance of tail.
func grubbsCritical(n int, tail float64) float64 {
	m := float64(n)
	t := gum.StudentT(1-tail/m, m-2)
	tt := t * t
	return (m - 1) / math.Sqrt(m) * math.Sqrt(tt/(m-2+tt))
}
