// Package compare sets runs of one cell, or of several, against each other.
package compare

import (
	"math"
	"slices"
	"sort"

	"plateau/core/fit"
	"plateau/core/say"
	"plateau/core/trace"
)

// MapPoint is a cell's effective resistance and zero-current voltage at one
// depth of discharge, from the line V = V0 − I·R through several rates.
type MapPoint struct {
	Q        float64 // Ah discharged
	R, SER   float64 // ohm, and its standard error
	V0, SEV0 float64 // V at no current, and its standard error
	N, DF    int     // runs on the line, and its degrees of freedom, N − 2
}

const (
	// rateApart is the least by which two currents differ as rates, as a share
	// of the larger. Common practice, no source.
	rateApart = 0.05
	// rates is how many different ones make a line with an error to it.
	rates = 3
)

// ResistanceMap regresses V on I at n depths of equal discharged charge in Ah,
// evenly from the first to which all runs have a sample to the last that runs
// at three different rates still reach. The runs are of one cell; several at
// one rate count each. Where a run has ended the others go on, and N falls:
// a jump of the curve there is the change of runs, not of the cell.
//
// Read the map with care. The first depths are still within the seconds in
// which the resistance grows after the load came on. The line holds what heat the runs had: a run at a
// high current is hotter, so that the resistance reads low. The zero-current
// voltage is an extrapolation to no load, not the open-circuit voltage. Close
// before the end of a run the line does not follow its knee. With three rates
// one degree of freedom is left: the standard errors want k = 12.7 for 95 %.
func ResistanceMap(runs []*trace.Run, n int) (points []MapPoint, why string) {
	var used []reach
	var from float64
	for _, r := range runs {
		if r == nil || r.To-r.From < 2 {
			continue
		}
		var first trace.Point
		for first = range r.Points(r.From) {
			break
		}
		last := r.Last()
		current := (last.Q - first.Q) / (last.T - first.T) * 3600
		if !(last.Q > first.Q) || !(current > 0) || math.IsInf(current, 0) {
			continue
		}
		used = append(used, reach{r, current, last.Q})
		from = max(from, first.Q)
	}
	if m := distinct(used); m < rates {
		return nil, say.With("a resistance map needs discharges of one cell at three different currents (so far %d)", m)
	}
	// The farthest depth that three rates reach: runs by their reach, farthest
	// first, until there are three rates among them.
	sort.SliceStable(used, func(i, j int) bool { return used[i].to > used[j].to })
	m := 1
	for distinct(used[:m]) < rates {
		m++
	}
	to := used[m-1].to
	if !(to > from) {
		return nil, say.Text("the discharges have no depth in common")
	}
	n = max(n, 2)
	for k := range n {
		q := from + float64((to-from)*float64(k)/float64(n-1))
		if k == n-1 {
			q = to
		}
		if p, ok := at(used, q); ok {
			points = append(points, p)
		}
	}
	if len(points) == 0 {
		return nil, say.Text("no line through the voltages could be found at any depth")
	}
	return points, ""
}

// reach is a run with its mean current in A and the depth in Ah it goes to.
type reach struct {
	run         *trace.Run
	current, to float64
}

// distinct counts the different rates among runs.
func distinct(used []reach) (n int) {
	currents := make([]float64, len(used))
	for k, u := range used {
		currents[k] = u.current
	}
	slices.Sort(currents)
	last := 0.0
	for _, i := range currents {
		if i-last > rateApart*i {
			n++
			last = i
		}
	}
	return n
}

// at is the line through the runs at one depth in Ah; false where there is none.
func at(used []reach, q float64) (MapPoint, bool) {
	var here []reach
	var currents, volts []float64
	for _, u := range used {
		if p, ok := u.run.At(trace.ByCharge, q); ok {
			here = append(here, u)
			currents = append(currents, p.I)
			volts = append(volts, p.V)
		}
	}
	if distinct(here) < rates {
		return MapPoint{}, false
	}
	line, err := fit.Line(currents, volts)
	if err != nil {
		return MapPoint{}, false
	}
	p := MapPoint{Q: q, R: -line.Coef[1], SER: line.SE[1], V0: line.Coef[0], SEV0: line.SE[0], N: len(here), DF: line.DF}
	for _, x := range [...]float64{p.R, p.SER, p.V0, p.SEV0} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return MapPoint{}, false
		}
	}
	return p, true
}
