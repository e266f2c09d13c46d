package gum

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Phi is the standard normal distribution Φ: the chance that a value lies
// below x standard deviations, to twelve digits.
func Phi(x float64) float64 { return round(phi(x), exactBits) }

func phi(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// StudentT is the quantile of Student's t at p, 0 to 1, with nu degrees of
// freedom: the value that a share p lies below. For nu of +Inf it is the
// normal one. To nine digits or more; NaN where p or nu makes no sense.
func StudentT(p, nu float64) float64 {
	if p < 0.5 {
		return -round(upperT(p, nu), exactBits)
	}
	return round(upperT(1-p, nu), exactBits)
}

// manyDF is the degrees of freedom from which t is worked out from the normal
// distribution, by the expansions of Abramowitz and Stegun: they are then good
// to ten digits, and the inversion below loses some.
const manyDF = 1e4

// upperT is the value that a share tail, 0 to 0.5, lies above. Taken from the
// tail, since 1 − tail has no digits left where tail is small.
func upperT(tail, nu float64) float64 {
	switch {
	case !(tail >= 0 && tail <= 0.5) || !(nu > 0):
		return math.NaN()
	case tail == 0:
		return math.Inf(1)
	case nu > manyDF: // 26.7.5; nu may be +Inf
		z := math.Sqrt2 * math.Erfcinv(2*tail)
		zz := z * z
		return z + float64(z*(zz+1)/4)/nu + float64(z*(float64((5*zz+16)*zz)+3)/96)/nu/nu
	}
	// 2·tail = I_x(ν/2, ½) at x = ν/(ν + t²): Abramowitz and Stegun 26.7.1.
	// Near the middle x is close to 1, so it is 1 − x that is worked out.
	if tail < 0.25 {
		x := mathext.InvRegIncBeta(nu/2, 0.5, 2*tail)
		return math.Sqrt(nu * (1 - x) / x)
	}
	y := mathext.InvRegIncBeta(0.5, nu/2, 1-2*tail)
	return math.Sqrt(nu * y / (1 - y))
}

// tailT is the share of Student's t that lies above t, t not below zero.
func tailT(t, nu float64) float64 {
	if nu > manyDF { // 26.7.8
		return phi(-t * (1 - 1/(4*nu)) / math.Sqrt(1+t*t/(2*nu)))
	}
	return mathext.RegIncBeta(nu/2, 0.5, nu/(nu+float64(t*t))) / 2
}
