package logfile

import (
	"bytes"
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// FuzzPaths reads the same numbers on each of the three ways that a row can
// take: rows of one width (alike.go), rows that differ in width (fast.go), rows
// with quotes (slow, in rows.go); and the bytes in one piece and in many. Each
// value must be what strconv makes of it, to the last bit.
func FuzzPaths(f *testing.F) {
	f.Add([]byte("0123456789 41870 30001 2250 and so on, some bytes to make up numbers of"), byte(0), byte(4))
	f.Add(bytes.Repeat([]byte{9, 200, 31, 7, 0, 255, 128}, 30), byte(3), byte(7))
	f.Add([]byte("\x00\x01\x02\x03\x04\x05\x06\x07"), byte(9), byte(1))
	f.Add([]byte("many decimals, more than a word holds"), byte(8), byte(13))
	f.Add([]byte("so many that they are not exact any more"), byte(1), byte(17))
	f.Fuzz(func(t *testing.T, seed []byte, form, places byte) {
		rows := madeUp(seed, form, int(places%20))
		if len(rows) < 3 {
			return
		}
		delimiter, mark := ",", "."
		if form&1 == 1 {
			delimiter, mark = ";", ","
		}
		end := []string{"\n", "\r\n"}[form>>1&1]
		unit, factor := "V", 1.0
		if form&4 > 0 {
			unit, factor = "mV", 1e-3
		}
		var alike, ragged, quoted strings.Builder
		head := strings.Join([]string{"Time / s", "Note", "Voltage / " + unit, "Current / A"}, delimiter) + end
		for _, b := range []*strings.Builder{&alike, &ragged, &quoted} {
			b.WriteString(head)
		}
		for k, r := range rows {
			cells := []string{strconv.Itoa(1_000_000 + k), "7", strings.Replace(r[0], ".", mark, 1), strings.Replace(r[1], ".", mark, 1)}
			alike.WriteString(strings.Join(cells, delimiter) + end)
			cells[1] = strings.Repeat("7", 1+k%3)
			ragged.WriteString(strings.Join(cells, delimiter) + end)
			cells[1] = `"7"`
			quoted.WriteString(strings.Join(cells, delimiter) + end)
		}
		var first *Log
		for way, text := range map[string]string{"alike": alike.String(), "ragged": ragged.String(), "quoted": quoted.String()} {
			for _, piece := range []int{1 << 20, 7, 61} {
				log, err := feedAll([]byte(text), piece)
				if err != nil {
					return // no log that makes sense: a voltage beyond belief, say
				}
				if log.Rows != len(rows) || log.Left > 0 {
					t.Fatalf("%s: %d rows of %d, left out %v\n%s", way, log.Rows, len(rows), log.LeftOut, text)
				}
				if first == nil {
					first = log
				}
				for k, r := range rows {
					v, _ := strconv.ParseFloat(r[0], 64)
					i, _ := strconv.ParseFloat(r[1], 64)
					if got, want := log.Trace.Voltage(k), float64(v*factor); got != want || log.Trace.Time(k) != float64(k) {
						t.Fatalf("%s, pieces of %d: row %d has %v at %v, %q is %v\n%s", way, piece, k+1, got, log.Trace.Time(k), r[0], want, text)
					}
					// Its sign is settled by how the voltage goes, the same way each time.
					if got := log.Trace.Current(k); math.Abs(got) != math.Abs(i) || got != first.Trace.Current(k) {
						t.Fatalf("%s, pieces of %d: row %d has %v A, %q is %v\n%s", way, piece, k+1, got, r[1], i, text)
					}
				}
			}
		}
	})
}

// madeUp makes rows of two numbers, all of the same width, from any bytes: the
// first between 1 and 9 (or 1000 and 9999), the second of either sign.
func madeUp(seed []byte, form byte, places int) (rows [][2]string) {
	digits := func(b []byte, n int) string {
		s := ""
		for k := range n {
			s += strconv.Itoa(int(b[k%len(b)]) % 10)
		}
		return s
	}
	for ; len(seed) >= 4; seed = seed[3:] {
		whole := strconv.Itoa(1 + int(seed[0])%9)
		if form&4 > 0 {
			whole += digits(seed, 3)
		}
		sign := []string{"", "-"}[form>>3&1]
		v, i := whole, sign+strconv.Itoa(int(seed[1])%10)
		if places > 0 {
			v += "." + digits(seed, places)
			i += "." + digits(seed[1:], places)
		}
		rows = append(rows, [2]string{v, i})
	}
	return rows
}

var digitsOnly = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?$`)

// FuzzNumber: a number is what strconv.ParseFloat makes of it, to the last bit,
// once the marks between thousands are out and the decimal mark is a point.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"4.187", "-3,0078", "1.234,5", "1'234.5", "1 234,5", "1e-5", "9007199254740993", "0.30000000000000004",
		"4.9e-324", "1.7976931348623159e308", "3.98V", "[3.98 V]", "\u22123.2", "1\u202f234,5", "--1", "1e", "'0'", ".5", "5.", "+.e1", "0x10", "1_000"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, sx := range syntaxes {
			got, unit, ok := sx.number(s)
			if sx.group == 0 && digitsOnly.MatchString(s) && sx.mark == '.' && len(s) < 30 {
				want, err := strconv.ParseFloat(s, 64)
				if ok != (err == nil) || ok && math.Float64bits(got) != math.Float64bits(want) {
					t.Fatalf("%q is read as %v (%v), strconv has %v (%v)", s, got, ok, want, err)
				}
			}
			if !ok {
				continue
			}
			digits := undressed(s, unit, sx)
			want, err := strconv.ParseFloat(digits, 64)
			if err != nil || math.Float64bits(got) != math.Float64bits(want) || math.IsInf(got, 0) || math.IsNaN(got) {
				t.Fatalf("mark %q, group %q: %q is read as %v %q; strconv has %v (%v) of %q", sx.mark, sx.group, s, got, unit, want, err, digits)
			}
		}
	})
}

// undressed takes away what stands around the digits of a number.
func undressed(s, unit string, sx syntax) string {
	s = strings.TrimSpace(s)
	if n := len(s); n > 1 && s[0] == '\'' && s[n-1] == '\'' {
		s = strings.TrimSpace(s[1 : n-1])
	}
	s = strings.TrimSpace(strings.Trim(s, "[]"))
	s = strings.TrimSpace(strings.TrimSuffix(s, unit))
	for _, minus := range []string{"\u2212", "\ufe63", "\uff0d", "\u2013"} {
		if rest, ok := strings.CutPrefix(s, minus); ok {
			s = "-" + rest
			break
		}
	}
	between := map[byte]string{'\'': "'\u2019", ' ': " \u00a0\u202f\u2009", '.': ".", ',': ","}[sx.group]
	s = strings.Map(func(r rune) rune {
		if strings.ContainsRune(between, r) {
			return -1
		}
		return r
	}, s)
	return strings.Replace(s, string(sx.mark), ".", 1)
}

var clockParts = regexp.MustCompile(`^ *(?:([0-9]{1,9}) *d(?:ays?)?,? *)?(?:([0-9]{1,9}):)?([0-9]{1,9}):([0-9]{1,9})(?:[.,]([0-9]{1,9}))? *$`)

// FuzzTime: clocks are worked out in rational numbers, dates by package time.
func FuzzTime(f *testing.F) {
	for _, s := range []string{"1:02:03", "26:03:04.5", "1d 02:03:04", "2 days, 2:03:04,25", "62:03", "11:59:45 PM", "1:02:03:04", "999999999:59:59",
		"2026-02-14 08:00:00", "2026-02-14T08:00:00.125Z", "14.02.2026 8:00", "02/14/2026 08:00", "2024-02-29 23:59:59", "0000-01-01 00:00:00", ":::", "1:60:00", "d1:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, ok := parseClock([]byte(s))
		if ok && !(got >= 0) {
			t.Fatalf("%q is read as %v s", s, got)
		}
		if m := clockParts.FindStringSubmatch(s); m != nil {
			want, valid := exactClock(m)
			if ok != valid || ok && math.Abs(got-want) > 1e-15*want {
				t.Fatalf("%q is read as %v s (%v), is %v s (%v)", s, got, ok, want, valid)
			}
		}
		var d dates
		at, ok := d.parse([]byte(s))
		if ok && (math.IsNaN(at) || math.IsInf(at, 0)) {
			t.Fatalf("%q is read as %v s", s, at)
		}
		for _, layout := range []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05Z", "2006/01/02 15:04:05", "2006.01.02 15:04"} {
			if want, err := time.Parse(layout, s); err == nil && want.Year() > 31 && s == want.Format(layout) {
				if !ok || at != float64(want.Unix()) {
					t.Fatalf("%q is read as %v s (%v), is %v s", s, at, ok, want.Unix())
				}
			}
		}
	})
}

// exactClock is the time in s of days, hours, minutes, seconds and a fraction.
func exactClock(m []string) (float64, bool) {
	part := make([]int64, 4)
	for k := range part {
		if m[1+k] != "" {
			part[k], _ = strconv.ParseInt(m[1+k], 10, 64)
		}
	}
	if part[3] > 59 || m[2] != "" && part[2] > 59 {
		return 0, false
	}
	sum := big.NewRat(part[0]*86400+part[1]*3600+part[2]*60+part[3], 1)
	if m[5] != "" {
		frac, _ := new(big.Rat).SetString("0." + m[5])
		sum.Add(sum, frac)
	}
	x, _ := sum.Float64()
	return x, true
}

// A clock that wraps at midnight with fractions gives the same times however
// its rows are read.
func TestWrapOnAllPaths(t *testing.T) {
	var plain, quoted strings.Builder
	plain.WriteString("Clock,Voltage / V,Current / A\n")
	quoted.WriteString("Clock,Voltage / V,Current / A\n")
	for k := range 400 {
		ms := (86_390_123 + 137*k) % 86_400_000
		at := fmt.Sprintf("%02d:%02d:%02d.%03d", ms/3_600_000, ms/60_000%60, ms/1000%60, ms%1000)
		fmt.Fprintf(&plain, "%s,%.3f,2.000\n", at, 4.1-float64(k)/1000)
		fmt.Fprintf(&quoted, "%q,%.3f,2.000\n", at, 4.1-float64(k)/1000)
	}
	a, b := read(t, plain.String()), read(t, quoted.String())
	for k := range 400 {
		if a.Trace.Time(k) != b.Trace.Time(k) || math.Abs(a.Trace.Time(k)-0.137*float64(k)) > 1e-9 {
			t.Fatalf("row %d is at %v s, with quotes at %v s, should be %v s", k+1, a.Trace.Time(k), b.Trace.Time(k), 0.137*float64(k))
		}
	}
}
