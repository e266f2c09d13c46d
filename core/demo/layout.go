package demo

import (
	"math"
	"strconv"
	"strings"
)

// clock is how a log writes the time.
type clock uint8

const (
	seconds clock = iota // 120.0
	hms                  // 0:02:00
	date                 // 2026-02-14 08:02:00
)

// layout is how a log is written. They differ a little, as the logs of
// different benches do.
type layout struct {
	mark     bool // a byte order mark, and lines that end in CR LF
	preamble bool // lines about the run before the header
	header   []string
	sep      byte
	decimal  byte // mark before the decimals
	clock    clock
	mV, mA   bool // else V, A
	negative bool // discharge currents below zero
}

var (
	slashed = layout{
		preamble: true, sep: ',', decimal: '.', clock: seconds,
		header: []string{"Time / s", "Voltage / V", "Current / A", "Temperature / °C"},
	}
	bracketed = layout{
		mark: true, preamble: true, sep: ';', decimal: ',', clock: hms, mV: true, negative: true,
		header: []string{"Time [h:mm:ss]", "U [mV]", "I [A]", "T [°C]"},
	}
	dated = layout{
		sep: '\t', decimal: '.', clock: date, negative: true,
		header: []string{"Date and time", "U(V)", "I(A)", "Temp(°C)"},
	}
	underscored = layout{
		sep: ',', decimal: '.', clock: seconds, mA: true,
		header: []string{"time_s", "voltage_V", "current_mA", "temperature_C"},
	}
)

// text is a whole log. Its first row is of 08:00 of a day that counts from 14
// February 2026.
func (l layout) text(r recipe, rows []reading, day int) []byte {
	eol := "\n"
	out := make([]byte, 0, 256+44*len(rows))
	if l.mark {
		eol = "\r\n"
		out = append(out, "\uFEFF"...)
	}
	line := func(fields ...string) {
		out = append(out, strings.Join(fields, string(l.sep))...)
		out = append(out, eol...)
	}
	if l.preamble {
		line("Cell", r.cell.name+" 1")
		line("Set current", l.hundredths(r.current)+" A")
		line("Cut-off", l.hundredths(r.cutoff)+" V")
		line()
	}
	line(l.header...)
	for _, row := range rows {
		out = l.time(out, row.t, day)
		out = append(out, l.sep)
		if l.mV {
			out = strconv.AppendInt(out, int64(row.v), 10)
		} else {
			out = l.decimals(out, row.v, 3)
		}
		out = append(out, l.sep)
		i := row.i
		if l.negative {
			i = -i
		}
		if l.mA {
			out = strconv.AppendInt(out, int64(10*i), 10)
		} else {
			out = l.decimals(out, i, 2)
		}
		out = append(out, l.sep)
		out = l.decimals(out, row.temp, 1)
		out = append(out, eol...)
	}
	return out
}

// time appends the time t in s since the first row, which is of 08:00 of a day
// that counts from 14 February 2026.
func (l layout) time(out []byte, t, day int) []byte {
	two := func(mark byte, n int) { out = append(out, mark, byte('0'+n/10), byte('0'+n%10)) }
	switch l.clock {
	case hms:
		out = strconv.AppendInt(out, int64(t/3600), 10)
		two(':', t/60%60)
		two(':', t%60)
		return out
	case date:
		t += 8 * 3600
		month, day := 2, 14+day+t/(24*3600)
		if day > 28 { // the last log is of 2 March
			month, day = 3, day-28
		}
		out = append(out, "2026"...)
		two('-', month)
		two('-', day)
		two(' ', t/3600%24)
		two(':', t/60%60)
		two(':', t%60)
		return out
	}
	return l.decimals(out, 10*t, 1)
}

// decimals appends n·10^−places with that many decimals.
func (l layout) decimals(out []byte, n, places int) []byte {
	if n < 0 {
		out = append(out, '-')
		n = -n
	}
	unit := 1
	for range places {
		unit *= 10
	}
	out = strconv.AppendInt(out, int64(n/unit), 10)
	out = append(out, l.decimal)
	for n %= unit; unit > 1; n %= unit {
		unit /= 10
		out = append(out, byte('0'+n/unit))
	}
	return out
}

// hundredths is x with two decimals.
func (l layout) hundredths(x float64) string {
	return string(l.decimals(nil, int(math.Round(100*x)), 2))
}
