package trace

import "math"

// Counter is one of the counts that a log may keep itself.
type Counter uint8

// The counters: charge in Ah and energy in Wh. They are as the log counts, from
// wherever it began and in its own sign, with seven digits.
const (
	CounterCharge Counter = iota
	CounterEnergy
	counters
)

// WithCounter gives an empty trace a column for a counter.
func (tr *Trace) WithCounter(c Counter) *Trace {
	tr.has[c] = true
	return tr
}

// HasCounter says whether there is a column for a counter.
func (tr *Trace) HasCounter(c Counter) bool { return tr.has[c] }

// Counter is what the log counted up to sample k, in Ah or Wh; NaN where it does
// not say.
func (tr *Trace) Counter(c Counter, k int) float64 {
	if !tr.has[c] {
		return math.NaN()
	}
	return float64(tr.segs[k/SegmentLen].counts[c][k%SegmentLen])
}

// Count sets what the log counted up to the sample added last, in Ah or Wh. It
// does nothing where the trace has no such counter.
func (tr *Trace) Count(c Counter, x float64) {
	if k := tr.n - 1; tr.has[c] && k >= 0 {
		tr.segs[k/SegmentLen].counts[c][k%SegmentLen] = float32(x)
	}
}

// Copy appends the samples of another trace, their times later by shift in s;
// columns that only one of the two has are left out, or NaN. Voltages are those
// of from as they stand, corrected by its own lead.
func (tr *Trace) Copy(from *Trace, shift float64) {
	for w := range from.Windows(0, from.n) {
		for j, t := range w.T {
			c := math.NaN()
			if w.Temp != nil {
				c = w.Temp[j]
			}
			tr.Append(t+shift, w.V[j], w.I[j], c)
			for k, counts := range w.Counts {
				if counts != nil {
					tr.Count(Counter(k), float64(counts[j]))
				}
			}
		}
	}
}
