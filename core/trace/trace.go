// Package trace holds what a log recorded of a cell, as columns in SI: time,
// voltage, current, temperature. It finds the steps (rest, charge, discharge)
// in it, adds up charge and energy along a discharge, and thins curves to the
// pixels of a screen.
package trace

import "math"

// SegmentLen is the samples in one segment of the columns. Segments never move, so
// that a growing trace is not copied: on a log of 3.5 million rows, append
// cost three times as much in time and memory.
const SegmentLen = 2048

type column [SegmentLen]float64

type segment struct {
	t, v, i, temp *column                        // temp is nil where the log has no temperature
	counts        [counters]*[SegmentLen]float32 // nil where the log does not count
	read          *column                        // the voltage as read, where v is corrected for the leads
	sum           *summary                       // nil until asked for
}

// Trace is a log's samples in order. Times are s from the first sample and do
// not decrease; voltage is V; current is A, positive on discharge once
// [Trace.SettleSign] has run; temperature is °C, NaN where a row has none.
// The zero Trace is empty and ready to use.
type Trace struct {
	segs []segment
	n    int
	temp bool
	has  [counters]bool
	lead float64 // Ω
	// of each segment; nil until asked for
	spans []span
}

// New returns an empty trace, with a temperature column or without.
func New(temperature bool) *Trace { return &Trace{temp: temperature} }

// Append adds one sample. temp is left out where the trace has no column for it;
// counters are NaN.
func (tr *Trace) Append(t, v, i, temp float64) {
	w := tr.Room()
	w.T[0], w.V[0], w.I[0] = t, v, i
	if w.Temp != nil {
		w.Temp[0] = temp
	}
	for _, c := range w.Counts {
		if c != nil {
			c[0] = float32(math.NaN())
		}
	}
	tr.Added(1)
}

// Room is space for the next samples, at least one, in the columns themselves;
// Temp is nil where the trace has no temperature. What is written there counts
// once [Trace.Added] says how many samples it is.
func (tr *Trace) Room() Window {
	k := tr.n & (SegmentLen - 1)
	if k == 0 && tr.n == len(tr.segs)*SegmentLen {
		tr.grow()
	}
	s := &tr.segs[len(tr.segs)-1]
	s.sum = nil
	w := Window{Start: tr.n, T: s.t[k:], V: s.v[k:], I: s.i[k:]}
	if s.temp != nil {
		w.Temp = s.temp[k:]
	}
	for c := range s.counts {
		if s.counts[c] != nil {
			w.Counts[c] = s.counts[c][k:]
		}
	}
	return w
}

// Added counts n samples that were written to Room. A segment that they fill
// is summed up at once, while it is at hand.
func (tr *Trace) Added(n int) {
	if tr.lead != 0 && n > 0 {
		tr.leadAdded(n)
	}
	tr.n += n
	tr.spans = nil
	if n > 0 && tr.n%SegmentLen == 0 {
		tr.sum(tr.n - SegmentLen)
	}
}

func (tr *Trace) grow() {
	s := segment{t: new(column), v: new(column), i: new(column)}
	if tr.temp {
		s.temp = new(column)
	}
	for c := range s.counts {
		if tr.has[c] {
			s.counts[c] = new([SegmentLen]float32)
		}
	}
	tr.segs = append(tr.segs, s)
}

// Len is the number of samples.
func (tr *Trace) Len() int { return tr.n }

// HasTemperature says whether there is a temperature column.
func (tr *Trace) HasTemperature() bool { return tr.temp }

// Time is the time of sample k in s.
func (tr *Trace) Time(k int) float64 { return tr.segs[k/SegmentLen].t[k%SegmentLen] }

// Voltage is the voltage of sample k in V.
func (tr *Trace) Voltage(k int) float64 { return tr.segs[k/SegmentLen].v[k%SegmentLen] }

// Current is the current of sample k in A.
func (tr *Trace) Current(k int) float64 { return tr.segs[k/SegmentLen].i[k%SegmentLen] }

// Temperature is the temperature of sample k in °C; NaN where there is none.
func (tr *Trace) Temperature(k int) float64 {
	if !tr.temp {
		return math.NaN()
	}
	return tr.segs[k/SegmentLen].temp[k%SegmentLen]
}

// Window is a part of a trace that lies in one piece: sample Start+j is
// T[j], V[j], I[j], and Temp[j] where Temp is not nil; Counts are the log's own
// counters, by [Counter], nil where there is none.
type Window struct {
	Start         int
	T, V, I, Temp []float64
	Counts        [counters][]float32
}

// Windows yields samples from (included) to to (left out) piece by piece, so
// that a pass over millions of them is a loop over plain slices.
func (tr *Trace) Windows(from, to int) func(yield func(Window) bool) {
	return func(yield func(Window) bool) {
		for k := from; k < to; {
			s := tr.segs[k/SegmentLen]
			a := k % SegmentLen
			b := min(SegmentLen, a+to-k)
			w := Window{Start: k, T: s.t[a:b], V: s.v[a:b], I: s.i[a:b]}
			if s.temp != nil {
				w.Temp = s.temp[a:b]
			}
			for c := range s.counts {
				if s.counts[c] != nil {
					w.Counts[c] = s.counts[c][a:b]
				}
			}
			if !yield(w) {
				return
			}
			k += b - a
		}
	}
}
