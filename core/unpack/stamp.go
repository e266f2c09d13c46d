package unpack

import (
	"math"
	"strconv"
	"time"
)

// Times inside are whole microseconds: the serial numbers of spreadsheets, days
// as float64, are good for about 1 µs at today's dates.
const (
	microsecond = 1
	second      = 1_000_000 * microsecond
	day         = 86_400 * second
)

// snap takes a time to the millisecond where it is within 20 µs of one: what
// adding up days, or writing them with ten decimals, makes of it.
func snap(us int64) int64 {
	const ms, near = 1000, 20
	switch r := us % ms; {
	case r <= near:
		return us - r
	case r >= ms-near:
		return us + ms - r
	}
	return us
}

// firstRealDay is the serial number from which on the 1900 system counts as
// the calendar does: its day 60 is a 29 February 1900 that never was
// (ECMA-376 Part 1, 18.17.4.1). No log is that old: a date-time below is time
// elapsed, under a format made for dates.
const firstRealDay = 61

// epochs as days since 1970-01-01: day 0 of the 1900 system from firstRealDay
// on, and of the 1904 system.
const (
	epoch1900 = -25569
	epoch1904 = -24107
)

// lastDay is the serial number of 9999-12-31 in the 1900 system.
const lastDay = 2_958_465

// appendSerial writes a serial number as its format means it; false where it is
// out of bounds and had better be written as the number that it is.
func appendSerial(to []byte, x float64, f format, epoch int) ([]byte, bool) {
	if !(math.Abs(x) <= lastDay) || f == plain {
		return to, false
	}
	us := snap(int64(math.Round(math.Abs(x) * day)))
	if x < 0 && us > 0 {
		return appendClock(append(to, '-'), us), true
	}
	if f == elapsed || us < firstRealDay*day {
		return appendClock(to, us), true
	}
	return appendStamp(to, int64(epoch)+us/day, us%day, f == dateOnly), true
}

// appendClock writes h:mm:ss, hours running on, with a fraction where there is
// one.
func appendClock(to []byte, us int64) []byte {
	s := us / second
	to = strconv.AppendInt(to, s/3600, 10)
	to = append(to, ':')
	to = appendTwo(to, s/60%60)
	to = append(to, ':')
	to = appendTwo(to, s%60)
	return appendFraction(to, us%second)
}

// appendStamp writes an ISO 8601 date-time, the date counted in days since
// 1970-01-01. A whole day of a column of dates is written without time.
func appendStamp(to []byte, date, us int64, short bool) []byte {
	to = time.Unix(date*86_400, 0).UTC().AppendFormat(to, time.DateOnly)
	if short && us == 0 {
		return to
	}
	to = append(to, 'T')
	s := us / second
	to = appendTwo(to, s/3600)
	to = append(to, ':')
	to = appendTwo(to, s/60%60)
	to = append(to, ':')
	to = appendTwo(to, s%60)
	return appendFraction(to, us%second)
}

func appendTwo(to []byte, n int64) []byte {
	return append(to, byte('0'+n/10), byte('0'+n%10))
}

// appendFraction writes what is beyond the second as .fff or .ffffff.
func appendFraction(to []byte, us int64) []byte {
	if us == 0 {
		return to
	}
	digits := strconv.AppendInt(nil, second+us, 10) // a 1 in front
	n := 7
	if us%1000 == 0 {
		n = 4
	}
	return append(append(to, '.'), digits[1:n]...)
}

// appendNumber writes the shortest text that reads back as x.
func appendNumber(to []byte, x float64) []byte {
	if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e15) {
		return strconv.AppendFloat(to, x, 'e', -1, 64)
	}
	return strconv.AppendFloat(to, x, 'f', -1, 64)
}

// isShortest tells whether a number is written just as appendNumber would write
// it: plain decimals of no more than 15 digits, of which a float64 keeps each
// apart (IEEE 754-2019 section 5.12.2), without a zero too many.
func isShortest(b []byte) bool {
	if len(b) > 0 && b[0] == '-' {
		b = b[1:]
	}
	if len(b) == 0 || len(b) > 15 || b[0] < '0' || b[0] > '9' {
		return false
	}
	point := -1
	for k, c := range b {
		switch {
		case c == '.' && point < 0:
			point = k
		case c < '0' || c > '9':
			return false
		}
	}
	switch point {
	case -1:
		return b[0] != '0'
	case 1:
		// 0.00000x would be written with an exponent, and -0.0 is no -0.
		if b[0] == '0' && (len(b) < 3 || len(b) > 7) {
			return false
		}
	default:
		if b[0] == '0' {
			return false
		}
	}
	last := b[len(b)-1]
	return last != '0' && last != '.'
}

// parseNumber reads a number as the two formats store it: a decimal point, an
// exponent perhaps, no infinities.
func parseNumber(b []byte) (float64, bool) {
	for _, c := range b {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return 0, false
		}
	}
	x, err := strconv.ParseFloat(string(b), 64)
	return x, err == nil
}

// civil is a date of the Gregorian calendar as days since 1970-01-01; false
// where there is no such date.
func civil(y, m, d int) (int, bool) {
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	return int(t.Unix() / 86_400), t.Day() == d
}
