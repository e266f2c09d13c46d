package trace

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What leaps over whole segments finds what going through all samples does: in
// traces that turn to and fro, have gaps in their voltage, and end anywhere.
func TestScans(t *testing.T) {
	rng := rand.New(rand.NewPCG(2048, 1))
	found := [3]int{}
	for n := range 300 {
		tr := New(false)
		size := 2 + rng.IntN(4*SegmentLen)
		slow := 1 + rng.Float64()*4000
		for k := range size {
			v := math.Round(100*(3.5+0.5*math.Sin(float64(k)/slow)+0.02*rng.NormFloat64())) / 100
			if n%5 == 0 && rng.IntN(9) == 0 || n%50 == 1 {
				v = math.NaN()
			}
			i := 0.01 * rng.Float64()
			if rng.IntN(size) < n%4 {
				i = -1
			}
			tr.Append(float64(k), v, i, 0)
		}
		if n%3 == 0 {
			tr.span()
			tr.SetLead(0.01) // what was known of the voltages no longer holds
		}
		from := rng.IntN(size)
		to := from + 1 + rng.IntN(size-from)
		r := &Run{tr: tr, From: from, To: to, start: float64(from) - 0.5}
		for _, v := range []float64{2.9, 3.2, 3.5, 3.51, 3.8, 4.1, math.Inf(1), math.NaN()} {
			want := to - 1
			for want >= from && !(tr.Voltage(want) > v) {
				want--
			}
			if got := tr.LastAbove(from, to, v); got != want {
				t.Fatalf("trace %d: last above %g of %d to %d is %d, want %d", n, v, from, to, got, want)
			}
			until := rng.Float64() * float64(to-from)
			first := from
			for first < to && !(tr.Voltage(first) < v) {
				first++
			}
			isThere := first < to && tr.Time(first)-r.start <= until
			k, at, ok := r.FirstBelow(v, until)
			if ok != isThere || ok && (k != first || at != tr.Time(first)-r.start) {
				t.Fatalf("trace %d: first below %g is %d at %g s, %v; want %d, %v", n, v, k, at, ok, first, isThere)
			}
			if want >= from && want < to-1 {
				found[0]++
			}
			if ok {
				found[1]++
			}
		}
		for _, k := range []int{from, 0, size - 1, size, size / SegmentLen * SegmentLen} {
			want := k
			for want > 0 && !(math.Abs(tr.Current(want-1)) > 0.02) {
				want--
			}
			if got := tr.QuietFrom(k, 0.02); got != want {
				t.Fatalf("trace %d: quiet before %d from %d, want %d", n, k, got, want)
			}
			if want > 0 && want < k-SegmentLen {
				found[2]++
			}
		}
	}
	for k, n := range found {
		if n < 50 {
			t.Errorf("scan %d found something %d times only", k, n)
		}
	}
}

func TestRemember(t *testing.T) {
	r, asked := &Run{}, 0
	work := func() (float64, float64) { asked++; return math.NaN(), float64(asked) }
	for range 3 {
		if a, b := r.RememberBoth("a", work); !math.IsNaN(a) || b != 1 {
			t.Errorf("%g %g", a, b)
		}
	}
	if _, b := r.RememberBoth("b", work); b != 2 || asked != 2 {
		t.Errorf("under another name %g, worked out %d times", b, asked)
	}
	if x := r.Remember("c", func() float64 { return 7 }); x != 7 || r.Remember("c", nil) != 7 {
		t.Errorf("%g", x)
	}
}
