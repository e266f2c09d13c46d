package trace

import "math"

// summary is what a whole segment comes to, so that a pass over millions of
// samples need look at single ones only where something happens.
type summary struct {
	low, high float64                       // A, the least and the greatest current
	jump      float64                       // A, the largest change of current between neighbours
	gap       float64                       // s, the longest interval between neighbours …
	gapAt     int                           // … which ends at this sample of the segment
	hottest   float64                       // °C; −Inf where no sample has a temperature
	hot       *[SegmentLen / hotLen]float64 // the same of each hotLen samples; nil without temperatures
	q, e      float64                       // Ah and Wh by the trapezoidal rule over the segment
}

// hotLen is how many samples a part of a segment has.
const hotLen = 64

// sum is the summary of the segment that starts at sample start. Neighbours
// include the last sample of the segment before.
func (tr *Trace) sum(start int) *summary {
	seg := &tr.segs[start/SegmentLen]
	if seg.sum != nil {
		return seg.sum
	}
	n := min(SegmentLen, tr.n-start)
	lastT, lastI, lastP := seg.t[0], seg.i[0], float64(seg.v[0]*seg.i[0])
	low, high := lastI, lastI
	var jump, gap, q, e float64
	gapAt := 0
	if start > 0 {
		gap = lastT - tr.Time(start-1)
		jump = math.Abs(lastI - tr.Current(start-1))
	}
	// Plain comparisons: the built-in max and min mind NaN, and cost a call.
	for k, t := range seg.t[:n] {
		i := seg.i[k]
		power := float64(seg.v[k] * i)
		dt := t - lastT
		q += float64((lastI + i) * dt)
		e += float64((lastP + power) * dt)
		if dt > gap {
			gap, gapAt = dt, k
		}
		if di := i - lastI; di > jump || -di > jump {
			jump = math.Abs(di)
		}
		if i < low {
			low = i
		} else if i > high {
			high = i
		}
		lastT, lastI, lastP = t, i, power
	}
	s := &summary{low: low, high: high, jump: jump, gap: gap, gapAt: gapAt,
		hottest: math.Inf(-1), q: q / 7200, e: e / 7200}
	if seg.temp != nil {
		s.hot = new([SegmentLen / hotLen]float64)
		for part := range s.hot {
			s.hot[part] = hottestOf(seg.temp[min(n, part*hotLen):min(n, (part+1)*hotLen)])
			s.hottest = max(s.hottest, s.hot[part])
		}
	}
	seg.sum = s
	return s
}

// whole tells whether a window is all of a segment.
func (tr *Trace) whole(w Window) bool {
	return w.Start%SegmentLen == 0 && (len(w.T) == SegmentLen || w.Start+len(w.T) == tr.n)
}

// Hottest is the highest temperature in °C from sample from to before to; NaN
// where none of them has one.
func (tr *Trace) Hottest(from, to int) float64 {
	hottest := math.Inf(-1)
	for w := range tr.Windows(from, to) {
		if tr.whole(w) {
			hottest = max(hottest, tr.sum(w.Start).hottest)
			continue
		}
		at := w.Start % SegmentLen
		for j := 0; j < len(w.Temp); {
			next := min(len(w.Temp), j+hotLen-(at+j)%hotLen)
			h := 0.0
			if next-j == hotLen {
				h = tr.sum(w.Start - at).hot[(at+j)/hotLen]
			} else {
				h = hottestOf(w.Temp[j:next])
			}
			if h > hottest {
				hottest = h
			}
			j = next
		}
	}
	if math.IsInf(hottest, -1) {
		return math.NaN()
	}
	return hottest
}

func hottestOf(temps []float64) float64 {
	hottest := math.Inf(-1)
	for _, c := range temps {
		if c > hottest {
			hottest = c
		}
	}
	return hottest
}

// LongestGap is the longest interval in s between two neighbours from sample
// from to before to, and the sample that ends it.
func (tr *Trace) LongestGap(from, to int) (gap float64, at int) {
	for w := range tr.Windows(from, to) {
		if w.Start > from && tr.whole(w) {
			if s := tr.sum(w.Start); s.gap > gap {
				gap, at = s.gap, w.Start+s.gapAt
			}
			continue
		}
		for j := range w.T {
			if k := w.Start + j; k > from {
				if dt := w.T[j] - tr.Time(k-1); dt > gap {
					gap, at = dt, k
				}
			}
		}
	}
	return gap, at
}
