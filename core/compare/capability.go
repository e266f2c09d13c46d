package compare

import (
	"math"
	"slices"

	"plateau/core/gum"
)

// Point is the mean of one figure of a cell at one rate.
type Point struct {
	Amps   float64
	It     float64 // Amps as a multiple of It; 0 where not known
	Mean   float64 // Ah or Wh
	Budget gum.Budget
	Setup  string // as in [Contender]
}

// Ratio is a point's mean over that of the reference.
type Ratio struct {
	Value  float64 // NaN where there is none
	Budget gum.Budget
}

// referenceIt is the rate of the rated capacity, in multiples of It: IEC 61960-3
// clause 7.3.1.
const referenceIt = 0.2

// Capability is a cell's figures as shares of that at the reference: 0.2 It where
// there is a rate within 3 % of that, else the lowest. reference is its index, −1
// where no point has a figure; atIt says that it is at 0.2 It.
//
// By JCGM 100:2008 5.1.6 relative terms subtract: in one set-up a gain cancels,
// and of an offset o of the current o·(1/I₁ − 1/I₂) is left. See [Difference]
// for what does not cancel. The reference itself is 1 without uncertainty.
func Capability(points []Point) (ratios []Ratio, reference int, atIt bool) {
	reference = -1
	off := sameRate * referenceIt
	for k, p := range points {
		if d := math.Abs(p.It - referenceIt); p.sound() && d <= off*(1+rounding) && (reference < 0 || d < math.Abs(points[reference].It-referenceIt)) {
			reference, atIt = k, true
		}
	}
	if reference < 0 {
		for k, p := range points {
			if p.sound() && (reference < 0 || p.Amps < points[reference].Amps) {
				reference = k
			}
		}
	}
	for k, p := range points {
		r := Ratio{Value: math.NaN()}
		switch {
		case reference < 0 || !p.sound():
		case k == reference:
			r.Value = 1
		default:
			ref := points[reference]
			r.Value = p.Mean / ref.Mean
			d := Difference(Contender{Budget: scaled(p.Budget, 1/p.Mean), Setup: p.Setup}, Contender{Budget: scaled(ref.Budget, 1/ref.Mean), Setup: ref.Setup})
			r.Budget = scaled(d, r.Value)
		}
		ratios = append(ratios, r)
	}
	return ratios, reference, atIt
}

func (p Point) sound() bool { return placed(p.Mean) && placed(p.Amps) }

func scaled(b gum.Budget, by float64) gum.Budget {
	b.Terms = slices.Clone(b.Terms)
	for k := range b.Terms {
		b.Terms[k].U *= by
	}
	return b
}
