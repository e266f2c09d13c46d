package engine

import (
	"reflect"
	"slices"
	"sort"

	"plateau/wasm/app/wire"
)

// documentVersion is that of [document]. Version 1 had no incoming inspection; a
// document without one is still written as it was.
const documentVersion = 2

// document is what a person typed and decided: all of the state but the logs
// themselves.
type document struct {
	Version int    `json:"version"`
	Program string `json:"program"`
	Cutoff  string `json:"cutoff,omitempty"` // as typed
	// Volts is the cut-off in force in V, 0 for none: another than Cutoff says
	// where that is wrong.
	Volts float64 `json:"volts,omitempty"`
	// Tester is nil where nothing is said of it; DemoTester: it is the demo's.
	Tester     *wire.Tester    `json:"tester,omitempty"`
	DemoTester bool            `json:"demoTester,omitempty"`
	Cells      []wire.Cell     `json:"cells,omitempty"` // in the order in which they were entered
	Typed      []wire.TypedRun `json:"typed,omitempty"`
	Load       wire.Load       `json:"load,omitzero"`
	Plan       wire.Plan       `json:"plan,omitzero"`
	Title      string          `json:"title,omitempty"`   // of what is published
	Private    string          `json:"private,omitempty"` // the person's own notes
	Logs       []documentLog   `json:"logs,omitempty"`    // in the order of the page
	Runs       []documentRun   `json:"runs,omitempty"`    // of which a person said something
}

// documentLog is one log: Log is the key under which it is kept, empty where the
// document is not for keeping.
type documentLog struct {
	ID      int    `json:"id"`
	Name    string `json:"name"`
	Log     string `json:"log,omitempty"`
	Demo    bool   `json:"demo,omitempty"`
	Colours []int  `json:"colours,omitempty"` // of its runs, from 0
}

// documentRun is what a person said of a run: of which cell it is, why it does
// not count.
type documentRun struct {
	Run  string `json:"run"`
	Cell string `json:"cell,omitempty"`
	Void string `json:"void,omitempty"`
}

// document is the state as it is now.
func (e *Engine) document() document {
	d := document{Version: 1, Program: Version, Cutoff: e.cutText, Volts: e.cutoff, DemoTester: e.demoTester, Load: e.load, Plan: e.plan, Title: e.title, Private: e.private}
	d.Load.Errors = nil
	if w := bareTester(e.tester); !reflect.DeepEqual(w, wire.Tester{}) {
		d.Tester = &w
	}
	for _, name := range e.cellOrder {
		if k := e.cells[name]; k != nil {
			w := bareCell(k.typed)
			if d.Cells = append(d.Cells, w); w.Arrived != (wire.Arrived{}) || w.SheetMass+w.MaxResistance != "" {
				d.Version = documentVersion
			}
		}
	}
	for _, t := range e.typedRuns {
		w := t.TypedRun
		w.Errors, w.Average, w.Checks, w.Offers = nil, "", nil, nil
		d.Typed = append(d.Typed, w)
	}
	for _, f := range e.files {
		d.Logs = append(d.Logs, documentLog{ID: f.id, Name: f.name, Demo: f.demo, Colours: f.colours()})
	}
	said := map[string]documentRun{}
	for id, name := range e.assigned {
		said[id] = documentRun{Run: id, Cell: name}
	}
	for id, why := range e.void {
		r := said[id]
		r.Run, r.Void = id, why
		said[id] = r
	}
	for _, r := range said {
		d.Runs = append(d.Runs, r)
	}
	sort.Slice(d.Runs, func(i, j int) bool { return d.Runs[i].Run < d.Runs[j].Run })
	return d
}

// bareCell and bareTester are forms without what the engine says of them.
func bareCell(w wire.Cell) wire.Cell {
	w.Was, w.Errors, w.Checks, w.Runs, w.Ask, w.From, w.Samples, w.SizeWords = "", nil, nil, 0, "", "", 0, ""
	return w
}

func bareTester(w wire.Tester) wire.Tester {
	w.Errors, w.Known, w.Assumed = nil, false, nil
	w.Voltage, w.Current = slices.Clone(w.Voltage), slices.Clone(w.Current)
	return w
}

// take brings the state to a document, with its logs, which are in the same order.
func (e *Engine) take(d document, files []*file) {
	there := map[*file]bool{}
	for _, f := range e.files {
		there[f] = true
	}
	same := len(files) == len(e.files)
	for k := 0; same && k < len(files); k++ {
		same = files[k] == e.files[k]
	}
	e.assigned, e.void = map[string]string{}, map[string]string{}
	for _, r := range d.Runs {
		if r.Cell != "" {
			e.assigned[r.Run] = r.Cell
		}
		if r.Void != "" {
			e.void[r.Run] = r.Void
		}
	}
	if w := bareTester(e.tester); d.Tester == nil && !reflect.DeepEqual(w, wire.Tester{}) || d.Tester != nil && !reflect.DeepEqual(w, *d.Tester) {
		e.setTester(d.Tester)
	}
	if !same {
		e.files = slices.Clone(files)
		for k, f := range e.files {
			f.demo = d.Logs[k].Demo
			if !there[f] && f.log != nil && f.own == nil {
				e.findRuns(f)
			}
		}
		e.part()
		for k := 0; k < len(e.files); k++ {
			if f := e.files[k]; !there[f] {
				e.join(f)
			}
		}
		for k, f := range e.files {
			f.paint(d.Logs[k].Colours)
		}
		e.colour()
	}
	e.demoTester = d.DemoTester
	e.cells, e.cellOrder = map[string]*known{}, nil
	for k := range d.Cells[:min(len(d.Cells), mostCells)] {
		e.setCell(&d.Cells[k])
	}
	e.load, e.title, e.private = d.Load, d.Title, d.Private
	e.setPlan(&d.Plan)
	for _, r := range e.all(nil) {
		e.name(r)
	}
	e.typedRuns = nil
	e.cutoff = 0
	if d.Volts >= leastCutoff && d.Volts <= mostCutoff {
		e.cutoff = d.Volts
	}
	e.setCutoff(d.Cutoff)
	e.setTyped(d.Typed)
}
