package fit

import (
	"errors"
	"fmt"
	"math"

	"plateau/core/say"
)

// What smoothing can be refused for.
var (
	ErrWindow  = errors.New("the smoothing window must be an odd number of points")
	ErrDegree  = errors.New("the degree of the smoothing must be 0 or more and below the window's points")
	ErrOrder   = errors.New("the derivative must be 0 or more, and not above the degree of the smoothing")
	ErrSpacing = errors.New("the spacing of the points must be a number other than zero")
)

// SavitzkyGolay gives the weights by which the middle one of so many evenly
// spaced points, window, an odd number, is smoothed: the value (derivative 0)
// or a derivative, for a spacing of 1, of the polynomial of that degree through
// them by least squares. Savitzky and Golay, Analytical Chemistry 36 (1964)
// 1627-1639; worked out by the recurrence of Gram's polynomials that Gorry,
// Analytical Chemistry 62 (1990) 570-573, gives (cited from memory).
func SavitzkyGolay(window, degree, derivative int) ([]float64, error) {
	if err := checkWindow(window, degree, derivative); err != nil {
		return nil, err
	}
	g := newGram(window, degree)
	weights := make([]float64, window)
	for k, d := range g.at(0, derivative) {
		for i := range weights {
			weights[i] += float64(g.values[k][i] * d / g.norm[k])
		}
	}
	return weights, nil
}

// Smooth gives each point of y, at the even spacing h, smoothed or
// differentiated by [SavitzkyGolay] over so many points. The first and last
// half windows come from the polynomial through the first and last whole one.
func Smooth(y []float64, window, degree, derivative int, h float64) ([]float64, error) {
	if len(y) < window {
		return nil, say.Error("%w: %d, the smoothing window has %d", ErrTooFew, len(y), window)
	}
	weights, err := SavitzkyGolay(window, degree, derivative)
	if err != nil {
		return nil, err
	}
	unit := math.Pow(h, -float64(derivative))
	if h == 0 || bad(h) || bad(unit) {
		return nil, fmt.Errorf("%w: %g", ErrSpacing, h)
	}
	for i, v := range y {
		if bad(v) {
			return nil, say.Error("%w: point %d", ErrNotFinite, i+1)
		}
	}
	out := make([]float64, len(y))
	m := window / 2
	for i := m; i+m < len(y); i++ {
		var sum float64
		for j, w := range weights {
			sum += float64(w * y[i-m+j])
		}
		out[i] = sum * unit
	}
	g := newGram(window, degree)
	first, last := g.fit(y[:window]), g.fit(y[len(y)-window:])
	for i := range m {
		out[i] = g.value(first, i-m, derivative) * unit
		out[len(y)-1-i] = g.value(last, m-i, derivative) * unit
	}
	return out, nil
}

func checkWindow(window, degree, derivative int) error {
	switch {
	case window < 1 || window%2 == 0:
		return fmt.Errorf("%w: %d", ErrWindow, window)
	case degree < 0 || degree >= window:
		return fmt.Errorf("%w: %d of %d", ErrDegree, degree, window)
	case derivative < 0 || derivative > degree:
		return fmt.Errorf("%w: %d of degree %d", ErrOrder, derivative, degree)
	}
	return nil
}

// gram holds the polynomials of Gram, which are orthogonal on the points −m to
// m of a window.
type gram struct {
	m, degree int
	values    [][]float64 // of polynomial k at point i−m
	norm      []float64   // the sum of its squares over the window
}

func newGram(window, degree int) *gram {
	g := &gram{m: window / 2, degree: degree, norm: make([]float64, degree+1)}
	g.values = make([][]float64, degree+1)
	for k := range g.values {
		g.values[k] = make([]float64, window)
	}
	for i := range window {
		for k, p := range g.at(i-g.m, 0) {
			g.values[k][i] = p
			g.norm[k] += float64(p * p)
		}
	}
	return g
}

// at is the derivative of each polynomial at point t.
func (g *gram) at(t, derivative int) []float64 {
	last := make([]float64, g.degree+1) // the derivative one order below
	for s := 0; ; s++ {
		now := make([]float64, g.degree+1)
		if s == 0 {
			now[0] = 1
		}
		for k := 1; k <= g.degree; k++ {
			// 2m − k + 1 is above zero, since the degree is below the window.
			below := float64(k * (2*g.m - k + 1))
			now[k] = float64(2*(2*k-1)) / below * (float64(float64(t)*now[k-1]) + float64(float64(s)*last[k-1]))
			if k > 1 {
				now[k] -= float64(float64((k-1)*(2*g.m+k)) / below * now[k-2])
			}
		}
		if s == derivative {
			return now
		}
		last = now
	}
}

// fit gives the coefficients of the polynomials through a window by least
// squares.
func (g *gram) fit(y []float64) []float64 {
	coef := make([]float64, len(g.norm))
	for k, p := range g.values {
		var dot float64
		for i, v := range y {
			dot += float64(p[i] * v)
		}
		coef[k] = dot / g.norm[k]
	}
	return coef
}

// value is a derivative of such a fit at point t.
func (g *gram) value(coef []float64, t, derivative int) (sum float64) {
	for k, p := range g.at(t, derivative) {
		sum += float64(coef[k] * p)
	}
	return sum
}
