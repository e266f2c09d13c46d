package link

import "math"

// Thin cuts a curve down to a polyline that no sample lies farther from than
// tolerance in V, measured upright. q is the charge in Ah and does not
// decrease but for noise: a sample that goes back counts at the highest charge
// before it. Samples without a value (NaN) are left out; q2 and v2 are as long
// as each other, and a jump at one charge keeps its two ends. It goes through
// the samples once, O(n), and remembers nothing but the slopes still possible
// from the last point: a swing filter (H. Elmeleegy et al., "Online piece-wise
// linear approximation of numerical streams with precision guarantees", PVLDB
// 2(1), 2009; paper cited from memory). Points need not be samples.
func Thin(q, v []float64, tolerance float64) (q2, v2 []float64) {
	tolerance = max(tolerance, 0)
	s := swing{tolerance: tolerance}
	at := math.Inf(-1)
	for k := range min(len(q), len(v)) {
		if math.IsNaN(q[k]-q[k]) || math.IsNaN(v[k]-v[k]) {
			continue
		}
		at = max(at, q[k])
		s.add(at, v[k])
	}
	s.end()
	return s.q, s.v
}

// swing holds the last point and the slopes with which a line from it passes
// all samples since.
type swing struct {
	tolerance float64
	q, v      []float64
	low, high float64
	lastQ     float64 // the last sample since the point; none where held is false
	held      bool
}

func (s *swing) put(q, v float64) {
	s.q, s.v = append(s.q, q), append(s.v, v)
	s.low, s.high, s.held = math.Inf(-1), math.Inf(1), false
}

// close ends the line at the last sample, in the middle of what is possible.
func (s *swing) close() {
	if n := len(s.q) - 1; s.held {
		s.put(s.lastQ, s.v[n]+float64((s.low+s.high)/2*(s.lastQ-s.q[n])))
	}
}

func (s *swing) add(q, v float64) {
	if len(s.q) == 0 {
		s.put(q, v)
		return
	}
	for {
		n := len(s.q) - 1
		dq := q - s.q[n]
		if dq == 0 || s.held && q == s.lastQ {
			// One charge, another voltage: a line passes both, or there is a jump.
			if s.held {
				low, high := s.slopes(dq, v)
				if low <= high {
					s.low, s.high = low, high
					return
				}
				s.close()
				continue
			}
			if math.Abs(v-s.v[n]) > s.tolerance {
				s.put(q, v)
			}
			return
		}
		low, high := s.slopes(dq, v)
		if low <= high && !math.IsInf(high-low, 0) {
			s.low, s.high, s.lastQ, s.held = low, high, q, true
			return
		}
		if !s.held {
			s.put(q, v) // too steep to reckon with
			return
		}
		s.close()
	}
}

func (s *swing) slopes(dq, v float64) (low, high float64) {
	n := len(s.q) - 1
	up := v - s.v[n]
	return max(s.low, (up-s.tolerance)/dq), min(s.high, (up+s.tolerance)/dq)
}

func (s *swing) end() { s.close() }
