package fit

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.15g, want %.15g ± %g", what, got, want, tolerance)
	}
}

// The same by gonum's QR (which the program leaves out for its size), on
// random models.
func TestLeastAgreesWithGonum(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		p := 1 + rng.IntN(6)
		n := p + 1 + rng.IntN(20)
		x, flat, y := make([][]float64, n), []float64{}, make([]float64, n)
		for i := range x {
			for j := range p {
				v := rng.NormFloat64() * math.Pow(10, float64(3*j))
				if j == 1 {
					v = 1
				}
				x[i] = append(x[i], v)
			}
			flat = append(flat, x[i]...)
			y[i] = rng.NormFloat64() + 5
		}
		f, err := Least(x, y)
		if err != nil {
			t.Fatal(err)
		}
		design := mat.NewDense(n, p, flat)
		var qr mat.QR
		qr.Factorize(design)
		var beta, fitted, residual mat.VecDense
		if err := qr.SolveVecTo(&beta, false, mat.NewVecDense(n, y)); err != nil && !errors.As(err, new(mat.Condition)) {
			t.Fatal(err)
		}
		fitted.MulVec(design, &beta)
		residual.SubVec(mat.NewVecDense(n, y), &fitted)
		s := mat.Norm(&residual, 2) / math.Sqrt(float64(n-p))
		near(t, "S", f.S, s, 1e-10*s)
		var normal, inverse mat.Dense
		normal.Mul(design.T(), design)
		if err := inverse.Inverse(&normal); err != nil && p < 3 {
			t.Fatal(err)
		}
		for j := range p {
			near(t, "coefficient", f.Coef[j], beta.AtVec(j), 1e-9*f.SE[j])
			if p < 3 { // beyond, the normal equations have no digits left
				se := s * math.Sqrt(inverse.At(j, j))
				near(t, "standard error", f.SE[j], se, 1e-8*se)
			}
		}
	}
}

// A line by all three ways, and what is exact comes out exact.
func TestLine(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4}
	y := []float64{1.1, 2.9, 5.2, 6.8, 9.1}
	rows := make([][]float64, len(x))
	for i := range x {
		rows[i] = []float64{1, x[i]}
	}
	a, err := Line(x, y)
	b, err2 := Least(rows, y)
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	// By hand: Sxx 10, Sxy 19.9, means 2 and 5.02.
	near(t, "slope", a.Coef[1], 1.99, 1e-14)
	near(t, "intercept", a.Coef[0], 1.04, 1e-14)
	near(t, "S", a.S, math.Sqrt(0.107/3), 1e-14)
	near(t, "SE of the slope", a.SE[1], math.Sqrt(0.107/30), 1e-14)
	near(t, "SE of the intercept", a.SE[0], math.Sqrt(0.107/3*(0.2+0.4)), 1e-14)
	for i := range 2 {
		near(t, "Least", b.Coef[i], a.Coef[i], 1e-13)
		near(t, "Least, SE", b.SE[i], a.SE[i], 1e-13)
	}
	near(t, "R2", b.R2, a.R2, 1e-14)
	if a.DF != 3 || b.DF != 3 {
		t.Errorf("%d and %d degrees of freedom", a.DF, b.DF)
	}

	two, err := Line([]float64{2, 10}, []float64{4.0, 3.0})
	if err != nil || two.DF != 0 || !math.IsNaN(two.S) || !math.IsNaN(two.SE[1]) || two.Coef[1] != -0.125 || two.Coef[0] != 4.25 {
		t.Errorf("through two points: %+v, %v", two, err)
	}
	level, err := Line(x, []float64{3, 3, 3, 3, 3})
	if err != nil || level.Coef[1] != 0 || level.S != 0 || !math.IsNaN(level.R2) {
		t.Errorf("a level line: %+v, %v", level, err)
	}
	// Times since 1970 in s, a second apart.
	for i := range x {
		x[i] += 1.7e9
	}
	late, err := Line(x, y)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope far from zero", late.Coef[1], 1.99, 1e-14)
}

// The standard errors are what the coefficients scatter by: 4000 lines of six
// points with known noise.
func TestStandardErrorsBySimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	x := []float64{0.5, 1, 2, 4, 5, 9}
	const n = 4000
	var scatter, claimed [2]float64
	for range n {
		y := make([]float64, len(x))
		for i := range x {
			y[i] = 4 - 0.03*x[i] + 0.01*rng.NormFloat64()
		}
		f, err := Line(x, y)
		if err != nil {
			t.Fatal(err)
		}
		for k, truth := range []float64{4, -0.03} {
			scatter[k] += (f.Coef[k] - truth) * (f.Coef[k] - truth) / n
			claimed[k] += f.SE[k] * f.SE[k] / n
		}
	}
	for k := range scatter {
		near(t, "claimed over seen variance", claimed[k]/scatter[k], 1, 0.08)
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	line := func(x, y []float64) error { _, err := Line(x, y); return err }
	origin := func(x, y []float64) error { _, err := Proportional(x, y); return err }
	least := func(x [][]float64, y ...float64) error { _, err := Least(x, y); return err }
	smooth := func(n, window, degree, derivative int, h float64) error {
		_, err := Smooth(make([]float64, n), window, degree, derivative, h)
		return err
	}
	for name, tt := range map[string]struct{ got, want error }{
		"one point":           {line([]float64{1}, []float64{1}), ErrTooFew},
		"none":                {line(nil, nil), ErrTooFew},
		"none from origin":    {origin(nil, nil), ErrTooFew},
		"one x":               {line([]float64{0.1, 0.1, 0.1}, []float64{1, 2, 3}), ErrCollinear},
		"one x but rounding":  {line([]float64{0.3, 0.1 + 0.2, 0.3}, []float64{1, 2, 3}), ErrCollinear},
		"all x zero":          {line([]float64{0, 0}, []float64{1, 2}), ErrCollinear},
		"from origin, zero":   {origin([]float64{0, 0}, []float64{1, 2}), ErrCollinear},
		"NaN":                 {line([]float64{1, nan, 3}, []float64{1, 2, 3}), ErrNotFinite},
		"infinite":            {origin([]float64{1, 2}, []float64{inf, 2}), ErrNotFinite},
		"too large":           {line([]float64{-1e200, 0, 1e200}, []float64{1, 2, 4}), ErrNotFinite},
		"too large, origin":   {origin([]float64{1e200, 1}, []float64{1e200, 2}), ErrNotFinite},
		"lengths":             {line([]float64{1, 2, 3}, []float64{1, 2}), ErrLengths},
		"rows of two lengths": {least([][]float64{{1, 2}, {1}}, 1, 2), ErrLengths},
		"rows and values":     {least([][]float64{{1, 2}, {1, 3}}, 1), ErrLengths},
		"no rows":             {least(nil), ErrTooFew},
		"no columns":          {least([][]float64{{}}, 1), ErrTooFew},
		"fewer than columns":  {least([][]float64{{1, 2}}, 1), ErrTooFew},
		"twice one column":    {least([][]float64{{1, 3, 6}, {1, 4, 8}, {1, 7, 14}, {1, 9, 18}}, 1, 2, 3, 4), ErrCollinear},
		"a sum of columns":    {least([][]float64{{1, 0.1, 1.1}, {1, 0.7, 1.7}, {1, 0.3, 1.3}, {1, 0.9, 1.9}}, 1, 2, 3, 4), ErrCollinear},
		"a column of zeros":   {least([][]float64{{1, 0}, {1, 0}, {1, 0}}, 1, 2, 3), ErrCollinear},
		"all zeros":           {least([][]float64{{0}, {0}}, 1, 2), ErrCollinear},
		"NaN in a row":        {least([][]float64{{1, nan}, {1, 0}, {1, 0}}, 1, 2, 3), ErrNotFinite},
		"even window":         {smooth(20, 6, 2, 0, 1), ErrWindow},
		"no window":           {smooth(20, 0, 0, 0, 1), ErrWindow},
		"negative window":     {smooth(20, -5, 2, 0, 1), ErrWindow},
		"degree too high":     {smooth(20, 5, 5, 0, 1), ErrDegree},
		"degree below zero":   {smooth(20, 5, -1, 0, 1), ErrDegree},
		"derivative too high": {smooth(20, 5, 2, 3, 1), ErrOrder},
		"derivative below 0":  {smooth(20, 5, 2, -1, 1), ErrOrder},
		"spacing zero":        {smooth(20, 5, 2, 1, 0), ErrSpacing},
		"spacing NaN":         {smooth(20, 5, 2, 1, nan), ErrSpacing},
		"spacing tiny":        {smooth(20, 5, 2, 2, 1e-300), ErrSpacing},
		"window too long":     {smooth(20, 21, 2, 0, 1), ErrTooFew},
	} {
		if !errors.Is(tt.got, tt.want) {
			t.Errorf("%s: %v, want %v", name, tt.got, tt.want)
		}
	}
	if _, err := Smooth([]float64{1, 2, inf, 4, 5}, 3, 1, 0, 1); !errors.Is(err, ErrNotFinite) {
		t.Errorf("an infinite point: %v", err)
	}
}
