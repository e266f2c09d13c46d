package engine

import (
	"fmt"
	"math"
	"strings"

	"plateau/core/measure"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// digits is how many significant digits the largest figure of a column shows.
// The usual instruments are good for three; one more is kept for comparing.
const digits = 4

// view is the page as it should be now.
func (e *Engine) view() *wire.View {
	v := &wire.View{Files: []wire.File{}, Runs: []wire.Run{}, CutoffError: e.badCut, Tester: e.testerView(), Cells: e.cellViews(), Typed: e.typedViews()}
	if e.cutoff > 0 {
		v.Cutoff = e.words.Fixed(e.cutoff, 3) + " V"
	}
	cols := e.columns()
	for _, f := range e.files {
		v.Files = append(v.Files, e.fileView(f))
		for _, r := range f.runs {
			if r.late {
				v.Runs = append(v.Runs, wire.Run{ID: r.id, Late: true})
				continue
			}
			v.Temperature = v.Temperature || r.err == nil && !math.IsNaN(r.res.TempMax)
			v.Runs = append(v.Runs, e.runView(f, r, cols))
		}
	}
	e.contacts(v.Runs)
	v.Cutoffs = e.cutoffTable(cols)
	if !e.late {
		e.repeated = e.repeats(cols)
	}
	v.Repeats = e.repeated
	_, v.ResistanceWhy = e.maps(nil, 2)
	v.Undo, v.Redo = e.history.acts()
	v.Title, v.Private = e.title, e.private
	v.CutoffText, v.Changes = e.cutText, e.changes
	v.Drawn = e.drawn()
	return v
}

func (e *Engine) runView(f *file, r *run, cols columns) wire.Run {
	of := func(q measure.Quantity) wire.Figure { return cols.of(e, r, q) }
	row := wire.Run{ID: r.id, File: f.id, Name: r.name, Source: f.name, Colour: r.colour, Cell: r.cell, Guessed: r.guessed, Void: r.void,
		AtLeast:  r.res.Ending == measure.NotReached && r.err == nil,
		Capacity: of(measure.Capacity), Energy: of(measure.Energy), Average: of(measure.Average), MidPoint: of(measure.MidPoint),
		Duration: of(measure.Duration), Current: of(measure.Current), Start: of(measure.Start), End: of(measure.End),
		TempMax: of(measure.TempMax), TempRise: of(measure.TempRise), Checks: checksOf(r)}
	if r.err == nil {
		row.Rate = e.rate(e.cellNamed(r.cell), r.res.Current)
	}
	row.Resistance.Why = say.With("No d.c. resistance: %s.", strings.TrimSuffix(r.stepWhy, "."))
	if x, ok := r.stepResistance(); ok {
		row.Resistance, row.ResistanceAt = e.stepOhms(r, x), e.significant(x.Time, 2)+" s"
	}
	return row
}

// drawn tells by another text that the curves are others.
func (e *Engine) drawn() string {
	// FNV-1a, 64 bits
	h := uint64(14695981039346656037)
	add := func(s string) {
		for k := range len(s) {
			h = (h ^ uint64(s[k])) * 1099511628211
		}
		h = (h ^ 0xff) * 1099511628211
	}
	add(fmt.Sprint(e.cutoff, e.lead(), e.words.Comma))
	for _, r := range e.all(nil) {
		add(fmt.Sprintf("%p %s %d %s %s", r.Run, r.name, r.colour, r.cell, r.void))
		for _, c := range r.checks {
			if !math.IsNaN(c.At) {
				add(c.Text)
			}
		}
	}
	return fmt.Sprintf("%x", h)
}

// testerView is the specification as typed, and what had to be assumed.
func (e *Engine) testerView() wire.Tester {
	w := e.tester
	seen := map[string]bool{}
	w.Known = true
	any := false
	for _, r := range e.all(nil) {
		any = true
		w.Known = w.Known && r.use.Known
		for _, a := range r.use.Assumed {
			if !seen[a] {
				seen[a] = true
				w.Assumed = append(w.Assumed, a)
			}
		}
	}
	if !any {
		u := e.spec.For(4, 1)
		w.Known, w.Assumed = u.Known, u.Assumed
	}
	return w
}

func (e *Engine) fileView(f *file) wire.File {
	out := wire.File{ID: f.id, Name: f.name, State: "read", Key: f.key, Ruled: f.ruled}
	if l := f.log; l != nil {
		out.Summary = say.With("%s rows, %s, %s", e.words.Count(l.Rows), discharges(len(f.runs)), e.words.Bytes(l.Bytes))
		if l.Rows == 1 {
			out.Summary = say.With("1 row, %s, %s", discharges(len(f.runs)), e.words.Bytes(l.Bytes))
		}
		if f.saidOf != l {
			f.said, f.saidOf = l.Words(), l
		}
		out.Guess, out.Left = f.said, l.Left
		for _, n := range l.Notes {
			out.Notes = append(out.Notes, say.Kept(n))
		}
		for _, x := range l.LeftOut {
			out.LeftOut = append(out.LeftOut, wire.LeftOut{Line: x.Line, Reason: say.Kept(x.Reason)})
		}
		if f.small > 0 {
			small := say.Text("1 short pulse below 1 % of the largest discharge not listed.")
			if f.small > 1 {
				small = say.With("%d short pulses below 1 %% of the largest discharge not listed.", f.small)
			}
			out.Notes = append(out.Notes, small)
		}
	}
	if f.fault != nil {
		out.State, out.Fault, out.Hint = "refused", f.fault.Error(), say.Text(f.fault.Hint)
		if f.question != "" {
			out.State, out.Question, out.About, out.Column = "asks", say.Kept(f.question), f.about, f.fault.Column
		}
	}
	return out
}

func discharges(n int) string {
	if n == 1 {
		return say.Text("1 discharge")
	}
	return say.With("%d discharges", n)
}
