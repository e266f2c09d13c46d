package quantity

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var plainDecimal = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// FuzzDecimal: what is read as a number is what strconv.ParseFloat makes of it,
// to the last bit, with a point for the decimal mark; and whatever is written
// as plain digits is read.
func FuzzDecimal(f *testing.F) {
	for _, s := range []string{"3.71", "-3,71", " 4.2 ", "\u22122", "+0.5e-3", "1e400", "9007199254740993", "0.1e", "1.2.3", "inf", "nan", "0x1p3",
		"1_000", "4.9406564584124654e-324", "2.2250738585072011e-308", "179769313486231580793728971405301e276", "", "-", ".", ",5", "e5"} {
		f.Add(s, byte('.'))
		f.Add(s, byte(','))
	}
	f.Fuzz(func(t *testing.T, s string, mark byte) {
		if mark != ',' {
			mark = '.'
		}
		got, err := Decimal([]byte(s), mark)
		plain := strings.Replace(strings.TrimSpace(s), "\u2212", "-", 1)
		if mark == ',' {
			plain = strings.Replace(plain, ",", ".", 1)
		}
		want, err2 := strconv.ParseFloat(plain, 64)
		if err == nil && (err2 != nil || math.Float64bits(got) != math.Float64bits(want) || math.IsInf(got, 0) || math.IsNaN(got)) {
			t.Fatalf("%q with mark %q is read as %v; strconv has %v (%v)", s, mark, got, want, err2)
		}
		digits := strings.Replace(strings.TrimSpace(s), string(mark), ".", 1)
		if err != nil && err2 == nil && plainDecimal.MatchString(digits) && !(mark == ',' && strings.Contains(s, ".")) {
			t.Fatalf("%q with mark %q is not read; strconv has %v", s, mark, want)
		}
		if err != nil && !errors.Is(err, ErrNumber) {
			t.Fatalf("%q: error %v", s, err)
		}
	})
}

// FuzzParse: nothing that a person types brings it down; a unit changes the
// number by its factor and nothing else.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"2.7", "2,70 V", "2700 mV", "1,234.5 V", "3 h:mm:ss", "10 s", "-0.5 mA", "−5 °C", "77 °F", "1e3 V", "V", "2.7A"} {
		for k := Time; k <= Temperature; k++ {
			f.Add(s, byte(k))
		}
	}
	f.Fuzz(func(t *testing.T, s string, kind byte) {
		k := Kind(kind) % (Temperature + 1)
		x, err := Parse(s, k)
		if err != nil {
			if !errors.Is(err, ErrNumber) && !errors.Is(err, ErrUnit) {
				t.Fatalf("%q: error %v", s, err)
			}
			return
		}
		if math.IsNaN(x) || math.IsInf(x, 0) && !strings.ContainsAny(s, "eE") {
			t.Fatalf("%q is %v", s, x)
		}
		text := strings.TrimSpace(s)
		at := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789+-−.,", r) })
		if at < 0 {
			return
		}
		u, ok := UnitOf(strings.TrimSpace(text[at:]), k)
		bare, err := Parse(text[:at], k)
		if !ok || err != nil || x != float64(bare*u.Factor)+u.Offset {
			t.Fatalf("%q is %v, but %q is %v (%v) and the unit %v", s, x, text[:at], bare, err, u)
		}
	})
}
