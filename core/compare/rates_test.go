package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// inShort is rates in short: "3.00 A: 0 2", "0.20 It: 1 4".
func inShort(rates []Rate) string {
	var all []string
	for _, r := range rates {
		at := fmt.Sprintf("%.4g A", r.Amps)
		if r.ByIt {
			at = fmt.Sprintf("%.4g It", r.It)
		}
		all = append(all, fmt.Sprint(at, r.Runs))
	}
	return strings.Join(all, ", ")
}

func TestRates(t *testing.T) {
	for _, tt := range []struct {
		name, want string
		runs       []Run
	}{
		{"equal currents, bent by the tester's steps", "3 A[0 1 3], 6 A[2]",
			[]Run{{"Alder", 3.00, 0}, {"Birch", 2.99, 0}, {"Alder", 6, 0}, {"Cedar", 3.01, 0}}},
		// 0.2 It of 5 Ah and of 4 Ah; 3 A of both.
		{"a multiple of It", "0.2 It[0 1], 3 A[2 3]",
			[]Run{{"Alder", 1, 0.2}, {"Birch", 0.8, 0.2}, {"Alder", 3, 0.6}, {"Birch", 3, 0.75}}},
		{"a multiple that the current joins already", "0.99 A[0 1]",
			[]Run{{"Alder", 1, 0.2}, {"Birch", 0.98, 0.2}}},
		// Alder's and Birch's currents are one, Cedar's is not: all three by It.
		{"a multiple that joins one more", "0.2 It[0 1 2], 0.99 A[0 1]",
			[]Run{{"Alder", 1, 0.2}, {"Birch", 0.98, 0.2}, {"Cedar", 0.8, 0.2}}},
		{"one cell alone", "1 A[0], 3 A[1 2]", []Run{{"Alder", 1, 0.2}, {"Alder", 3, 0.6}, {"Alder", 3, 0.6}}},
		// No It is known of the second cell.
		{"one without It", "0.8 A[1], 1 A[0]", []Run{{"Alder", 1, 0.2}, {"Birch", 0.8, 0}}},
		// A repeat whose It is another one, since its cell's capacity was not.
		{"a repeat out of the multiple", "0.8 A[1 2], 0.2 It[0 1]", []Run{{"Alder", 1, 0.2}, {"Birch", 0.8, 0.2}, {"Birch", 0.8, 0}}},
		{"no current", "2 A[4]", []Run{{"A", 0, 0}, {"A", math.NaN(), 0}, {"A", math.Inf(1), 0}, {"A", -2, 1}, {"A", 2, math.NaN()}}},
		{"none", "", nil},
	} {
		if got := inShort(Rates(tt.runs)); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// No chain of small steps joins currents far apart; what most stand near
// stays together, whatever lies below.
func TestRatesDoNotChain(t *testing.T) {
	series := func(amps ...float64) (runs []Run) {
		for k, a := range amps {
			runs = append(runs, Run{Cell: fmt.Sprint(k), Amps: a})
		}
		return runs
	}
	for _, tt := range []struct {
		want string
		runs []Run
	}{
		{"1 A[0], 1.038 A[1 2]", series(1.00, 1.025, 1.05)},
		{"1 A[0 1], 1.04 A[2 3 4]", series(1.00, 1.00, 1.02, 1.04, 1.04)},
		{"2.9 A[0], 3 A[1 2 3 4]", series(2.90, 2.98, 3.00, 3.00, 3.01)},
		{"2.901 A[0 1], 3 A[2 3 4]", series(2.90, 2.902, 3.00, 3.00, 3.01)},
		{"1 A[0], 1.031 A[1]", series(1, 1.031)},
		{"0.985 A[0 1]", series(1, 0.97)},
	} {
		if got := inShort(Rates(tt.runs)); got != tt.want {
			t.Errorf("%s, want %s", got, tt.want)
		}
	}
}

// Whatever the runs: each with a current is in exactly one rate by current or in
// one by It, each rate is narrow, and their currents rise; and each is in one
// group, with runs of its cell alone.
func TestRatesHoldAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 205))
	for range 300 {
		var runs []Run
		for range rng.IntN(60) {
			size := 3 + float64(rng.IntN(3))
			it := []float64{0.2, 0.5, 1, 1.02, 1.04, 2}[rng.IntN(6)] * (1 + 0.02*rng.Float64())
			runs = append(runs, Run{Cell: fmt.Sprint(size), Amps: it * size, It: it})
		}
		seen, byCurrent, last := map[int]bool{}, map[int]int{}, 0.0
		for _, r := range Rates(runs) {
			lo, hi := math.Inf(1), 0.0
			cells := map[string]bool{}
			for _, k := range r.Runs {
				seen[k] = true
				x := runs[k].Amps
				if r.ByIt {
					x = runs[k].It
				} else {
					byCurrent[k]++
				}
				lo, hi = min(lo, x), max(hi, x)
				cells[runs[k].Cell] = true
			}
			if hi*0.97 > lo*(1+1e-8) || r.ByIt && len(cells) < 2 || r.Amps < last || !slices.IsSorted(r.Runs) {
				t.Fatalf("%+v after %g A: from %g to %g", r, last, lo, hi)
			}
			last = r.Amps
		}
		for k := range runs {
			if !seen[k] || byCurrent[k] > 1 {
				t.Fatalf("run %d is in %d rates by current: %s", k, byCurrent[k], inShort(Rates(runs)))
			}
		}
		in := map[int]int{}
		for _, g := range Groups(runs) {
			for _, k := range g.Runs {
				in[k]++
				if runs[k].Cell != g.Cell || math.Abs(runs[k].Amps-g.Amps) > 0.031*g.Amps {
					t.Fatalf("%+v holds %+v", g, runs[k])
				}
			}
		}
		if len(in) != len(runs) {
			t.Fatalf("%d of %d runs are in groups", len(in), len(runs))
		}
	}
}

func TestGroups(t *testing.T) {
	got := Groups([]Run{{"Birch", 3, 0.75}, {"Alder", 3.02, 0.6}, {"Birch", 0.8, 0.2}, {"Birch", 2.98, 0.745}, {"Alder", 2.97, 0}, {"Birch", 0, 0}})
	want := []Group{{"Birch", 0.8, 0.2, []int{2}}, {"Birch", 2.99, 0.7475, []int{0, 3}}, {"Alder", 2.995, 0, []int{1, 4}}}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for k, g := range got {
		w := want[k]
		if g.Cell != w.Cell || !slices.Equal(g.Runs, w.Runs) || math.Abs(g.Amps-w.Amps) > 1e-12 || math.Abs(g.It-w.It) > 1e-12 {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
}
