package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"testing"

	"plateau/core/tester"
	"plateau/core/trace"
)

// reading is a tester's chain for one direction of the current.
type reading struct{ gi, oi, gv, ov, gt float64 }

func draw(rng *rand.Rand, u tester.Use) reading {
	return reading{drawn(rng, u.Current, u.Current.Gain), drawn(rng, u.Current, u.Current.Offset),
		drawn(rng, u.Voltage, u.Voltage.Gain), drawn(rng, u.Voltage, u.Voltage.Offset), drawn(rng, u.Time, u.Time.Gain)}
}

// cycle is a charge at constant current and then at constant voltage, a rest and
// a discharge, whose charges are known in closed form: 4.2 V − 0.6 V·(1 − x) and
// then I·e^(−t/τ) at 4.2 V; 4.1 V − 1.2 V·x at 2.3 A.
func cycle(rng *rand.Rand, u tester.Use, every float64) (run *trace.Run, ah, wh, out, work float64) {
	const amps, constant, tau, ratio, drain = 2.5, 5400.0, 1500.0, 0.1, 2.3
	long := 7000 + 100*rng.Float64()
	in, other := draw(rng, u), draw(rng, u)
	other.gv, other.ov, other.gt = in.gv, in.ov, in.gt // one voltmeter, one clock
	held := tau * math.Log(1/ratio)
	ah = (amps*constant + amps*tau*(1-ratio)) / 3600
	wh = (amps*constant*3.9 + 4.2*amps*tau*(1-ratio)) / 3600
	out, work = drain*long/3600, drain*long*3.5/3600
	tr := trace.New(false)
	row := func(t, v, i float64, c reading) {
		if i != 0 {
			i += i*c.gi + c.oi + 0.3e-3*rng.NormFloat64()
		}
		tr.Append(t*(1+c.gt), rounded(v*(1+c.gv)+c.ov+0.3e-3*rng.NormFloat64(), u.Voltage.Resolution), rounded(i, u.Current.Resolution), 0)
	}
	on := 200 + every*rng.Float64()
	off := on + constant + held
	load := off + 3700 + every*rng.Float64()
	for t := 0.0; t < load+long+300; t += every {
		switch {
		case t < on:
			row(t, 3.55, 0, in)
		case t < on+constant:
			row(t, 3.6+0.6*(t-on)/constant, -amps, in)
		case t < off:
			row(t, 4.2, -amps*math.Exp(-(t-on-constant)/tau), in)
		case t < load:
			row(t, 4.15, 0, in)
		case t < load+long:
			row(t, 4.1-1.2*(t-load)/long, drain, other)
		default:
			row(t, 3.1, 0, other)
		}
	}
	for _, s := range tr.Steps() {
		if s.Kind == trace.Discharge {
			run = trace.NewRun(tr, s)
		}
	}
	return run, ah, wh, out, work
}

// Charge and efficiencies: the same bars as for a discharge.
func TestCoverageOfCharge(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Skip("the same arithmetic is covered natively")
	}
	for k, g := range []rig{{name: "charge, unknown tester"}, {name: "charge, calibrated", spec: rigs()[3].spec}} {
		t.Run(g.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(uint64(k), 102))
			use := g.spec.For(4.2, 2.6)
			names := []string{"charge", "energy charged", "coulombic efficiency", "energy efficiency"}
			all := make([]tally, len(names))
			for range simulated() {
				r, ah, wh, out, work := cycle(rng, use, 20)
				c, why := ChargeBefore(r)
				if c.To <= c.From || !c.Whole {
					t.Fatal(why)
				}
				res, err := Discharge(r, 0)
				if err != nil {
					t.Fatal(err)
				}
				budgets, _ := Uncertainty(r, res, g.spec)
				eff, _ := c.Efficiency(res)
				q, e := ChargeBudgets(c, use)
				cb, eb := EfficiencyBudgets(eff, c, res, budgets, use)
				all[0].add(c.Capacity-ah, q)
				all[1].add(c.Energy-wh, e)
				all[2].add(eff.Coulombic-out/ah, cb)
				all[3].add(eff.Energy-work/wh, eb)
			}
			show(t, g.name, names, all)
		})
	}
}

// The two pulses of the standard, 0.2 It for 10 s and then 1 It for 1 s.
func TestCoverageOfTwoPulses(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Skip("the same arithmetic is covered natively")
	}
	for k, g := range []rig{{name: "two pulses, unknown tester", noiseV: 0.2e-3}, {name: "two pulses, calibrated", spec: rigs()[3].spec, noiseV: 0.2e-3}} {
		t.Run(g.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(uint64(k), 103))
			use := g.spec.For(4.2, 2.6)
			all := make([]tally, 1)
			for range simulated() {
				c := draw(rng, use)
				open, ohm := 4.06+0.02*rng.Float64(), 0.039+0.002*rng.Float64()
				tr := trace.New(false)
				for j := range 330 {
					at := float64(j) / 10
					i := 0.0
					switch {
					case j >= 100 && j < 201:
						i = 0.5
					case j >= 201 && j < 212:
						i = 2.5
					}
					v := open - ohm*i
					if i != 0 {
						i += i*c.gi + c.oi
					}
					tr.Append(at*(1+c.gt), rounded(v*(1+c.gv)+c.ov+g.noiseV*rng.NormFloat64(), use.Voltage.Resolution), rounded(i, use.Current.Resolution), 0)
				}
				found, why := TwoPulses(tr, 2.5)
				if len(found) == 0 {
					t.Fatal(why)
				}
				run := trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: 100, To: 212})
				all[0].add(found[0].Ohm-ohm, ResistanceBudget(run, found[0], use))
			}
			show(t, g.name, []string{"R from two pulses"}, all)
		})
	}
}

// show judges each figure and prints the table where it is asked for.
func show(t *testing.T, title string, names []string, all []tally) {
	t.Helper()
	var table []string
	for k := range all {
		table = append(table, all[k].judge(t, names[k]))
	}
	if os.Getenv("PLATEAU_COVERAGE") == "" {
		return
	}
	fmt.Printf("\n%s\n%-40s %6s %10s %10s %10s %6s\n", title, "figure", "logs", "covered", "median U", "95 %", "ratio")
	for _, row := range table {
		fmt.Println(row)
	}
}
