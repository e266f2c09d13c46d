package measure

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestKth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1961, 64))
	for n := range 500 {
		x := make([]float64, 1+rng.IntN(90))
		for k := range x {
			switch x[k] = rng.NormFloat64(); n % 5 {
			case 0:
				x[k] = float64(rng.IntN(3)) // ties
			case 1:
				x[k] = float64(k)
			case 2:
				x[k] = math.Inf(rng.IntN(3) - 1)
			}
		}
		sorted := slices.Sorted(slices.Values(x))
		for k := range x {
			if got := kth(slices.Clone(x), k); got != sorted[k] {
				t.Fatalf("%v: at place %d is %g, want %g", x, k, got, sorted[k])
			}
		}
	}
}
