package engine

import (
	"math"

	"plateau/core/quantity"
	"plateau/core/say"
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
		return abscissa{trace.ByEnergy, say.Text("Discharged energy / Wh"), "Wh", 1}
	case "time":
		for _, r := range runs {
			if r.Last().T >= hoursFrom {
				return abscissa{trace.ByTime, say.Text("Time / h"), "h", 3600}
			}
		}
		return abscissa{trace.ByTime, say.Text("Time / min"), "min", 60}
	}
	return abscissa{trace.ByCharge, say.Text("Discharged charge / Ah"), "Ah", 1}
}

// voltageColumns are the heads of a readout of voltage curves.
var voltageColumns = []string{say.Later("Voltage / V"), say.Later("Charge / Ah"), say.Later("Energy / Wh"), say.Later("Time / h:mm:ss"), say.Later("Temperature / °C")}

// texts are those of a list that was made before the table was set.
func texts(list []string) []string {
	out := make([]string, len(list))
	for k, s := range list {
		out[k] = say.Text(s)
	}
	return out
}

// curves draws what is asked for, for a plot of the width asked for.
func (e *Engine) curves(c wire.Command) (*wire.Curves, [][]float64) {
	switch c.Show {
	case "incremental":
		return e.incremental(c)
	case "resistance":
		return e.resistanceCurves(c)
	}
	runs := e.all(c.Hidden)
	a := e.abscissa(c.Axis, runs)
	out := &wire.Curves{Axis: c.Axis, XLabel: a.label, YLabel: say.Text("Voltage / V"), TLabel: say.Text("Temperature / °C"), Series: []wire.Series{}, Columns: texts(voltageColumns)}
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
		out.Marks = append(out.Marks, marks(r, a)...)
	}
	return out, data
}

// marks are the places of a run's findings on its curve.
func marks(r *run, a abscissa) []wire.Mark {
	var list []wire.Mark
	for _, c := range r.checks {
		if math.IsNaN(c.At) {
			continue
		}
		p, ok := r.At(trace.ByTime, c.At)
		if !ok {
			p = r.Last()
			if c.At < p.T/2 {
				for first := range r.Points(r.From) {
					p = first
					break
				}
			}
		}
		list = append(list, wire.Mark{Run: r.id, X: p.On(a.axis) / a.per, Y: p.V, Severity: c.Severity.String(), Text: c.Text})
	}
	return list
}

// readout is every visible curve at one abscissa.
func (e *Engine) readout(c wire.Command) *wire.Readout {
	switch c.Show {
	case "incremental":
		return e.readIncremental(c)
	case "resistance":
		return e.readResistance(c)
	}
	runs := e.all(c.Hidden)
	a := e.abscissa(c.Axis, runs)
	w := e.words
	out := &wire.Readout{X: w.Fixed(c.X, quantity.Decimals(max(c.X, 1), digits)) + " " + a.unit, Runs: []wire.ReadoutRun{}}
	for _, r := range runs {
		row := wire.ReadoutRun{Run: r.id, Values: make([]string, len(voltageColumns))}
		if p, ok := r.At(a.axis, c.X*a.per); ok {
			temp := ""
			if !math.IsNaN(p.Temp) {
				temp = w.Fixed(p.Temp, 1)
			}
			row.Values = []string{w.Fixed(p.V, 3), w.Fixed(p.Q, quantity.Decimals(max(p.Q, 1), digits)),
				w.Fixed(p.E, quantity.Decimals(max(p.E, 1), digits)), quantity.Clock(p.T), temp}
		}
		out.Runs = append(out.Runs, row)
	}
	return out
}
