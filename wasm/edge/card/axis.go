package card

import (
	"math"
	"strconv"
	"strings"
)

// axis is a range of numbers on a line of pixels, with marks at round ones.
type axis struct {
	low, high float64
	from, to  float64 // pixels
	marks     []float64
	decimals  int
}

// newAxis shows low to high with a little room around, except below a nought
// that floor asks for, and about so many marks.
func newAxis(low, high, from, to float64, parts int, floor bool) axis {
	if !(high > low) {
		low, high = low-0.5, low+0.5
	}
	room := 0.04 * (high - low)
	a := axis{low: low - room, high: high + room, from: from, to: to}
	if floor {
		a.low = low
	}
	step := roundUp((high - low) / float64(parts))
	first := math.Ceil(a.low/step - 1e-9)
	for k := range 4*parts + 1 {
		x := (first + float64(k)) * step
		if x > a.high {
			break
		}
		a.marks = append(a.marks, x)
	}
	for a.decimals < 6 && math.Abs(step*math.Pow10(a.decimals)-math.Round(step*math.Pow10(a.decimals))) > 1e-6 {
		a.decimals++
	}
	return a
}

// at is where x lies, held inside the drawing.
func (a axis) at(x float64) float64 {
	s := min(max((x-a.low)/(a.high-a.low), -0.02), 1.02)
	return a.from + s*(a.to-a.from)
}

func (a axis) word(x float64) string {
	s := strconv.FormatFloat(x, 'f', a.decimals, 64)
	if math.Abs(x) >= 1e6 {
		s = strconv.FormatFloat(x, 'g', 3, 64)
	}
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// roundUp is the smallest of 1, 2, 2.5 and 5 times a power of ten that is no less
// than x, above nought.
func roundUp(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, f := range [...]float64{1, 2, 2.5, 5} {
		if f*power >= x*(1-1e-9) {
			return f * power
		}
	}
	return 10 * power
}
