package compare

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/trace"
)

func attempts(group string, values ...float64) (all []Attempt) {
	for i, v := range values {
		all = append(all, Attempt{Value: v, Order: float64(i), Group: group})
	}
	return all
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9g, want %.9g ± %g", what, got, want, tolerance)
	}
}

// Worked by hand: 2.49, 2.51, 2.50 Ah have s = 0.01; 1.98 and 2.02 have
// s² = 0.0008. Pooled: (2·(0.01/2.5)² + 0.0008/4)/3.
func TestPooled(t *testing.T) {
	all := append(attempts("A 1C", 2.49, 2.51, 2.50), attempts("A 2C", 1.98, 2.02)...)
	all = append(all, attempts("B 1C", 3.0)...)
	groups, pooled := Repeats(all)
	if len(groups) != 3 || groups[0].Group != "A 1C" || groups[1].Group != "A 2C" || groups[2].Group != "B 1C" {
		t.Fatalf("groups %+v", groups)
	}
	within(t, "mean", groups[0].Mean, 2.5, 1e-15)
	within(t, "s", groups[0].S, 0.01, 1e-15)
	within(t, "s of two", groups[1].S, math.Sqrt(0.0008), 1e-15)
	within(t, "pooled", pooled.Relative, math.Sqrt((2*0.004*0.004+0.0002)/3), 1e-15)
	if pooled.DF != 3 || pooled.Assumed {
		t.Errorf("%+v, want 3 degrees of freedom", pooled)
	}
	if one := groups[2]; one.N != 1 || one.Mean != 3 || !math.IsNaN(one.S) || one.Best != 3 || one.TrendDF != 0 || one.Trending {
		t.Errorf("one run: %+v", one)
	}
	// Three runs: Sxx 2, slope 0.005 a run, residual sum 0.00015, one degree.
	g := groups[0]
	within(t, "trend", g.Trend, 0.005, 1e-14)
	within(t, "its standard error", g.TrendSE, math.Sqrt(0.00015/2), 1e-14)
	within(t, "t", g.TrendT, 12.7062, 1e-4)
	if g.Trending || g.TrendDF != 1 {
		t.Errorf("%+v: no significant trend", g)
	}
	if relative, df := pooled.At(5); relative != pooled.Relative || df != 3 {
		t.Errorf("at 5 It: %g with %g", relative, df)
	}
}

// A significant trend is taken out of the scatter and costs a degree of freedom;
// the order is that of the runs, not of the list, and may be a time.
func TestTrend(t *testing.T) {
	values := []float64{3.000, 2.990, 2.981, 2.969, 2.960}
	var all []Attempt
	for _, i := range []int{3, 0, 4, 1, 2} {
		all = append(all, Attempt{Value: values[i], Order: 1e9 + 36000*float64(i), Group: "A"})
	}
	groups, pooled := Repeats(all)
	g := groups[0]
	// By hand: Sxy = −0.101 over Sxx = 10.
	within(t, "trend per run", g.Trend, -0.0101, 1e-12)
	within(t, "its standard error", g.TrendSE, math.Sqrt(1.9e-6/3/10), 1e-9)
	if !g.Trending || g.TrendDF != 3 || pooled.DF != 3 {
		t.Errorf("%+v, %+v: a trend with 3 degrees of freedom", g, pooled)
	}
	within(t, "scatter about the trend", pooled.Relative, math.Sqrt(1.9e-6/3)/2.98, 1e-9)
	within(t, "s", g.S, math.Sqrt(0.001022/4), 1e-12)

	level, _ := Repeats(attempts("A", 2.7, 2.7, 2.7, 2.7, 2.7, 2.7))
	if level[0].Trending || level[0].S > 1e-15 {
		t.Errorf("equal runs: %+v", level[0])
	}
	for i := range all {
		all[i].Order = 0
	}
	if unordered, pooled := Repeats(all); unordered[0].TrendDF != 0 || unordered[0].Trending || pooled.DF != 4 {
		t.Errorf("without an order: %+v, %+v", unordered[0], pooled)
	}
}

func TestVoidAndBest(t *testing.T) {
	all := attempts("A", 2.40, 9.99, 2.45, 2.42, 2.41, 2.44, 2.60)
	all[1].Void, all[1].Reason = true, "rest too short"
	groups, pooled := Repeats(all)
	g := groups[0]
	if g.N != 6 || g.Void != 1 || g.BestOf != 5 || g.Best != 2.45 {
		t.Errorf("%+v: want the best of the first five valid ones, 2.45", g)
	}
	within(t, "mean", g.Mean, 14.72/6, 1e-14)
	if pooled.DF < 4 {
		t.Errorf("%+v", pooled)
	}

	bad := []Attempt{{Value: math.NaN()}, {Value: math.Inf(1)}, {Value: 0}, {Value: -2}, {Value: 2, Void: true}}
	groups, pooled = Repeats(bad)
	if len(groups) != 1 || groups[0].N != 0 || groups[0].Void != 5 || !pooled.Assumed || pooled.DF != 0 || !math.IsNaN(pooled.Relative) {
		t.Errorf("nothing valid: %+v, %+v", groups, pooled)
	}
	if groups, pooled = Repeats(nil); len(groups) != 0 || !pooled.Assumed {
		t.Errorf("nothing at all: %+v, %+v", groups, pooled)
	}
	odd := attempts("A", 2, 2.1, 2.05)
	odd[1].Order = math.NaN()
	if groups, _ = Repeats(odd); groups[0].N != 3 || groups[0].TrendDF != 0 {
		t.Errorf("an order that is no number: %+v", groups[0])
	}
}

func TestAssumed(t *testing.T) {
	for rate, want := range map[float64]float64{0.2: 0.0015, 0.5: 0.0015, 0.51: 0.003, 2: 0.003, 2.1: 0.005, 20: 0.005, math.NaN(): 0.005} {
		relative, df := AssumedRepeatability(rate)
		if relative != want || df != 8 {
			t.Errorf("at %g It: %g with %g degrees of freedom", rate, relative, df)
		}
		if relative, df := (Pooled{Relative: math.NaN(), Assumed: true}).At(rate); relative != want || df != 8 {
			t.Errorf("at %g It without repeats: %g with %g degrees of freedom", rate, relative, df)
		}
	}
}

// The pooled variance is that of the runs, on the average over many sets: four
// groups of several sizes, cells and rates, with a known scatter; without a
// trend, where those that chance makes and that are taken out cost 3 %, and with
// a strong one. The best of n lies above the mean by what is
// tabulated for the largest of n normal values.
func TestPooledBySimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 16))
	const sets, sigma = 6000, 0.004
	for _, tt := range []struct {
		name      string
		drift     float64
		want, tol float64
	}{{"no trend", 0, 1, 0.045}, {"a strong trend", -0.02, 1, 0.03}} {
		var variance, degrees, best float64
		for range sets {
			var all []Attempt
			for k, n := range []int{2, 3, 5, 5} {
				level := 1 + 0.7*float64(k)
				for i := range n {
					drift := 0.0
					if n == 5 {
						drift = tt.drift * float64(i-2) // about the middle: the mean stays
					}
					all = append(all, Attempt{Value: level * (1 + drift + sigma*rng.NormFloat64()), Order: float64(i), Group: string(rune('A' + k))})
				}
			}
			groups, pooled := Repeats(all)
			variance += pooled.Relative * pooled.Relative / sets
			degrees += float64(pooled.DF) / sets
			best += (groups[3].Best - groups[3].Mean) / groups[3].Mean / sets
		}
		t.Logf("%s: s² over σ² %.4f, %.2f degrees of freedom", tt.name, variance/(sigma*sigma), degrees)
		within(t, tt.name+": s² over σ²", variance/(sigma*sigma), tt.want, tt.tol)
		if tt.drift == 0 {
			within(t, "best of five above the mean, in σ", best/sigma, 1.163, 0.03)
		}
	}
}

// NIST/SEMATECH e-Handbook 1.3.5.17.1, uranium isotopes (Tietjen and Moore,
// 1972): G = 2.4687, critical 2.032 on the upper side; the rest and the table
// worked out anew at 30 digits.
func TestGrubbs(t *testing.T) {
	uranium := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	g, critical, at, ok := Grubbs(uranium)
	if !ok || at != 7 {
		t.Errorf("outlier %d, %t", at, ok)
	}
	within(t, "G", g, 2.46876461, 1e-8)
	within(t, "critical, either side", critical, 2.126645, 1e-6)
	within(t, "critical, upper side", grubbsCritical(8, 0.05), 2.031652, 1e-6)
	for _, row := range [][4]float64{
		{3, 1.15312, 1.1543, 1.15464}, {4, 1.4625, 1.48125, 1.4925}, {5, 1.67139, 1.71504, 1.74886},
		{6, 1.82212, 1.88715, 1.94425}, {7, 1.93813, 2.01997, 2.0973}, {8, 2.03165, 2.12665, 2.22083},
		{9, 2.10956, 2.215, 2.32315}, {10, 2.17607, 2.28995, 2.40972}, {12, 2.28495, 2.41156, 2.54942},
		{15, 2.40904, 2.54831, 2.70486}, {20, 2.55658, 2.70825, 2.88382},
	} {
		for i, tail := range []float64{0.05, 0.025, 0.01} {
			within(t, "critical", grubbsCritical(int(row[0]), tail), row[i+1], 6e-6)
		}
	}
	if g, critical, _, ok := Grubbs(uranium[:7]); !ok || g > critical {
		t.Errorf("without the outlier %g over %g", g, critical)
	}
	for _, few := range [][]float64{nil, uranium[4:], {2, 2, 2, 2, 2, 2}, {0.1, 0.1, 0.1, 0.1, 0.1 + 1e-17}, {1, 2, math.NaN(), 4, 5, 6}} {
		if _, _, _, ok := Grubbs(few); ok {
			t.Errorf("%v was tested", few)
		}
	}
}

// One large cell, four runs at 1C and five at 2C and 3C, to 3.000 V: G. Wiggins,
// S. Allu, H. Wang, Oak Ridge National Laboratory, DOI 10.5281/zenodo.2580327.
// The spans were seen beforehand, by other means, in the tester's counters.
func TestRepeatsOfOneCell(t *testing.T) {
	_, here, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference", "ornl-multirate")
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		dir = filepath.Join(env, "ornl-multirate")
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the open data \"ornl-multirate\" is not here: this check is skipped")
	}
	var all []Attempt
	for _, name := range []string{"1C", "2C", "3C"} {
		f, err := os.Open(filepath.Join(dir, name+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read(name+".csv", f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range log.Trace.Steps() {
			if s.Kind != trace.Discharge {
				continue
			}
			run := trace.NewRun(log.Trace, s)
			res, err := measure.Discharge(run, 3.0)
			all = append(all, Attempt{
				Value: res.Capacity, Order: log.Trace.Time(run.From), Group: name,
				Void: err != nil || res.Capacity < 20 || res.Ending == measure.NotReached, Reason: "not to 3 V",
			})
		}
	}
	groups, pooled := Repeats(all)
	if len(groups) != 3 {
		t.Fatalf("%d groups", len(groups))
	}
	for i, want := range []struct {
		n    int
		span float64 // %
	}{{4, 0.17}, {5, 0.27}, {5, 1.1}} {
		g := groups[i]
		low, high := math.Inf(1), 0.0
		for _, a := range all {
			if a.Group == g.Group && a.counts() {
				low, high = min(low, a.Value), max(high, a.Value)
			}
		}
		span := 100 * (high - low) / g.Mean
		t.Logf("%s: %d runs (%d void), mean %.4f Ah, s %.4f, span %.2f %%, trend %.4f ± %.4f a run (t %.2f), significant %t",
			g.Group, g.N, g.Void, g.Mean, g.S, span, g.Trend, g.TrendSE, g.TrendT, g.Trending)
		if g.N != want.n {
			t.Errorf("%s: %d runs, want %d", g.Group, g.N, want.n)
		}
		within(t, g.Group+": span in %", span, want.span, 0.05)
		if !(g.Trend < 0) {
			t.Errorf("%s: the trend falls, got %g", g.Group, g.Trend)
		}
	}
	t.Logf("pooled %.3f %%, %d degrees of freedom", 100*pooled.Relative, pooled.DF)
	if !(pooled.Relative > 0.0002 && pooled.Relative < 0.005) {
		t.Errorf("pooled %.3g %%", 100*pooled.Relative)
	}
}
