package measure

import (
	"errors"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"plateau/core/trace"
)

// shaped is a discharge at a constant current whose charge is q(v) at each
// voltage from top down to bottom: sampled at the times given.
func shaped(q func(v float64) float64, top, bottom, current float64, times func(end float64) []float64, noise float64, seed uint64) *trace.Run {
	rng := rand.New(rand.NewPCG(seed, 2))
	end := (q(bottom) - q(top)) / current * 3600
	tr := trace.New(false)
	for _, t := range times(end) {
		want := q(top) + current*t/3600
		low, high := bottom, top
		for range 60 {
			if v := (low + high) / 2; q(v) < want {
				high = v
			} else {
				low = v
			}
		}
		tr.Append(t, (low+high)/2+noise*rng.NormFloat64(), current, 0)
	}
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: tr.Len()})
}

// mixed is a sample each second for the first and last tenth, and each minute
// between, as testers log.
func mixed(end float64) (ts []float64) {
	for t := 0.0; t < end; {
		ts = append(ts, t)
		if t < end/10 || t > 0.9*end {
			t++
		} else {
			t += 60
		}
	}
	return append(ts, end)
}

func eachSecond(end float64) []float64 { return even(end, int(end)) }

// straight is Q = aV + b, with a = 2.5 Ah/V from 4.2 V on.
func straight(v float64) float64 { return 2.5 * (4.2 - v) }

const (
	peakAt, peakWide, peakArea = 3.6, 0.03, 1.0 // V, V, Ah
)

// peaked is a Gaussian step of charge on the straight line.
func peaked(v float64) float64 {
	return straight(v) + peakArea/2*math.Erfc((v-peakAt)/peakWide/math.Sqrt2)
}

// Closed form: Q = aV + b gives a everywhere, ends included.
func TestIncrementalOfALine(t *testing.T) {
	for name, times := range map[string]func(float64) []float64{"1 s": eachSecond, "1 s and 60 s": mixed} {
		for _, window := range []float64{0, 0.01, 0.02, 0.1, 0.3} {
			ic, err := IncrementalCapacity(shaped(straight, 4.2, 2.8, 0.5, times, 0, 1), 0, window)
			if err != nil {
				t.Fatal(err)
			}
			if len(ic.V) != len(ic.DQDV) || ic.V[0] != 2.8 && math.Abs(ic.V[0]-2.8) > 1e-9 {
				t.Fatalf("%d voltages from %g, %d slopes", len(ic.V), ic.V[0], len(ic.DQDV))
			}
			for k, s := range ic.DQDV {
				if math.Abs(s-2.5) > 1e-6 || k > 0 && !(ic.V[k] > ic.V[k-1]) {
					t.Fatalf("%s: %.9g Ah/V at %g V, want 2.5", name, s, ic.V[k])
				}
			}
			near(t, name+" lost", ic.Lost, 0, 1.0/cells) // the outermost cells count from their middle
			if want := window; want > 0 {
				near(t, name+" window", ic.Window, want, 2*ic.Step)
			} else {
				near(t, name+" window", ic.Window, 0.042, 0.002)
			}
			near(t, name+" window", float64(ic.Samples-1)*ic.Step, ic.Window, 1e-12)
		}
	}
}

// A Gaussian step of charge gives a peak whose area is the step and whose place
// is its own. Its height is that of the Gaussian under the smoothing, whose
// kernel is Epanechnikov's of half the window L: the variances add, L²/5 to
// the peak's, to first order.
func TestIncrementalPeak(t *testing.T) {
	for _, tt := range []struct {
		name          string
		times         func(float64) []float64
		noise         float64 // V
		place, height float64 // tolerances, V and as a share
	}{
		{"1 s", eachSecond, 0, 0.001, 0.01},
		{"1 s and 60 s", mixed, 0, 0.002, 0.02},
		{"1 s, noise", eachSecond, 0.002, 0.004, 0.05},
		{"1 s and 60 s, noise", mixed, 0.002, 0.006, 0.15},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for seed := range uint64(5) {
				ic, err := IncrementalCapacity(shaped(peaked, 4.2, 2.8, 0.3, tt.times, tt.noise, seed), 0, 0)
				if err != nil {
					t.Fatal(err)
				}
				top := 0
				var area float64
				for k, v := range ic.V {
					if ic.DQDV[k] > ic.DQDV[top] {
						top = k
					}
					if math.Abs(v-peakAt) < 5*peakWide {
						area += (ic.DQDV[k] - 2.5) * ic.Step
					}
				}
				wide := math.Sqrt(peakWide*peakWide + ic.Window*ic.Window/4/5)
				near(t, "place", ic.V[top], peakAt, tt.place)
				near(t, "area", area, peakArea, 0.01+2*tt.noise*2.5)
				height := peakArea / wide / math.Sqrt(2*math.Pi)
				near(t, "height", ic.DQDV[top]-2.5, height, tt.height*(height+2.5))
				near(t, "lost", ic.Lost, 0, 0.005)
				if !strings.Contains(ic.Note, "Indicative only") { // 0.3 A of 4.5 Ah
					t.Errorf("note %q", ic.Note)
				}
			}
		})
	}
}

// Real cells, with 1 mV codes and intervals of 1 s and 60 s mixed: the area
// returns the charge within 0.5 % (where the voltage falls at once by more than
// the window when the load comes on, none of it is lost either).
func TestIncrementalArea(t *testing.T) {
	check := func(name string, cutoff float64, r *trace.Run) {
		ic, err := IncrementalCapacity(r, cutoff, 0)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		if math.Abs(ic.Lost) > 0.005 {
			t.Errorf("%s: the area is %+.2f %% off", name, 100*ic.Lost)
		}
		for _, s := range ic.DQDV {
			if !(s >= 0) || math.IsInf(s, 0) {
				t.Errorf("%s: %g Ah/V", name, s)
			}
		}
	}
	dir := reference(t, "ornl-multirate")
	for _, name := range []string{"1C.csv", "2C.csv", "3C.csv"} {
		for _, r := range readRuns(t, filepath.Join(dir, name)) {
			check(name, 0, r)
			check(name, 3.3, r)
		}
	}
	names, err := filepath.Glob(filepath.Join(reference(t, "nasa"), "0*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		for _, r := range readRuns(t, name) {
			check(filepath.Base(name), 2.7, r)
		}
	}
}

// A log of two million samples costs no more than reading it: 2 s here is ten
// times what it takes, so that a slow machine passes and a square law does not.
func TestIncrementalOfMillions(t *testing.T) {
	tr := trace.New(false)
	rng := rand.New(rand.NewPCG(3, 4))
	const n = 2_000_000
	for k := range n {
		x := float64(k) / n
		tr.Append(float64(k)*0.01, 4.2-1.4*x+0.002*rng.NormFloat64(), 0.5, 0)
	}
	r := trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: n})
	begin := time.Now()
	ic, err := IncrementalCapacity(r, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	if d := time.Since(begin); d > 2*time.Second {
		t.Errorf("%v", d)
	}
	want := 0.5 * n * 0.01 / 3600 / 1.4
	for k, s := range ic.DQDV {
		if v := ic.V[k]; v > 2.85 && v < 4.15 {
			near(t, "slope", s, want, 0.05*want)
		}
	}
	near(t, "lost", ic.Lost, 0, 0.005)
}

func TestIncrementalRefusals(t *testing.T) {
	down := func(n int) *trace.Run {
		return sampled(even(float64(n-1), n-1), func(t float64) float64 { return 4 - 0.01*t }, constant(1))
	}
	flat := sampled(even(100, 100), constant(3.3), constant(1))
	up := sampled(even(100, 100), func(t float64) float64 { return 3 + 0.01*t }, constant(1))
	nothing := sampled([]float64{0}, constant(3.3), constant(1))
	for _, tt := range []struct {
		name           string
		r              *trace.Run
		cutoff, window float64
		want           error
	}{
		{"one sample", nothing, 0, 0, ErrNoCharge},
		{"below the cut-off", down(100), 4.5, 0, ErrNoCharge},
		{"four samples", down(4), 0, 0, ErrTooShort},
		{"flat", flat, 0, 0, ErrTooShort},
		{"rising", up, 0, 0, ErrTooShort},
		{"no fall to speak of", down(5), 0, 0.05, ErrWindow},
		{"too narrow", down(100), 0, 1e-6, ErrWindow},
		{"too wide", down(100), 0, 5, ErrWindow},
		{"no number", down(100), 0, math.NaN(), nil},
		{"below zero", down(100), 0, -1, nil},
		{"endless", down(100), 0, math.Inf(1), nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			ic, err := IncrementalCapacity(tt.r, tt.cutoff, tt.window)
			if !errors.Is(err, tt.want) {
				t.Errorf("%v, want %v (%+v)", err, tt.want, ic)
			}
		})
	}
}
