package unpack

import (
	"bytes"
	"math"
	"strconv"

	"plateau/core/say"
)

// cell reads the cell that has begun into s.value (OpenDocument 1.3 Part 3,
// 9.1.4 and 19.385 to 19.391); number tells whether it needs no quotes.
func (s *odsRows) cell(row int) (number bool, err error) {
	x := s.x
	office := s.ns.office
	kind := string(x.attr(office, "value-type"))
	wrong := string(x.attr([]byte("calcext"), "value-type")) == "error"
	var text []byte // as an attribute, in place of paragraphs
	s.out = s.out[:0]
	switch kind {
	case "float", "percentage", "currency":
		v := x.attr(office, "value")
		if number = isShortest(v); number {
			s.out = append(s.out, v...)
			break
		}
		n, ok := parseNumber(v)
		if !ok {
			return false, badSheet(say.Error("a cell of row %d is marked as a number and is none (%q)", row, clip(v)))
		}
		s.out, number = appendNumber(s.out, n), true
	case "date":
		v := x.attr(office, "date-value")
		if s.out, number = appendISO(s.out, v); !number {
			return false, badSheet(say.Error("a cell of row %d is said to be a date and is none (%q)", row, clip(v)))
		}
	case "time":
		v := x.attr(office, "time-value")
		if s.out, number = appendDuration(s.out, v); !number {
			return false, badSheet(say.Error("a cell of row %d is said to be a time and is none (%q)", row, clip(v)))
		}
	case "boolean":
		if string(x.attr(office, "boolean-value")) == "true" {
			s.out = append(s.out, "TRUE"...)
		} else {
			s.out = append(s.out, "FALSE"...)
		}
	case "string":
		if v := x.attr(office, "string-value"); v != nil {
			text = append(text, v...)
		}
	}
	s.value = s.value[:0]
	if err := s.paragraphs(row); err != nil {
		return false, err
	}
	switch {
	case wrong:
		s.value, number = s.value[:0], false
	case kind == "string" || kind == "":
		if text != nil {
			s.value = append(s.value[:0], text...)
		}
	default:
		s.value = append(s.value[:0], s.out...)
	}
	return number, nil
}

// paragraphs gathers the text that is shown in the cell that has begun, its
// paragraphs with a blank between them. Notes, pictures and tables in it are
// not of it.
func (s *odsRows) paragraphs(row int) error {
	x := s.x
	for outside := x.depth() - 1; x.depth() > outside; {
		tok, err := x.next()
		if err != nil {
			return err
		}
		if tok != startTag {
			continue
		}
		if s.is(s.ns.text, "p") {
			if len(s.value) > 0 {
				s.value = append(s.value, ' ')
			}
			err = s.paragraph(row)
		} else {
			err = x.skip()
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (s *odsRows) paragraph(row int) error {
	x := s.x
	for outside := x.depth() - 1; x.depth() > outside; {
		tok, err := x.next()
		if err != nil {
			return err
		}
		switch {
		case tok == charData:
			s.value = append(s.value, x.text...)
		case tok == endTag:
		case s.is(s.ns.text, "s"): // OpenDocument 1.3 Part 3, 6.1.3: blanks in a row
			n := min(x.number(s.ns.text, "c", 1), longestText)
			s.value = append(s.value, bytes.Repeat([]byte(" "), n)...)
		case s.is(s.ns.text, "tab"), s.is(s.ns.text, "line-break"):
			s.value = append(s.value, ' ')
		case s.is(s.ns.text, "span"), s.is(s.ns.text, "a"):
		default:
			if err := x.skip(); err != nil {
				return err
			}
		}
		if len(s.value) > longestText {
			return badSheet(say.Error("a cell of row %d has more than %d characters", row, longestText))
		}
	}
	return nil
}

// appendISO writes an ISO 8601 date or date-time as this package writes them.
// A date before March 1900 is time elapsed since the day before 1900 began, as
// serial numbers count it.
func appendISO(to, b []byte) ([]byte, bool) {
	date, clock, timed := bytes.Cut(b, []byte("T"))
	part := bytes.Split(date, []byte("-"))
	if len(part) != 3 || len(part[0]) != 4 || len(part[1]) != 2 || len(part[2]) != 2 {
		return to, false
	}
	y, ok1 := whole(part[0])
	m, ok2 := whole(part[1])
	d, ok3 := whole(part[2])
	if !ok1 || !ok2 || !ok3 || m < 1 || m > 12 || d < 1 || d > 31 {
		return to, false
	}
	us := int64(0)
	if timed {
		var ok bool
		if us, ok = timeOfDay(clock); !ok {
			return to, false
		}
	}
	days, ok := civil(y, m, d)
	if !ok {
		return to, false
	}
	all := snap(int64(days)*day + us - epoch1900*day)
	if all >= 0 && all < firstRealDay*day {
		return appendClock(to, all), true
	}
	all += epoch1900 * day
	date1 := floorDiv(all, day)
	return appendStamp(to, date1, all-date1*day, !timed), true
}

// timeOfDay reads hh:mm, hh:mm:ss and hh:mm:ss.fff, a Z at its end aside, as µs.
func timeOfDay(b []byte) (int64, bool) {
	part := bytes.Split(bytes.TrimSuffix(b, []byte("Z")), []byte(":"))
	if len(part) < 2 || len(part) > 3 {
		return 0, false
	}
	h, ok1 := whole(part[0])
	m, ok2 := whole(part[1])
	us, ok3 := int64(0), true
	if len(part) == 3 {
		us, ok3 = seconds(part[2])
	}
	if !ok1 || !ok2 || !ok3 || h > 24 || m > 59 || us >= 61*second {
		return 0, false
	}
	return int64(h*3600+m*60)*second + us, true
}

// appendDuration writes an ISO 8601 duration such as PT1H2M3.5S as h:mm:ss.
// Months and years have no length and are none.
func appendDuration(to, b []byte) ([]byte, bool) {
	negative := bytes.HasPrefix(b, []byte("-"))
	rest, ok := bytes.CutPrefix(bytes.TrimPrefix(b, []byte("-")), []byte("P"))
	if !ok || len(rest) == 0 {
		return to, false
	}
	total, timed := int64(0), false
	for len(rest) > 0 {
		if rest[0] == 'T' && !timed {
			timed, rest = true, rest[1:]
			continue
		}
		n := bytes.IndexAny(rest, "DHMS")
		if n < 1 {
			return to, false
		}
		unit := map[byte]int64{'D': 86_400, 'H': 3600, 'M': 60, 'S': 1}[rest[n]]
		us, ok := seconds(rest[:n])
		if !ok || timed == (rest[n] == 'D') || us > math.MaxInt64/4/unit {
			return to, false
		}
		total += us * unit
		if total > math.MaxInt64/4 {
			return to, false
		}
		rest = rest[n+1:]
	}
	if total = snap(total); negative && total > 0 {
		to = append(to, '-')
	}
	return appendClock(to, total), true
}

// seconds reads digits with a fraction after a point or comma, as µs.
func seconds(b []byte) (int64, bool) {
	k := bytes.IndexAny(b, ".,")
	if k < 0 {
		k = len(b)
	}
	s, ok := whole(b[:k])
	if !ok {
		return 0, false
	}
	us := int64(s) * second
	if k+1 < len(b) {
		f, err := strconv.ParseFloat("0."+string(b[k+1:]), 64)
		if err != nil || f >= 1 {
			return 0, false
		}
		us += int64(math.Round(f * second))
	}
	return us, true
}

// whole is a whole number of one to nine digits.
func whole(b []byte) (int, bool) {
	if len(b) == 0 || len(b) > 9 {
		return 0, false
	}
	n := 0
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
