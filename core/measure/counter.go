package measure

import (
	"math"

	"plateau/core/trace"
)

// Count is what a log itself counted over a run, beside the sums of its samples.
type Count struct {
	Of        trace.Counter
	Log, Ours float64 // Ah or Wh, both positive
}

// Unit is Ah or Wh.
func (c Count) Unit() string {
	if c.Of == trace.CounterEnergy {
		return "Wh"
	}
	return "Ah"
}

// Difference is how much the log's count exceeds ours, of ours.
func (c Count) Difference() float64 { return c.Log/c.Ours - 1 }

// Counted compares the log's own counters with the sums of its samples, from the
// first loaded sample with a count to the last. Only the change between the two
// counts, so that it does not matter where a counter began.
func Counted(r *trace.Run) []Count {
	tr := r.Trace()
	var all []Count
	for c, name := range [...]string{trace.CounterCharge: "count of the charge", trace.CounterEnergy: "count of the energy"} {
		c := trace.Counter(c)
		if !tr.HasCounter(c) {
			continue
		}
		from, to := r.RememberBoth(name, func() (float64, float64) {
			first, last := r.From, r.To-1
			for first < r.To && math.IsNaN(tr.Counter(c, first)) {
				first++
			}
			for last > first && math.IsNaN(tr.Counter(c, last)) {
				last--
			}
			return float64(first), float64(last)
		})
		first, last := int(from), int(to)
		if last-first < 2 {
			continue
		}
		log := math.Abs(tr.Counter(c, last) - tr.Counter(c, first))
		var a, b trace.Point
		for p := range r.Points(first) {
			if p.K == first {
				a = p
				break
			}
		}
		for p := range r.Points(last) {
			if p.K == last {
				b = p
				break
			}
		}
		ours := b.Q - a.Q
		if c == trace.CounterEnergy {
			ours = b.E - a.E
		}
		if ours > 0 && log > 0 {
			all = append(all, Count{c, log, ours})
		}
	}
	return all
}
