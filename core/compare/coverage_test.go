package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"testing"

	"plateau/core/gum"
	"plateau/core/measure"
	"plateau/core/tester"
	"plateau/core/trace"
)

// covered holds a share of intervals that hold the truth to the bars of
// coverage; upper is whether it may be too high as well.
func covered(t *testing.T, what string, inside, n int, upper bool) {
	t.Helper()
	share := float64(inside) / float64(n)
	if os.Getenv("PLATEAU_COVERAGE") != "" {
		fmt.Printf("%-48s %6d %8.2f %%\n", what, n, 100*share)
	}
	if share < 0.945 || upper && share > 0.965 {
		t.Errorf("%s: the interval holds the truth in %.2f %% of %d, want 94.5 to 96.5", what, 100*share, n)
	}
}

// The effective resistance and the zero-current voltage of three, four and six
// rates, with voltages that scatter: the standard error times Student's t holds
// the truth as often as it says. Truth: V = 4.1 − 0.12·q − 0.03·I.
func TestCoverageOfMap(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Skip("the same arithmetic is covered natively")
	}
	const n = 10_000
	for _, rates := range [][]float64{{1, 3, 6}, {1, 3, 6, 12}, {0.5, 1, 2, 4, 6, 8}} {
		rng := rand.New(rand.NewPCG(uint64(len(rates)), 104))
		var slope, volts int
		for range n {
			var runs []*trace.Run
			for _, amps := range rates {
				tr := trace.New(false)
				off := 0.004 * rng.NormFloat64() // contacts, warmth: one for each run
				for k := range 40 {
					q := 4.0 * float64(k) / 39
					tr.Append(q/amps*3600, 4.1-0.12*q-0.03*amps+off, amps, 0)
				}
				runs = append(runs, trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: 40}))
			}
			points, why := ResistanceMap(runs, 3)
			if len(points) == 0 {
				t.Fatal(why)
			}
			p := points[1]
			k := gum.StudentT(0.97725, float64(p.DF))
			if math.Abs(p.R-0.03) <= k*p.SER {
				slope++
			}
			if math.Abs(p.V0-(4.1-0.12*p.Q)) <= k*p.SEV0 {
				volts++
			}
		}
		covered(t, fmt.Sprintf("effective resistance, %d rates", len(rates)), slope, n, true)
		covered(t, fmt.Sprintf("zero-current voltage, %d rates", len(rates)), volts, n, true)
	}
}

// The mean of n repeats, on one tester whose gain is the same for all, with a
// repeatability that is pooled from these and other repeats.
func TestCoverageOfMean(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Skip("the same arithmetic is covered natively")
	}
	const logs, spread, gain = 10_000, 0.003, 0.001
	for _, n := range []int{2, 3, 5} {
		rng := rand.New(rand.NewPCG(uint64(n), 105))
		inside := 0
		for range logs {
			g := gain / 2 * rng.NormFloat64()
			var all []Attempt
			for group := range 3 {
				for k := range n {
					all = append(all, Attempt{Group: fmt.Sprint(group), Value: 5 * (1 + spread*rng.NormFloat64()) * (1 + g), Order: float64(k)})
				}
			}
			groups, pooled := Repeats(all)
			var one measure.Budgets
			one[measure.Capacity].Terms = []gum.Term{{Name: "current gain", U: 5 * (tester.Limit{Basis: tester.Calibration}).U(gain), Shape: gum.Normal}}
			relative, df := pooled.At(1)
			if math.Abs(groups[0].Mean-5) <= measure.MeanExpanded(measure.MeanBudget(groups[0].Mean, n, relative, df, one)) {
				inside++
			}
		}
		covered(t, fmt.Sprintf("mean of %d repeats, three cells", n), inside, logs, true)
	}
}
