package compare

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"plateau/core/gum"
)

// One-way groups of R's data set PlantGrowth (A. Dobson, An Introduction to
// Statistical Modelling, 1983, table 7.1; figures from memory). R's
// pairwise.t.test gives, with Holm's adjustment, 0.194 for control and treatment
// 1, 0.175 for control and 2, 0.013 for 1 and 2: adjusted for the steps these
// are p·1, p·2 and p·3. TukeyHSD tells the same pair apart.
func TestRankPublished(t *testing.T) {
	groups := [][]float64{
		{4.17, 5.58, 5.18, 6.11, 4.50, 4.61, 5.17, 4.53, 5.33, 5.14},
		{4.81, 4.17, 4.41, 3.59, 5.87, 3.83, 6.03, 4.89, 4.32, 4.69},
		{6.31, 5.12, 5.54, 5.50, 5.37, 5.29, 4.92, 6.15, 5.80, 5.26},
	}
	var ss float64
	var list []Contender
	for k, g := range groups {
		var m float64
		for _, v := range g {
			m += v / 10
		}
		for _, v := range g {
			ss += (v - m) * (v - m)
		}
		list = append(list, Contender{Cell: []string{"control", "1", "2"}[k], Mean: m, N: 10})
	}
	s := math.Sqrt(ss / 27)
	for k := range list {
		list[k].Mean, list[k].Budget = Mean(groups[k], make([]gum.Budget, 10), s/list[k].Mean, 27)
	}
	o := Rank(list, 0.05, true)
	if !slices.Equal(o.Ranked, []int{2, 0, 1}) || !slices.Equal(o.Letters, []string{"a", "ab", "b"}) {
		t.Fatalf("%v %v", o.Ranked, o.Letters)
	}
	within(t, "1 and 2, p·3", 3*o.Pair(0, 2).P(), 0.013, 0.0005)
	within(t, "control and 2, p·2", 2*o.Pair(0, 1).P(), 0.175, 0.0005)
	within(t, "control and 1, p", o.Pair(1, 2).P(), 0.194, 0.0005)
	if first := o.Leaders(); !slices.Equal(first, []int{0, 1}) {
		t.Errorf("leaders %v", first)
	}
	if up := Rank(list, 0.05, false); !slices.Equal(up.Ranked, []int{1, 0, 2}) || !(up.Pair(0, 2).Gap > 0) {
		t.Errorf("rising: %v, gap %g", up.Ranked, up.Pair(0, 2).Gap)
	}
}

// Worked by hand: 0.01, 0.02, 0.03 and 0.005 at 5 % over four: 0.005 ≤ 0.0125,
// 0.01 ≤ 0.0167, 0.02 ≤ 0.025, 0.03 ≤ 0.05; with 0.026 for 0.02 the third stops it.
func TestHolmByHand(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		p    []float64
		want []bool
		at   []float64
	}{
		{[]float64{0.01, 0.02, 0.03, 0.005}, []bool{true, true, true, true}, []float64{0.05, 0.05, 0.05, 0.05}},
		{[]float64{0.01, 0.026, 0.03, 0.005}, []bool{true, false, false, true}, []float64{0.05 / 3, 0.025, 0.025, 0.05 / 3}},
		{[]float64{0.0125, 1, nan, 1}, []bool{true, false, false, false}, []float64{0.0125, 0.05 / 3, 0.05 / 3, 0.05 / 3}},
		{[]float64{0.013, 0.013, 0.013, 0.013}, []bool{false, false, false, false}, []float64{0.0125, 0.0125, 0.0125, 0.0125}},
		{nil, []bool{}, []float64{}},
	} {
		rejected, at := Holm(tt.p, 0.05)
		if !slices.Equal(rejected, tt.want) {
			t.Errorf("%v: %v", tt.p, rejected)
		}
		for i := range at {
			within(t, "level", at[i], tt.at[i], 1e-15)
		}
	}
}

// stepDown is Holm's procedure as it is written: in order, one by one.
func stepDown(p []float64, alpha float64) []bool {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		if p[a] < p[b] {
			return -1
		}
		return 1
	})
	rejected := make([]bool, len(p))
	for k, i := range order {
		if !(p[i] <= alpha/float64(len(p)-k)) {
			break
		}
		rejected[i] = true
	}
	return rejected
}

func TestHolmAsWritten(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 201))
	for range 3000 {
		p := make([]float64, 1+rng.IntN(12))
		for i := range p {
			p[i] = math.Pow(rng.Float64(), 1+5*rng.Float64())
		}
		rejected, at := Holm(p, 0.05)
		if want := stepDown(p, 0.05); !slices.Equal(rejected, want) {
			t.Fatalf("%v: %v, want %v", p, rejected, want)
		}
		for i := range p {
			if rejected[i] != (p[i] <= at[i]) {
				t.Fatalf("%v at %v: %v", p, at, rejected)
			}
			// One that was rejected and came to lie above its level would not be.
			q := slices.Clone(p)
			q[i] = at[i] * 1.0001
			if again, _ := Holm(q, 0.05); again[i] {
				t.Fatalf("%v: %d is rejected at %g above %g", p, i, q[i], at[i])
			}
		}
	}
}

// someBudget is what the mean of a cell may have for a budget, in the unit of a
// figure near 5.
func someBudget(rng *rand.Rand, mean float64) gum.Budget {
	shape := gum.Shape(rng.IntN(2))
	var b gum.Budget
	add := func(name string, u float64, shape gum.Shape, df float64) {
		b.Terms = append(b.Terms, gum.Term{Name: name, U: u * (0.5 + rng.Float64()), Shape: shape, DF: df})
	}
	size := func() float64 { return math.Pow(10, -2-3*rng.Float64()) }
	b.Terms = append(b.Terms, gum.Term{Name: "current gain", U: 0.005 * mean, Shape: shape})
	add("current offset", 0.003, shape, 0)
	if rng.IntN(2) == 0 {
		for _, name := range []string{"current resolution", "first interval", "last interval", "sampling"} {
			add(name, size(), gum.Rectangular, 0)
		}
		add("scatter of the voltage", size(), gum.Normal, 0)
	}
	if rng.IntN(4) > 0 {
		add(repeatability, size(), gum.Normal, [...]float64{0, 1, 2, 3, 8, 30}[rng.IntN(6)])
	}
	return b
}

// The bounds that settle most pairs settle them as the exact distribution does;
// what is told apart lies beyond its least gap, what is not, within; and so it
// is by Holm on the chances.
func TestRankDecides(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 202))
	tried, quick := 0, 0
	for range 60 {
		n := 2 + rng.IntN(7)
		var list []Contender
		for range n {
			mean := 5 + 0.02*rng.NormFloat64()*float64(1+rng.IntN(3))
			list = append(list, Contender{Mean: mean, Budget: someBudget(rng, mean), Setup: []string{"", "other"}[rng.IntN(8)/7]})
		}
		o := Rank(list, 0.05, true)
		var p []float64
		var pairs []Pair
		told := 0
		for i := range n {
			for j := i + 1; j < n; j++ {
				r := o.Pair(i, j)
				pairs, p = append(pairs, r), append(p, r.P())
				if r.Told {
					told++
				}
				if r.Told != (math.Abs(r.Gap) > r.Least) || r.Gap < 0 {
					t.Fatalf("%+v", r)
				}
				if back := o.Pair(j, i); back.Gap != -r.Gap || back.Told != r.Told {
					t.Fatalf("other way round: %+v, %+v", r, back)
				}
				for _, level := range []float64{0.3, 0.15, 0.05, 0.05 / 3, 0.05 / 780} {
					q := newQuantiles(level)
					least := r.Budget.Interval(1 - level)
					for _, f := range []float64{0.3, 0.8, 0.9, 0.99, 0.9999, 1.0001, 1.01, 1.1, 1.5} {
						s := sums{gap: f * least}
						for _, term := range r.Budget.Terms {
							s.add(term)
						}
						told, ok := s.settled(q)
						if ok && told != (f > 1) {
							t.Fatalf("bounds say %v at %g of the least gap, level %g: %+v", told, f, level, r.Budget)
						}
						if level <= 0.05 {
							tried++
							if ok {
								quick++
							}
						}
						if f != 0.9999 && f != 1.0001 && beyond(r.Budget, s.gap, q) != (f > 1) {
							t.Fatalf("beyond is wrong at %g of the least gap, level %g: %+v", f, level, r.Budget)
						}
					}
				}
			}
		}
		for k, want := range stepDown(p, 0.05) {
			step := float64(len(p) - told)
			if pairs[k].Told {
				step++
			}
			within(t, "level", pairs[k].Level, 0.05/max(step, 1), 1e-15)
			if pairs[k].Told != want && math.Abs(pairs[k].P()/pairs[k].Level-1) > 1e-3 {
				t.Fatalf("by its chance of %g at %g a pair is told apart: %v", pairs[k].P(), pairs[k].Level, want)
			}
		}
	}
	if share := float64(quick) / float64(tried); share < 0.5 {
		t.Errorf("bounds settle %.3f of all", share)
	}
}

// What has no figure has no place; ties, one and none make an order too.
func TestRankAwkward(t *testing.T) {
	nan := math.NaN()
	u := gum.Budget{Terms: []gum.Term{{U: 0.01}}}
	o := Rank([]Contender{{Mean: nan, Budget: u}, {Mean: 5, Budget: u}, {Mean: math.Inf(1), Budget: u},
		{Mean: 6, Budget: gum.Budget{Terms: []gum.Term{{U: nan}}}}, {Mean: 5.2, Budget: u}, {Mean: 5, Budget: u}}, 0.05, true)
	if !slices.Equal(o.Ranked, []int{4, 1, 5}) || !slices.Equal(o.Out, []int{0, 2, 3}) || !slices.Equal(o.Letters, []string{"a", "b", "b"}) {
		t.Errorf("%v, out %v, %v", o.Ranked, o.Out, o.Letters)
	}
	if p := o.Pair(1, 2); p.P() != 1 || p.Told || p.Gap != 0 {
		t.Errorf("a tie: %+v", p)
	}
	if o := Rank(nil, 0.05, true); len(o.Ranked)+len(o.Letters)+len(o.Leaders()) > 0 {
		t.Errorf("none: %+v", o)
	}
	if o := Rank([]Contender{{Mean: 5}}, 0.05, true); !slices.Equal(o.Letters, []string{"a"}) {
		t.Errorf("one: %+v", o)
	}
	// Without any uncertainty every gap tells, and none does not.
	if o := Rank([]Contender{{Mean: 5}, {Mean: 5}, {Mean: 5 + 1e-9}}, 0.05, true); !slices.Equal(o.Letters, []string{"a", "b", "b"}) {
		t.Errorf("no uncertainty: %+v", o)
	}
	for _, size := range []float64{1e-70, 1e100, 1e300} {
		b := gum.Budget{Terms: []gum.Term{{U: size}, {U: size, Shape: gum.Rectangular}, {U: size, DF: 3}}}
		list := []Contender{{Mean: 5 * size, Budget: b}, {Mean: 60 * size, Budget: b}, {Mean: 6 * size, Budget: b}}
		if o := Rank(list, 0.05, true); !slices.Equal(o.Letters, []string{"a", "b", "b"}) {
			t.Errorf("of size %g: %v", size, o.Letters)
		}
	}
}

// crowd is so many cells at a rate as they come: some of one model, some not.
func crowd(rng *rand.Rand, n int, apart float64) (list []Contender) {
	for k := range n {
		mean := 3 + apart*float64(k/4) + 0.008*rng.NormFloat64()
		var b gum.Budget
		add := func(name string, u float64, shape gum.Shape, df float64) {
			b.Terms = append(b.Terms, gum.Term{Name: name, U: u, Shape: shape, DF: df})
		}
		add("current gain", 0.0006*mean, gum.Rectangular, 0)
		add("current offset", 0.001, gum.Rectangular, 0)
		add("current resolution", 0.0004, gum.Rectangular, 0)
		add("time base", 0.00006*mean, gum.Rectangular, 0)
		add("first interval", 0.0012, gum.Rectangular, 0)
		add("sampling", 0.0001, gum.Rectangular, 0)
		add("voltage gain", 0.002*rng.Float64(), gum.Rectangular, 0)
		add("voltage offset", 0.003*rng.Float64(), gum.Rectangular, 0)
		add("voltage resolution", 0.0005, gum.Rectangular, 0)
		add("scatter of the voltage", 0.0003, gum.Normal, 0)
		add("cut-off between two samples", 0.0002, gum.Normal, 0)
		add(repeatability, 0.003*mean/math.Sqrt(float64(1+rng.IntN(3))), gum.Normal, 8)
		list = append(list, Contender{Mean: mean, Budget: b})
	}
	return list
}

// Of forty cells each pair is as it is by its own interval at its level, the
// number told apart is where Holm's steps stop, and letters say it.
func TestRankCrowd(t *testing.T) {
	for _, apart := range []float64{0.2, 0.01, 0.012, 0} {
		list := crowd(rand.New(rand.NewPCG(5, 203)), 40, apart)
		for k := range list {
			if apart == 0.012 {
				list[k].Setup = string(rune('a' + k%8)) // eight channels
			}
		}
		o := Rank(list, 0.05, true)
		rejected := 0
		for i := range 40 {
			for j := i + 1; j < 40; j++ {
				level := o.stopped
				if o.Told(i, j) {
					level = o.passed
					rejected++
				}
				a, b := list[o.Ranked[i]], list[o.Ranked[j]]
				if least := Difference(a, b).Interval(1 - level); (a.Mean-b.Mean > least) != o.Told(i, j) && math.Abs((a.Mean-b.Mean)/least-1) > 1e-7 {
					t.Fatalf("%d and %d: a gap of %g, least %g, told apart %v", i, j, a.Mean-b.Mean, least, o.Told(i, j))
				}
			}
		}
		within(t, "the level of the last step passed", o.passed, 0.05/float64(780-rejected+1), 1e-15)
		within(t, "the level where it stopped", o.stopped, 0.05/float64(max(780-rejected, 1)), 1e-15)
		if apart > 0 && rejected == 0 {
			t.Errorf("%g Ah apart: none is told apart", apart)
		}
		faithful(t, 40, o.Told)
	}
}

func BenchmarkRank(b *testing.B) {
	for name, apart := range map[string]float64{"40 cells of ten models": 0.2, "of models alike": 0.01, "of one model": 0, "each on a tester of its own": 0.012} {
		list := crowd(rand.New(rand.NewPCG(5, 203)), 40, apart)
		for k := range list {
			if apart == 0.012 {
				list[k].Setup = string(rune('a' + k))
			}
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Rank(list, 0.05, true)
			}
		})
	}
}
