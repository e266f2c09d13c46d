package gum

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func terms(shape Shape, us ...float64) []Term {
	var all []Term
	for _, u := range us {
		all = append(all, Term{U: u, Shape: shape})
	}
	return all
}

// draw is one value that a budget's terms may add up to.
func (b Budget) draw(rng *rand.Rand) (sum float64) {
	for _, t := range b.Terms {
		switch {
		case t.Shape == Rectangular:
			sum += t.U * math.Sqrt(3) * (2*rng.Float64() - 1)
		case t.DF > 0 && !math.IsInf(t.DF, 1):
			var chi float64
			for range int(t.DF) {
				z := rng.NormFloat64()
				chi += z * z
			}
			sum += t.U * rng.NormFloat64() * math.Sqrt(t.DF/chi)
		default:
			sum += t.U * rng.NormFloat64()
		}
	}
	return sum
}

// simulate is the half width of the interval holding a share p, by JCGM 101
// clause 7, and the standard deviation of the draws.
func simulate(n int, p float64, value func(rng *rand.Rand) float64) (mean, sd, low, high float64) {
	rng := rand.New(rand.NewPCG(101, 2008))
	all := make([]float64, n)
	for i := range all {
		all[i] = value(rng)
		mean += all[i] / float64(n)
	}
	for _, x := range all {
		sd += (x - mean) * (x - mean) / float64(n-1)
	}
	slices.Sort(all)
	tail := int((1 - p) / 2 * float64(n))
	return mean, math.Sqrt(sd), all[tail], all[n-1-tail]
}

// The examples of JCGM 101:2008 9.2 (clauses cited from memory), with values
// worked out anew: 9.2.2 and 9.2.3 in closed form, 9.2.4 by convolution at 30
// digits.
func TestAdditiveModel(t *testing.T) {
	for _, tt := range []struct {
		name    string
		b       Budget
		u, want float64
	}{
		{"9.2.2, four normal", Budget{terms(Normal, 1, 1, 1, 1)}, 2, 2 * 1.959963984540054},
		{"9.2.3, four rectangular", Budget{terms(Rectangular, 1, 1, 1, 1)}, 2, 2 * math.Sqrt(3) * (2 - math.Pow(0.6, 0.25))},
		{"9.2.4, one ten times as wide", Budget{terms(Rectangular, 1, 1, 1, 10)}, math.Sqrt(103), 17.0158140998666787},
	} {
		t.Run(tt.name, func(t *testing.T) {
			near(t, "u_c", tt.b.Combined(), tt.u, 1e-14)
			near(t, "95 %", tt.b.Interval(0.95), tt.want, 1e-6*tt.want)
			near(t, "beyond it", tt.b.Above(tt.want), 0.025, 1e-7)
			near(t, "beyond the other end", tt.b.Above(-tt.want), 0.975, 1e-7)
			_, sd, low, high := simulate(200_000, 0.95, tt.b.draw)
			near(t, "u by simulation", sd, tt.u, 0.01*tt.u)
			near(t, "95 % by simulation", (high-low)/2, tt.b.Interval(0.95), 0.006*tt.want)
		})
	}
	near(t, "9.2.3 as published", Budget{terms(Rectangular, 1, 1, 1, 1)}.Interval(0.95), 3.88, 0.005)
	near(t, "9.2.4 as published", Budget{terms(Rectangular, 1, 1, 1, 10)}.Interval(0.95), 17.0, 0.05)
}

// One rectangle: p·a. Two alike: a triangle, GUM 4.3.9. Three alike: the tail
// is (3a − x)³/(48a³).
func TestIntervalClosed(t *testing.T) {
	a := 0.7
	u := a / math.Sqrt(3)
	for _, p := range []float64{0.5, 0.6827, 0.95, twoSigma, 0.99, 0.9973} {
		near(t, "rectangle", Budget{terms(Rectangular, u)}.Interval(p), p*a, 1e-7)
		near(t, "triangle", Budget{terms(Rectangular, u, -u)}.Interval(p), 2*a*(1-math.Sqrt(1-p)), 2e-6)
		if tail := (1 - p) / 2; tail <= 1.0/6 {
			near(t, "three", Budget{terms(Rectangular, u, u, u)}.Interval(p), a*(3-math.Cbrt(48*tail)), 1e-6)
		}
	}
	near(t, "outside", Budget{terms(Rectangular, u, u)}.Above(2*a+1e-9), 0, 0)
	near(t, "far outside", Budget{terms(Rectangular, u, u)}.Above(-1e300), 1, 0)
}

// Against the simulation of JCGM 101, for what budgets of a bench test look
// like and for awkward ones.
func TestIntervalBySimulation(t *testing.T) {
	mix := func(n, r []Term) Budget { return Budget{append(n, r...)} }
	few := func(u, df float64) []Term { return []Term{{U: u, DF: df}} }
	for _, tt := range []struct {
		name      string
		b         Budget
		tolerance float64 // of u
	}{
		{"gain over half, normal rest", mix(terms(Normal, 0.3), terms(Rectangular, 1)), 0.02},
		{"a hair of normal", mix(terms(Normal, 1e-5), terms(Rectangular, 1)), 0.02},
		{"a hair of rectangle", mix(terms(Normal, 1), terms(Rectangular, 1e-5, 2e-3)), 0.02},
		{"two unlike", Budget{terms(Rectangular, 1, 0.01)}, 0.02},
		{"mixed", mix(terms(Normal, 0.4, 0.2), terms(Rectangular, 1, 0.3, 0.5, 0.05)), 0.02},
		{"many", Budget{terms(Rectangular, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1)}, 0.02},
		{"repeats, eight degrees", mix(few(1, 8), terms(Rectangular, 1)), 0.03},
		{"repeats, three degrees", mix(few(0.5, 3), terms(Rectangular, 1, 0.4)), 0.07},
		{"repeats alone", Budget{few(1, 4)}, 0.05},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for _, p := range []float64{0.6827, 0.95} {
				_, _, low, high := simulate(200_000, p, tt.b.draw)
				got, u := tt.b.Interval(p), tt.b.Combined()
				near(t, "interval", got, (high-low)/2, tt.tolerance*u)
				near(t, "beyond it", tt.b.Above(got), (1-p)/2, 2e-6)
				near(t, "below it", tt.b.Above(-got), (1+p)/2, 2e-6)
			}
		})
	}
}

// Whatever the terms, Above falls steadily from 1 to 0.
func TestAboveFalls(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 106))
	for range 40 {
		var b Budget
		for range 1 + rng.IntN(5) {
			b.Terms = append(b.Terms, Term{
				U:     math.Pow(10, 4*rng.Float64()-4) * (rng.Float64() - 0.5),
				DF:    float64(rng.IntN(3) * rng.IntN(6)),
				Shape: Shape(rng.IntN(2)),
			})
		}
		last := 1.0
		for x := -6.0; x <= 6; x += 0.37 {
			p := b.Above(x * b.Combined())
			if !(p <= last+2e-6) || p < 0 || p > 1 {
				t.Fatalf("%+v: %g at %g after %g", b.Terms, p, x, last)
			}
			last = p
		}
	}
}

// JCGM 101:2008 9.3, the calibration of a mass: a model that is not linear, so
// that a budget of the first order tells too little, as the guide shows. Model
// and figures are cited from memory.
func TestMassCalibration(t *testing.T) {
	first := Budget{terms(Normal, 0.050, 0.020)} // mg
	near(t, "u of the first order", first.Combined(), 0.0539, 0.00005)
	half := first.Interval(0.95)
	near(t, "low end of the first order", 1.234-half, 1.1285, 0.0001)
	near(t, "high end of the first order", 1.234+half, 1.3395, 0.0001)

	mean, sd, low, high := simulate(200_000, 0.95, func(rng *rand.Rand) float64 {
		between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
		reference := 100_000 + 0.050*rng.NormFloat64()
		added := 1.234 + 0.020*rng.NormFloat64()
		air, weight, standard := between(1.1, 1.3), between(7000, 9000), between(7950, 8050)
		return (reference+added)*(1+(air-1.2)*(1/weight-1/standard)) - 100_000
	})
	near(t, "mean", mean, 1.2340, 0.001)
	near(t, "u", sd, 0.0754, 0.0005)
	near(t, "low end", low, 1.0834, 0.002)
	near(t, "high end", high, 1.3825, 0.002)
}
