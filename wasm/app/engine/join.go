package engine

import (
	"math"

	"plateau/core/logfile"
	"plateau/core/say"
	"plateau/core/trace"
)

const (
	// A log goes on from another where it begins under load within joinGap of
	// that one's last intervals, with a current and a voltage like its last.
	joinGap     = 5    // intervals
	joinCurrent = 0.02 // of the current
	joinVoltage = 0.1  // V
)

// join puts together the parts of one run that a logger split by size: f goes
// on from a log that ends under load, or one that begins under load goes on
// from f. The part that begins becomes a part of the other, and says so.
func (e *Engine) join(f *file) {
	for _, other := range e.files {
		if other == f {
			continue
		}
		a, b := other, f
		if goesOn(f, other) {
			a, b = f, other
		} else if !goesOn(other, f) {
			continue
		}
		e.append(a, b)
		e.join(a) // there may be more than two parts
		return
	}
}

// part takes all logs apart again, and puts together what still belongs so.
func (e *Engine) part() {
	apart := false
	for _, f := range e.files {
		if f.own != nil {
			colours := f.colours()
			f.log, f.own, f.joined = f.own, nil, 0
			e.findRuns(f)
			f.paint(colours)
			apart = true
		}
	}
	for k := 0; apart && k < len(e.files); k++ {
		e.join(e.files[k])
	}
	e.colour()
}

// colours are those of a file's runs, paint gives them back in order.
func (f *file) colours() []int {
	var colours []int
	for _, r := range f.runs {
		colours = append(colours, r.colour)
	}
	return colours
}

func (f *file) paint(colours []int) {
	for k, r := range f.runs {
		r.colour = uncoloured
		if k < len(colours) {
			r.colour = colours[k]
		}
	}
}

// goesOn tells whether b is the next part of a.
func goesOn(a, b *file) bool {
	if a.log == nil || b.log == nil || a.fault != nil || b.fault != nil || a.joined != 0 || b.joined != 0 ||
		a.key == "" || a.key != b.key || a.log.Absolute != b.log.Absolute {
		return false
	}
	ta, tb := a.log.Trace, b.log.Trace
	n := ta.Len()
	if n < 3 || tb.Len() < 3 {
		return false
	}
	i, j := ta.Current(n-1), tb.Current(0)
	if !(i > 0) || math.Abs(i-j) > joinCurrent*i || math.Abs(ta.Voltage(n-1)-tb.Voltage(0)) > joinVoltage || tb.Voltage(0) > ta.Voltage(n-1)+0.02 {
		return false
	}
	gap := b.log.Origin - (a.log.Origin + ta.Time(n-1))
	usual := max(ta.Time(n-1)-ta.Time(n-2), tb.Time(1))
	return gap >= 0 && gap <= joinGap*usual
}

// append adds the samples of b to a, whose runs are looked for anew.
func (e *Engine) append(a, b *file) {
	shift := b.log.Origin - a.log.Origin
	tr := trace.New(a.log.Trace.HasTemperature() && b.log.Trace.HasTemperature())
	for _, c := range []trace.Counter{trace.CounterCharge, trace.CounterEnergy} {
		if a.log.Trace.HasCounter(c) && b.log.Trace.HasCounter(c) {
			tr.WithCounter(c)
		}
	}
	for _, l := range []*logfile.Log{a.log, b.log} {
		l.Trace.SetLead(0) // the whole is corrected at once
	}
	tr.Copy(a.log.Trace, 0)
	tr.Copy(b.log.Trace, shift)
	whole := *a.log
	whole.Trace, whole.Rows = tr, a.log.Rows+b.log.Rows
	whole.Notes = append(whole.Notes[:len(whole.Notes):len(whole.Notes)], say.Keep(say.Later("The log goes on in “%s”: both were joined by their times."), b.name))
	for _, f := range []*file{a, b} {
		if f.own == nil {
			f.own = f.log
		}
	}
	colours := a.colours()
	a.log = &whole
	e.findRuns(a)
	a.paint(colours)
	e.colour()
	b.joined, b.runs = a.id, nil
	part := *b.log
	b.log = &part
	b.log.Notes = append(b.log.Notes[:len(b.log.Notes):len(b.log.Notes)], say.Keep(say.Later("This log goes on from “%s”: its discharge is listed there."), a.name))
}
