package engine

import (
	"fmt"
	"math"
	"sort"

	"plateau/core/compare"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/trace"
	"plateau/wasm/app/wire"
)

// window is the smoothing window of dQ/dV in V; 0 for the default. The error is
// what is wrong with what was typed, which is then not taken.
func window(text string) (float64, string) {
	t := &form{}
	v := t.number("window", text, quantity.Voltage, "mV", 1e-3, 5)
	return v, t.errors["window"]
}

// incrementals are the curves of dQ/dV of runs; nil where a run has none.
func (e *Engine) incrementals(runs []*run, v float64) (list []*measure.Incremental, why string) {
	for _, r := range runs {
		x, err := measure.IncrementalCapacity(r.Run, e.cutoff, v)
		if err != nil {
			why = fmt.Sprintf("%s: %v.", r.name, err)
			list = append(list, nil)
			continue
		}
		list = append(list, &x)
	}
	return list, why
}

// incremental draws dQ/dV against the voltage.
func (e *Engine) incremental(c wire.Command) (*wire.Curves, [][]float64) {
	runs := e.all(c.Hidden)
	v, bad := window(c.Window)
	out := &wire.Curves{Axis: "voltage", XLabel: say.Text("Voltage / V"), YLabel: "dQ/dV / (Ah/V)", Series: []wire.Series{},
		Columns: []string{"dQ/dV / (Ah/V)"}, WindowError: bad}
	list, why := e.incrementals(runs, v)
	var data [][]float64
	low, high := math.Inf(1), math.Inf(-1)
	for k, x := range list {
		if x == nil {
			continue
		}
		low, high = min(low, x.V[0]), max(high, x.V[len(x.V)-1])
		out.Note = say.With("Savitzky-Golay, window %s mV, degree %d. Charge per volt, positive on discharge; a low current shows its peaks, a high one smears them.",
			e.words.Fixed(1000*x.Window, 0), x.Degree)
		out.Series = append(out.Series, wire.Series{Run: runs[k].id, Name: runs[k].name, Colour: runs[k].colour})
		data = append(data, nil)
	}
	if len(out.Series) == 0 {
		if out.Why = why; why == "" {
			out.Why = say.Text("No discharge is shown.")
		}
		return out, data
	}
	if why != "" {
		out.Note += " " + say.With("Not drawn: %s", why)
	}
	out.XMin, out.XMax = low, high
	from, to := low, high
	if c.From != nil && c.To != nil && *c.To > *c.From {
		from, to = *c.From, *c.To
	}
	at := 0
	for _, x := range list {
		if x == nil {
			continue
		}
		th := trace.NewThinner(from, to, min(max(c.Width, 100), 8192))
		th.Add(x.V, x.DQDV)
		data[at] = th.Points()
		at++
	}
	return out, data
}

func (e *Engine) readIncremental(c wire.Command) *wire.Readout {
	runs := e.all(c.Hidden)
	v, _ := window(c.Window)
	list, _ := e.incrementals(runs, v)
	out := &wire.Readout{X: e.words.Fixed(c.X, 3) + " V", Runs: []wire.ReadoutRun{}}
	for k, r := range runs {
		value := ""
		if x := list[k]; x != nil {
			if y, ok := between(x.V, x.DQDV, c.X); ok {
				value = e.significant(y, 3)
			}
		}
		out.Runs = append(out.Runs, wire.ReadoutRun{Run: r.id, Values: []string{value}})
	}
	return out
}

// between reads a curve off the line between two points.
func between(xs, ys []float64, x float64) (float64, bool) {
	k := sort.SearchFloat64s(xs, x)
	switch {
	case len(xs) == 0 || x < xs[0] || k == len(xs):
		return 0, false
	case xs[k] == x:
		return ys[k], true
	}
	f := (x - xs[k-1]) / (xs[k] - xs[k-1])
	return ys[k-1] + float64(f*(ys[k]-ys[k-1])), true
}

// mapPoints is how finely a resistance map is worked out.
const mapPoints = 200

// cellMap is the resistance map of one cell.
type cellMap struct {
	cell   string
	colour int
	points []compare.MapPoint
}

// maps are the resistance maps, in n points, of the cells that have one; else why says what is
// missing for the one that comes nearest.
func (e *Engine) maps(hidden []string, n int) (list []cellMap, why string) {
	skip := map[string]bool{}
	for _, id := range hidden {
		skip[id] = true
	}
	for _, name := range e.cellNames() {
		if skip["cell "+name] {
			continue
		}
		m := cellMap{cell: name, colour: -1}
		var runs []*trace.Run
		for _, r := range e.all(nil) {
			if r.cell != name || r.void != "" || r.err != nil {
				continue
			}
			if m.colour < 0 {
				m.colour = r.colour
			}
			runs = append(runs, r.Run)
		}
		from := fmt.Sprint(n)
		for _, r := range runs {
			from += fmt.Sprintf(" %p", r)
		}
		type made struct {
			points []compare.MapPoint
			reason string
		}
		it := recall(e, fmt.Sprintf("resistance %d %s", n, name), from, func() (m made) {
			m.points, m.reason = compare.ResistanceMap(runs, n)
			return m
		})
		points, reason := it.points, it.reason
		if len(points) == 0 {
			if why == "" {
				why = name + ": " + reason + "."
			}
			continue
		}
		// Where a run ends the line jumps, which is no change of the cell's.
		for k, p := range points {
			if p.N < points[0].N {
				points = points[:k]
				break
			}
		}
		m.points = points
		list = append(list, m)
	}
	if len(list) > 0 {
		why = ""
	}
	return list, why
}

// resistanceCurves draws effective resistance and zero-current voltage.
func (e *Engine) resistanceCurves(c wire.Command) (*wire.Curves, [][]float64) {
	out := &wire.Curves{Axis: "charge", XLabel: say.Text("Discharged charge / Ah"), YLabel: say.Text("Effective resistance / mΩ"), TLabel: say.Text("Zero-current voltage / V"),
		Series: []wire.Series{}, Columns: []string{"R / mΩ", "± / mΩ", say.Text("Zero-current voltage / V"), "± / V", say.Text("Rates")}}
	list, why := e.maps(c.Hidden, mapPoints)
	if len(list) == 0 {
		out.Why = why
		return out, nil
	}
	out.Note = say.Text("The slope and intercept of voltage on current at equal Ah, over all valid runs of a cell, as far as the first of them goes; dotted, the zero-current voltage, which is an extrapolation to no load. Fast runs are warmer, so that the resistance reads low. ± is the standard error.")
	var data [][]float64
	for _, m := range list {
		var ohms, volts []float64
		for _, p := range m.points {
			ohms, volts = append(ohms, p.Q, 1000*p.R), append(volts, p.Q, p.V0)
			out.XMax = max(out.XMax, p.Q)
		}
		out.Series = append(out.Series, wire.Series{Run: "cell " + m.cell, Name: m.cell, Colour: m.colour, Temperature: true})
		data = append(data, ohms, volts)
	}
	return out, data
}

func (e *Engine) readResistance(c wire.Command) *wire.Readout {
	list, _ := e.maps(c.Hidden, mapPoints)
	out := &wire.Readout{X: e.words.Fixed(c.X, 3) + " Ah", Runs: []wire.ReadoutRun{}}
	for _, m := range list {
		row := wire.ReadoutRun{Run: "cell " + m.cell, Values: make([]string, 5)}
		k := sort.Search(len(m.points), func(k int) bool { return m.points[k].Q >= c.X })
		if k < len(m.points) && (k > 0 || m.points[0].Q <= c.X) {
			p := m.points[k]
			if k > 0 && c.X-m.points[k-1].Q < p.Q-c.X {
				p = m.points[k-1]
			}
			row.Values = []string{e.significant(1000*p.R, 3), e.significant(1000*p.SER, 2), e.words.Fixed(p.V0, 3), e.words.Fixed(p.SEV0, 3), fmt.Sprint(p.N)}
		}
		out.Runs = append(out.Runs, row)
	}
	return out
}
