package measure

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"plateau/core/trace"
)

// sampled is a discharge as a tester would log it: V(t) and I(t) at the times
// given, all of them under load.
func sampled(times []float64, v, i func(t float64) float64) *trace.Run {
	tr := trace.New(false)
	for _, t := range times {
		tr.Append(t, v(t), i(t), 0)
	}
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: tr.Len()})
}

func even(end float64, n int) []float64 {
	var ts []float64
	for k := range n + 1 {
		ts = append(ts, end*float64(k)/float64(n))
	}
	return ts
}

func constant(x float64) func(float64) float64 { return func(float64) float64 { return x } }

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g ± %.3g", what, got, want, tolerance)
	}
}

// trapezoidBound is the most by which the composite trapezoid can be off:
// (b−a)³·max|f″|/(12n²). Abramowitz and Stegun 25.4.2, cited from memory.
func trapezoidBound(length, second float64, n int) float64 {
	return length * length * length * second / float64(12*n*n)
}

// Constant current and a voltage that falls in a straight line, 0.5 A and
// 4.2 V − 0.3 V/h for 5 h: 2.5 Ah, 8.625 Wh, mean and mid-point 3.45 V. Worked
// by hand; the trapezoid is exact whatever the sampling.
func TestLinearVoltage(t *testing.T) {
	v := func(t float64) float64 { return 4.2 - 0.3*t/3600 }
	rng := rand.New(rand.NewPCG(7, 8))
	uneven := []float64{0}
	for uneven[len(uneven)-1] < 17_900 {
		uneven = append(uneven, uneven[len(uneven)-1]+1+60*rng.Float64())
	}
	uneven = append(uneven, 18_000)
	for name, times := range map[string][]float64{"even": even(18_000, 300), "two samples": {0, 18_000}, "uneven": uneven} {
		t.Run(name, func(t *testing.T) {
			res, err := Discharge(sampled(times, v, constant(0.5)), 0)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "capacity", res.Capacity, 2.5, 1e-12)
			near(t, "energy", res.Energy, 8.625, 1e-11)
			near(t, "average", res.Average, 3.45, 1e-12)
			near(t, "mid-point", res.MidPoint, 3.45, 1e-12)
			near(t, "current", res.Current, 0.5, 1e-13)
			near(t, "duration", res.Duration, 18_000, 1e-9)
		})
	}
}

// Constant current and V = a + b·e^(−t/τ): E = I(aT + bτ(1 − e^(−T/τ))), with
// 1 A, 3 V, 1.2 V, τ 1 h, T 2 h: 7.0375976602 Wh.
func TestExponentialVoltage(t *testing.T) {
	const want = 7.0375976602
	v := func(t float64) float64 { return 3 + 1.2*math.Exp(-t/3600) }
	for _, n := range []int{20, 200, 2000} {
		res, err := Discharge(sampled(even(7200, n), v, constant(1)), 0)
		if err != nil {
			t.Fatal(err)
		}
		bound := trapezoidBound(2, 1.2, n) // in h: |V″| ≤ 1.2 V/h²
		near(t, "energy", res.Energy, want, bound+5e-11)
		if n == 20 && math.Abs(res.Energy-want) < bound/10 {
			t.Errorf("error %.3g is far below the bound %.3g: the sum is not the trapezoid", res.Energy-want, bound)
		}
	}
}

// A decaying current I₀e^(−t/τ): Q = I₀τ(1 − e^(−T/τ)); 1 A, 0.5 h, 1 h:
// 0.4323323584 Ah.
func TestDecayingCurrent(t *testing.T) {
	i := func(t float64) float64 { return math.Exp(-t / 1800) }
	for _, n := range []int{50, 1000} {
		res, err := Discharge(sampled(even(3600, n), constant(3.6), i), 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "charge", res.Capacity, 0.4323323584, trapezoidBound(1, 4, n)+5e-11)
	}
}

// With V and I both straight lines in an interval the trapezoid of their
// product exceeds the integral by Δt(V₁−V₀)(I₁−I₀)/6.
func TestProductRule(t *testing.T) {
	const v0, v1, i0, i1 = 4.0, 3.0, 1.0, 2.5
	line := func(a, b float64) func(float64) float64 {
		return func(t float64) float64 { return a + (b-a)*t/3600 }
	}
	exact := (2*v0*i0 + v0*i1 + v1*i0 + 2*v1*i1) / 6
	r := sampled([]float64{0, 3600}, line(v0, v1), line(i0, i1))
	near(t, "excess", r.Last().E-exact, (v1-v0)*(i1-i0)/6, 1e-12)
}

// 0.5 A, samples 10 s apart, 2.52 V then 2.47 V, cut-off 2.50 V: crossed 4 s
// after the last sample above it.
func TestCutoffBetweenTwoSamples(t *testing.T) {
	tr := trace.New(false)
	for k, v := range []float64{2.95, 2.88, 2.78, 2.66, 2.52, 2.47} {
		tr.Append(float64(10*k), v, 0.5, 0)
	}
	res, err := Discharge(trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: 6}), 2.5)
	if err != nil || res.Ending != AtCutoff {
		t.Fatalf("ending %d, error %v", res.Ending, err)
	}
	near(t, "duration", res.Duration, 44, 1e-9)
	near(t, "charge past it", 50*0.5/3600-res.Capacity, 0.5*6/3600, 1e-12)
	near(t, "end", res.End, 2.5, 0)
}

// A dip at the start, as on a cold or fast discharge, does not end the run.
func TestStartDipIsNoEnd(t *testing.T) {
	tr := trace.New(false)
	for _, v := range []float64{2.4, 2.45, 2.9, 3.1} {
		tr.Append(float64(10*tr.Len()), v, 5, 0)
	}
	for v := 3.0; v > 2.65; v -= 0.01 {
		tr.Append(float64(10*tr.Len()), v, 5, 0)
	}
	for _, v := range []float64{2.6, 2.4} {
		tr.Append(float64(10*tr.Len()), v, 5, 0)
	}
	res, err := Discharge(trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: tr.Len()}), 2.5)
	if err != nil || res.Ending != AtCutoff {
		t.Fatalf("ending %d, error %v", res.Ending, err)
	}
	near(t, "duration", res.Duration, tr.Time(tr.Len()-1)-5, 1e-9)
}

// On a noisy voltage the crossing must be found without a systematic error:
// the mean over many noisy copies of a straight fall is the true instant.
// "First at or below" comes tens of seconds early on the same data.
func TestNoisyCrossingIsUnbiased(t *testing.T) {
	const slope, cutoff, truth = -1e-4, 2.7, 3000.0 // V/s, V, s
	rng := rand.New(rand.NewPCG(9, 10))
	var sum, first float64
	const copies = 400
	for range copies {
		tr := trace.New(false)
		early := 0.0
		for k := range 3200 {
			v := cutoff + slope*(float64(k)-truth) + 0.002*rng.NormFloat64()
			tr.Append(float64(k), v, 2, 0)
			if early == 0 && v <= cutoff {
				early = float64(k)
			}
		}
		res, err := Discharge(trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: 3200}), cutoff)
		if err != nil || res.Ending != AtCutoff {
			t.Fatalf("ending %d, error %v", res.Ending, err)
		}
		sum += res.Duration - truth
		first += early - truth
	}
	if first/copies > -20 {
		t.Fatalf("the first sample below is only %.1f s early: the test tests nothing", first/copies)
	}
	if bias := sum / copies; math.Abs(bias) > 3 {
		t.Errorf("crossing is off by %.1f s in the mean, want at most 3", bias)
	}
}

// A tester that stops between two samples leaves a last row just above its
// cut-off: the results are carried on, one interval at most.
func TestStoppedJustAbove(t *testing.T) {
	run := func(cutoff float64) (Results, error) {
		tr := trace.New(false)
		for k, v := range []float64{2.9, 2.8, 2.7, 2.6} {
			tr.Append(float64(10*k), v, 2, 0)
		}
		tr.Append(40, 3.0, 0, 0)
		return Discharge(trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 0, To: 4}), cutoff)
	}
	above, err := run(2.55)
	if err != nil || above.Ending != JustAbove {
		t.Fatalf("ending %d, want just above; error %v", above.Ending, err)
	}
	near(t, "duration", above.Duration, 35, 1e-9)
	near(t, "charge", above.Capacity, 2*35/3600.0, 1e-12)
	far, err := run(2.4)
	if err != nil || far.Ending != NotReached {
		t.Fatalf("ending %d, want not reached; error %v", far.Ending, err)
	}
	near(t, "whole charge, edge included", far.Capacity, 2*35/3600.0, 1e-12)
	if below, err := run(3.5); below.Ending != AllBelow || !errors.Is(err, ErrNoCharge) {
		t.Fatalf("ending %d, error %v, want all below and no charge", below.Ending, err)
	}
}
