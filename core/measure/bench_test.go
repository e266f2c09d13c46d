package measure

import (
	"math/rand/v2"
	"testing"

	"plateau/core/cell"
	"plateau/core/tester"
	"plateau/core/trace"
)

// manyRuns is a campaign: discharges of so many samples each at eight currents,
// with noise, and read in steps of a millivolt and a milliampere.
func manyRuns(tb testing.TB, n, samples int) []*trace.Run {
	tb.Helper()
	rng := rand.New(rand.NewPCG(320, 20000))
	spec := stated()
	all := make([]*trace.Run, n)
	for k := range all {
		amps := [...]float64{0.5, 1, 2, 3, 5, 7, 10, 15}[k%8]
		m := sound(rng)
		g := rig{spec: spec, assumed: spec.For(4.18, amps*1.02), amps: amps, noiseV: 0.3e-3, noiseI: 0.5e-3, stepV: 1e-3, stepI: 1e-3}
		g.every = m.until(2.42, amps) / float64(samples)
		if all[k], _ = g.log(m, rng); all[k] == nil {
			tb.Fatal("no discharge")
		}
	}
	return all
}

func stated() tester.Spec {
	return tester.Spec{TimeBase: 1e-4, Temperature: 1,
		Voltage: []tester.Range{{Gain: 0.0005, Offset: 2e-3, Resolution: 1e-3}},
		Current: []tester.Range{{Gain: 0.001, Offset: 2e-3, Resolution: 1e-3}}}
}

// What a change costs of a campaign of 40 cells, run eight times each with
// 20,000 samples, at a cut-off that was asked for before or at a new one.
func BenchmarkCampaign(b *testing.B) {
	runs := manyRuns(b, 320, 20000)
	datasheet := cell.Cell{Rated: 5, Cutoff: 2.5, ChargeVoltage: 4.2, MaxCurrent: 20}
	known, two := stated(), stated()
	two.TwoWire, two.Lead, two.LeadError = true, 0.02, 0.005
	all := func(b *testing.B, cutoff func(n int) float64, spec tester.Spec) {
		for n := range b.N {
			at := cutoff(n)
			for _, r := range runs {
				res, err := Discharge(r, at)
				if err != nil {
					b.Fatal(err)
				}
				if budgets, _ := Uncertainty(r, res, spec); len(budgets[Capacity].Terms) == 0 {
					b.Fatal("no budget")
				}
				Findings(Facts{Run: r, Results: res, Cutoff: at, Cell: datasheet, Tester: spec})
			}
		}
	}
	same := func(at float64) func(int) float64 { return func(int) float64 { return at } }
	for _, c := range []struct {
		name   string
		cutoff func(int) float64
		spec   tester.Spec
	}{
		{"own end", same(0), known}, {"cut-off", same(2.8), known}, {"high cut-off", same(3.6), known},
		{"new cut-off", func(n int) float64 { return 2.6 + float64(n%1000)/1000 }, known},
		{"unknown tester", same(2.8), tester.Spec{}}, {"two wires", same(2.8), two},
	} {
		b.Run(c.name, func(b *testing.B) { all(b, c.cutoff, c.spec) })
	}
	b.Run("Discharge", func(b *testing.B) {
		for range b.N {
			for _, r := range runs {
				_, _ = Discharge(r, 2.8)
			}
		}
	})
	b.Run("Uncertainty", func(b *testing.B) {
		res := make([]Results, len(runs))
		for k, r := range runs {
			res[k], _ = Discharge(r, 2.8)
		}
		for b.Loop() {
			for k, r := range runs {
				Uncertainty(r, res[k], known)
			}
		}
	})
	b.Run("Findings", func(b *testing.B) {
		res := make([]Results, len(runs))
		for k, r := range runs {
			res[k], _ = Discharge(r, 2.8)
		}
		for b.Loop() {
			for k, r := range runs {
				Findings(Facts{Run: r, Results: res[k], Cutoff: 2.8, Cell: datasheet, Tester: known})
			}
		}
	})
}
