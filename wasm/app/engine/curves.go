package engine

import (
	"math"

	"plateau/core/quantity"
	"plateau/core/trace"
	"plateau/wasm/app/wire"
)

// abscissa is one of the axes that curves are drawn against.
type abscissa struct {
	axis  trace.Axis
	label string
	unit  string
	per   float64 // base units (Ah, Wh, s) in one of the axis's
}

// hoursFrom is the duration in s from which a time axis is in hours.
const hoursFrom = 3 * 3600

func (e *Engine) abscissa(name string, runs []*run) abscissa {
	switch name {
	case "energy":
		return abscissa{trace.ByEnergy, "Discharged energy / Wh", "Wh", 1}
	case "time":
		for _, r := range runs {
			if r.Last().T >= hoursFrom {
				return abscissa{trace.ByTime, "Time / h", "h", 3600}
			}
		}
		return abscissa{trace.ByTime, "Time / min", "min", 60}
	}
	return abscissa{trace.ByCharge, "Discharged charge / Ah", "Ah", 1}
}

// curves draws the visible runs for a plot of the width asked for.
func (e *Engine) curves(c wire.Command) (*wire.Curves, [][]float64) {
	runs := e.all(c.Hidden)
	a := e.abscissa(c.Axis, runs)
	out := &wire.Curves{Axis: c.Axis, XLabel: a.label, YLabel: "Voltage / V", TLabel: "Temperature / °C", Series: []wire.Series{}}
	if e.cutoff > 0 {
		out.Cutoff = &e.cutoff
	}
	for _, r := range runs {
		out.XMax = max(out.XMax, r.Last().On(a.axis)/a.per)
	}
	from, to := 0.0, out.XMax
	if c.From != nil && c.To != nil && *c.To > *c.From {
		from, to = *c.From, *c.To
	}
	width := min(max(c.Width, 100), 8192)
	var data [][]float64
	for _, r := range runs {
		hot := r.Trace().HasTemperature()
		volts, temps := trace.NewThinner(from, to, width), (*trace.Thinner)(nil)
		if hot {
			temps = trace.NewThinner(from, to, width)
		}
		r.Draw(a.axis, a.per, from, to, volts, temps)
		out.Series = append(out.Series, wire.Series{Run: r.id, Name: r.name, Colour: r.colour, Temperature: hot})
		data = append(data, volts.Points())
		if hot {
			data = append(data, temps.Points())
		}
	}
	return out, data
}

// readout is every visible curve at one abscissa.
func (e *Engine) readout(c wire.Command) *wire.Readout {
	runs := e.all(c.Hidden)
	a := e.abscissa(c.Axis, runs)
	w := e.words
	out := &wire.Readout{X: w.Fixed(c.X, quantity.Decimals(max(c.X, 1), digits)) + " " + a.unit, Runs: []wire.ReadoutRun{}}
	for _, r := range runs {
		row := wire.ReadoutRun{Run: r.id}
		if p, ok := r.At(a.axis, c.X*a.per); ok {
			row.Voltage = w.Fixed(p.V, 3)
			row.Charge = w.Fixed(p.Q, quantity.Decimals(max(p.Q, 1), digits))
			row.Energy = w.Fixed(p.E, quantity.Decimals(max(p.E, 1), digits))
			row.Time = quantity.Clock(p.T)
			if !math.IsNaN(p.Temp) {
				row.Temperature = w.Fixed(p.Temp, 1)
			}
		}
		out.Runs = append(out.Runs, row)
	}
	return out
}
