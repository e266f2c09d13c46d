package gum

import (
	"math"
	"testing"
)

// Upper critical values of Student's t: NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.6.7.2, and worked out anew at 30 digits, which is what stands
// here.
func TestStudentT(t *testing.T) {
	for _, row := range [][4]float64{
		{1, 6.313752, 12.7062, 63.65674},
		{2, 2.919986, 4.302653, 9.924843},
		{3, 2.353363, 3.182446, 5.840909},
		{4, 2.131847, 2.776445, 4.604095},
		{5, 2.015048, 2.570582, 4.032143},
		{6, 1.94318, 2.446912, 3.707428},
		{7, 1.894579, 2.364624, 3.499483},
		{9, 1.833113, 2.262157, 3.249836},
		{10, 1.812461, 2.228139, 3.169273},
		{16, 1.745884, 2.119905, 2.920782},
		{20, 1.724718, 2.085963, 2.84534},
		{30, 1.697261, 2.042272, 2.749996},
	} {
		for i, p := range []float64{0.95, 0.975, 0.995} {
			got := StudentT(p, row[0])
			near(t, "t", got, row[i+1], 6e-7*row[i+1])
			near(t, "t on the other side", StudentT(1-p, row[0]), -got, 1e-9*got)
			near(t, "share beyond", tailT(got, row[0]), 1-p, 1e-12)
		}
	}
}

// Closed forms: t is tan(π(p − ½)) for one degree of freedom, and
// (2p − 1)·√(2/(4p(1 − p))) for two. Abramowitz and Stegun 26.7.3, 26.7.4.
func TestStudentTClosed(t *testing.T) {
	for _, p := range []float64{1e-6, 0.01, 0.2, 0.24, 0.26, 0.4, 0.5, 0.55, 0.74, 0.76, 0.9, 0.999, 1 - 1e-6} {
		one := math.Tan(math.Pi * (p - 0.5))
		two := (2*p - 1) * math.Sqrt(2/(4*p*(1-p)))
		near(t, "one degree", StudentT(p, 1), one, 1e-9*math.Max(math.Abs(one), 1e-3))
		near(t, "two degrees", StudentT(p, 2), two, 1e-9*math.Max(math.Abs(two), 1e-3))
	}
}

// z: worked out anew at 30 digits.
func TestNormalQuantiles(t *testing.T) {
	for p, z := range map[float64]float64{0.95: 1.644853626951472714, 0.975: 1.959963984540054236, 0.99: 2.326347874040841, 0.999: 3.090232306167814} {
		near(t, "z", StudentT(p, math.Inf(1)), z, 3e-12)
		near(t, "Φ(z)", Phi(z), p, 1e-12)
	}
	near(t, "erf(√2)", math.Erf(math.Sqrt2), twoSigma, 1e-15)
	near(t, "two-sided", StudentT((1+twoSigma)/2, math.Inf(1)), 2, 3e-12)
	// The tails that guard bands of 3, 1.5, 1 and 0.83 U leave (ILAC-G8:09/2019
	// table 1; multipliers cited from memory).
	for z, tail := range map[float64]float64{6: 9.865876450e-10, 3: 0.001349898032, 2: 0.02275013195, 1.66: 0.04845722627} {
		near(t, "tail", Phi(-z), tail, 1e-9*tail)
	}
	// No step where t comes to be worked out from the normal distribution.
	for _, p := range []float64{0.6, 0.975, 0.99999} {
		below, above := StudentT(p, manyDF), StudentT(p, math.Nextafter(manyDF, 2*manyDF))
		near(t, "many degrees", above, below, 1e-9)
		near(t, "and back", tailT(above, math.Nextafter(manyDF, 2*manyDF)), 1-p, 1e-9)
	}
}

func TestStudentTSenseless(t *testing.T) {
	for _, x := range [][2]float64{{-0.1, 3}, {1.1, 3}, {math.NaN(), 3}, {0.9, 0}, {0.9, -1}, {0.9, math.NaN()}} {
		if got := StudentT(x[0], x[1]); !math.IsNaN(got) {
			t.Errorf("t(%g, %g) = %g", x[0], x[1], got)
		}
	}
	if StudentT(0, 4) != math.Inf(-1) || StudentT(1, 4) != math.Inf(1) || StudentT(0.5, 4) != 0 {
		t.Errorf("t at 0, 1 and ½: %g, %g, %g", StudentT(0, 4), StudentT(1, 4), StudentT(0.5, 4))
	}
}

// The examples of JCGM 106:2012 clause 7: the chance of conforming is
// Φ((T − y)/u). The examples are cited from memory, the chances worked out anew
// at 30 digits.
func TestConformance(t *testing.T) {
	near(t, "Zener diode, 7.3.2", Phi((-5.40+5.47)/0.05), 0.919243340766, 1e-11)
	near(t, "bottle, 7.3.3", Phi((509.7-490)/8.6), 0.989009547385, 2.1e-5)
	near(t, "oil, 7.4", Phi((16.3-13.6)/1.8)-Phi((12.5-13.6)/1.8), 0.662629786495, 1e-11)
	// The same by a budget of one normal term.
	near(t, "by budget", Budget{[]Term{{U: 0.05}}}.Above(-5.47+5.40), 0.919243340766, 1e-8)
}
