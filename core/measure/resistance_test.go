package measure

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"plateau/core/trace"
)

// worked out from the open data by hand: 1.99, 2.81 and 4.44 mΩ at 1, 10 and 60 s after
// the 1C step, worked by hand from the publisher's rows (4.189 V at rest; 4.128,
// 4.103, 4.053 V under 30.60 A at the tester's step times 1, 10 and 60 s).
func TestORNLResistance(t *testing.T) {
	dir := reference(t, "ornl-multirate")
	runs := readRuns(t, filepath.Join(dir, "1C.csv"))
	all, why := StepResistance(runs[0], nil)
	if len(all) != 3 || why != "" {
		t.Fatalf("%d readings, %q, want 3", len(all), why)
	}
	for k, want := range []float64{1.99e-3, 2.81e-3, 4.44e-3} {
		res := all[k]
		near(t, "R", res.Ohm, want, 0.03*want)
		if res.Earliest != res.Time || res.Latest != res.Time || res.Standard {
			t.Errorf("%+v: the row at the rest's end fixes the step's instant, and no log of 1 s shows the standard's reading", res)
		}
	}
	for _, name := range []string{"2C.csv", "3C.csv"} {
		runs := readRuns(t, filepath.Join(dir, name))
		if all, why := StepResistance(runs[0], nil); len(all) != 0 || !strings.Contains(why, "begins under load") {
			t.Errorf("%s begins under load: %v, %q", name, all, why)
		}
		for _, r := range runs[1:] {
			step, why := StepResistance(r, nil)
			back, why2 := RecoveryResistance(r, nil)
			if len(step) != 3 || len(back) != 3 {
				t.Fatalf("%s: %q, %q", name, why, why2)
			}
			for k, res := range append(step, back...) {
				if res.Ohm < 1.5e-3 || res.Ohm > 5e-3 || k%3 > 0 && res.Ohm <= append(step, back...)[k-1].Ohm {
					t.Errorf("%s: %g ohm at %g s, want 1.5 to 5 mΩ, growing with time", name, res.Ohm, res.Time)
				}
			}
		}
	}
}

// NASA's logs have a row each 10 to 19 s: nothing at 1 s, on any account.
func TestNASAHasNoResistanceAtOneSecond(t *testing.T) {
	dir := reference(t, "nasa")
	names, err := filepath.Glob(filepath.Join(dir, "0*.csv"))
	if err != nil || len(names) == 0 {
		t.Fatal(err, len(names))
	}
	for _, name := range names {
		for _, r := range readRuns(t, name) {
			all, why := StepResistance(r, []float64{1, 60})
			if why == "" || len(all) > 1 || len(all) == 1 && all[0].Time != 60 {
				t.Errorf("%s: %+v, %q", name, all, why)
			}
		}
	}
}

// rooted is a cell with 20 mΩ at once and 3 mΩ/√s on top, at rest at 4 V: the
// resistance at t is known, and the fit's own form is exact for it.
func rooted(t float64) float64 { return 0.020 + 0.003*math.Sqrt(t) }

const rootedLoad = 5.0 // A

// stepped is a log with a sample each dt: at rest, from late·dt after a sample
// on under load for some seconds, and at rest again.
func stepped(dt, late, lasts float64, noise func() float64) *trace.Run {
	tr := trace.New(false)
	on := dt * (20 + late)
	off := on + lasts
	from, to := 0, 0
	for k := 0; float64(k)*dt < off+lasts; k++ {
		at := float64(k) * dt
		v, i := 4.0, 0.0
		switch {
		case at >= off:
			v -= rootedLoad * (rooted(lasts) - rooted(at-off))
		case at >= on:
			v, i = v-rootedLoad*rooted(at-on), rootedLoad
		}
		if i == 0 && to == 0 {
			from = tr.Len() + 1
		} else if i > 0 {
			to = tr.Len() + 1
		}
		tr.Append(at, v+noise(), i, 0)
	}
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: from, To: to})
}

func quiet() float64 { return 0 }

// Closed form: where the step lies in the middle of its interval, a fit and a
// reading between two samples give R(t) itself.
func TestStepResistanceClosedForm(t *testing.T) {
	for _, dt := range []float64{0.01, 0.1, 0.5, 1} {
		all, why := StepResistance(stepped(dt, 0.5, 100, quiet), nil)
		if len(all) != 3 {
			t.Fatalf("each %g s: %d readings, %q", dt, len(all), why)
		}
		for _, res := range all {
			near(t, "R", res.Ohm, rooted(res.Time), 1e-9)
			near(t, "slope", res.Slope, -rootedLoad*0.003/(2*math.Sqrt(res.Time)), 1e-9)
			near(t, "width", res.Latest-res.Earliest, dt, 1e-9)
			if res.Fitted != (dt < 0.5 || res.Time > 1) || res.Standard || res.SE > 1e-9 {
				t.Errorf("each %g s: %+v", dt, res)
			}
		}
	}
}

// The step anywhere in its interval: what the instant adds is Slope times half
// the interval, to first order.
func TestStepResistanceBetweenTimes(t *testing.T) {
	for late := 0.01; late < 1; late += 0.07 {
		all, _ := StepResistance(stepped(1, late, 100, quiet), nil)
		for _, res := range all {
			if d := math.Abs(res.Ohm-rooted(res.Time)) * rootedLoad; d > 1.2*math.Abs(res.Slope)*(res.Latest-res.Earliest)/2 {
				t.Errorf("%.2f s late: %.4g V off at %g s, slope %g V/s", late, d, res.Time, res.Slope)
			}
			// Off by up to 1.5 % at 1 s, where the root bends most between two samples.
			if low, high := rooted(res.Earliest), rooted(res.Latest); res.Ohm < 0.985*low || res.Ohm > 1.015*high {
				t.Errorf("%.2f s late: %g ohm at %g s, want %g to %g", late, res.Ohm, res.Time, low, high)
			}
		}
	}
}

// The standard error is what the fit scatters by: of 400 with noise of 2 mV, a
// share of 0.95 ± 0.035 lies within two of them (normal law; three of the
// binomial's own deviations).
func TestStepResistanceStandardError(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	within, n := 0, 0
	for range 400 {
		rest := 21 // the sample at rest is one reading, not part of the fit
		noise := func() float64 {
			if rest--; rest >= 0 {
				return 0
			}
			return 0.002 * rng.NormFloat64()
		}
		all, why := StepResistance(stepped(0.1, 0.5, 20, noise), []float64{10})
		if len(all) != 1 || !(all[0].SE > 0) {
			t.Fatalf("%+v, %q", all, why)
		}
		n++
		if math.Abs(all[0].Ohm-rooted(10)) < 2*all[0].SE {
			within++
		}
	}
	if share := float64(within) / float64(n); math.Abs(share-0.95) > 0.035 {
		t.Errorf("%.3f lie within two standard errors, want 0.95", share)
	}
}

// After the load the voltage rises by I·R(t) from where it was when the load
// went off, half an interval after the last loaded sample: 10 µΩ at most.
func TestRecoveryResistance(t *testing.T) {
	all, why := RecoveryResistance(stepped(0.1, 0.5, 100, quiet), nil)
	if len(all) != 3 {
		t.Fatalf("%d readings, %q", len(all), why)
	}
	for _, res := range all {
		near(t, "R", res.Ohm, rooted(res.Time), 1e-5)
		near(t, "slope", res.Slope, rootedLoad*0.003/(2*math.Sqrt(res.Time)), 1e-9)
		if res.Kind != Recovery {
			t.Errorf("%+v", res)
		}
	}
}

// What cannot be read is absent, with its reason.
func TestResistanceReasons(t *testing.T) {
	rest := func(n int, dt float64) [][3]float64 { return rows(n, dt, 4, 0) }
	load := func(n int, dt, i float64) [][3]float64 { return rows(n, dt, 3.8, i) }
	for _, tt := range []struct {
		name     string
		tr       *trace.Trace
		from, to int
		read     int
		why      string
	}{
		{"no rest", logOf(load(100, 1, 5)), 0, 100, 0, "begins under load"},
		{"another load", logOf(load(20, 1, 2), load(100, 1, 5)), 20, 120, 0, "no rest before"},
		{"30 s", logOf(rest(5, 30), load(20, 30, 5)), 5, 25, 1, "nothing at 1, 10 s: the step lies somewhere between two samples 30 s apart"},
		{"15 s", logOf(rest(5, 15), load(20, 15, 5)), 5, 25, 1, "nothing at 1, 10 s: the step lies somewhere between two samples 15 s apart"},
		{"a short load", logOf(rest(20, 1), load(20, 1, 5), rest(20, 1)), 20, 40, 2, "nothing at 60 s: the last sample is 19.5 s after"},
		{"gap", logOf(rest(20, 1), load(20, 1, 5), load(1, 300, 5)), 20, 41, 2, "nothing at 60 s: the samples there are 300 s apart"},
		{"one sample", logOf(rest(20, 1), load(1, 1, 5), rest(20, 1)), 20, 21, 0, "the last sample is 0.5 s after"},
		{"not held", logOf(rest(20, 1), load(5, 1, 5), load(5, 1, 2.5), load(100, 1, 5)), 20, 130, 1, "the current was not held"},
		{"no fall", logOf(rest(20, 1), rows(100, 1, 4, 5)), 20, 120, 0, "did not fall"},
		{"rising", logOf(rest(20, 1), rows(100, 1, 4.1, 5)), 20, 120, 0, "did not fall"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := trace.NewRun(tt.tr, trace.Step{Kind: trace.Discharge, From: tt.from, To: tt.to})
			all, why := StepResistance(r, nil)
			if len(all) != tt.read || !strings.Contains(why, tt.why) {
				t.Errorf("%d readings, %q; want %d, %q", len(all), why, tt.read, tt.why)
			}
			back, _ := RecoveryResistance(r, []float64{math.NaN(), -1, 0, math.Inf(1), 1})
			for _, res := range append(all, back...) {
				finite(t, res)
			}
		})
	}
	r := trace.NewRun(logOf(rest(5, 1), load(100, 1, 5)), trace.Step{Kind: trace.Discharge, From: 5, To: 105})
	if all, why := RecoveryResistance(r, nil); len(all) != 0 || !strings.Contains(why, "ends under load") {
		t.Errorf("%v, %q", all, why)
	}
}

// The log fixes the step's instant only where its clock starts anew with the
// step: not in an even log, nor in one that halts once just before.
func TestInstant(t *testing.T) {
	load := rows(20, 1, 3.8, 5)
	for _, tt := range []struct {
		name  string
		tr    *trace.Trace
		width float64
	}{
		{"even", logOf(rows(20, 1, 4, 0), load), 1},
		{"one halt", logOf(rows(20, 1, 4, 0), rows(1, 7, 4, 0), load), 1},
		{"first row late", logOf(rows(20, 60, 4, 0), rows(1, 37, 3.8, 5), load), 37},
		{"clock anew, after rows of 60 s", logOf(rows(20, 60, 4, 0), load), 0},
		{"clock anew, after a row off the grid", logOf(rows(20, 60, 4, 0), rows(1, 8.8, 4, 0), load), 0},
	} {
		k := 0
		for tt.tr.Current(k) == 0 {
			k++
		}
		lo, hi := instant(tt.tr, k)
		near(t, tt.name, hi-lo, tt.width, 1e-9)
		near(t, tt.name+", from", lo, tt.tr.Time(k-1), 1e-9)
	}
}

// A sample that caught the current on its way is not read.
func TestHalfwaySample(t *testing.T) {
	tr := logOf(rows(20, 1, 4, 0), rows(1, 1, 3.98, 0.9), rows(100, 1, 3.9, 5))
	all, why := StepResistance(trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 20, To: 121}), []float64{2, 10})
	if len(all) != 2 {
		t.Fatalf("%+v, %q", all, why)
	}
	for _, res := range all {
		near(t, "R", res.Ohm, 0.1/5, 1e-12)
	}
}

// rows are n samples, dt apart, at a voltage and a current.
func rows(n int, dt, v, i float64) (out [][3]float64) {
	for range n {
		out = append(out, [3]float64{dt, v, i})
	}
	return out
}

// logOf is a trace of such samples one after the other.
func logOf(parts ...[][3]float64) *trace.Trace {
	tr := trace.New(false)
	var at float64
	for _, part := range parts {
		for _, s := range part {
			at += s[0]
			tr.Append(at, s[1], s[2], 0)
		}
	}
	return tr
}

func finite(t *testing.T, res Resistance) {
	t.Helper()
	for _, x := range []float64{res.Ohm, res.Time, res.Earliest, res.Latest, res.V0, res.V1, res.I0, res.I1, res.Slope, res.SE} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Errorf("not all are numbers: %+v", res)
			return
		}
	}
}

// Whatever is in a log, nothing panics and no figure is less than a number.
func TestFiguresOfHostileLogs(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	pick := func(of ...float64) float64 { return of[rng.IntN(len(of))] }
	for range 3000 {
		tr := trace.New(rng.IntN(2) == 0)
		var at float64
		v, i := 3.7, 0.0
		for range 1 + rng.IntN(40) {
			at += pick(0, 0, 0.1, 1, 1, 1, 10, 1e5, 1e300)
			if rng.IntN(3) == 0 {
				i = pick(0, 0, 0.5, 2.5, 2.5, -2.5, -1e-9, 1e300)
			}
			if rng.IntN(2) == 0 {
				v = pick(4.2, 3.7, 3.6, 3.5, 0, -5, 1e300, 5e-324)
			}
			tr.Append(at, v, i, 25)
		}
		from := rng.IntN(tr.Len())
		r := trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: from, To: from + 1 + rng.IntN(tr.Len()-from)})
		a, _ := StepResistance(r, nil)
		b, _ := RecoveryResistance(r, nil)
		c, _ := TwoPulses(tr, pick(0, 2.5))
		for _, res := range append(append(a, b...), c...) {
			finite(t, res)
		}
		charge, why := ChargeBefore(r)
		if why == "" {
			for _, x := range []float64{charge.Capacity, charge.Energy, charge.Duration, charge.CC, charge.CV, charge.Top, charge.EndCurrent, charge.Rest, charge.EdgeLimit} {
				if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 && x == charge.Duration {
					t.Fatalf("not all are numbers: %+v", charge)
				}
			}
		}
		res, _ := Discharge(r, 0)
		if e, _ := charge.Efficiency(res); math.IsNaN(e.Coulombic+e.Energy) || math.IsInf(e.Coulombic+e.Energy, 0) {
			t.Fatalf("%+v of %+v", e, charge)
		}
		ic, err := IncrementalCapacity(r, pick(0, 3.55), pick(0, 0.01, 1))
		for k := range ic.DQDV {
			if x := ic.V[k] + ic.DQDV[k]; err == nil && (math.IsNaN(x) || math.IsInf(x, 0)) {
				t.Fatalf("%+v", ic)
			}
		}
		if err == nil && (math.IsNaN(ic.Lost) || math.IsInf(ic.Lost, 0)) {
			t.Fatalf("%+v", ic)
		}
	}
}
