package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ErrNumber says that a text is not a number as people write it.
var ErrNumber = errors.New("not a number")

// ErrUnit says that a number carries a unit that does not fit.
var ErrUnit = errors.New("unit does not fit")

var pow10 = [23]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// Exact is the number mant/10^frac, correctly rounded, where both are exact in
// a float64 (mant < 2^53, frac ≤ 22); else ok is false. The reasoning is W. D.
// Clinger, "How to read floating point numbers accurately", PLDI 1990: one
// rounding of two exact operands (paper cited from memory).
func Exact(mant uint64, frac int) (x float64, ok bool) {
	if mant >= 1<<53 || uint(frac) >= uint(len(pow10)) {
		return 0, false
	}
	return float64(mant) / pow10[frac], true
}

// Decimal reads one number that fills b, blanks around it aside: digits, the
// decimal mark given, a sign (- + or U+2212), an exponent. It returns
// [ErrNumber] for anything else, "inf" and "nan" among them, since a log that
// says so has no value there.
func Decimal(b []byte, mark byte) (float64, error) {
	s := strings.TrimSpace(string(b))
	s = strings.Replace(s, "\u2212", "-", 1)
	if mark != '.' {
		if strings.IndexByte(s, '.') >= 0 {
			return 0, ErrNumber
		}
		s = strings.Replace(s, string(mark), ".", 1)
	}
	digits := false
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits = true
		case c == '.' || c == '-' || c == '+':
		case (c == 'e' || c == 'E') && digits:
		default:
			return 0, ErrNumber
		}
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || !digits || math.IsInf(x, 0) {
		return 0, ErrNumber
	}
	return x, nil
}

// Parse reads a number with or without a unit, as a person types it into a
// form: "2.7", "2,70 V", "2700 mV". Point and comma are both decimal marks.
// Without a unit the base unit of k is meant. Errors wrap [ErrNumber] or
// [ErrUnit].
func Parse(s string, k Kind) (float64, error) {
	s = strings.TrimSpace(s)
	end := len(s)
	for i, r := range s {
		if !(r >= '0' && r <= '9') && !strings.ContainsRune("+-−.,", r) {
			end = i
			break
		}
	}
	num, unit := s[:end], strings.TrimSpace(s[end:])
	mark := byte('.')
	if strings.Contains(num, ",") {
		mark = ','
	}
	x, err := Decimal([]byte(num), mark)
	if err != nil {
		return 0, fmt.Errorf("%w: %q", ErrNumber, s)
	}
	if unit == "" {
		return x, nil
	}
	u, ok := UnitOf(unit, k)
	if !ok || u.Clock {
		return 0, fmt.Errorf("%w: %q", ErrUnit, unit)
	}
	return float64(x*u.Factor) + u.Offset, nil
}

// Words writes numbers for a person to read.
type Words struct {
	// Comma writes 3,7 for 3.7.
	Comma bool
}

// Fixed is x with the given number of decimals; NaN is empty.
func (w Words) Fixed(x float64, decimals int) string {
	if math.IsNaN(x) {
		return ""
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus zero
	}
	if w.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// Decimals is how many decimals show x with the given number of significant
// digits, 0 to 6 of them.
func Decimals(x float64, significant int) int {
	x = math.Abs(x)
	if !(x > 0) || math.IsInf(x, 0) {
		return significant - 1
	}
	// The exponent after rounding, so that 0.99999 counts as 1.000.
	rounded := strconv.FormatFloat(x, 'e', significant-1, 64)
	exponent, err := strconv.Atoi(rounded[strings.IndexByte(rounded, 'e')+1:])
	if err != nil {
		return 0
	}
	return min(max(significant-1-exponent, 0), 6)
}

// Count is a whole number in groups of three, with a no-break thin space.
func (w Words) Count(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// Bytes is a file's size: "712 B", "34 kB", "1.2 MB".
func (w Words) Bytes(n int64) string {
	switch {
	case n < 1000:
		return strconv.FormatInt(n, 10) + " B"
	case n < 999_500:
		return w.Fixed(float64(n)/1e3, 0) + " kB"
	default:
		return w.Fixed(float64(n)/1e6, 1) + " MB"
	}
}

// Clock is a duration in seconds as h:mm:ss, rounded to the second; NaN is
// empty.
func Clock(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) {
		return ""
	}
	sign := ""
	if seconds < 0 {
		sign, seconds = "-", -seconds
	}
	n := int64(math.Round(seconds))
	return fmt.Sprintf("%s%d:%02d:%02d", sign, n/3600, n/60%60, n%60)
}
