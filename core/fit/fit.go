// Package fit puts lines and other linear models through points by least
// squares, with the standard errors of what it finds, and smooths and
// differentiates curves by the method of Savitzky and Golay.
package fit

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"plateau/core/say"
)

// What a fit can be refused for.
var (
	ErrTooFew    = say.LaterError("too few points for the fit")
	ErrCollinear = say.LaterError("the points do not settle the fit: what it depends on does not vary, or two of its columns vary alike")
	ErrNotFinite = say.LaterError("a value is missing, infinite or too large to be fitted")
	ErrLengths   = errors.New("the columns of a fit are not of one length")
)

// Fit is a linear model put through points by least squares.
//
// With as many points as coefficients DF is 0, and S and SE are NaN: the model
// goes through every point, and nothing tells how good it is.
type Fit struct {
	Coef []float64 // in the order of the model's columns
	SE   []float64 // the standard error of each
	S    float64   // residual standard deviation, in the unit of y
	// R2 is the share of y's variation that the model explains: about the mean
	// where the model has a constant, else about zero. NaN where y has none.
	R2 float64
	DF int // points less coefficients
}

// Line fits y = Coef[0] + Coef[1]·x to two points or more; x and y have the
// same length.
func Line(x, y []float64) (Fit, error) {
	if err := check(len(x), len(y), 2, x, y); err != nil {
		return Fit{}, err
	}
	mean, variance := stat.MeanVariance(x, nil)
	n := float64(len(x))
	switch {
	case bad(variance):
		return Fit{}, ErrNotFinite
	case flat(x, mean):
		return Fit{}, ErrCollinear
	}
	a, b := stat.LinearRegression(x, y, nil, false)
	f := Fit{Coef: []float64{a, b}, DF: len(x) - 2}
	var rss float64
	for i := range x {
		r := y[i] - a - float64(b*x[i])
		rss += float64(r * r)
	}
	_, total := stat.MeanVariance(y, nil)
	f.grade(rss, total*(n-1), []float64{
		math.Sqrt(1/n + float64(mean*mean)/(variance*(n-1))),
		1 / math.Sqrt(variance*(n-1)),
	})
	return f, f.finite()
}

// Proportional fits y = Coef[0]·x, a line through the origin, to one point or
// more; x and y have the same length. R2 is about zero.
func Proportional(x, y []float64) (Fit, error) {
	if err := check(len(x), len(y), 1, x, y); err != nil {
		return Fit{}, err
	}
	_, b := stat.LinearRegression(x, y, nil, true)
	var xx, yy, rss float64
	for i := range x {
		r := y[i] - float64(b*x[i])
		xx += float64(x[i] * x[i])
		yy += float64(y[i] * y[i])
		rss += float64(r * r)
	}
	switch {
	case bad(xx):
		return Fit{}, ErrNotFinite
	case xx == 0:
		return Fit{}, ErrCollinear
	}
	f := Fit{Coef: []float64{b}, DF: len(x) - 1}
	f.grade(rss, yy, []float64{1 / math.Sqrt(xx)})
	return f, f.finite()
}

// grade works out what tells how good a fit is from the sum of its squared
// residuals, the whole sum of squares of y, and the standard errors that the
// coefficients would have were S one.
func (f *Fit) grade(rss, total float64, unit []float64) {
	f.S = math.NaN()
	if f.DF > 0 {
		f.S = math.Sqrt(rss / float64(f.DF))
	}
	for _, u := range unit {
		f.SE = append(f.SE, f.S*u)
	}
	f.R2 = math.NaN()
	if total > 0 {
		f.R2 = 1 - rss/total
	}
}

// finite says whether a fit came out in numbers.
func (f *Fit) finite() error {
	for i, c := range f.Coef {
		if bad(c) || f.DF > 0 && bad(f.SE[i]) {
			return ErrNotFinite
		}
	}
	return nil
}

// check refuses columns that cannot be fitted by so many coefficients.
func check(nx, ny, coefs int, columns ...[]float64) error {
	if nx != ny {
		return fmt.Errorf("%w: %d and %d", ErrLengths, nx, ny)
	}
	if nx < coefs {
		return say.Error("%w: %d, needed are %d or more", ErrTooFew, nx, coefs)
	}
	for _, column := range columns {
		for i, x := range column {
			if bad(x) {
				return say.Error("%w: point %d", ErrNotFinite, i+1)
			}
		}
	}
	return nil
}

func bad(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// flat says that a column does not vary by more than its own rounding.
func flat(x []float64, mean float64) bool {
	for _, v := range x {
		if math.Abs(v-mean) > 8*epsilon*math.Abs(mean) {
			return false
		}
	}
	return true
}

// epsilon is the step from 1 to the next larger number.
const epsilon = 0x1p-52
