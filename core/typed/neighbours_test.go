package typed

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// What is worked out near a row is what working out the whole list gives.
func TestWeighIsLocal(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 300 {
		var list []*point
		for range 3 + rng.IntN(25) {
			list = append(list, &point{amps: float64(1 + rng.IntN(20)), v: 3 + rng.Float64(), charge: 5})
		}
		slices.SortFunc(list, func(a, b *point) int { return int(a.amps - b.amps) })
		weigh(list, 0, len(list))
		for len(list) > 2 {
			n := len(list)
			for k, p := range list {
				rest := without(list, k)
				want := disagreement(list, 0, n) - disagreement(rest, 0, n)
				if e := beside(list, k); e != p.expected || e.off(p) > 1 && math.Abs(p.gain-want) > 1e-9 {
					t.Fatalf("place %d of %d: %v and %v, want %v and %v", k, n, p.expected, p.gain, e, want)
				}
			}
			k := rng.IntN(n)
			list = slices.Delete(list, k, k+1)
			weigh(list, k-2*reach-1, k+2*reach+1)
		}
	}
}
