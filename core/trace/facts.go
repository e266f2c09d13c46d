package trace

import (
	"math"
	"slices"
)

// CurrentRange is the lowest and the highest current in A of the samples from
// from to before to; +Inf and −Inf for none.
func (r *Run) CurrentRange(from, to int) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for w := range r.tr.Windows(from, to) {
		if r.tr.whole(w) {
			s := r.tr.sum(w.Start)
			low, high = min(low, s.low), max(high, s.high)
			continue
		}
		for _, i := range w.I {
			if i < low {
				low = i
			}
			if i > high {
				high = i
			}
		}
	}
	return low, high
}

// intervals is how many neighbours TypicalInterval looks at, at most.
const intervals = 2000

// TypicalInterval is the median interval in s between neighbours from sample
// from to before to; 0 for fewer than two.
func (tr *Trace) TypicalInterval(from, to int) float64 {
	if to-from < 2 {
		return 0
	}
	step := (to-from-2)/intervals + 1
	var all []float64
	for k := from + 1; k < to; k += step {
		all = append(all, tr.Time(k)-tr.Time(k-1))
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// Peak is the highest voltage in V from sample from to before to, and the first
// sample that has it; −Inf for none.
func (tr *Trace) Peak(from, to int) (v float64, at int) {
	tr.span()
	v, at = math.Inf(-1), from
	for w := range tr.Windows(from, to) {
		if tr.whole(w) && tr.spans[w.Start/SegmentLen].high <= v {
			continue
		}
		for j, x := range w.V {
			if x > v {
				v, at = x, w.Start+j
			}
		}
	}
	return v, at
}

// Lowest is the lowest voltage in V from sample from to before to, and the first
// sample that has it; +Inf for none.
func (tr *Trace) Lowest(from, to int) (v float64, at int) {
	tr.span()
	v, at = math.Inf(1), from
	for w := range tr.Windows(from, to) {
		if tr.whole(w) && tr.spans[w.Start/SegmentLen].low >= v {
			continue
		}
		for j, x := range w.V {
			if x < v {
				v, at = x, w.Start+j
			}
		}
	}
	return v, at
}

// LastAbove is the last sample from sample from to before to with a voltage above
// v in V; from−1 for none.
func (tr *Trace) LastAbove(from, to int, v float64) int {
	tr.span()
	for k := to - 1; k >= from; {
		n := k / SegmentLen
		start := n * SegmentLen
		if !(tr.spans[n].high <= v) {
			column := tr.segs[n].v
			for j := k - start; j >= max(from-start, 0); j-- {
				if column[j] > v {
					return start + j
				}
			}
		}
		k = start - 1
	}
	return from - 1
}

// FirstBelow is the run's first loaded sample with a voltage below v in V, and
// when that was in s since the load came on; false for none up to time until.
func (r *Run) FirstBelow(v, until float64) (k int, t float64, ok bool) {
	r.tr.span()
	for w := range r.tr.Windows(r.From, r.To) {
		if w.T[0]-r.start > until {
			break
		}
		if r.tr.spans[w.Start/SegmentLen].low >= v {
			continue
		}
		for j, x := range w.V {
			if x < v {
				t := w.T[j] - r.start
				return w.Start + j, t, !(t > until)
			}
		}
	}
	return 0, 0, false
}

// QuietFrom is the first of the samples that lead up to sample k with a current
// of limit in A at most, either way; k where the one before it has more.
func (tr *Trace) QuietFrom(k int, limit float64) int {
	for k > 0 {
		if k%SegmentLen == 0 {
			if s := tr.sum(k - SegmentLen); s.low >= -limit && s.high <= limit {
				k -= SegmentLen
				continue
			}
		}
		if math.Abs(tr.Current(k-1)) > limit {
			break
		}
		k--
	}
	return k
}

// span is the lowest and the highest voltage of a segment in V. It is kept apart
// from the summary, which is made while a log is read.
type span struct{ low, high float64 }

// span looks at all voltages where that was not done since they changed.
func (tr *Trace) span() {
	if tr.spans != nil {
		return
	}
	for w := range tr.Windows(0, tr.n) {
		low, high := w.V[0], w.V[0]
		for _, x := range w.V {
			if x < low {
				low = x
			} else if x > high {
				high = x
			}
		}
		tr.spans = append(tr.spans, span{low, high})
	}
}

const (
	// The last interval of a run is off the grid where it differs by offGrid
	// from the median of those before it, gridLeast to gridRows of them, which
	// are even to gridEven among each other. Common practice, no source.
	offGrid, gridEven   = 0.1, 0.05
	gridLeast, gridRows = 5, 10
)

// IsOffGrid tells whether the last loaded sample was written off the grid of
// those before it, as testers do at the very moment when the load goes off.
func (r *Run) IsOffGrid() bool {
	tr, last := r.tr, r.To-1
	from := max(r.From, last-1-gridRows)
	if last-1-from < gridLeast || r.To >= tr.n {
		return false
	}
	var before []float64
	for k := from + 1; k < last; k++ {
		before = append(before, tr.Time(k)-tr.Time(k-1))
	}
	slices.Sort(before)
	n := len(before)
	usual := (before[(n-1)/2] + before[n/2]) / 2
	// None at all: times in whole seconds, several rows in each.
	if usual == 0 || before[n-1]-before[0] > gridEven*usual {
		return false
	}
	return math.Abs(tr.Time(last)-tr.Time(last-1)-usual) > offGrid*usual
}

// SquaredCharge is ∫I²dt in A²h over the loaded samples before sample to, by the
// trapezoidal rule: what a resistance in Ω takes up, in Wh, is that times it.
func (r *Run) SquaredCharge(to int) float64 {
	var sum float64
	var lastT, lastS float64
	first := true
	for w := range r.tr.Windows(r.From, min(to, r.To)) {
		for j, t := range w.T {
			s := float64(w.I[j] * w.I[j])
			if !first {
				sum += float64((lastS + s) * (t - lastT) / 7200)
			}
			first, lastT, lastS = false, t, s
		}
	}
	return sum
}
