package link

import (
	"encoding/binary"
	"math"
	"strconv"
	"strings"

	"plateau/core/publish"
	"plateau/core/say"
)

// Size is how many characters a link has, and what each part of it takes: that
// is what it would be shorter by without the part, or longer by with it where
// it is left out. Parts share texts, so that their sum is not the whole.
type Size struct {
	Total int
	Parts []PartSize // in the order of [Parts]
	// Tolerance in V is how far the curves are off at most: that of the options,
	// or more where they had been thinned before.
	Tolerance float64
	Points    int // of the curves of voltage
}

// PartSize is what one part takes.
type PartSize struct {
	Part
	Name  string
	Chars int
	In    bool
}

// length is how many characters a body makes.
func length(body []byte) int {
	n := len(binary.AppendUvarint(nil, uint64(len(body)))) + 4 + len(body)
	return 1 + (8*n+5)/6
}

func (w *Writer) length(o Options) (int, error) {
	body, err := w.body(o)
	return length(body), err
}

// with turns a part on or off.
func (o Options) with(part Part, in bool) Options {
	if !in {
		o.Out |= part
		return o
	}
	o.Out &^= part
	o.Private = o.Private || part == Notes
	return o
}

// Size tells what a link of these options takes.
func (w *Writer) Size(o Options) (Size, error) {
	n, err := w.length(o)
	if err != nil {
		return Size{}, err
	}
	s := Size{Total: n}
	for _, p := range Parts {
		in := o.has(p.Part)
		m, err := w.length(o.with(p.Part, !in))
		if err != nil {
			return Size{}, err
		}
		if in {
			m = 2*n - m
		}
		s.Parts = append(s.Parts, PartSize{p.Part, p.Name, m - n, in})
	}
	if len(w.post.Curves) > 0 && o.has(Curves) {
		k := w.lines(o.Tolerance)
		s.Tolerance = float64(k.tolerance) / 1e6
		for _, l := range k.lines {
			s.Points += len(l.volts)
		}
	}
	return s, nil
}

// Fitted is a link that was made to fit.
type Fitted struct {
	Text string
	Options
	Did []string // in sentences; none where nothing had to be done
}

// dispensable are the parts in the order in which a link does without them.
var dispensable = []Part{Temperatures, Method, Logs, Curves, Ranking, Cells, Verdicts, Findings, Figures}

// coarser are tolerances in V that are tried: up to the fourth before a part is
// left out.
var coarser = []float64{2e-3, 3e-3, 4e-3, 5e-3, 7e-3, 10e-3}

const beforeParts = 4

// Fit makes a link of at most limit characters: with coarser curves first, then
// without part after part, and with those again for which there is room in the
// end. What the options leave out stays out.
func Fit(p publish.Post, limit int, o Options) (Fitted, error) { return NewWriter(p).Fit(limit, o) }

// Fit is [Fit] of the writer's post.
func (w *Writer) Fit(limit int, o Options) (Fitted, error) {
	if !(o.Tolerance > 0) {
		o.Tolerance = DefaultTolerance
	}
	asked := o
	var left []Part
	for k := 0; ; k++ {
		ladder := []float64{o.Tolerance}
		for n, t := range coarser {
			if t > o.Tolerance && (k > 0 || n < beforeParts) {
				ladder = append(ladder, t)
			}
		}
		fits, n, err := w.finest(limit, o, ladder)
		if err != nil {
			return Fitted{}, err
		}
		if fits > 0 {
			o.Tolerance = fits
			break
		}
		for k < len(dispensable) && !o.has(dispensable[k]) {
			k++
		}
		if k >= len(dispensable) {
			return Fitted{}, &Broken{say.With("This does not fit: the shortest link has %d characters, and %d are allowed.", n, limit)}
		}
		o = o.with(dispensable[k], false)
		left = append(left, dispensable[k])
	}
	return w.settled(limit, asked, o, left)
}

// finest is the finest tolerance of a ladder that fits, 0 for none, and the
// length at the coarsest.
func (w *Writer) finest(limit int, o Options, ladder []float64) (tolerance float64, n int, err error) {
	low, high := 0, len(ladder)-1
	o.Tolerance = ladder[high]
	if n, err = w.length(o); err == errPoints {
		return 0, Longest, nil
	} else if err != nil || n > limit {
		return 0, n, err
	}
	if !o.has(Curves) || len(w.post.Curves) == 0 {
		return ladder[0], n, nil
	}
	for low < high {
		mid := (low + high) / 2
		o.Tolerance = ladder[mid]
		if m, err := w.length(o); err == nil && m <= limit {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return ladder[high], n, nil
}

// settled takes parts back for which there is room, the most useful first, and
// says what was done.
func (w *Writer) settled(limit int, asked, o Options, left []Part) (Fitted, error) {
	var out Part
	for k := len(left) - 1; k >= 0; k-- {
		back := o.with(left[k], true)
		if n, err := w.length(back); err == nil && n <= limit {
			o = back
		} else {
			out |= left[k]
		}
	}
	f := Fitted{Options: o}
	var err error
	if f.Text, err = w.Encode(o); err != nil {
		return Fitted{}, err
	}
	if o.has(Curves) && len(w.post.Curves) > 0 && o.Tolerance > asked.Tolerance {
		f.Did = append(f.Did, say.With("Curves are kept to %s mV, not %s mV.", milli(o.Tolerance), milli(asked.Tolerance)))
	}
	var names []string
	for _, p := range Parts {
		if out&p.Part != 0 {
			names = append(names, say.Text(p.Name))
		}
	}
	if len(names) > 0 {
		f.Did = append(f.Did, say.With("Left out: %s.", strings.Join(names, ", ")))
	}
	return f, nil
}

func milli(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e3, 'g', -1, 64) }
