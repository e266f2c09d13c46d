package load

import (
	"fmt"

	"plateau/core/say"
)

// Few: the discharges are not at two currents. Current in A is the only one, 0
// where there is none.
type Few struct{ Current float64 }

func (e Few) Error() string {
	if e.Current == 0 {
		return say.Text("there is no discharge; an answer for a load needs discharges at two currents at least")
	}
	return say.With("all discharges are at %.3g A; an answer for a load needs discharges at two currents at least that differ by 5 %%", e.Current)
}

// Senseless: what was asked is no load.
type Senseless struct{}

func (Senseless) Error() string {
	return say.Text("a load is a current or a power above zero, with a cut-off above zero")
}

// Disorder: the logs have values that make no answer.
type Disorder struct{}

func (Disorder) Error() string {
	return say.Text("the discharges have readings that make no answer, such as infinite ones: look at their curves")
}

// Outside: the load takes currents that were not measured down to the cut-off.
type Outside struct {
	Low, High float64 // A, what was measured down to the cut-off
	From, To  float64 // A, what the load takes; the same for a constant current
	// Above says that To is over High, else From is under Low.
	Above bool
	// Why says what would have been inside and could not be used, or is empty.
	Why string
}

func (e Outside) Error() string {
	takes := fmt.Sprintf("%.3g A", e.To)
	if e.From != e.To {
		takes = say.With("%.3g A at the start and %.3g A at the cut-off", e.From, e.To)
	}
	s := say.With("the load takes %s, which is below what was measured down to the cut-off: %.3g A to %.3g A", takes, e.Low, e.High)
	switch {
	case e.Low == e.High:
		s = say.With("the load takes %s, and only %.3g A was measured down to the cut-off", takes, e.Low)
	case e.Above:
		s = say.With("the load takes %s, which is above what was measured down to the cut-off: %.3g A to %.3g A", takes, e.Low, e.High)
	}
	if e.Why != "" {
		s += "; " + e.Why
	}
	return s
}

// Shutdown: at the start the voltage under load is below the device's cut-off,
// and the device goes off, though the cell may recover.
type Shutdown struct {
	Voltage float64 // V, the lowest at the start
	After   float64 // s from the load on until it is below the cut-off
	Cutoff  float64 // V
}

func (e Shutdown) Error() string {
	return say.With("the voltage falls to %.3f V at the start, below the cut-off of %.3f V after %.3g s: the device goes off", e.Voltage, e.Cutoff, e.After)
}

// TooLow: no discharge went down to the cut-off; the deepest ended at Reached V.
type TooLow struct{ Reached, Cutoff float64 }

func (e TooLow) Error() string {
	return say.With("no discharge went down to %.3f V; the deepest ended at %.3f V", e.Cutoff, e.Reached)
}
