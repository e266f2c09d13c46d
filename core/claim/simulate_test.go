package claim

import (
	"math"
	"math/rand/v2"
	"testing"

	"plateau/core/gum"
	"plateau/core/quantity"
)

// share is how often something happens in n seeded campaigns.
func share(n int, happens func(rng *rand.Rand) bool) float64 {
	rng := rand.New(rand.NewPCG(106, 2012))
	count := 0.0
	for range n {
		if happens(rng) {
			count++
		}
	}
	return count / float64(n)
}

// within holds a share to four standard deviations of what chance makes of it.
func within(t *testing.T, what string, got, want float64, n int) {
	t.Helper()
	near(t, what, got, want, 4*math.Sqrt(want*(1-want)/float64(n)))
}

// How often a sample is wrongly accepted: ILAC-G8:09/2019 table 1 has below 2.5 %
// for w = U; exactly Φ(−2) with normal errors. Of the best of five it is that
// where all errors are shared, and 1 − Φ(2)⁵ where none is.
func TestFalseAccept(t *testing.T) {
	const u, n = 0.02, 20_000
	const edge = 0.02275013195
	// The campaign: so many runs of a sample that truly gives so much.
	passes := func(truth, shared float64, runs int) float64 {
		own := math.Sqrt(1 - shared*shared)
		return share(n, func(rng *rand.Rand) bool {
			common := shared * u * rng.NormFloat64()
			all := make([]Run, runs)
			for i := range all {
				all[i] = at(rated, truth+common+own*u*rng.NormFloat64(), u)
			}
			return Judge(rated, all, quantity.Words{}).Grade == Pass
		})
	}
	within(t, "at the claim", passes(4.9, 0, 1), edge, n)
	if got := passes(4.9-2*u, 0, 1); got > 4e-4 { // 3.2e-5 is expected
		t.Errorf("a sample at T − U is called a pass in %g of cases", got)
	}
	within(t, "at T + U", passes(4.9+2*u, 0, 1), 0.5, n)
	within(t, "best of five, shared errors", passes(4.9, 1, 5), edge, n)
	within(t, "best of five, own errors", passes(4.9, 0, 5), 1-math.Pow(1-edge, 5), n)
}

// The chance means what it says: of samples exactly at their claim a share p has
// a chance below p. With few repeats Student's t sees to that.
func TestChanceHolds(t *testing.T) {
	const n = 8000
	for _, runs := range []int{1, 2, 3} {
		for _, p := range []float64{0.025, 0.5, 0.975} {
			got := share(n, func(rng *rand.Rand) bool {
				const u, s = 1e-6, 0.01
				all := make([]Run, runs)
				var sum, square float64
				for i := range all {
					q := 4.9 + s*rng.NormFloat64()
					sum, square = sum+q-4.9, square+(q-4.9)*(q-4.9)
					all[i] = at(rated, q, u)
				}
				for i := range all {
					all[i].Relative = s / 4.9
					if runs > 1 {
						df := float64(runs - 1)
						all[i].Relative, all[i].DF = math.Sqrt(max(square-sum*sum/float64(runs), 0)/df)/4.9, df
					}
				}
				return Judge(rated, all, quantity.Words{}).Chance < p
			})
			within(t, "share of chances below p", got, p, n)
		}
	}
}

// The costliest verdict: few repeats beside many rectangular terms.
func BenchmarkJudge(b *testing.B) {
	r := at(rated, 4.93, 0.01)
	for _, u := range []float64{0.02, 0.01, 0.005, 0.004, 0.003} {
		r.Budget.Terms = append(r.Budget.Terms, gum.Term{Name: string(rune('a' + len(r.Budget.Terms))), U: u, Shape: gum.Rectangular})
	}
	r.Relative, r.DF = 0.0015, 8
	for b.Loop() {
		Judge(rated, []Run{r, r, r}, quantity.Words{})
	}
}
