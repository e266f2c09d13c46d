package link

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"plateau/core/publish"
)

// farthest is how far samples lie from a polyline at most, measured upright. At
// a jump the polyline is all that lies between its ends. A sample counts at a
// charge up to slack from its own.
func farthest(q, v, q2, v2 []float64, slack float64) float64 {
	most, at := 0.0, 0.0
	for k := range min(len(q), len(v)) {
		if math.IsNaN(q[k]) || math.IsNaN(v[k]) {
			continue
		}
		at = max(at, q[k])
		best := math.Inf(1)
		for j := range q2 {
			if math.IsNaN(v2[j]) {
				continue
			}
			if math.Abs(q2[j]-at) <= slack+1e-9 {
				best = min(best, math.Abs(v2[j]-v[k]))
			}
			if j == 0 || math.IsNaN(v2[j-1]) || q2[j] < at-slack || q2[j-1] > at+slack {
				continue
			}
			low, high := min(v2[j-1], v2[j]), max(v2[j-1], v2[j])
			if q2[j]-q2[j-1] > slack+1e-12 {
				f := func(x float64) float64 {
					x = min(max(x, q2[j-1]), q2[j])
					return v2[j-1] + (v2[j]-v2[j-1])*(x-q2[j-1])/(q2[j]-q2[j-1])
				}
				low, high = min(f(at-slack), f(at+slack)), max(f(at-slack), f(at+slack))
			}
			best = min(best, max(low-v[k], v[k]-high, 0))
		}
		most = max(most, best)
	}
	return most
}

// curvesNear holds decoded curves to the tolerance. Where a curve jumps, charges
// are right to a step of the finest grid.
func curvesNear(got, want publish.Post, tolerance float64) error {
	j := 0
	for _, w := range want.Curves {
		values := 0
		for _, v := range w.V {
			if !math.IsNaN(v) {
				values++
			}
		}
		if values == 0 {
			continue
		}
		if j >= len(got.Curves) || got.Curves[j].Run != w.Run {
			return fmt.Errorf("curve of run %d is missing", w.Run)
		}
		g := got.Curves[j]
		j++
		slack := 0.0
		if jumps(w) {
			slack = g.Q[len(g.Q)-1] / (1 << finest)
		}
		if d := farthest(w.Q, w.V, g.Q, g.V, slack); d > tolerance+1e-9 {
			return fmt.Errorf("curve of run %d: %g V off", w.Run, d)
		}
		temps := append([]float64(nil), w.Temp...)
		for k := range temps {
			temps[k] += 0 * w.V[k] // none where there is no voltage
		}
		if d := farthest(w.Q, temps, g.Q, g.Temp, slack); len(w.Temp) > 0 && d > TemperatureTolerance(tolerance)+1e-9 {
			return fmt.Errorf("curve of run %d: %g °C off", w.Run, d)
		}
		for k, v := range g.V {
			if math.IsNaN(v) || k > 0 && g.Q[k] < g.Q[k-1] || len(g.Temp) > 0 && len(g.Temp) != len(g.V) {
				return fmt.Errorf("curve of run %d has no sound points", w.Run)
			}
		}
	}
	if j != len(got.Curves) {
		return fmt.Errorf("%d curves came back, %d were sent", len(got.Curves), j)
	}
	return nil
}

// jumps tells whether some samples lie at one charge.
func jumps(c publish.Curve) bool {
	for k := 1; k < len(c.Q); k++ {
		if c.Q[k] <= c.Q[k-1] {
			return true
		}
	}
	return false
}

// The thinned curves of the demo against every sample of its logs, strictly.
func TestToleranceOfTheDemo(t *testing.T) {
	p := campaign()
	for _, tolerance := range []float64{0.5e-3, 2e-3, 5e-3, 20e-3} {
		text, err := Encode(p, Options{Tolerance: tolerance})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Decode(text)
		if err != nil {
			t.Fatal(err)
		}
		if got.Tolerance != tolerance {
			t.Errorf("tolerance %g came back as %g", tolerance, got.Tolerance)
		}
		most, mostT := 0.0, 0.0
		for k, g := range got.Curves {
			w := p.Curves[k]
			most = max(most, farthest(w.Q, w.V, g.Q, g.V, 0))
			mostT = max(mostT, farthest(w.Q, w.Temp, g.Q, g.Temp, 0))
			if off := math.Abs(g.Q[len(g.Q)-1] - w.Q[len(w.Q)-1]); off > 1e-6 {
				t.Errorf("curve %d ends %g Ah off", k, off)
			}
		}
		t.Logf("at %g mV: %.4f mV and %.4f °C off at most", tolerance*1e3, most*1e3, mostT)
		if most > tolerance || mostT > TemperatureTolerance(tolerance) || most < tolerance/2 {
			t.Errorf("at %g V curves are %g V and %g °C off", tolerance, most, mostT)
		}
	}
}

// A second, coarser thinning reckons with the first.
func TestThinnedTwice(t *testing.T) {
	p := campaign()
	for _, first := range []float64{0.5e-3, 1e-3, 2e-3} {
		text, _ := Encode(p, Options{Tolerance: first})
		once, err := Decode(text)
		if err != nil {
			t.Fatal(err)
		}
		text, _ = Encode(once, Options{Tolerance: 2.2e-3})
		twice, err := Decode(text)
		if err != nil {
			t.Fatal(err)
		}
		if twice.Tolerance < 2.2e-3 || twice.Tolerance > 4e-3 {
			t.Errorf("%g V, then 2.2 mV, is called %g V", first, twice.Tolerance)
		}
		for k, g := range twice.Curves {
			if d := farthest(p.Curves[k].Q, p.Curves[k].V, g.Q, g.V, 0); d > twice.Tolerance {
				t.Errorf("%g V off where %g V is said", d, twice.Tolerance)
			}
		}
	}
}

func dense(n int) (q, v []float64) {
	m := rand.New(rand.NewPCG(3, 3))
	q, v = make([]float64, n), make([]float64, n)
	for k := range q {
		x := float64(k) / float64(n-1)
		q[k] = 5 * x
		v[k] = math.Round(1000*(4.1-0.9*x-0.05*(1-math.Exp(-x*200))-0.6*math.Pow(x, 30)+1e-4*m.NormFloat64())) / 1000
	}
	v[0] = 4.19
	return q, v
}

func TestThin(t *testing.T) {
	nan := math.NaN()
	long, longV := dense(100_000)
	for _, c := range []struct {
		name string
		q, v []float64
		most int // points
	}{
		{"empty", nil, nil, 0},
		{"one", []float64{1}, []float64{4}, 1},
		{"nothing known", []float64{nan, 1}, []float64{4, nan}, 0},
		{"straight", []float64{0, 1, 2, 3}, []float64{4, 3.9, 3.8, 3.7}, 2},
		{"jump", []float64{0, 0, 1, 2}, []float64{4.2, 4, 3.9, 3.8}, 3},
		{"jumps in the middle", []float64{0, 1, 2, 2, 2, 3, 4}, []float64{4, 3.9, 3.8, 4, 3.7, 3.6, 3.5}, 6},
		{"going back", []float64{0, 1, 0.9, 2}, []float64{4, 3.9, 3.901, 3.8}, 3},
		{"infinite", []float64{0, math.Inf(1), 1}, []float64{4, 3.9, math.Inf(-1)}, 1},
		{"huge", []float64{0, 1e-300, 1e300}, []float64{1e300, -1e300, 1e300}, 3},
		{"dense", long, longV, 160},
	} {
		for _, tolerance := range []float64{0, 2e-3, 5e-3} {
			q, v := Thin(c.q, c.v, tolerance)
			if len(q) != len(v) || tolerance == 2e-3 && len(q) > c.most || len(q) == 0 && c.most > 0 {
				t.Errorf("%s at %g V: %d points", c.name, tolerance, len(q))
			}
			if c.name == "infinite" || c.name == "huge" {
				continue
			}
			if len(c.q) < 1000 || tolerance > 0 {
				if d := farthest(c.q, c.v, q, v, 0); d > tolerance+1e-9 {
					t.Errorf("%s at %g V: %g V off", c.name, tolerance, d)
				}
			}
		}
	}
}

func BenchmarkThin(b *testing.B) {
	q, v := dense(100_000)
	for b.Loop() {
		Thin(q, v, 2e-3)
	}
}

func BenchmarkCurve(b *testing.B) {
	q, v := dense(100_000)
	c := publish.Curve{Q: q, V: v}
	for b.Loop() {
		thinned(&c, 2000, perTolerance)
	}
}

func BenchmarkDemo(b *testing.B) {
	p := campaign()
	for b.Loop() {
		if _, err := Encode(p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSize(b *testing.B) {
	w := NewWriter(campaign())
	for b.Loop() {
		if _, err := w.Size(Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
