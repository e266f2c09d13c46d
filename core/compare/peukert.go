package compare

import (
	"math"
	"slices"

	"plateau/core/fit"
	"plateau/core/gum"
	"plateau/core/say"
)

// Exponent is a cell's Peukert exponent k of Iᵏ·t = const, W. Peukert,
// Elektrotechnische Zeitschrift 20 (1897) 287-288. It says how the capacity
// falls with the current between From and To, at like temperatures, and nothing
// beyond.
type Exponent struct {
	K, SE float64 // and its standard error
	// U is half the interval of 95.45 % by Student's t for DF: with three rates,
	// whose DF is 1, it is 14 times SE.
	U        float64
	DF       int
	Rates    int     // different ones
	From, To float64 // A
	// Heating: k is below 1. The cell gave more at a higher current, which is its
	// own heat, or unlike temperatures, and not what the law is about.
	Heating bool
}

// Peukert fits the exponent to a cell's mean capacities in Ah at its rates in A,
// of one length: k = 1 − d ln Q/d ln I by the line through the logarithms. why
// says why there is none. Rates and capacities not above zero are left out.
func Peukert(amps, ah []float64) (e Exponent, why string) {
	var x, y, currents []float64
	for k := range min(len(amps), len(ah)) {
		if placed(amps[k]) && placed(ah[k]) {
			currents = append(currents, amps[k])
			x, y = append(x, ln(amps[k])), append(y, ln(ah[k]))
		}
	}
	slices.Sort(currents)
	last := 0.0
	for _, i := range currents {
		if i-last > rateApart*i {
			e.Rates++
			last = i
		}
	}
	if e.Rates < rates {
		return Exponent{}, say.With("Peukert’s exponent needs capacities at three rates that differ by %.0f %% (so far %d)", 100*rateApart, e.Rates)
	}
	line, err := fit.Line(x, y)
	if err != nil {
		return Exponent{}, say.With("no line could be put through the capacities: %s", err)
	}
	e.K, e.SE, e.DF = 1-line.Coef[1], line.SE[1], line.DF
	e.U = (gum.Budget{Terms: []gum.Term{{U: e.SE, DF: float64(e.DF)}}}).Expanded()
	e.From, e.To = currents[0], currents[len(currents)-1]
	e.Heating = e.K < 1
	return e, ""
}

// ln is the natural logarithm to twelve digits, the same on every machine: what
// math.Log gives may differ in the last ones.
func ln(x float64) float64 {
	const bits = 40
	f, e := math.Frexp(math.Log(x))
	return math.Ldexp(math.Round(math.Ldexp(f, bits)), e-bits)
}
