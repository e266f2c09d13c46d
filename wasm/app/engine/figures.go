package engine

import (
	"math"
	"strconv"

	"plateau/core/cell"
	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// uDigits is how many significant digits an uncertainty shows at most: GUM 7.2.6.
const uDigits = 2

// uncertain writes an expanded uncertainty with two significant digits, but no
// finer than a value of so many decimals.
func (e *Engine) uncertain(u float64, decimals int) string {
	if !(u > 0) || math.IsInf(u, 0) {
		return ""
	}
	own := uDigits - 1 - int(math.Floor(math.Log10(u)))
	d := min(max(own, 0), max(decimals, 0))
	if least := math.Pow(10, -float64(d)); u < least/2 {
		u = least // never nought
	}
	return e.words.Fixed(u, d)
}

// figure is a number with its uncertainty.
func (e *Engine) figure(x float64, b gum.Budget, decimals int) wire.Figure {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return wire.Figure{}
	}
	return wire.Figure{Value: e.words.Fixed(x, decimals), U: e.uncertain(b.Expanded(), decimals)}
}

// rate is a current as a multiple of It, in the trade's words and the
// standard's; empty where the rated capacity is not known.
func (e *Engine) rate(c cell.Cell, amps float64) string {
	it := c.Rate(amps)
	if !(it > 0) {
		return ""
	}
	d := max(0, 1-int(math.Floor(math.Log10(it))))
	x := strconv.FormatFloat(it, 'f', d, 64)
	v, _ := strconv.ParseFloat(x, 64)
	d = min(d, len(trimmed(x)))
	text := e.words.Fixed(v, d)
	return text + "C (" + text + " It)"
}

// trimmed is the decimals of a number without the noughts at its end.
func trimmed(x string) string {
	for k := 0; k < len(x); k++ {
		if x[k] != '.' {
			continue
		}
		d := x[k+1:]
		for len(d) > 0 && d[len(d)-1] == '0' {
			d = d[:len(d)-1]
		}
		return d
	}
	return ""
}

// columns are the decimals of the figures, common to all runs.
type columns struct{ charge, energy, current int }

func (e *Engine) columns() columns {
	var ah, wh, amps float64
	least := math.Inf(1)
	for _, r := range e.all(nil) {
		ah, wh, amps = max(ah, r.res.Capacity), max(wh, r.res.Energy), max(amps, r.res.Current)
		if r.res.Current > 0 {
			least = min(least, r.res.Current)
		}
	}
	// Currents go over two decades: the lowest is to have its digits as well.
	d := max(quantity.Decimals(amps, digits), min(3, quantity.Decimals(least, digits)))
	return columns{quantity.Decimals(ah, digits), quantity.Decimals(wh, digits), d}
}

// of is a run's figure as words.
func (d columns) of(e *Engine, r *run, q measure.Quantity) wire.Figure {
	if r.err != nil {
		return wire.Figure{Why: noFigure(r)}
	}
	x, b := q.Of(r.res), r.budgets[q]
	decimals := 3
	switch q {
	case measure.Capacity:
		decimals = d.charge
	case measure.Energy:
		decimals = d.energy
	case measure.Current:
		decimals = d.current
	case measure.Duration:
		return wire.Figure{Value: quantity.Clock(x), U: e.uncertain(b.Expanded(), 1)}
	case measure.TempStart, measure.TempMax, measure.TempRise:
		decimals = 1
	}
	f := e.figure(x, b, decimals)
	if f.Value == "" {
		f.Why = say.Text(missing(r, q))
	}
	return f
}

// noFigure says why a run has no figures.
func noFigure(r *run) string {
	if r.res.Ending == measure.AllBelow {
		return say.Text("The voltage is below the cut-off from the first sample on.")
	}
	return say.Text("No charge was taken out.")
}

// missing says in English why one figure is not there.
func missing(r *run, q measure.Quantity) string {
	switch q {
	case measure.TempStart, measure.TempMax, measure.TempRise:
		return say.Later("The log has no temperature.")
	case measure.MidPoint:
		return say.Later("Half the capacity lies before the log’s first sample.")
	}
	return say.Later("The log does not tell it.")
}

// resistanceAt is the time in s after the step that the table shows, where a run
// has it.
const resistanceAt = 10

// stepResistance is the d.c. resistance of the results: at 10 s after the load
// step, or what comes nearest to it.
func (r *run) stepResistance() (measure.Resistance, bool) {
	var best measure.Resistance
	found := false
	for _, x := range r.step {
		if !found || math.Abs(math.Log(x.Time/resistanceAt)) < math.Abs(math.Log(best.Time/resistanceAt)) {
			best, found = x, true
		}
	}
	return best, found
}

// stepOhms is the resistance of the results as words. Its budget takes long, and
// hangs on the tester alone.
func (e *Engine) stepOhms(r *run, x measure.Resistance) wire.Figure {
	if r.ohms.Value == "" || r.ohmsSpec != e.specs || r.ohmsComma != e.words.Comma {
		r.ohms, r.ohmsSpec, r.ohmsComma = e.ohms(r, x), e.specs, e.words.Comma
	}
	return r.ohms
}

// ohms is a resistance in mΩ with its uncertainty.
func (e *Engine) ohms(r *run, x measure.Resistance) wire.Figure {
	b := measure.ResistanceBudget(r.Run, x, r.use)
	milli := 1000 * x.Ohm
	return wire.Figure{Value: e.words.Fixed(milli, quantity.Decimals(milli, 3)), U: e.uncertain(1000*b.Expanded(), quantity.Decimals(milli, 3)+1)}
}
