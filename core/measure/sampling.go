package measure

import (
	"math"

	"plateau/core/gum"
	"plateau/core/say"
	"plateau/core/trace"
)

const (
	// wholeSamples is the longest run of which every interval is looked at for
	// the error of the sum; of longer ones the first and the last endSamples are,
	// since by the Euler-Maclaurin formula (NIST DLMF 2.10(i)) the error on an
	// even grid, h²/12·[f′(b) − f′(a)], comes from the slopes at the ends.
	wholeSamples = 8192
	endSamples   = 2048
	// lookedAt is how many samples noise and steps of a column are judged by.
	lookedAt = 2000
)

// sampling: between two samples the sums take straight lines. What a sum from
// every second sample differs by, over three, is what the finer one is off by
// (Richardson's extrapolation of the trapezoidal rule, NIST DLMF 3.9(ii)).
func (u *budgeter) sampling() {
	from, to := u.r.From, u.r.To
	dq, de := u.r.RememberBoth("coarser sums", func() (float64, float64) {
		if to-from <= wholeSamples {
			return u.coarser(from, to)
		}
		q1, e1 := u.coarser(from, from+endSamples)
		q2, e2 := u.coarser(to-endSamples, to)
		return q1 + q2, e1 + e2
	})
	s := source{say.Later("sampling"), say.With("from every second sample they would differ by %.2g mAh and %.2g mWh", 1000*math.Abs(dq), 1000*math.Abs(de)), gum.Rectangular}
	third := 3 * math.Sqrt(3)
	u.charge(s, dq/third, de/third)
}

// coarser is by how much the sums from every second sample exceed those from
// all, in Ah and Wh.
func (u *budgeter) coarser(from, to int) (dq, de float64) {
	var a trace.Point
	k := 0
	for p := range u.r.Points(from) {
		if p.K >= to {
			break
		}
		if p.K < from {
			continue
		}
		if k > 0 && k%2 == 0 {
			half := (p.T - a.T) / 7200
			dq += float64((a.I+p.I)*half) - (p.Q - a.Q)
			de += float64((float64(a.V*a.I)+float64(p.V*p.I))*half) - (p.E - a.E)
		}
		if k%2 == 0 {
			a = p
		}
		k++
	}
	return dq, de
}

// middle is a stretch of up to lookedAt samples about the middle of a run.
func middle(r *trace.Run) (from, to int) {
	n := r.To - r.From
	if n <= lookedAt {
		return r.From, r.To
	}
	from = r.From + (n-lookedAt)/2
	return from, from + lookedAt
}

// column is one of a run's.
type column string

const (
	volts   column = "voltage"
	amps    column = "current"
	celsius column = "temperature"
)

func columnOf(r *trace.Run, c column) []float64 {
	from, to := middle(r)
	var x []float64
	for w := range r.Trace().Windows(from, to) {
		switch c {
		case volts:
			x = append(x, w.V...)
		case amps:
			x = append(x, w.I...)
		default:
			x = append(x, w.Temp...)
		}
	}
	return x
}

// scatter is the standard deviation of a column's readings about a smooth curve
// and the number of the run's samples; zeros where it cannot be told.
func scatter(r *trace.Run, c column) (sd, n float64) {
	sd = deviation(r, c)
	if math.IsNaN(sd) {
		return 0, 0
	}
	return sd, float64(r.To - r.From)
}

func deviation(r *trace.Run, c column) float64 {
	return r.Remember("scatter of "+string(c), func() float64 { return thirdDifferences(columnOf(r, c)) })
}

// quantum is the smallest step between two readings of a column: that of the
// log's digits, where they are fewer than the noise.
func quantum(r *trace.Run, c column) float64 {
	return r.Remember("step of "+string(c), func() float64 { return leastStep(columnOf(r, c)) })
}

func leastStep(x []float64) float64 {
	least := math.Inf(1)
	for k := 1; k < len(x); k++ {
		if d := math.Abs(x[k] - x[k-1]); d > 1e-9 && d < least {
			least = d
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// thirdDifferences is the standard deviation of the values from a smooth curve:
// the variance of third differences is 20 times theirs (the sum of the squares
// of 1, 3, 3, 1). The median of their size stands for it (0.6745 of a normal
// deviation), so that a dip or a knee among them does not count as noise. The
// values are spoilt.
func thirdDifferences(v []float64) float64 {
	if len(v) < 5 {
		return 0
	}
	size := v[:0]
	for k := 3; k < len(v); k++ {
		if d := math.Abs(v[k] - float64(3*v[k-1]) + float64(3*v[k-2]) - v[k-3]); !math.IsNaN(d) {
			size = append(size, d)
		}
	}
	if len(size) == 0 {
		return 0
	}
	return kth(size, len(size)/2) / (0.6745 * math.Sqrt(20))
}

// kth is the value that sorting would put at place k, by Hoare's selection; the
// order of x is spoilt. None of x is NaN.
func kth(x []float64, k int) float64 {
	for low, high := 0, len(x)-1; low < high; {
		pivot := x[(low+high)/2]
		i, j := low, high
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return x[k]
		}
	}
	return x[k]
}
