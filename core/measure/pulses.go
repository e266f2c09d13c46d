package measure

import (
	"math"

	"plateau/core/say"
	"plateau/core/trace"
)

const (
	// The standard’s two pulses: 0.2 It for 10 s, then at once 1.0 It for 1 s,
	// each within 0.1 s (IEC 61960-3 7.7.3, cited from memory).
	pulseFirst, pulseSecond = 10.0, 1.0 // s
	pulseTime               = 0.1       // s
	pulseRatio              = 5.0
	// pulseAlike is how far the currents may be from the standard’s for two
	// pulses to be taken for it, pulseExact for its name: its clause 4 gives
	// every current 1 % (from memory).
	pulseAlike, pulseExact = 0.1, 0.01
	// pulseFlat is how far within a pulse the current may stray.
	pulseFlat = 0.02
)

// flat is a stretch of samples at one current.
type flat struct {
	from, to int     // samples, to left out
	mean     float64 // A
}

// TwoPulses is the d.c. resistance by the standard’s two pulses, wherever in
// the trace they lie: R = (U1 − U2)/(I2 − I1), U1 and U2 being the last
// voltages of the first and the second. rated is the rated capacity in Ah, of
// which It is the hour's current; where it is 0 (not known) the pulses are
// known by their ratio of 1 to 5, and none carries the standard’s name. Pulses
// that are sampled too coarsely to tell their times within 0.1 s do not either.
func TwoPulses(tr *trace.Trace, rated float64) (all []Resistance, why string) {
	likely := false
	var a, mid, b flat // the last three stretches; mid may be one sample between two levels
	end := func() {
		first := a
		if mid.to > mid.from {
			if between := (mid.mean - a.mean) * (b.mean - mid.mean); mid.to-mid.from == 1 && between > 0 && isPulse(a, b, rated) {
				// one sample caught the current on its way
			} else {
				first = mid
			}
		}
		if !isPulse(first, b, rated) {
			return
		}
		likely = true
		if res, ok := twoPulse(tr, first, b, rated); ok {
			all = append(all, res)
		}
	}
	for w := range tr.Windows(0, tr.Len()) {
		for j, i := range w.I {
			k := w.Start + j
			if b.to > b.from && math.Abs(i-b.mean) <= pulseFlat*math.Abs(b.mean) {
				b.to++
				b.mean += (i - b.mean) / float64(b.to-b.from)
				continue
			}
			if b.to > b.from {
				end()
			}
			a, mid, b = mid, b, flat{k, k + 1, i}
		}
	}
	if b.to > b.from {
		end()
	}
	switch {
	case len(all) == 0 && likely:
		return nil, say.Text("two pulses with currents as 1 to 5, but not of 10 s and 1 s, or sampled too coarsely to tell")
	case len(all) == 0:
		return nil, say.Text("the log does not hold the standard’s two pulses (0.2 It for 10 s, then 1.0 It for 1 s)")
	case !(rated > 0):
		return all, say.Text("the rated capacity is not known, so that the pulses cannot be told to be of 0.2 It and 1.0 It")
	}
	for _, res := range all {
		if !res.Standard {
			return all, say.Text("the pulses are not within the standard’s times and currents, or not sampled often enough to tell")
		}
	}
	return all, ""
}

// isPulse says whether the currents of two stretches are those of the pulses.
func isPulse(a, b flat, rated float64) bool {
	if a.to == a.from || !(a.mean > 0) || !(math.Abs(b.mean/a.mean-pulseRatio) <= pulseAlike*pulseRatio) {
		return false
	}
	return !(rated > 0) || math.Abs(b.mean/rated-1) <= pulseAlike
}

// twoPulse reads the resistance off two stretches that may be the pulses; false
// where their times cannot be the standard’s.
func twoPulse(tr *trace.Trace, a, b flat, rated float64) (Resistance, bool) {
	if a.from == 0 {
		return Resistance{}, false // how long it had lasted is not known
	}
	// A step lies between the last sample at one level and the first at the next.
	firstLeast := tr.Time(a.to-1) - tr.Time(a.from)
	firstMost := tr.Time(b.from) - tr.Time(a.from-1)
	secondLeast := tr.Time(b.to-1) - tr.Time(b.from)
	secondMost := tr.Time(b.to-1) - tr.Time(a.to-1)
	if b.to < tr.Len() {
		secondMost = tr.Time(b.to) - tr.Time(a.to-1)
	}
	const rounding = 1e-6 // s, of times as logged
	near := func(least, most, want float64) bool {
		return least <= want+pulseTime+rounding && most >= want-pulseTime-rounding
	}
	if !near(firstLeast, firstMost, pulseFirst) || !near(secondLeast, secondMost, pulseSecond) {
		return Resistance{}, false
	}
	u1, u2 := a.to-1, b.to-1
	lo, hi := tr.Time(u1), tr.Time(b.from)
	if b.from == a.to {
		lo, hi = instant(tr, b.from)
	}
	res := Resistance{Kind: TwoPulse, Time: pulseSecond, K: u2,
		Earliest: tr.Time(u2) - hi, Latest: tr.Time(u2) - lo,
		V0: tr.Voltage(u1), V1: tr.Voltage(u2), I0: tr.Current(u1), I1: tr.Current(u2)}
	within := func(x, want float64) bool { return math.Abs(x-want) <= pulseTime+rounding }
	res.Standard = within(res.Earliest, pulseSecond) && within(res.Latest, pulseSecond) &&
		within(tr.Time(u1)-tr.Time(a.from-1), pulseFirst) && within(firstLeast, pulseFirst) &&
		rated > 0 && math.Abs(a.mean/(rated/pulseRatio)-1) <= pulseExact && math.Abs(b.mean/rated-1) <= pulseExact
	if !within(res.Earliest, pulseSecond) || !within(res.Latest, pulseSecond) {
		res.Time = (res.Earliest + res.Latest) / 2
	}
	if b.to-b.from > 1 && tr.Time(u2) > tr.Time(u2-1) {
		res.Slope = (tr.Voltage(u2) - tr.Voltage(u2-1)) / (tr.Time(u2) - tr.Time(u2-1))
	}
	res.Ohm = (res.V0 - res.V1) / (res.I1 - res.I0)
	return res, res.Ohm > 0 && !math.IsInf(res.Ohm, 0)
}
