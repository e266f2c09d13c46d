// Package measure turns one discharge into its results: capacity, energy,
// voltages, duration, current and temperature, to the end of the run or to a
// cut-off.
package measure

import (
	"math"

	"plateau/core/say"
	"plateau/core/trace"
)

// ErrNoCharge says that a run gave no charge that could be measured.
var ErrNoCharge = say.LaterError("no charge was taken out")

// Ending is how a run's results came to their end.
type Ending uint8

// The ways in which results end.
const (
	// AtEnd: no cut-off was asked for; the results go to the load's end.
	AtEnd Ending = iota
	// AtCutoff: the voltage crossed the cut-off and stayed below.
	AtCutoff
	// JustAbove: the tester stopped between two samples, so close above the
	// cut-off that the last slope reaches it within one sampling interval; the
	// results are extended to it.
	JustAbove
	// NotReached: the run ended above the cut-off; the results are of the
	// whole run, and the cell had at least that.
	NotReached
	// AllBelow: the run lies below the cut-off from its first loaded sample.
	AllBelow
)

// Results are the figures of one discharge.
//
// Charge and energy are the trapezoidal sums of [trace.Run], edges included.
// NaN stands where the log has no value.
type Results struct {
	Capacity float64 // Ah
	Energy   float64 // Wh
	Average  float64 // V, energy over charge
	MidPoint float64 // V, at half the capacity
	Duration float64 // s
	Current  float64 // A, mean: capacity over duration
	Start    float64 // V, of the last sample at rest, or the first under load
	Rested   bool    // Start is a voltage at rest
	End      float64 // V, of the last sample under load, or the cut-off
	Lowest   float64 // V, at the run's own end

	TempStart float64 // °C, with the first loaded sample
	TempMax   float64 // °C
	TempRise  float64 // °C, the highest less the first

	Ending Ending
	// EdgeLimit is half of what could have flowed, unseen, in the intervals in
	// which the load came on and went off: the capacity cannot be off by more
	// on their account. Ah.
	EdgeLimit float64
	// Fixed says that the log's last row was written at the very moment the load
	// went off, off the grid of the others: nothing after it is counted.
	Fixed bool
	// Extended is the charge in Ah by which figures were carried on past the
	// last sample.
	Extended float64
}

// toLoadOff: the results go to where the load went off.
func (res Results) toLoadOff() bool { return res.Ending == AtEnd || res.Ending == NotReached }

// atCutoff: the results end at a cut-off, whose voltage is given and not read.
func (res Results) atCutoff() bool { return res.Ending == AtCutoff || res.Ending == JustAbove }

// Discharge gives the results of a run, down to a cut-off in V where that is
// above zero.
func Discharge(r *trace.Run, cutoff float64) (Results, error) {
	end, ending := endOf(r, cutoff)
	res := Results{Ending: ending, Lowest: r.Last().V, End: end.V, Duration: end.T}
	res.Capacity, res.Energy = end.Q, end.E
	if ending == JustAbove {
		res.Extended = end.Q - r.Last().Q
	}
	edges := r.Before.Charge
	if res.Fixed = res.toLoadOff() && r.IsOffGrid(); res.toLoadOff() && !res.Fixed {
		res.Capacity += r.After.Charge
		res.Energy += r.After.Energy
		res.Duration += r.After.Width / 2
		edges += r.After.Charge
	}
	res.EdgeLimit = math.Abs(edges)
	if ending == AllBelow || !(res.Capacity > 0) || !(res.Duration > 0) {
		return res, ErrNoCharge
	}
	res.Average = res.Energy / res.Capacity
	res.Current = res.Capacity / res.Duration * 3600
	res.MidPoint = math.NaN()
	if p, ok := r.At(trace.ByCharge, res.Capacity/2); ok {
		res.MidPoint = p.V
	}
	tr := r.Trace()
	res.Start = tr.Voltage(r.From)
	if r.Before.Rest {
		res.Start, res.Rested = r.Before.V, true
	}
	res.temperatures(r, end.K)
	return res, nil
}

func (res *Results) temperatures(r *trace.Run, last int) {
	tr := r.Trace()
	first := r.Remember("first sample with a temperature", func() float64 {
		k := r.From
		for k < r.To && math.IsNaN(tr.Temperature(k)) && tr.HasTemperature() {
			k++
		}
		return float64(k)
	})
	res.TempStart = math.NaN()
	if int(first) <= last {
		res.TempStart = tr.Temperature(int(first))
	}
	res.TempMax = tr.Hottest(r.From, last+1)
	res.TempRise = res.TempMax - res.TempStart
}

// endOf is the last instant that counts.
func endOf(r *trace.Run, cutoff float64) (trace.Point, Ending) {
	if !(cutoff > 0) {
		return r.Last(), AtEnd
	}
	// What follows the last sample above the cut-off stays at or below to the
	// end, so that a dip at the start ends no run.
	last := r.Trace().LastAbove(r.From, r.To, cutoff)
	switch {
	case last < r.From:
		return r.Last(), AllBelow
	case last < r.To-1:
		return crossing(r, cutoff, last), AtCutoff
	}
	if p, ok := extend(r, cutoff); ok {
		return p, JustAbove
	}
	if p := r.Last(); p.V == cutoff {
		return p, AtCutoff
	}
	return r.Last(), NotReached
}
