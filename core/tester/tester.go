// Package tester describes a bench tester: how far its readings can be off, how
// it is wired, what it can take. Where nothing is known of it the tolerances
// that IEC 61960-3 allows stand in, and that is said.
package tester

import (
	"plateau/core/gum"
	"plateau/core/say"
)

// Tolerances that IEC 61960-3 clause 4 allows for controlled or measured values,
// instruments, technique and all other sources of error together. Cited from
// memory; the same list stands in the sister standard JIS C 8705:2019 clause 4.
const (
	iecVoltage     = 0.01  // of the reading
	iecCurrent     = 0.01  // of the reading
	iecTime        = 0.001 // of the reading
	iecTemperature = 2.0   // °C
)

// Asked for at each cut-off of each run, so not to be put together there.
const (
	noVoltage = say.Later("The tester’s error in voltage is not stated: ±1 % is assumed, which IEC 61960-3 allows.")
	noCurrent = say.Later("The tester’s error in current is not stated: ±1 % is assumed, which IEC 61960-3 allows.")

	stated  = say.Later("by the tester’s specification; rectangular")
	allowed = say.Later("allowed by IEC 61960-3; rectangular")
)

// Basis is what stated gains and offsets are.
type Basis uint8

// The bases: limits of error, within which any value is as likely (GUM 4.3.7),
// or expanded uncertainties of a calibration, k = 2 (GUM 4.3.3).
const (
	Limits Basis = iota
	Calibration
)

// Range is one measuring range. Zero stands for what is not stated.
type Range struct {
	UpTo       float64 // V or A; 0 for all readings
	Gain       float64 // of the reading: 0.001 for 0.1 %
	Offset     float64 // V or A
	Resolution float64 // V or A, one step of the reading
}

// Spec is what is known of a tester. The zero Spec is one of which nothing is.
type Spec struct {
	Name        string
	Basis       Basis
	Voltage     []Range
	Current     []Range
	TimeBase    float64 // of the reading
	Temperature float64 // °C
	// TwoWire: current and voltage share their leads, whose resistance, contacts
	// included, is Lead in Ω, give or take LeadError.
	TwoWire         bool
	Lead, LeadError float64
	MaxCurrent      float64 // A
	MaxPower        float64 // W
	// SetStep is one step of the set-point of the current in A; see [Spec.Step].
	SetStep float64
	// Channels is how many cells it takes at a time; 0 stands for one.
	Channels int
	Checked  string // the day of the last check, as 2026-11-25
	Means    string // what it was checked against
}

// Limit is how far one kind of reading can be off.
type Limit struct {
	Range
	Basis Basis
	// Source says where it is from and how it is taken, in English.
	Source string
}

// U is the standard uncertainty that a stated gain or offset stands for.
func (l Limit) U(stated float64) float64 {
	if l.Basis == Calibration {
		return stated / 2
	}
	return gum.LimitsToU(stated)
}

// Shape is the distribution of the errors behind it.
func (l Limit) Shape() gum.Shape {
	if l.Basis == Calibration {
		return gum.Normal
	}
	return gum.Rectangular
}

// Words say where it is from and how it is taken.
func (l Limit) Words() string {
	if l.Basis == Calibration {
		return say.Text("by the tester’s calibration, k = 2")
	}
	return say.Text(l.Source)
}

// Use is the specification as it holds for one run.
type Use struct {
	Voltage, Current Limit
	Time             Limit // Gain alone
	Temperature      Limit // Offset alone, °C
	// LeadError in Ω; 0 in a four-wire set-up.
	LeadError float64
	// Known: voltage and current are stated, not assumed. Assumed lists what was
	// not, each a sentence.
	Known   bool
	Assumed []string
}

// For is the specification for readings up to volts V and amps A.
func (s Spec) For(volts, amps float64) Use {
	var u Use
	assume := func(what string) Limit {
		u.Assumed = append(u.Assumed, what)
		return Limit{Source: allowed}
	}
	pick := func(ranges []Range, reading, tolerance float64, unstated string) Limit {
		r, ok := rangeFor(ranges, reading)
		if ok {
			return Limit{r, s.Basis, stated}
		}
		l := assume(say.Text(unstated))
		switch {
		case len(ranges) == 0:
		case unstated == noVoltage:
			u.Assumed[len(u.Assumed)-1] = say.With("The tester’s stated ranges of voltage end below %.3g V: ±1 %% is assumed, which IEC 61960-3 allows.", reading)
		default:
			u.Assumed[len(u.Assumed)-1] = say.With("The tester’s stated ranges of current end below %.3g A: ±1 %% is assumed, which IEC 61960-3 allows.", reading)
		}
		l.Gain = tolerance
		return l
	}
	u.Voltage = pick(s.Voltage, volts, iecVoltage, noVoltage)
	u.Current = pick(s.Current, amps, iecCurrent, noCurrent)
	u.Known = len(u.Assumed) == 0
	u.Time = Limit{Range{Gain: s.TimeBase}, s.Basis, stated}
	if !(s.TimeBase > 0) {
		u.Time = assume(say.Text("The tester’s time base is not stated: ±0.1 % is assumed, which IEC 61960-3 allows."))
		u.Time.Gain = iecTime
	}
	u.Temperature = Limit{Range{Offset: s.Temperature}, s.Basis, stated}
	if !(s.Temperature > 0) {
		u.Temperature = assume(say.Text("The sensor’s error in temperature is not stated: ±2 °C is assumed, which IEC 61960-3 allows."))
		u.Temperature.Offset = iecTemperature
	}
	if s.TwoWire {
		u.LeadError = s.LeadError
		if !(s.LeadError > 0) {
			// Common practice, no source: contacts alone move by that much.
			u.LeadError = max(s.Lead/4, 2e-3)
			u.Assumed = append(u.Assumed, say.With("How far the leads’ resistance can be off is not stated: ±%.3g mΩ is assumed.", 1000*u.LeadError))
		}
	}
	return u
}

// rangeFor is the smallest range that holds a reading.
func rangeFor(ranges []Range, reading float64) (best Range, ok bool) {
	for _, r := range ranges {
		if !(r.Gain > 0) && !(r.Offset > 0) {
			continue
		}
		end := r.UpTo
		if end > 0 && reading > end {
			continue
		}
		if !ok || end > 0 && (best.UpTo == 0 || end < best.UpTo) {
			best, ok = r, true
		}
	}
	return best, ok
}

// Step is one step of the set-point at a current in A: the one stated, else that
// of the readings in the smallest range that holds it; 0 where neither is.
func (s Spec) Step(amps float64) float64 {
	if s.SetStep > 0 {
		return s.SetStep
	}
	var best Range
	for _, r := range s.Current {
		if !(r.Resolution > 0) || r.UpTo > 0 && amps > r.UpTo {
			continue
		}
		if best.Resolution == 0 || r.UpTo > 0 && (best.UpTo == 0 || r.UpTo < best.UpTo) {
			best = r
		}
	}
	return best.Resolution
}
