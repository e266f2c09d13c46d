package logfile

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"plateau/core/quantity"
	"plateau/core/trace"
)

// rows turns lines into samples. Each line first goes through fast, which
// handles plain numbers as loggers write them; what it does not know goes
// through slow, which knows more and says why a row cannot be used.
type rows struct {
	*plan
	delimiter, decimal byte
	width              int
	header             []byte // to know it when it comes again
	line               int    // the last line read
	vals               [roles]float64
	tr                 *trace.Trace
	left               leftOut
	pattern            pattern
	size               int // of the last row in bytes
	dates              dates

	n           int // rows used
	origin      float64
	last        float64 // time of the last sample, s from the first
	shift       float64 // added where a clock wrapped or began anew
	restarts    int
	restartLine int
	held        *heldRow // a row that went back in time, until the next one tells
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

// slow reads one line that fast could not, or lists it as left out.
func (r *rows) slow(line []byte) {
	trimmed := bytes.TrimSpace(line)
	if len(trimmed) == 0 {
		return // blank lines are no rows
	}
	leave := func(why string, args ...any) {
		r.left.add(r.line, func() string { return fmt.Sprintf(why, args...) })
	}
	if bytes.IndexByte(line, 0) >= 0 {
		leave("holds NUL bytes: the logger was cut off while it wrote")
		return
	}
	if bytes.Equal(trimmed, r.header) {
		leave("repeats the header")
		return
	}
	fields := splitLine(line, r.delimiter)
	if extra := len(trimBlank(fields)); extra > r.width {
		leave("has %d fields, %d expected", extra, r.width)
		return
	}
	if len(fields) < len(r.fields) {
		leave("has %d of %d fields", len(fields), r.width)
		return
	}
	vals := r.vals
	for k, role := range r.fields {
		if role == skip {
			continue
		}
		f := []byte(fields[k])
		var x float64
		ok := true
		switch {
		case role == roleTime && r.timeForm != number:
			x, ok = r.clockTime(f)
		default:
			var err error
			x, err = quantity.Decimal(f, r.decimal)
			ok = err == nil
			if !ok && role == roleTemperature {
				x, ok = math.NaN(), true // the sample counts without it
			}
		}
		if !ok {
			what := "is not a number"
			switch {
			case role == roleTime && r.timeForm != number:
				what = "is not a time"
			case formOf(fields[k], r.decimal) == blank:
				what = "holds no value"
			}
			leave("column %d %s: %q", k+1, what, cut(strings.TrimSpace(fields[k])))
			return
		}
		vals[role] = float64(x*r.factor[role]) + r.offset[role]
	}
	r.accept(&vals)
}

// clockTime reads a time that is written as a clock or a date, in s.
func (r *rows) clockTime(f []byte) (float64, bool) {
	if r.timeForm == clock {
		return parseClock(f)
	}
	return r.dates.parse(f)
}

const day = 86400

// accept takes a row whose values are good, if its time is.
func (r *rows) accept(vals *[roles]float64) {
	t := vals[roleTime]
	if r.n == 0 {
		r.origin = t
	}
	t = t - r.origin + r.shift
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
		if r.timeForm == clock && r.last-t > day/2 && r.last-t <= day {
			r.shift += day
			r.add(t+day, vals)
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
	r.left.add(h.line, func() string { return fmt.Sprintf("time goes back by %.6g s", r.last-h.t) })
}

func (r *rows) add(t float64, vals *[roles]float64) {
	i := vals[roleCurrent]
	if r.has[rolePower] {
		v := vals[roleVoltage]
		if v == 0 {
			r.left.add(r.line, func() string { return "current cannot be worked out from power at 0 V" })
			return
		}
		i = vals[rolePower] / v
	}
	r.tr.Append(t, vals[roleVoltage], i, vals[roleTemperature])
	r.last = t
	r.n++
}

// finish settles what is still held.
func (r *rows) finish() {
	if r.held != nil {
		r.drop(r.held)
		r.held = nil
	}
}
