package engine

import (
	"fmt"
	"math"

	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/wasm/app/wire"
)

// digits is how many significant digits the largest figure of a column shows.
// The usual instruments are good for three; one more is kept for comparing.
const digits = 4

// view is the page as it should be now.
func (e *Engine) view() *wire.View {
	v := &wire.View{Files: []wire.File{}, Runs: []wire.Run{}, CutoffError: e.badCut}
	if e.cutoff > 0 {
		v.Cutoff = e.words.Fixed(e.cutoff, 3) + " V"
	}
	w := e.words
	var ah, wh, amps float64
	for _, r := range e.all(nil) {
		ah, wh, amps = max(ah, r.res.Capacity), max(wh, r.res.Energy), max(amps, r.res.Current)
	}
	dAh, dWh, dA := quantity.Decimals(ah, digits), quantity.Decimals(wh, digits), quantity.Decimals(amps, digits)
	for _, f := range e.files {
		v.Files = append(v.Files, e.fileView(f))
		for _, r := range f.runs {
			row := wire.Run{ID: r.id, File: f.id, Name: r.name, Source: f.name, Colour: r.colour}
			if res := r.res; r.err == nil {
				row.Capacity, row.Energy = w.Fixed(res.Capacity, dAh), w.Fixed(res.Energy, dWh)
				row.Average, row.MidPoint = w.Fixed(res.Average, 3), w.Fixed(res.MidPoint, 3)
				row.Duration, row.Current = quantity.Clock(res.Duration), w.Fixed(res.Current, dA)
				row.Start, row.End = w.Fixed(res.Start, 3), w.Fixed(res.End, 3)
				row.TempMax, row.TempRise = w.Fixed(res.TempMax, 1), w.Fixed(res.TempRise, 1)
				v.Temperature = v.Temperature || !math.IsNaN(res.TempMax)
			}
			for _, c := range measure.Findings(r.Run, r.res, e.cutoff, w) {
				row.Checks = append(row.Checks, wire.Check{Severity: c.Severity.String(), Text: c.Text})
			}
			v.Runs = append(v.Runs, row)
		}
	}
	return v
}

func (e *Engine) fileView(f *file) wire.File {
	out := wire.File{ID: f.id, Name: f.name, State: "read", Key: f.key, Ruled: f.ruled}
	if l := f.log; l != nil {
		out.Summary = fmt.Sprintf("%s rows, %s, %s", e.words.Count(l.Rows), plural(len(f.runs), "discharge"), e.words.Bytes(l.Bytes))
		out.Guess, out.Notes, out.Left = l.Words(), l.Notes, l.Left
		for _, x := range l.LeftOut {
			out.LeftOut = append(out.LeftOut, wire.LeftOut{Line: x.Line, Reason: x.Reason})
		}
		if f.small > 0 {
			out.Notes = append(out.Notes[:len(out.Notes):len(out.Notes)],
				fmt.Sprintf("%s below 1 %% of the largest discharge not listed.", plural(f.small, "short pulse")))
		}
	}
	if f.fault != nil {
		out.State, out.Fault, out.Hint = "refused", f.fault.Error(), f.fault.Hint
		if f.question != "" {
			out.State, out.Question, out.About, out.Column = "asks", f.question, f.about, f.fault.Column
		}
	}
	return out
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
