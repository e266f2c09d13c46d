package trace

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// samples are the columns of a trace made at random, beside it.
type samples struct{ t, v, i, temp, ah, wh []float64 }

// random makes a trace of n samples with every column: loads of both signs,
// rests, gaps, samples at the same instant, and counters that are blank at times.
func random(rng *rand.Rand, n int) (*Trace, samples) {
	tr := New(true).WithCounter(CounterCharge).WithCounter(CounterEnergy)
	var s samples
	at, load := 0.0, 0.0
	for k := range n {
		switch rng.IntN(400) {
		case 0:
			at += 1000 * rng.Float64()
		case 1:
			load = float64(rng.IntN(9) - 4)
		}
		if rng.IntN(50) > 0 {
			at += rng.Float64()
		}
		x := [4]float64{at, 3 + rng.Float64(), load * (1 + rng.Float64()/100), 20 + 10*rng.Float64()}
		ah, wh := math.NaN(), math.NaN()
		if rng.IntN(3) > 0 {
			ah, wh = float64(float32(k)/7), float64(float32(k)/3)
		}
		tr.Append(x[0], x[1], x[2], x[3])
		if !math.IsNaN(ah) || k%2 == 0 {
			tr.Count(CounterCharge, ah)
			tr.Count(CounterEnergy, wh)
		}
		s.t, s.v, s.i, s.temp = append(s.t, x[0]), append(s.v, x[1]), append(s.i, x[2]), append(s.temp, x[3])
		s.ah, s.wh = append(s.ah, ah), append(s.wh, wh)
	}
	return tr, s
}

// lengths of traces, of which the last is longer than three segments.
var lengths = []int{1, 2, 40, SegmentLen - 1, SegmentLen, SegmentLen + 1, 2*SegmentLen + 9, 3*SegmentLen + 777}

// The highest and the lowest voltage and the range of currents are those of a
// loop over all samples, whatever the part of the trace.
func TestExtremes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 4))
	for _, n := range lengths {
		tr, s := random(rng, n)
		for range 60 {
			from := rng.IntN(n)
			to := from + 1 + rng.IntN(n-from)
			v, at := tr.Peak(from, to)
			wantV := slices.Max(s.v[from:to])
			if wantAt := from + slices.Index(s.v[from:to], wantV); v != wantV || at != wantAt {
				t.Fatalf("%d to %d of %d: peak %v at %d, want %v at %d", from, to, n, v, at, wantV, wantAt)
			}
			v, at = tr.Lowest(from, to)
			wantV = slices.Min(s.v[from:to])
			if wantAt := from + slices.Index(s.v[from:to], wantV); v != wantV || at != wantAt {
				t.Fatalf("%d to %d of %d: lowest %v at %d, want %v at %d", from, to, n, v, at, wantV, wantAt)
			}
			low, high := (&Run{tr: tr, From: from, To: to}).CurrentRange(from, to)
			if low != slices.Min(s.i[from:to]) || high != slices.Max(s.i[from:to]) {
				t.Fatalf("%d to %d of %d: %v to %v A, want %v to %v A", from, to, n, low, high, slices.Min(s.i[from:to]), slices.Max(s.i[from:to]))
			}
		}
		if v, at := tr.Peak(0, 0); !math.IsInf(v, -1) || at != 0 {
			t.Errorf("the peak of no samples is %v at %d", v, at)
		}
		if v, at := tr.Lowest(n, n); !math.IsInf(v, 1) || at != n {
			t.Errorf("the lowest of no samples is %v at %d", v, at)
		}
	}
}

// Highest and lowest are found again when samples come, and when the leads are
// taken off.
func TestExtremesFollowTheTrace(t *testing.T) {
	tr := New(false)
	for k := range 5000 {
		tr.Append(float64(k), 3+float64(k%7)/100, 2, 0)
	}
	if v, at := tr.Peak(0, tr.Len()); v != 3.06 || at != 6 {
		t.Fatalf("peak %v at %d", v, at)
	}
	tr.Append(5000, 4, -50, 0)
	if v, at := tr.Peak(0, tr.Len()); v != 4 || at != 5000 {
		t.Errorf("with one more sample the peak is %v at %d, want 4 at 5000", v, at)
	}
	if v, at := tr.Lowest(0, tr.Len()); v != 3 || at != 0 {
		t.Errorf("lowest %v at %d, want 3 at 0", v, at)
	}
	tr.SetLead(0.125)
	if v, at := tr.Peak(0, tr.Len()); v != 3.06+0.25 || at != 6 {
		t.Errorf("with leads of 0.125 Ω the peak is %v at %d, want 3.31 at 6", v, at)
	}
	if v, at := tr.Lowest(0, tr.Len()); v != 4-6.25 || at != 5000 {
		t.Errorf("with leads of 0.125 Ω the lowest is %v at %d, want −2.25 at 5000", v, at)
	}
}

// The typical interval is the median of all where they are few, and one of a few
// thousand evenly taken where they are many.
func TestTypicalInterval(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 4))
	for _, n := range []int{2, 3, 40, intervals, intervals + 1} {
		tr, s := random(rng, n)
		from := rng.IntN(n - 1)
		var all []float64
		for k := from + 1; k < n; k++ {
			all = append(all, s.t[k]-s.t[k-1])
		}
		slices.Sort(all)
		if got := tr.TypicalInterval(from, n); got != all[len(all)/2] {
			t.Errorf("%d samples: %v s, the median is %v s", n-from, got, all[len(all)/2])
		}
	}
	// Uniform in 0 to 1 s but for a few: the standard deviation of a median of
	// 2000 is ½/√2000 s, about 0.011 s.
	tr, _ := random(rng, 4*SegmentLen)
	if got := tr.TypicalInterval(0, tr.Len()); math.Abs(got-0.5) > 0.06 {
		t.Errorf("the typical interval is %v s, want 0.5 s or so", got)
	}
	if got := tr.TypicalInterval(5, 6); got != 0 {
		t.Errorf("one sample has an interval of %v s", got)
	}
}

// A last loaded sample that the tester wrote as the load went off is off the
// grid; one on the grid, or after an uneven one, is not.
func TestIsOffGrid(t *testing.T) {
	for _, tt := range []struct {
		name  string
		width func(k int) float64 // before sample k of 3·SegmentLen; the last loaded one is 3·SegmentLen−2
		want  bool
	}{
		{"even", func(int) float64 { return 10 }, false},
		{"early last", func(k int) float64 { return map[bool]float64{true: 3, false: 10}[k == 3*SegmentLen-2] }, true},
		{"late last", func(k int) float64 { return map[bool]float64{true: 12, false: 10}[k == 3*SegmentLen-2] }, true},
		{"a little early", func(k int) float64 { return map[bool]float64{true: 9.5, false: 10}[k == 3*SegmentLen-2] }, false},
		{"a long one ten before it", func(k int) float64 { return 10 + map[int]float64{3*SegmentLen - 2: -7, 3*SegmentLen - 12: 1}[k] }, false},
		{"a long one eleven before it", func(k int) float64 { return 10 + map[int]float64{3*SegmentLen - 2: -7, 3*SegmentLen - 13: 1}[k] }, true},
		{"four in a hundred uneven", func(k int) float64 {
			return map[bool]float64{true: 3, false: 10 + 0.4*float64(k%2)}[k == 3*SegmentLen-2]
		}, true},
		{"eight in a hundred uneven", func(k int) float64 {
			return map[bool]float64{true: 3, false: 10 + 0.4*float64(k%3)}[k == 3*SegmentLen-2]
		}, false},
		{"another one uneven", func(k int) float64 { return map[int]float64{3*SegmentLen - 2: 3, 3*SegmentLen - 6: 3}[k] + 10 }, false},
		{"uneven long before", func(k int) float64 {
			switch {
			case k == 3*SegmentLen-2:
				return 3
			case k == 3*SegmentLen-40:
				return 500
			}
			return 10
		}, true},
		// Rows of one second each, twenty a second, written in whole seconds.
		{"in whole seconds", func(k int) float64 { return map[bool]float64{true: 1, false: 0}[k%20 == (3*SegmentLen-2)%20] }, false},
	} {
		tr, at := New(false), 0.0
		n := 3 * SegmentLen
		for k := range n {
			i := 2.0
			if k == n-1 {
				i = 0
			}
			at += tt.width(k)
			tr.Append(at, 3.7, i, 0)
		}
		if got := NewRun(tr, Step{Discharge, 5, n - 1}).IsOffGrid(); got != tt.want {
			t.Errorf("%s: off the grid: %v", tt.name, got)
		}
		if NewRun(tr, Step{Discharge, n - 7, n - 1}).IsOffGrid() {
			t.Errorf("%s: a run of six samples is too short to tell", tt.name)
		}
	}
}

// ∫I²dt is that of a plain loop over all loaded samples before one.
func TestSquaredCharge(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range lengths {
		tr, s := random(rng, n)
		for range 20 {
			from := rng.IntN(n)
			to := from + 1 + rng.IntN(n-from)
			before := from + rng.IntN(n-from+5)
			r := NewRun(tr, Step{Discharge, from, to})
			var want float64
			for k := from + 1; k < min(to, before); k++ {
				want += (s.i[k]*s.i[k] + s.i[k-1]*s.i[k-1]) / 2 * (s.t[k] - s.t[k-1]) / 3600
			}
			near(t, "∫I²dt", r.SquaredCharge(before), want, 1e-9*want)
		}
	}
	// 2 A for an hour and a half is 6 A²h.
	tr := build([3]float64{0, 4, 2}, [3]float64{1800, 4, 2}, [3]float64{5400, 4, 2})
	near(t, "∫I²dt at 2 A", NewRun(tr, Step{Discharge, 0, 3}).SquaredCharge(3), 6, 1e-12)
}

// The last row of a short pulse is off the grid of as few as five intervals.
func TestShortRunOffGrid(t *testing.T) {
	for _, tt := range []struct {
		last float64 // s, of five intervals of 1 s and this one
		want bool
	}{{1, false}, {1.05, false}, {1.2, true}, {0.4, true}, {0, true}} {
		tr := New(false)
		tr.Append(0, 4, 0, 0)
		for k := range 6 {
			tr.Append(1+float64(k), 3.8, 2, 0)
		}
		tr.Append(6+tt.last, 3.7, 2, 0)
		tr.Append(8, 3.9, 0, 0)
		if got := NewRun(tr, Step{Discharge, 1, 8}).IsOffGrid(); got != tt.want {
			t.Errorf("after five intervals of 1 s one of %v s is off the grid: %v", tt.last, got)
		}
	}
}
