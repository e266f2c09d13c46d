package measure

import (
	"fmt"
	"math"
	"strings"

	"plateau/core/fit"
	"plateau/core/say"
	"plateau/core/trace"
)

// Incremental is the incremental capacity dQ/dV of a run against its voltage.
type Incremental struct {
	V, DQDV []float64 // V, ascending, and Ah/V, never below zero
	Step    float64   // V, of the even grid
	Window  float64   // V, that the smoothing takes in
	Samples int       // of the grid in that window
	Degree  int       // of the polynomial laid through them
	// Lost is the relative difference of the area under the curve from the
	// capacity: what lies outside the curve, and what smoothing did to it.
	Lost float64
	Note string // what to mind; empty for nothing
}

var (
	// ErrTooShort says that a run is too short for dQ/dV.
	ErrTooShort = say.LaterError("too few samples")
	// ErrWindow says that a smoothing window does not fit.
	ErrWindow = say.LaterError("the smoothing window does not fit")
)

const (
	// shareOfTop, of the highest voltage, is the window where none is asked
	// for: 42 mV at 4.2 V. gridStep in V is the grid's usual step: practice is
	// 1 to 5 mV (M. Dubarry, D. Anseán, Front. Energy Res. 10 (2022) 1023555,
	// cited from memory). gridMost bounds the grid of a pack.
	shareOfTop = 0.01
	gridStep   = 0.001
	gridMost   = 4000
	// windowLeast is the least steps in a window, so that a parabola smooths.
	windowLeast = 6
	// cells is into how many parts of equal charge the samples are gathered
	// before the voltage is made monotone. A log of millions costs no more.
	cells = 20_000
	// lostMuch is the area that a curve may lose without a word.
	lostMuch = 0.005
	// slowRate in A per Ah: above it, peaks are smeared by polarisation. The
	// practice is C/20 or slower (from memory); a little more passes.
	slowRate = 0.06
)

// node is a place on the monotone curve, weight samples' mean.
type node struct{ q, v, weight float64 }

// IncrementalCapacity is dQ/dV of a run down to a cut-off in V (0: its end),
// smoothed over a window in V (0: a hundredth of the highest voltage).
//
// The voltage is made to fall everywhere by the pool-adjacent-violators rule
// (R. E. Barlow et al., "Statistical Inference under Order Restrictions",
// 1972, cited from memory), which keeps the mean of what it pools, where a
// running minimum would follow the noise down. The charge is read off at even
// steps of voltage, since a log mixes intervals, and smoothed with its
// derivative by Savitzky and Golay's parabola (Anal. Chem. 36 (1964) 1627):
// its weights on the slope are all positive, so that what only grows has no
// slope below zero. Errors wrap [ErrNoCharge], [ErrTooShort] or [ErrWindow].
func IncrementalCapacity(r *trace.Run, cutoff, window float64) (Incremental, error) {
	end, ending := endOf(r, cutoff)
	q := end.Q
	if ending == AtEnd || ending == NotReached {
		q += r.After.Charge
	}
	if ending == AllBelow || !(q > 0) || math.IsInf(q, 0) {
		return Incremental{}, ErrNoCharge
	}
	curve := monotone(gather(r, end))
	n := len(curve)
	if n < 5 {
		return Incremental{}, say.Error("%w: dQ/dV needs a voltage that falls through 5 levels, not %d", ErrTooShort, n)
	}
	top, bottom := curve[0].v, curve[n-1].v
	out := Incremental{Window: window, Degree: 2}
	if !(window > 0) || math.IsInf(window, 0) {
		out.Window = shareOfTop * math.Abs(top)
	}
	span := top - bottom
	if !(out.Window < span) {
		return Incremental{}, say.Error("%w: %.3g V is as much as the voltage falls in all (%.3g V)", ErrWindow, out.Window, span)
	}
	out.Step = max(min(gridStep, out.Window/windowLeast), span/gridMost)
	steps := int(math.Ceil(span/out.Step - 1e-9))
	out.Step = span / float64(steps)
	half := int(math.Round(out.Window / (2 * out.Step)))
	if half < windowLeast/2 {
		return Incremental{}, say.Error("%w: %.3g V is too narrow for a fall of %.3g V: take %.3g V or more",
			ErrWindow, out.Window, span, windowLeast*span/gridMost)
	}
	out.Samples = 2*half + 1
	out.Window = float64(2*half) * out.Step
	if steps+1 < out.Samples {
		return Incremental{}, say.Error("%w: %.3g V is as much as the voltage falls in all (%.3g V)", ErrWindow, out.Window, span)
	}
	charge := make([]float64, steps+1)
	out.V = make([]float64, steps+1)
	j := n - 1 // voltage ascends, so the curve is walked from its end
	for k := range charge {
		v := bottom + float64(span*float64(k)/float64(steps))
		for j > 1 && curve[j-1].v < v {
			j--
		}
		a, b := curve[j], curve[j-1]
		out.V[k] = v
		charge[k] = a.q + float64((b.q-a.q)*min((v-a.v)/(b.v-a.v), 1))
	}
	slope, err := fit.Smooth(charge, out.Samples, out.Degree, 1, out.Step)
	if err != nil {
		return Incremental{}, fmt.Errorf("%w: %w", ErrWindow, err)
	}
	out.DQDV = slope
	var area float64
	for k, s := range slope {
		slope[k] = max(-s, 0)
		if math.IsNaN(s) || math.IsInf(s, 0) {
			return Incremental{}, say.Error("%w: the voltage has no slope at %.3f V", ErrTooShort, out.V[k])
		}
		if k > 0 {
			area += float64((slope[k] + slope[k-1]) / 2 * out.Step)
		}
	}
	out.Lost = area/q - 1
	rate := math.Abs(end.Q) / end.T * 3600 / q
	var notes []string
	if math.Abs(out.Lost) > lostMuch {
		notes = append(notes, say.With("The area under the curve is %.1f %% off the capacity: part of the charge flowed before the first or after the last voltage under load, or the window is too wide.", 100*math.Abs(out.Lost)))
	}
	if rate > slowRate {
		notes = append(notes, say.Text("Indicative only: at this current polarisation smears the peaks. A discharge of twenty hours or more shows them."))
	}
	out.Note = strings.Join(notes, " ")
	return out, nil
}

// gather is the run's samples to an end as means over parts of equal charge,
// or one by one where they are fewer.
func gather(r *trace.Run, end trace.Point) []node {
	var all []node
	var sum node
	width := end.Q / cells
	flush := func() {
		if sum.weight > 0 {
			all = append(all, node{sum.q / sum.weight, sum.v / sum.weight, sum.weight})
			sum = node{}
		}
	}
	limit := width
	for p := range r.Points(r.From) {
		if p.K > end.K || p.Q > end.Q {
			break
		}
		if p.Q >= limit {
			flush()
			limit = p.Q + width
		}
		sum.q += p.Q
		sum.v += p.V
		sum.weight++
	}
	flush()
	if n := len(all); n > 0 && end.Q > all[n-1].q {
		all = append(all, node{end.Q, end.V, 1})
	}
	return all
}

// monotone pools neighbours until the voltage falls from each to the next. The
// first and the last keep the charge of their outer ends.
func monotone(all []node) []node {
	if len(all) == 0 {
		return nil
	}
	first, last := all[0].q, all[len(all)-1].q
	out := all[:0]
	for _, b := range all {
		for len(out) > 0 && !(b.v < out[len(out)-1].v) {
			a := out[len(out)-1]
			out = out[:len(out)-1]
			weight := a.weight + b.weight
			mix := func(x, y float64) float64 { return (float64(x*a.weight) + float64(y*b.weight)) / weight }
			b = node{mix(a.q, b.q), mix(a.v, b.v), weight}
		}
		out = append(out, b)
	}
	out[0].q = first
	out[len(out)-1].q = last
	return out
}
