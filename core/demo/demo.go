package demo

import (
	"fmt"
	"io"
)

// Log is one demo log as a tester would have written it.
type Log struct {
	// Name is the file's name: "Alder 1.00 A.csv".
	Name string

	recipe recipe
	layout layout
	day    int // of the first row, since the first log's
}

// series is one sample of a cell and the currents in A it was discharged at,
// the first of them 0.2 It.
type series struct {
	cell     *cell
	cutoff   float64 // V
	layout   layout
	currents []float64
}

var tests = []series{
	{&alder, 2.50, slashed, []float64{1.00, 3, 6, 12}},
	{&birch, 2.65, bracketed, []float64{0.80, 3, 6, 12, 18}},
	{&cedar, 2.80, dated, []float64{0.96, 3, 6, 12}},
	{&dogwood, 2.00, underscored, []float64{1.20, 3, 6, 12}},
}

// Logs lists the demo's logs in the order in which they are shown: cell by
// cell, each from its lowest current to its highest. Nothing is computed until
// a log is written.
//
// Two of them hold the mistakes of a real bench: logging of Birch at 6 A began
// when the load was already on, and Cedar at 3 A rested for 4 min only after
// its charge, the end of which is in the log.
func Logs() []Log {
	var logs []Log
	for _, s := range tests {
		for _, current := range s.currents {
			r := recipe{
				cell: s.cell, current: current, cutoff: s.cutoff,
				every: interval(current), seed: uint64(len(logs) + 1),
			}
			switch {
			case s.cell == &birch && current == 6:
				r.late = 46
			case s.cell == &cedar && current == 3:
				r.charged = true
			}
			logs = append(logs, Log{
				Name:   fmt.Sprintf("%s %.2f A.csv", s.cell.name, current),
				recipe: r, layout: s.layout, day: len(logs),
			})
		}
	}
	return logs
}

// interval is the time in s between rows at a current in A.
func interval(current float64) int {
	switch {
	case current >= 12:
		return 1
	case current >= 6:
		return 2
	case current >= 3:
		return 5
	}
	return 10
}

// WriteTo writes the log's delimited text in UTF-8. It is the same every time.
// The only errors are those of w. The zero Log is empty.
func (l Log) WriteTo(w io.Writer) (int64, error) {
	if l.recipe.cell == nil {
		return 0, nil
	}
	n, err := w.Write(l.layout.text(l.recipe, l.recipe.run().log, l.day))
	return int64(n), err
}
