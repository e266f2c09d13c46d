package link

import (
	"math"
	"strconv"
	"strings"
)

const (
	exactDigits = 9  // numbers of so many significant digits are kept as they are
	keptDigits  = 6  // of those that have more
	mostPower   = 40 // of ten, of the last digit kept
)

// decimal is mant·10^power; mant is 0 for nought.
type decimal struct {
	mant  int64
	power int
}

// digitsOf are the shortest decimal digits that read back as x, and the power
// of ten of the last of them. x is finite.
func digitsOf(x float64) (digits string, power int, minus bool) {
	s := strconv.FormatFloat(x, 'e', -1, 64)
	if minus = s[0] == '-'; minus {
		s = s[1:]
	}
	at := strings.IndexByte(s, 'e')
	power, _ = strconv.Atoi(s[at+1:])
	digits = s[:1]
	if at > 2 {
		digits += s[2:at]
	}
	return digits, power - len(digits) + 1, minus
}

// cut is x without its digits below 10^power, rounded so that rounding it again
// to fewer digits gives what rounding x itself would have given: towards
// nought, but away from it where something is cut off and the last digit left
// would be 0 or 5 (ROUND_05UP of the General Decimal Arithmetic Specification
// 1.70). The error is below 10^power.
func cut(x float64, power int) decimal {
	if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 {
		return decimal{}
	}
	digits, last, minus := digitsOf(x)
	power = min(max(power, -mostPower), mostPower)
	lost := power - last
	var d decimal
	switch {
	case lost <= 0:
		d = decimal{whole(digits), last}
	case lost >= len(digits):
		d = decimal{1, power} // less than a unit, yet not nought
	default:
		d = decimal{whole(digits[:len(digits)-lost]), power}
		if strings.Trim(digits[len(digits)-lost:], "0") != "" && d.mant%5 == 0 {
			d.mant++
		}
	}
	if d.power < -mostPower || d.power > mostPower {
		return decimal{}
	}
	if minus {
		d.mant = -d.mant
	}
	return d.short()
}

// whole reads digits, 17 at most.
func whole(digits string) int64 {
	n, _ := strconv.ParseInt(digits, 10, 64)
	return n
}

// short has no noughts at its end.
func (d decimal) short() decimal {
	if d.mant == 0 {
		return decimal{}
	}
	for d.mant%10 == 0 {
		d.mant /= 10
		d.power++
	}
	return d
}

// at writes the same number with its last digit at 10^power, which is no
// higher than its own; ok is false where that takes too many digits.
func (d decimal) at(power int) (mant int64, ok bool) {
	mant = d.mant
	if mant == 0 {
		return 0, true
	}
	for p := d.power; p > power; p-- {
		if mant > 1e14 || mant < -1e14 {
			return 0, false
		}
		mant *= 10
	}
	return mant, true
}

// float is the nearest number.
func (d decimal) float() float64 {
	if d.mant == 0 {
		return 0
	}
	x, _ := strconv.ParseFloat(strconv.FormatInt(d.mant, 10)+"e"+strconv.Itoa(d.power), 64)
	return x
}

// plain is a number without an uncertainty.
func plain(x float64) decimal {
	if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 {
		return decimal{}
	}
	digits, last, _ := digitsOf(x)
	if len(digits) <= exactDigits {
		return cut(x, last)
	}
	return cut(x, last+len(digits)-keptDigits)
}

// lead is the power of ten of x's first digit.
func lead(x float64) int {
	digits, last, _ := digitsOf(x)
	return last + len(digits) - 1
}

// certain is a number with its expanded uncertainty u above nought: u to three
// significant digits, x as fine, or to five significant digits where that is
// finer.
func certain(x, u float64) (value, wide decimal) {
	power := lead(u) - 2
	wide = cut(u, power)
	if x != 0 {
		power = min(power, max(lead(x)-4, power-4))
	}
	return cut(x, power), wide
}
