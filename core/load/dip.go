package load

import (
	"math"
	"slices"

	"plateau/core/measure"
	"plateau/core/trace"
)

const (
	// A voltage is below the cut-off at the start only by more than what noise
	// and the steps of its digits may make. No source; by trial.
	dipLeast  = 2e-3  // V
	dipNoise  = 5     // standard deviations
	dipSteps  = 1.5   // steps between two readings …
	dipCoarse = 20e-3 // … V, of no more than this
	// around is how many samples to either side noise and steps are judged by.
	around = 30
	// early is the share of a run that lies wholly below the cut-off which
	// counts as its start, but no more than earlyMost s.
	early, earlyMost = 0.05, 60.0
	// recovers is how many samples in a row have a mean that noise does not lift
	// above the cut-off.
	recovers = 5
)

// trough is where a run is below the cut-off at its start.
type trough struct {
	until  float64 // s, when it is above again; 0 where there is none
	margin float64 // V
}

// troughOf looks for a start below the cut-off: two samples in a row below it,
// or one of the first three, and a recovery after them.
func troughOf(r *trace.Run, cutoff float64) trough {
	tr := r.Trace()
	last := r.To - 1
	for last > r.From && !(tr.Voltage(last) > cutoff) {
		last--
	}
	v, at := tr.Lowest(r.From, last)
	if !(v < cutoff-dipLeast) {
		return trough{}
	}
	margin := marginAt(r, at)
	at = -1
	until := 0
	run := 0 // samples in a row below
	sum := 0.0
	var ring [recovers]float64
	for w := range tr.Windows(r.From, last+1) {
		for j, v := range w.V {
			k := w.Start + j - r.From
			if v < cutoff-margin {
				run++
				if at < 0 && (run > 1 || k < 3) {
					at = k
				}
			} else {
				run = 0
			}
			sum += v - ring[k%recovers]
			ring[k%recovers] = v
			if at >= 0 && until == 0 && k >= at+recovers && sum > recovers*(cutoff+margin/4) {
				until = k
			}
		}
	}
	if at < 0 || until == 0 {
		return trough{}
	}
	return trough{tr.Time(r.From+until) - tr.Time(r.From) + r.Before.Width/2, margin}
}

// marginAt is what noise and rounding may make of the voltage near sample k in V.
func marginAt(r *trace.Run, k int) float64 {
	var v []float64
	for w := range r.Trace().Windows(max(r.From, k-around), min(r.To, k+around)) {
		v = append(v, w.V...)
	}
	step := math.Inf(1)
	var size []float64
	for j := 1; j < len(v); j++ {
		if d := math.Abs(v[j] - v[j-1]); d > 1e-9 {
			step = math.Min(step, d)
		}
		if j >= 3 {
			size = append(size, math.Abs(v[j]-float64(3*v[j-1])+float64(3*v[j-2])-v[j-3]))
		}
	}
	if !(step <= dipCoarse) {
		step = 0
	}
	margin := math.Max(dipLeast, dipSteps*step)
	if len(size) > 0 {
		slices.Sort(size)
		// The variance of third differences is 20 times that of the values, and
		// the median of their size 0.6745 of a normal deviation.
		margin = math.Max(margin, dipNoise*size[len(size)/2]/(0.6745*math.Sqrt(20)))
	}
	return margin
}

// dip tells whether the voltage at a constant current in A is below the cut-off
// at the start, by the line in the current between the runs beside it, instant
// by instant. For a constant power the current is that at the cut-off: where
// the voltage is below at that current, no higher one holds the power.
func (s *slice) dip(amps float64) error {
	j := 0
	for j+2 < len(s.ends) && amps >= s.ends[j+1].current {
		j++
	}
	pair := s.ends[j:min(j+2, len(s.ends))]
	w := [2]float64{1, 0}
	if len(pair) == 2 {
		a, b := pair[0].current, pair[1].current
		w[1] = math.Min(math.Max((amps-a)/(b-a), 0), 1)
		w[0] = 1 - w[1]
	}
	var until, margin float64
	for k, e := range pair {
		if w[k] == 0 {
			continue
		}
		var t trough
		if e.below {
			r := e.run.Run
			t = trough{math.Max(math.Min(early*r.Last().T, earlyMost), tiny), marginAt(r, r.From)}
		} else {
			t = troughOf(e.run.Run, s.cutoff)
		}
		until, margin = math.Max(until, t.until), math.Max(margin, t.margin)
	}
	if until == 0 {
		return nil
	}
	var at [2]startOf
	var times []float64
	for k, e := range pair {
		if w[k] != 0 {
			at[k].take(e.run.Run, until)
			times = append(times, at[k].t...)
		}
	}
	slices.Sort(times)
	low, after := math.Inf(1), -1.0
	for _, t := range times {
		var v float64
		for k := range pair {
			if w[k] != 0 {
				v += float64(w[k] * at[k].volts(t))
			}
		}
		if v < low {
			low = v
		}
		if after < 0 && v < s.cutoff {
			after = t
		}
	}
	if low < s.cutoff-margin || low <= s.cutoff && allBelow(pair, w) {
		return Shutdown{Voltage: low, After: after, Cutoff: s.cutoff}
	}
	return nil
}

func allBelow(pair []end, w [2]float64) bool {
	for k, e := range pair {
		if w[k] != 0 && e.run.Ending != measure.AllBelow {
			return false
		}
	}
	return true
}

// tiny in s is longer than no time.
const tiny = 1e-9

// startOf is the voltage at the start of a run, over the time in s.
type startOf struct {
	t, v []float64
	k    int // where the last one was
}

// take takes in the samples to a time in s, and one more.
func (s *startOf) take(r *trace.Run, until float64) {
	for p := range r.Points(r.From) {
		s.t, s.v = append(s.t, p.T), append(s.v, p.V)
		if p.T >= until {
			break
		}
	}
	// One bad row amid good ones is none of the cell's.
	last := 0.0
	for k := range s.v {
		v := s.v[k]
		if k >= 3 && k+1 < len(s.v) {
			s.v[k] = math.Max(math.Min(last, v), math.Min(math.Max(last, v), s.v[k+1]))
		}
		last = v
	}
}

// volts is the voltage at a time in s, later ones asked later.
func (s *startOf) volts(t float64) float64 {
	for s.k+1 < len(s.t) && s.t[s.k+1] <= t {
		s.k++
	}
	if s.k+1 == len(s.t) || t <= s.t[s.k] {
		return s.v[s.k]
	}
	f := (t - s.t[s.k]) / (s.t[s.k+1] - s.t[s.k])
	return s.v[s.k] + float64(f*(s.v[s.k+1]-s.v[s.k]))
}
