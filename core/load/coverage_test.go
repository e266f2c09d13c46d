package load

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"plateau/core/gum"
	"plateau/core/tester"
	"plateau/core/trace"
)

// sample is a cell whose behaviour is known. Its depth x goes with the current
// as dx = I·dt/C(I), where C(I) is the law of Peukert, C₁·I^(1−k), or a charge
// that holds up and then falls short, C₁·(1 − b·(I/Iₘ)^p); and its voltage is
//
//	V = U(x) − R·(1 + g·x⁴)·I,  U(x) = 4.2 − x + 0.25·x² − d·x^m
type sample struct {
	c1, k, b, p, most float64
	r, g, d           float64
	m                 float64
}

func anyone(rng *rand.Rand, most float64) sample {
	c := sample{c1: 2 + 3*rng.Float64(), k: 1, most: most, g: rng.Float64(), d: 0.6 + 0.4*rng.Float64(), m: float64(14 + rng.IntN(16))}
	if rng.IntN(2) == 0 {
		c.k = 1 + 0.08*rng.Float64()
	} else {
		c.b, c.p = 0.12*rng.Float64(), 0.5+2.5*rng.Float64()
	}
	c.r = (0.1 + 0.4*rng.Float64()) / most // what is lost at the highest current, V
	return c
}

func (c sample) capacity(i float64) float64 {
	return c.c1 * math.Pow(i, 1-c.k) * (1 - c.b*math.Pow(i/c.most, c.p))
}

func (c sample) volts(x, i float64) float64 {
	x4 := x * x * x * x
	return 4.2 - x + 0.25*x*x - c.d*math.Pow(x, c.m) - c.r*(1+c.g*x4)*i
}

// amps is the current at which the cell gives a power.
func (c sample) amps(x, watts float64) float64 {
	e, r := c.volts(x, 0), c.r*(1+c.g*x*x*x*x)
	return 2 * watts / (e + math.Sqrt(e*e-4*r*watts))
}

// truth is charge in Ah, energy in Wh and runtime in s on a load down to a
// cut-off, by small steps of the depth.
func (c sample) truth(a Ask) (q, e, s float64) {
	const dx = 1.0 / 20_000
	lastV := math.Inf(1)
	for x := dx / 2; ; x += dx {
		i := a.Current
		if a.Power > 0 {
			i = c.amps(x, a.Power)
		}
		v := c.volts(x, i)
		f := 1.0
		if end := c.volts(x+dx/2, i); end <= a.Cutoff {
			f = math.Max(0, math.Min(1, (v-a.Cutoff)/(v-end)*0.5+0.5))
		}
		dq := c.capacity(i) * dx * f
		q, e, s = q+dq, e+dq*v, s+dq/i*3600
		if f < 1 || v > lastV {
			return q, e, s
		}
		lastV = v
	}
}

// log is what a tester makes of one discharge; gains and offset are the
// tester's, share what this run gives more than the cell's usual.
func (c sample) log(i, share, gi, gv, ov float64, rng *rand.Rand) *trace.Run {
	tr := trace.New(false)
	hours := c.capacity(i) * share / i
	every := math.Max(1, hours*3600/400)
	on := every * rng.Float64()
	tr.Append(0, c.volts(0, 0)*(1+gv)+ov, 0, 0)
	t := every
	for {
		v := c.volts((t-on)/3600/hours, i)
		tr.Append(t, v*(1+gv)+ov+0.3e-3*rng.NormFloat64(), i*(1+gi), 0)
		if v < 2.4 {
			break
		}
		t += every
	}
	tr.Append(t+every, 3, 0, 0)
	return trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 1, To: tr.Len() - 1})
}

// TestCoverage asks for loads of cells of known behaviour, whose runs are read
// by a tester with errors of its specification and do not repeat exactly: the
// stated intervals hold the truth in 95 % at least.
func TestCoverage(t *testing.T) {
	n := 400
	if runtime.GOARCH == "wasm" {
		n = 60
	}
	rng := rand.New(rand.NewPCG(18, 5))
	spec := tester.Spec{TimeBase: 1e-4, Voltage: []tester.Range{{Gain: 0.0005, Offset: 2e-3}}, Current: []tester.Range{{Gain: 0.002, Offset: 1e-3}}}
	const repeat = 0.002
	type count struct{ in, of, interval int }
	counts := map[string]*count{}
	var widths, errors float64
	for range n {
		most := 4 + 16*rng.Float64()
		rates := 2 + rng.IntN(4)
		ratio := 2 + 2*rng.Float64()
		if rates > 3 {
			ratio = 1.6 + 0.8*rng.Float64()
		}
		c := anyone(rng, most)
		uniform := func(limit float64) float64 { return limit * (2*rng.Float64() - 1) }
		gi, gv, ov := uniform(0.002), uniform(0.0005), uniform(0.002)
		var curves []Curve
		least := most
		for k := range rates {
			i := most / math.Pow(ratio, float64(k))
			least = i
			r := c.log(i, 1+repeat*rng.NormFloat64(), gi, gv, ov, rng)
			curves = append(curves, Curve{Run: r, Current: i * (1 + gi), Spec: spec, Relative: repeat, DF: 8})
		}
		m, err := New(curves)
		if err != nil {
			t.Fatal(err)
		}
		a := Ask{Cutoff: 2.5 + 0.8*rng.Float64()}
		if rng.IntN(3) == 0 {
			low, high := least*4.3, most*a.Cutoff
			if low >= high {
				continue
			}
			a.Power = low + (high-low)*rng.Float64()
		} else {
			a.Current = least + (most-least)*rng.Float64()
		}
		ans, err := m.Answer(a)
		if err != nil {
			t.Errorf("%+v on %+v: %v", a, c, err)
			continue
		}
		q, e, s := c.truth(a)
		what := fmt.Sprintf("%d rates", min(rates, enough))
		if a.Power > 0 {
			what = "power"
		}
		x := counts[what]
		if x == nil {
			x = &count{}
			counts[what] = x
		}
		for _, y := range []struct {
			got, want float64
			b         gum.Budget
		}{{ans.Charge, q, ans.ChargeBudget}, {ans.Energy, e, ans.EnergyBudget}, {ans.Runtime, s, ans.RuntimeBudget}} {
			x.of++
			if math.Abs(y.got-y.want) <= y.b.Expanded() {
				x.in++
			}
			if math.Abs(y.got-y.want) <= y.b.Interval(0.9545) {
				x.interval++
			}
			widths += y.b.Expanded() / y.want
			errors += math.Abs(y.got/y.want - 1)
		}
	}
	all, in := 0, 0
	for what, x := range counts {
		t.Logf("%-8s %4d figures, %.1f %% inside U, %.1f %% inside the convolved interval", what, x.of, 100*float64(x.in)/float64(x.of), 100*float64(x.interval)/float64(x.of))
		all, in = all+x.of, in+x.in
		if share := float64(x.in) / float64(x.of); share < 0.9 {
			t.Errorf("%s: %.1f %% of %d figures inside U, want at least 90", what, 100*share, x.of)
		}
	}
	t.Logf("mean error %.2f %%, mean U %.2f %%", 100*errors/float64(all), 100*widths/float64(all))
	if share := float64(in) / float64(all); share < 0.95 {
		t.Errorf("%.1f %% of %d figures inside U, want at least 95", 100*share, all)
	}
	// Bounds that hold everything tell nothing.
	if widths > 8*errors {
		t.Errorf("U is %.1f times the errors on the mean", widths/errors)
	}
}
