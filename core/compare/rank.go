package compare

import (
	"cmp"
	"math"
	"sort"

	"plateau/core/gum"
)

// Order is contenders in the order of their means, and which are told apart. A
// place is an index into Ranked.
type Order struct {
	Ranked []int // of the list, first place first
	// Letters of each place: two that share one are not told apart, which does
	// not say that they are equal.
	Letters []string
	// Out is those of the list that have no figure or no uncertainty in numbers.
	Out []int

	list            []Contender // by place
	descending      bool
	told            []bool // by pair
	passed, stopped float64
}

// Pair is what lies between two places.
type Pair struct {
	Gap    float64 // by which the first leads the second, in the figure's unit
	Budget gum.Budget
	Told   bool
	// Level is what P is held to, after Holm. Least is the gap that it needs to
	// be told apart at that: Told is Gap over Least, both without sign.
	Level, Least float64
}

// Rank puts contenders in order of their means, the highest first where
// descending, and tells pairs apart by Holm's step-down over all pairs: the
// chance that any two cells that are equal are told apart is alpha at most. Of
// equal means the first in the list stands first.
func Rank(list []Contender, alpha float64, descending bool) Order {
	o := Order{descending: descending}
	for k, c := range list {
		if finite(c.Mean) && finite(c.Budget.Combined()) {
			o.Ranked = append(o.Ranked, k)
		} else {
			o.Out = append(o.Out, k)
		}
	}
	sort.SliceStable(o.Ranked, func(i, j int) bool {
		if descending {
			i, j = j, i
		}
		return cmp.Less(list[o.Ranked[i]].Mean, list[o.Ranked[j]].Mean)
	})
	n := len(o.Ranked)
	split := make([]parts, n)
	for k, c := range o.Ranked {
		o.list = append(o.list, list[c])
		split[k] = splitBudget(list[c].Budget)
	}
	pairs := make([]sums, 0, n*(n-1)/2)
	own := make([]sums, n)
	for k := range own {
		for _, t := range split[k].own {
			own[k].add(t)
		}
	}
	for i := range n {
		for j := i + 1; j < n; j++ {
			s := sums{math.Abs(o.list[i].Mean - o.list[j].Mean), own[i].normal + own[j].normal, own[i].few + own[j].few, own[i].rectangular + own[j].rectangular}
			together(&split[i], &split[j], o.list[i].Setup == o.list[j].Setup, s.add)
			pairs = append(pairs, s)
		}
	}
	o.told = make([]bool, len(pairs))
	var q *quantiles
	o.passed, o.stopped = holm(len(pairs), alpha, o.told, func(k int, level float64) bool {
		if q == nil || q.tail != level/2 {
			q = newQuantiles(level)
		}
		if told, ok := pairs[k].settled(q); ok {
			return told
		}
		i, j := places(n, k)
		return beyond(Difference(o.list[i], o.list[j]), pairs[k].gap, q)
	})
	o.Letters = Letters(n, o.Told)
	return o
}

// pairOf numbers the pairs i < j of n places in rows; places is its inverse.
func pairOf(n, i, j int) int { return i*(2*n-i-1)/2 + j - i - 1 }

func places(n, k int) (i, j int) {
	for k >= n-1-i {
		k -= n - 1 - i
		i++
	}
	return i, i + 1 + k
}

// Told says whether two places are told apart.
func (o Order) Told(i, j int) bool {
	return i != j && o.told[pairOf(len(o.list), min(i, j), max(i, j))]
}

// Leaders are the places that are not told apart from the first.
func (o Order) Leaders() (first []int) {
	for i := range o.list {
		if !o.Told(0, i) {
			first = append(first, i)
		}
	}
	return first
}

// Pair works out what lies between two places.
func (o Order) Pair(i, j int) Pair {
	a, b := o.list[i], o.list[j]
	p := Pair{Gap: a.Mean - b.Mean, Budget: Difference(a, b), Told: o.Told(i, j), Level: o.stopped}
	if !o.descending {
		p.Gap = -p.Gap
	}
	if p.Told {
		p.Level = o.passed
	}
	gap := math.Abs(p.Gap)
	p.Least = p.Budget.Interval(1 - p.Level)
	// A gap within rounding of the least is as it was told.
	switch {
	case p.Told && !(gap > p.Least):
		p.Least = math.Nextafter(gap, 0)
	case !p.Told && gap > p.Least:
		p.Least = gap
	}
	return p
}

// P is the chance, two-sided, of a gap as large where there is none.
func (p Pair) P() float64 { return min(1, 2*p.Budget.Above(math.Abs(p.Gap))) }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
