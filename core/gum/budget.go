// Package gum works out measurement uncertainty by JCGM 100:2008 (the GUM): the
// contributions to a figure, their combination, degrees of freedom and coverage
// factor; and by JCGM 101:2008 the distribution of what they make together.
package gum

import (
	"math"
	"sync"
)

// Shape is the distribution that an input is taken to have.
type Shape uint8

// The distributions.
const (
	// Normal: a repeatability, a calibration certificate, many small causes.
	// With few degrees of freedom it is Student's t of the same scale.
	Normal Shape = iota
	// Rectangular: anywhere between two limits, alike: a tolerance, a
	// resolution, an instant between two samples. GUM 4.3.7.
	Rectangular
)

// Term is one contribution to a figure's uncertainty.
type Term struct {
	Name  string // "current gain"
	Input string // what went in, as words: "±1 %, IEC 61960-3 tolerance"; may be empty
	// U is the standard contribution c·u(x) in the figure's unit. Its sign is
	// that of c, so that one input can be carried from one figure to another.
	U float64
	// DF is the degrees of freedom; anything not above zero, and +Inf, means
	// infinitely many.
	DF    float64
	Shape Shape
}

// Budget is the contributions to one figure, from inputs that are independent
// of each other. Inputs that are not go through [Correlated] first.
type Budget struct{ Terms []Term }

// Combined is the combined standard uncertainty u_c: the root of the sum of
// the squares, GUM 5.1.2. It is 0 for no terms, NaN where a term is.
func (b Budget) Combined() float64 {
	return norm(func(yield func(float64)) {
		for _, t := range b.Terms {
			yield(t.U)
		}
	})
}

// norm is the root of a sum of squares, scaled so that nothing overflows.
func norm(each func(yield func(float64))) float64 {
	var top, sum float64
	each(func(u float64) { top = max(top, math.Abs(u)) })
	if top == 0 || math.IsInf(top, 0) || math.IsNaN(top) {
		return top
	}
	each(func(u float64) { sum += float64((u / top) * (u / top)) })
	return top * math.Sqrt(sum)
}

// DF is the effective degrees of freedom by Welch and Satterthwaite, GUM
// equation G.2b, not rounded; +Inf where every term has infinitely many.
func (b Budget) DF() float64 {
	var sum float64
	for i, t := range b.Terms {
		if t.DF > 0 && t.U != 0 {
			s := b.Share(i)
			sum += float64(s*s) / t.DF
		}
	}
	return 1 / sum
}

// twoSigma is the chance that a normal value lies within two standard
// deviations, erf(√2): the "95.45 %" of GUM table G.2.
const twoSigma = 0.954499736103641585599434725666933125

// K is the coverage factor for 95.45 %: 2 where the degrees of freedom are
// infinite, else Student's t for them.
func (b Budget) K() float64 {
	if math.IsInf(b.DF(), 1) {
		return 2
	}
	return b.KAt(twoSigma)
}

// KAt is the coverage factor for a level of confidence between 0 and 1: the
// two-sided Student's t at the degrees of freedom cut to the next lower
// integer, as GUM G.4.1 does, but not below 1.
func (b Budget) KAt(level float64) float64 {
	df := b.DF()
	if !math.IsInf(df, 1) {
		// A ν of 16 may come out of the sum a hair below 16.
		df = max(1, math.Floor(df+1e-9))
	}
	if level == twoSigma && df < float64(len(usual)) {
		return usual[int(df)]()
	}
	return StudentT((1+level)/2, df)
}

// usual are the coverage factors for 95.45 % by whole degrees of freedom, each
// worked out when it is first asked for.
var usual = func() (list [64]func() float64) {
	for k := range list {
		list[k] = sync.OnceValue(func() float64 { return StudentT((1+twoSigma)/2, float64(k)) })
	}
	return list
}()

// Expanded is the expanded uncertainty U = k·u_c, in the figure's unit.
func (b Budget) Expanded() float64 { return b.K() * b.Combined() }

// Share is what part of the variance term i makes up: (U_i/u_c)², 0 to 1; 0
// where there is no uncertainty at all.
func (b Budget) Share(i int) float64 {
	u := b.Combined()
	if u == 0 {
		return 0
	}
	r := b.Terms[i].U / u
	return r * r
}

// Dominant is the largest rectangular term, where it is over half of u_c. A
// normal distribution then describes the figure badly: the interval comes
// from [Budget.Interval] and chances from [Budget.Above].
func (b Budget) Dominant() (Term, bool) {
	var top Term
	for _, t := range b.Terms {
		if t.Shape == Rectangular && math.Abs(t.U) > math.Abs(top.U) {
			top = t
		}
	}
	return top, math.Abs(top.U) > b.Combined()/2
}

// LimitsToU is the standard uncertainty of a value known to lie within ±a, a in
// any unit: a/√3, GUM 4.3.7.
func LimitsToU(a float64) float64 { return a / math.Sqrt(3) }

// Resolution is the standard uncertainty of a reading shown in steps: step/√12,
// GUM F.2.2.1.
func Resolution(step float64) float64 { return step / math.Sqrt(12) }

// Correlated is the combined standard uncertainty of inputs that are not
// independent: c their sensitivity coefficients, u their standard
// uncertainties, r(i, j) the correlation coefficient of two, asked for i < j
// only. GUM equation 16. c and u have the same length.
func Correlated(c, u []float64, r func(i, j int) float64) float64 {
	var sum float64
	for i := range c {
		a := float64(c[i] * u[i])
		sum += float64(a * a)
		for j := i + 1; j < len(c); j++ {
			sum += float64(2 * a * float64(c[j]*u[j]) * r(i, j))
		}
	}
	if sum < 0 { // what is left of full correlation after rounding
		return 0
	}
	return math.Sqrt(sum)
}

// round keeps so many bits of x, of its 53. math.Exp and math.Log are assembly
// on some machines and not under WebAssembly, and may differ there in the last
// ones: what is rounded is the same on both.
func round(x float64, bits int) float64 {
	f, exp := math.Frexp(x)
	return math.Ldexp(math.Round(math.Ldexp(f, bits)), exp-bits)
}

const (
	exactBits = 40 // twelve digits, of what is worked out in closed form
	fineBits  = 30 // nine digits, of what is searched for
)
