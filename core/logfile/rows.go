package logfile

import (
	"bytes"
	"math"
	"strconv"
	"strings"

	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/trace"
)

// rows turns lines into samples. Each line first goes through alike and fast,
// which handle plain numbers as loggers write them; what they do not know goes
// through slow, which knows more and says why a row cannot be used.
type rows struct {
	under
	lay                *Layout
	delimiter, decimal byte
	header             []byte // to know it when it comes again …
	first              under  // … and how the rows under it are read
	line               int    // the last line read
	vals               [roles]float64
	tr                 *trace.Trace
	left               leftOut
	pattern            pattern
	size               int // of the last row in bytes
	dates              dates

	open     [][]byte // lines since a quote was opened that is not closed yet
	openLine int      // the first of them
	odd      bool     // more than plain numbers in every row: fast is of no use
	foreign  int      // the line at which another table began; 0 for none

	n           int // rows used
	slots       int // intervals gone by, where there is no time
	origin      float64
	last        float64 // time of the last sample, s from the first
	shift       float64 // added where a clock wrapped or began anew
	restarts    int
	restartLine int
	// rows dropped because their time goes back, and the line of the first
	wentBack, wentBackLine int
	held                   *heldRow // a row that went back in time, until the next one tells
}

type heldRow struct {
	line int
	t    float64
	vals [roles]float64
}

// feed reads whole lines: b[:end] ends with '\n' and has slack behind it.
func (r *rows) feed(b []byte, end int) {
	for i := 0; i < end; {
		if i = r.fast(b, i, end); i == end {
			break
		}
		r.line++
		next := i + bytes.IndexByte(b[i:end], '\n')
		r.slow(b[i:next])
		i = next + 1
	}
}

// maxOpen is how many lines a quoted field may run over.
const maxOpen = 5

// slow reads one line that fast could not. A quote that is not closed may hold
// a line end (RFC 4180 section 2, rule 6): then the next lines belong to it, if
// together they make a row; if not, each stands for itself.
func (r *rows) slow(line []byte) {
	if k := bytes.IndexByte(line, '\r'); k >= 0 && k < len(line)-1 && r.open == nil {
		r.slow(line[:k]) // a line end of the old kind among others
		r.line++
		r.slow(line[k+1:])
		return
	}
	if r.open == nil {
		if r.delimiter != ' ' && bytes.Count(line, quote)%2 == 1 {
			r.open, r.openLine = [][]byte{bytes.Clone(line)}, r.line
			return
		}
		r.take(line, r.line)
		return
	}
	r.open = append(r.open, bytes.Clone(line))
	joined := bytes.Join(r.open, []byte("\n"))
	if bytes.Count(joined, quote)%2 == 0 {
		if vals, why := r.values(joined); why == "" {
			r.open = nil
			r.accept(&vals)
			return
		}
	} else if len(r.open) < maxOpen && len(joined) < 4096 {
		return
	}
	r.flush()
}

var quote = []byte(`"`)

// flush takes the lines of an open quote one by one.
func (r *rows) flush() {
	lines, at := r.open, r.openLine
	r.open = nil
	for k, l := range lines {
		r.take(l, at+k)
	}
}

// take reads one line as a row, or lists it as left out.
func (r *rows) take(line []byte, at int) {
	trimmed := bytes.TrimPrefix(bytes.TrimSpace(line), []byte("\ufeff"))
	if len(trimmed) == 0 || comment(trimmed) && bytes.IndexByte(trimmed, r.delimiter) < 0 {
		return
	}
	leave := func(why string) { r.left.add(at, func() string { return why }) }
	if bytes.Equal(trimmed, r.header) {
		if r.plan != r.first.plan {
			r.readBy(r.first)
		}
		r.foreign = 0
		leave(say.Later("repeats the header"))
		return
	}
	vals, why := r.values(line)
	switch {
	case r.foreign > 0 && namesColumns(trimmed, r.delimiter):
		r.another(trimmed, at, leave)
	case r.foreign > 0:
		leave(say.Keep(say.Later("belongs to another table, which begins in line %s"), r.foreign))
	case why == "":
		r.accept(&vals)
	case comment(trimmed): // is no row
	case !wordy(trimmed) || r.left.n > mostHeads:
		r.slots++
		leave(why)
	case isUnitsRow(splitLine(trimmed, r.delimiter)):
		leave(say.Later("repeats the units"))
	case namesColumns(trimmed, r.delimiter):
		r.another(trimmed, at, leave)
	default:
		r.slots++ // its time went by all the same
		leave(why)
	}
}

// mostHeads is how many lines are left out before no more of them are looked at
// for a header.
const mostHeads = 2000

// wordy: a line with letters enough for a header, and not too long for one.
func wordy(l []byte) bool {
	letters := 0
	for _, c := range l[:min(len(l), 400)] {
		if c >= 'A' {
			letters++
		}
	}
	return letters > 1 && len(l) < 2000
}

// values reads the fields of a row, or says why they cannot be used.
func (r *rows) values(line []byte) (vals [roles]float64, why string) {
	if bytes.IndexByte(line, 0) >= 0 {
		return vals, say.Later("holds NUL bytes: the logger was cut off while it wrote")
	}
	fields := r.lay.split(bytes.TrimPrefix(line, []byte("\ufeff")))
	// A delimiter too few or too many shifts the values: only a row that lacks
	// no more than the columns that are blank in all others is sound.
	if n := len(fields); n > r.width {
		return vals, say.Keep(say.Later("has %s fields, %s expected"), n, r.width)
	} else if n < r.width && (n != r.least || strings.TrimSpace(fields[n-1]) == "") {
		return vals, say.Keep(say.Later("has %s of %s fields"), n, r.width)
	}
	vals = r.vals
	for k, role := range r.fields {
		if role == skip {
			continue
		}
		x, ok := r.field(fields[k], role)
		bad := func(english string) string {
			return say.Keep(english, k+1, strconv.Quote(cut(strings.TrimSpace(fields[k]))))
		}
		switch {
		case ok:
			vals[role] = x
		case role == roleTemperature || role.isCounter():
			vals[role] = math.NaN() // the sample counts without it
		case isBlank(fields[k]):
			return vals, bad(say.Later("column %s holds no value: %s"))
		case role == roleDate || role == roleTime && r.timeForm != number:
			return vals, bad(say.Later("column %s is not a time: %s"))
		default:
			return vals, bad(say.Later("column %s is not a number: %s"))
		}
	}
	return vals, ""
}

// field is the value of one field in the base unit.
func (r *rows) field(text string, role role) (x float64, ok bool) {
	switch {
	case role == roleDate:
		day, ok := r.dates.date([]byte(clean(text)))
		return float64(day) * day86400, ok
	case role == roleTime && r.timeForm != number:
		return r.clockTime([]byte(clean(text)))
	}
	x, unit, ok := r.lay.syntax.number(text)
	if !ok {
		return 0, false
	}
	if unit != "" { // a cell that names its unit means it
		u, ok := quantity.UnitOf(unit, roleKinds[role].of())
		return float64(x*u.Factor) + u.Offset, ok && !u.Clock
	}
	return float64(x*r.factor[role]) + r.offset[role], true
}

// clockTime reads a time that is written as a clock or a date, in s.
func (r *rows) clockTime(f []byte) (float64, bool) {
	if r.timeForm == clock {
		return parseClock(f)
	}
	return r.dates.parse(f)
}

const day86400 = 86400 // s

// accept takes a row whose values are good, if its time is.
func (r *rows) accept(vals *[roles]float64) {
	t := vals[roleTime]
	if r.has[roleDate] {
		t += vals[roleDate]
	}
	if r.interval > 0 {
		t = float64(float64(r.slots) * r.interval)
		r.slots++
	}
	if r.n == 0 {
		r.origin = t
	}
	t += r.shift - r.origin // as fast has it, to the last bit
	if t >= r.last && r.held == nil {
		r.add(t, vals)
		return
	}
	r.backward(t, vals)
}

// backward settles rows whose time is less than the one before. A clock at
// midnight goes on a day later. Else the row is held until the next one: if
// that goes on from it, the clock began anew; if not, the row is left out.
func (r *rows) backward(t float64, vals *[roles]float64) {
	if r.held == nil {
		if r.timeForm == clock && !r.has[roleDate] && r.last-t > day86400/2 && r.last-t <= day86400 {
			r.shift += day86400
			r.add(t+day86400, vals)
			return
		}
		r.held = &heldRow{r.line, t, *vals}
		return
	}
	held := r.held
	r.held = nil
	if r.begunAnew(held.t, t) {
		r.restart(held)
		r.add(r.last+(t-held.t), vals)
		return
	}
	r.drop(held)
	if t >= r.last {
		r.add(t, vals)
		return
	}
	r.backward(t, vals)
}

// begunAnew tells whether a time that went back to held and then to t is that
// of a clock that began anew, rather than one odd row in a clock that runs on:
// by which of the two intervals is more like the one before.
func (r *rows) begunAnew(held, t float64) bool {
	if t < held {
		return false
	}
	if t < r.last {
		return true
	}
	usual := 0.0
	if k := r.tr.Len(); k > 1 {
		usual = r.tr.Time(k-1) - r.tr.Time(k-2)
	}
	return math.Abs(t-held-usual) < math.Abs(t-r.last-usual)
}

// restart goes on from a clock that began anew: the new one is taken to start
// at the last sample, its own first reading later.
func (r *rows) restart(h *heldRow) {
	r.restarts++
	if r.restarts == 1 {
		r.restartLine = h.line
	}
	own := h.vals[roleTime]
	if own < 0 || own > r.last {
		own = 0
	}
	before := h.t
	at := r.last + own
	r.shift += at - before
	r.add(at, &h.vals)
}

func (r *rows) drop(h *heldRow) {
	if r.wentBack++; r.wentBack == 1 {
		r.wentBackLine = h.line
	}
	r.left.add(h.line, func() string { return say.Keep(say.Later("time goes back by %s s"), significant(r.last-h.t, 6)) })
}

func (r *rows) add(t float64, vals *[roles]float64) {
	i, v := vals[roleCurrent], vals[roleVoltage]
	switch {
	case r.current != 0:
		i = r.current
	case r.has[rolePower]:
		if v == 0 {
			r.left.add(r.line, func() string { return say.Later("current cannot be worked out from power at 0 V") })
			return
		}
		i = vals[rolePower] / v
	case r.has[roleResistance]:
		if vals[roleResistance] == 0 {
			r.left.add(r.line, func() string { return say.Later("current cannot be worked out with 0 Ω") })
			return
		}
		i = v / vals[roleResistance]
	}
	r.tr.Append(t, v, i, vals[roleTemperature])
	r.tr.Count(trace.CounterCharge, vals[roleCharge])
	r.tr.Count(trace.CounterEnergy, vals[roleEnergy])
	r.last = t
	r.n++
}

// finish settles what is still held.
func (r *rows) finish() {
	if r.open != nil {
		r.flush()
	}
	if r.held != nil {
		r.drop(r.held)
		r.held = nil
	}
}
