package measure

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"plateau/core/trace"
)

const (
	// clear is how many samples in a row above the cut-off end the stretch in
	// which a noisy voltage goes to and fro across it.
	clear = 5
	// reach is how many samples to each side of that stretch the local line
	// takes in: about five in all where there is no noise.
	reach = 2
	// rounds is how often the line is laid at most.
	rounds = 6
	// noiseSpan is how many samples the noise is judged by.
	noiseSpan = 60
)

// crossing is the instant at which the voltage falls through the cut-off,
// above being the last sample above it.
//
// Between two samples the voltage is taken as straight. Where it is so noisy,
// or so flat, that a line through about five points fits as well as noise
// allows, the line's crossing counts instead, since the first sample at or
// below the cut-off comes too early by chance, and the last above too late.
func crossing(r *trace.Run, cutoff float64, above int) trace.Point {
	first := above // the first sample of the to and fro
	for k, run := above, 0; k >= r.From && run < clear; k-- {
		if r.Trace().Voltage(k) > cutoff {
			run++
		} else {
			run, first = 0, k
		}
	}
	// The line is laid anew about its own crossing, since a stretch chosen by
	// its noisy ends leans to one of them.
	half := max(reach, above+1-first)
	centre := (first + above + 1) / 2
	var found trace.Point
	good := false
	for range rounds {
		from, to := max(r.From, centre-half), min(r.To, centre+half+1)
		t, ok := lineCrossing(r, cutoff, from, to)
		if !ok {
			break
		}
		p, ok := atSample(r, t, from, to)
		if !ok {
			break
		}
		found, good = p, true
		if p.K == centre || half == reach {
			break
		}
		centre = p.K
	}
	if good {
		found.V = cutoff
		return found
	}
	a, b := pair(r, above)
	p := trace.Between(a, b, (a.V-cutoff)/(a.V-b.V))
	p.V = cutoff
	return p
}

// lineCrossing fits V = α + βt to the samples and gives the time, in s of the
// trace, at which it meets the cut-off; false where the samples bend more
// than their noise accounts for, or the line does not fall.
func lineCrossing(r *trace.Run, cutoff float64, from, to int) (t float64, ok bool) {
	if to-from < 4 {
		return 0, false
	}
	ts, vs := make([]float64, 0, 16), make([]float64, 0, 16)
	t0 := r.Trace().Time(from)
	for w := range r.Trace().Windows(from, to) {
		for j := range w.T {
			ts = append(ts, w.T[j]-t0)
			vs = append(vs, w.V[j])
		}
	}
	alpha, beta := stat.LinearRegression(ts, vs, nil, false)
	if !(beta < 0) {
		return 0, false
	}
	var ss float64
	for k := range ts {
		d := vs[k] - alpha - float64(beta*ts[k])
		ss += float64(d * d)
	}
	// The spread of n points has a relative standard deviation of 1/√(2ν);
	// three of them, and a fifth for what the noise itself is known to, is
	// what chance allows.
	free := float64(len(ts) - 2)
	if math.Sqrt(ss/free) > 1.2*(1+3/math.Sqrt(2*free))*noise(r, to) {
		return 0, false
	}
	t = (cutoff - alpha) / beta
	if !(t >= 0 && t <= ts[len(ts)-1]) {
		return 0, false
	}
	return t + t0, true
}

// noise is the standard deviation in V of the samples just before sample to
// from a smooth curve.
func noise(r *trace.Run, to int) float64 {
	from := max(r.From, to-noiseSpan)
	var room [noiseSpan]float64
	v := room[:0]
	for w := range r.Trace().Windows(from, to) {
		v = append(v, w.V...)
	}
	return thirdDifferences(v)
}

// pair is the points at sample k and the one after it.
func pair(r *trace.Run, k int) (a, b trace.Point) {
	for p := range r.Points(k) {
		if p.K == k {
			a = p
		}
		if p.K == k+1 {
			return a, p
		}
	}
	return a, a
}

// atSample is the run at time t (s of the trace), looked for among the samples
// from to to.
func atSample(r *trace.Run, t float64, from, to int) (trace.Point, bool) {
	tr := r.Trace()
	for k := from; k+1 < to; k++ {
		if t0, t1 := tr.Time(k), tr.Time(k+1); t >= t0 && t <= t1 && t1 > t0 {
			a, b := pair(r, k)
			return trace.Between(a, b, (t-t0)/(t1-t0)), true
		}
	}
	return trace.Point{}, false
}

// extend carries on a run that a tester stopped between two samples: from the
// last sample along the last slope to the cut-off, at most one sampling
// interval. Current and the interval are those of the last two samples.
func extend(r *trace.Run, cutoff float64) (trace.Point, bool) {
	if r.To-r.From < 3 {
		return trace.Point{}, false
	}
	a, b := pair(r, r.To-2)
	slope := (b.V - a.V) / (b.T - a.T)
	if line, ok := slopeOver(r, 5); ok && line < 0 && noise(r, r.To) > math.Abs(b.V-a.V)/4 {
		slope = line // two noisy samples make no slope
	}
	if !(slope < 0) {
		return trace.Point{}, false
	}
	wait := (cutoff - b.V) / slope
	if w, ok := bending(r, a, b, cutoff); ok {
		wait = w
	}
	if !(wait > 0 && wait <= b.T-a.T) {
		return trace.Point{}, false
	}
	dq := float64(b.I * wait / 3600)
	p := b
	p.T += wait
	p.Q += dq
	p.E += float64(dq * (b.V + cutoff) / 2)
	p.V = cutoff
	return p, true
}

// bending is how long in s a voltage that falls ever faster takes from b, the
// run's last sample, to the cut-off: by the parabola through the last three
// samples, where they bend more than noise. A knee bends faster still, so that
// even this is rather long.
func bending(r *trace.Run, a, b trace.Point, cutoff float64) (float64, bool) {
	if r.To-r.From < 4 {
		return 0, false
	}
	before, _ := pair(r, r.To-3)
	h, g := b.T-a.T, a.T-before.T
	s2, s1 := (b.V-a.V)/h, (a.V-before.V)/g
	if !(h > 0) || !(g > 0) || !(s2 < s1) || !((s1-s2)*h > 8*noise(r, r.To)) {
		return 0, false
	}
	curve := 2 * (s2 - s1) / (h + g)
	s := s2 + float64(curve*h)/2
	root := float64(s*s) + float64(2*curve*(cutoff-b.V))
	if !(s < 0) || !(root > 0) {
		return 0, false
	}
	return (-s - math.Sqrt(root)) / curve, true
}

// slopeOver is the slope in V/s of the line through the last n samples.
func slopeOver(r *trace.Run, n int) (float64, bool) {
	from := max(r.From, r.To-n)
	var ts, vs []float64
	for w := range r.Trace().Windows(from, r.To) {
		ts = append(ts, w.T...)
		vs = append(vs, w.V...)
	}
	if len(ts) < 3 {
		return 0, false
	}
	for k := len(ts) - 1; k >= 0; k-- {
		ts[k] -= ts[0]
	}
	_, beta := stat.LinearRegression(ts, vs, nil, false)
	return beta, true
}
