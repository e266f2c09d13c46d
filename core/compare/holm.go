package compare

import (
	"math"

	"plateau/core/gum"
)

// Holm rejects those of the hypotheses with the chances p that can be rejected
// so that the chance of any wrong rejection among all is at most alpha, whatever
// hangs on what: S. Holm, A simple sequentially rejective multiple test
// procedure, Scandinavian Journal of Statistics 6 (1979) 65-70. at is the level
// that each is held to in the end: for those rejected that of the last step
// passed, else that of the step where it stopped; p is at or below it exactly
// where rejected. NaN is never rejected, and counts as a hypothesis.
func Holm(p []float64, alpha float64) (rejected []bool, at []float64) {
	rejected = make([]bool, len(p))
	passed, stopped := holm(len(p), alpha, rejected, func(i int, level float64) bool { return p[i] <= level })
	at = make([]float64, len(p))
	for i, r := range rejected {
		at[i] = stopped
		if r {
			at[i] = passed
		}
	}
	return rejected, at
}

// holm marks what is rejected of m hypotheses. Step k of m holds the k-th lowest
// p to alpha/(m − k + 1). All at or below the level of the next step pass it and
// the steps after, so that their order is never needed, only whether each lies
// below a level.
func holm(m int, alpha float64, rejected []bool, below func(i int, level float64) bool) (passed, stopped float64) {
	for n := 0; ; {
		stopped = alpha / float64(max(m-n, 1))
		before := n
		for i := range m {
			if !rejected[i] && below(i, stopped) {
				rejected[i] = true
				n++
			}
		}
		if n == before || n == m {
			return alpha / float64(max(m-n+1, 1)), alpha / float64(max(m-n, 1))
		}
	}
}

// sums is what a difference's budget comes to, and whether a gap is beyond what
// of it chance makes at a level. Most pairs are settled by bounds that cost
// little; the exact distribution settles the others alike.
type sums struct {
	gap         float64
	normal, few float64 // sum of u² of the normal terms, and of u⁴ over their degrees of freedom
	rectangular float64 // sum of u² of the rectangular terms
}

func (s *sums) add(t gum.Term) {
	uu := t.U * t.U
	if t.Shape == gum.Rectangular {
		s.rectangular += uu
		return
	}
	s.normal += uu
	if t.DF > 0 {
		s.few += uu * uu / t.DF
	}
}

// quantiles are those of one level.
type quantiles struct {
	tail, z float64
	t       map[float64]float64
}

func newQuantiles(level float64) *quantiles {
	return &quantiles{level / 2, gum.StudentT(1-level/2, math.Inf(1)), map[float64]float64{}}
}

// student bounds Student's t at df degrees of freedom by that at a coarser
// value on either side.
func (q *quantiles) student(df float64) (low, high float64) {
	if !(df <= manyDF*1.02) {
		return q.z, q.z
	}
	f, e := math.Frexp(df)
	f = math.Floor(f*128) / 128
	at := func(df float64) float64 {
		t, ok := q.t[df]
		if !ok {
			t = gum.StudentT(1-q.tail, df)
			q.t[df] = t
		}
		return t
	}
	low, high = at(math.Ldexp(f+1.0/128, e)), at(math.Ldexp(f, e))
	if df > manyDF/1.02 {
		low = q.z
	}
	return low, high
}

// manyDF is what package gum takes for infinitely many degrees of freedom.
const manyDF = 1e4

const (
	// From here on, in standard deviations, a sum of rectangles and a normal
	// value has less in its tail than a normal value, and more than the same with
	// all rectangles made one. They cross by √3, the zero of the third Hermite
	// polynomial that the first term of the Edgeworth series goes by.
	crossed = 1.8
	// No such sum has less than one rectangle has: √3 times the level's rest, and
	// a little less where a small normal value widens u and not the tail.
	shortest = 1.6
	slack    = 1e-5 // of what rounds
)

// settled tells whether the gap is beyond chance, where bounds tell.
func (s *sums) settled(q *quantiles) (told, ok bool) {
	if !(q.z >= crossed) || !(s.normal+s.rectangular+s.few < math.Inf(1)) {
		return false, false
	}
	low, high := q.z, q.z
	if s.few > 0 {
		low, high = q.student(s.normal * s.normal / s.few)
	}
	if s.gap > (1+slack)*math.Sqrt(s.normal*high*high+s.rectangular*q.z*q.z) {
		return true, true
	}
	wide := low / q.z // of the normal part, at least
	u := math.Sqrt(s.normal*wide*wide + s.rectangular)
	if s.gap < shortest*(1-2*q.tail)*u {
		return false, true
	}
	one := gum.Budget{Terms: []gum.Term{{U: wide * math.Sqrt(s.normal)}, {U: math.Sqrt(s.rectangular), Shape: gum.Rectangular}}}
	return false, one.Above(max(s.gap, crossed*u)) > q.tail*(1+slack)
}

// beyond tells whether a gap is beyond what a budget makes by chance at the
// level: whether it is over [gum.Budget.Interval] of it, at a tenth of the work.
func beyond(b gum.Budget, gap float64, q *quantiles) bool {
	var normal, all gum.Budget
	for _, t := range b.Terms {
		if t.Shape == gum.Rectangular {
			all.Terms = append(all.Terms, t)
		} else {
			normal.Terms = append(normal.Terms, t)
		}
	}
	u := normal.Combined()
	if df := normal.DF(); df <= manyDF {
		u *= gum.StudentT(1-q.tail, df) / q.z
	}
	all.Terms = append(all.Terms, gum.Term{U: u})
	return all.Above(gap) <= q.tail
}
