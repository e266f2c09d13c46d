package logfile

import (
	"bytes"

	"plateau/core/quantity"
)

// parseClock reads "1:02:03", "01:02:03.5", "62:03", "2d 01:02:03", "1:02:03 PM"
// and gives s. Minutes and seconds stay below 60; hours may run on. Two parts
// are minutes and seconds.
func parseClock(b []byte) (seconds float64, ok bool) {
	b = bytes.TrimSpace(b)
	days := 0.0
	if k := bytes.IndexByte(b, 'd'); k > 0 {
		n, good := digits(bytes.TrimSpace(b[:k]))
		if !good {
			return 0, false
		}
		days = float64(n)
		b = bytes.TrimPrefix(bytes.TrimPrefix(b[k+1:], []byte("ay")), []byte("s"))
		b = bytes.TrimSpace(bytes.TrimPrefix(b, []byte(",")))
	}
	half := -1 // 0 for AM, 12 for PM
	if n := len(b); n > 3 && (b[n-1] == 'M' || b[n-1] == 'm') {
		switch b[n-2] {
		case 'A', 'a':
			half = 0
		case 'P', 'p':
			half = 12
		default:
			return 0, false
		}
		b = bytes.TrimSpace(b[:n-2])
	}
	var part [4]int
	n, frac := 0, 0.0
	for {
		k := bytes.IndexByte(b, ':')
		if k < 0 {
			break
		}
		v, good := digits(b[:k])
		if !good || n > 2 {
			return 0, false
		}
		part[n] = v
		n++
		b = b[k+1:]
	}
	if n == 0 {
		return 0, false
	}
	if k := bytes.IndexAny(b, ".,"); k >= 0 {
		v, good := digits(b[k+1:])
		if !good {
			return 0, false
		}
		frac, good = quantity.Exact(uint64(v), len(b)-k-1)
		if !good {
			return 0, false
		}
		b = b[:k]
	}
	v, good := digits(b)
	if !good {
		return 0, false
	}
	part[n] = v
	n++
	var h, m, s int
	switch n {
	case 2:
		m, s = part[0], part[1]
	case 3:
		h, m, s = part[0], part[1], part[2]
	case 4:
		days += float64(part[0])
		h, m, s = part[1], part[2], part[3]
	}
	if s > 59 || (n > 2 && m > 59) {
		return 0, false
	}
	if half >= 0 {
		if h < 1 || h > 12 {
			return 0, false
		}
		h = h%12 + half
	}
	return float64(days*86400) + float64(h*3600+m*60+s) + frac, true
}

// digits is a whole number of one to nine digits.
func digits(b []byte) (n int, ok bool) {
	if len(b) == 0 || len(b) > 9 {
		return 0, false
	}
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

// dates reads date-times of one log. Whether 03/04 is a day and a month or a
// month and a day is settled by the log itself: a reading that cannot be
// (month over 12), or that jumps further at a change of date, is out. Until
// then days come first; only differences between dates mean anything.
type dates struct {
	text       []byte // the last date as written …
	day        int    // … as days
	a, b, year int    // … as numbers
	monthFirst bool
	settled    bool
	bias       int // days from the month-first reading to the one begun with
}

// parse gives the s since 1970 of "2026-02-14 08:00:00", "14.02.2026 8:00",
// "02/14/2026T08:00:00.5Z".
func (d *dates) parse(f []byte) (seconds float64, ok bool) {
	f = bytes.TrimSpace(f)
	k := bytes.IndexAny(f, " T")
	if k < 6 {
		return 0, false
	}
	day, ok := d.date(f[:k])
	if !ok {
		return 0, false
	}
	rest := bytes.TrimSuffix(bytes.TrimSpace(f[k+1:]), []byte("Z"))
	if bytes.Count(rest, []byte(":")) == 1 && !bytes.ContainsAny(rest, "Mm") {
		h, m, _ := bytes.Cut(rest, []byte(":")) // h:mm, without seconds
		hh, ok1 := digits(h)
		mm, ok2 := digits(m)
		return float64(day)*86400 + float64(hh*3600+mm*60), ok1 && ok2 && hh < 24 && mm < 60
	}
	s, ok := parseClock(rest)
	return float64(day)*86400 + s, ok && s < 86401
}

func (d *dates) date(t []byte) (day int, ok bool) {
	if bytes.Equal(t, d.text) {
		return d.day, true
	}
	var part [3]int
	n, first := 0, 0
	for k := 0; k <= len(t); k++ {
		if k < len(t) && t[k] >= '0' && t[k] <= '9' {
			continue
		}
		if n > 2 || (k < len(t) && t[k] != '-' && t[k] != '/' && t[k] != '.') {
			return 0, false
		}
		v, good := digits(t[first:k])
		if !good {
			return 0, false
		}
		part[n] = v
		n++
		first = k + 1
	}
	if n != 3 {
		return 0, false
	}
	if part[0] > 31 { // year first
		if part[1] < 1 || part[1] > 12 || part[2] < 1 || part[2] > 31 {
			return 0, false
		}
		day = civil(part[0], part[1], part[2])
	} else {
		if part[2] < 100 {
			part[2] += 2000
		}
		day, ok = d.either(part[0], part[1], part[2])
		if !ok {
			return 0, false
		}
	}
	d.text = append(d.text[:0], t...)
	d.day = day
	return day, true
}

// either reads a date of which the order of day and month is not known.
func (d *dates) either(a, b, year int) (day int, ok bool) {
	if a < 1 || b < 1 || a > 31 || b > 31 || a > 12 && b > 12 {
		return 0, false
	}
	if !d.settled && (a > 12 || b > 12 || len(d.text) > 0) {
		d.settle(a, b, year)
	}
	d.a, d.b, d.year = a, b, year
	if !d.monthFirst {
		return civil(year, b, a), b <= 12
	}
	return civil(year, a, b) + d.bias, a <= 12
}

// settle decides by a date that can be read one way only, or by the shorter
// step forward from the date before.
func (d *dates) settle(a, b, year int) {
	switch stepDay, stepMonth := 0, 0; {
	case a > 12:
	case b > 12:
		d.monthFirst = true
	default:
		stepDay = civil(year, b, a) - civil(d.year, d.b, d.a)
		stepMonth = civil(year, a, b) - civil(d.year, d.a, d.b)
		d.monthFirst = stepMonth >= 0 && (stepDay < 0 || stepMonth < stepDay)
	}
	d.settled = true
	if d.monthFirst && len(d.text) > 0 {
		d.bias = civil(d.year, d.b, d.a) - civil(d.year, d.a, d.b)
	}
}

// civil is the count of days from 1970-01-01 to a date of the Gregorian
// calendar. Out-of-range months are the caller's to rule out; the sum is
// defined for them all the same.
func civil(y, m, d int) int {
	if m <= 2 {
		y--
		m += 12
	}
	// Days of the months from March on, after Zeller (from memory).
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + d - 1 - 719468
}
