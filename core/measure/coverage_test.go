package measure

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"plateau/core/gum"
	"plateau/core/tester"
)

// The rigs that the uncertainties are tried on.
func rigs() []rig {
	limits := tester.Spec{TimeBase: 1e-4, Temperature: 1,
		Voltage: []tester.Range{{Gain: 0.0005, Offset: 2e-3, Resolution: 1e-3}},
		Current: []tester.Range{{Gain: 0.001, Offset: 2e-3, Resolution: 1e-3}}}
	calibrated := limits
	calibrated.Basis = tester.Calibration
	two := limits
	two.TwoWire, two.Lead, two.LeadError = true, 0.05, 0.01
	all := []rig{
		{name: "unknown tester", spec: tester.Spec{}, every: 30, amps: 2, noiseV: 0.3e-3, noiseI: 1e-3, cutoff: 2.6},
		{name: "unknown tester, own end", spec: tester.Spec{}, every: 10, amps: 5, noiseV: 0.3e-3, noiseI: 1e-3},
		{name: "stated limits", spec: limits, every: 10, amps: 2, noiseV: 0.3e-3, noiseI: 0.5e-3, cutoff: 2.6, stepV: 1e-3, stepI: 1e-3},
		{name: "calibrated", spec: calibrated, every: 20, amps: 2, noiseV: 0.3e-3, noiseI: 0.3e-3, cutoff: 2.6, stepV: 1e-3, stepI: 1e-3},
		{name: "calibrated, own end", spec: calibrated, every: 10, amps: 5, noiseV: 1e-3, noiseI: 0.3e-3, stepV: 1e-3, stepI: 1e-3},
		{name: "two-wire", spec: two, every: 10, amps: 5, noiseV: 0.5e-3, noiseI: 1e-3, cutoff: 2.6, lead: 0.05, stepV: 1e-3, stepI: 1e-3},
		{name: "thinned to 120 s", spec: calibrated, every: 120, amps: 5, noiseV: 0.3e-3, noiseI: 0.3e-3, cutoff: 2.6, stepV: 1e-3, stepI: 1e-3},
		{name: "row when the load goes off", spec: calibrated, every: 10, amps: 5, noiseV: 0.3e-3, noiseI: 0.3e-3, stepV: 1e-3, stepI: 1e-3, instants: true},
	}
	for k := range all {
		all[k].assumed = all[k].spec.For(4.18, all[k].amps*1.02)
	}
	return all
}

// tally gathers the errors of one figure and the intervals stated for it.
type tally struct {
	errors, stated []float64
	inside         int
	rectangular    int // of the budgets, those in which one rectangle is over half
}

func (y *tally) add(err float64, b gum.Budget) {
	u := b.Expanded()
	y.errors, y.stated = append(y.errors, err), append(y.stated, u)
	if math.Abs(err) <= u {
		y.inside++
	}
	if _, ok := b.Dominant(); ok {
		y.rectangular++
	}
}

// judge holds a figure to the bars of coverage: at least 94.5 % inside; at most
// 96.5 % where no rectangle is over half of u; the median U at most 1.3 times
// the half width that holds 95 % of the errors (JCGM 101:2008 clause 7.7).
func (y *tally) judge(t *testing.T, name string) string {
	n := len(y.errors)
	if n == 0 {
		t.Errorf("%s: no figure", name)
		return ""
	}
	slices.Sort(y.errors)
	slices.Sort(y.stated)
	half := (y.errors[int(0.975*float64(n))] - y.errors[int(0.025*float64(n))]) / 2
	covered, ratio := float64(y.inside)/float64(n), y.stated[n/2]/half
	row := fmt.Sprintf("%-40s %6d %8.2f %% %10.3g %10.3g %6.2f", name, n, 100*covered, y.stated[n/2], half, ratio)
	if y.rectangular > n/2 {
		row += "  rectangular"
	}
	if covered < 0.945 {
		t.Errorf("%s: the interval holds the truth in %.2f %% of %d logs, want at least 94.5", name, 100*covered, n)
	}
	if y.rectangular <= n/2 && covered > 0.965 {
		t.Errorf("%s: the interval holds the truth in %.2f %% of %d logs without a rectangle over half of u: too wide, want at most 96.5", name, 100*covered, n)
	}
	if ratio > 1.3 {
		t.Errorf("%s: the median U is %.2f times the half width of 95 %%, want at most 1.3", name, ratio)
	}
	return row
}

var names = [...]string{"capacity", "energy", "average voltage", "mid-point voltage", "duration", "current", "start", "end",
	"temperature at the start", "highest temperature", "temperature rise"}

// simulated is how many logs a rig gets: 10,000 natively, few under WebAssembly,
// where the same code runs fifty times as long.
func simulated() int {
	if runtime.GOARCH == "wasm" || testing.Short() {
		return 300
	}
	return 10_000
}

// TestCoverage simulates logs whose truth is known and counts how often the
// stated intervals hold it: JCGM 101:2008 turned on the whole program. `make
// coverage` prints the table.
func TestCoverage(t *testing.T) {
	if runtime.GOARCH == "wasm" {
		t.Skip("the same arithmetic is covered natively; the figures are compared bit by bit elsewhere")
	}
	for k, g := range rigs() {
		t.Run(g.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(uint64(k), 101))
			var figures [Quantities]tally
			ohms := map[string]*tally{}
			for range simulated() {
				r, w := g.log(sound(rng), rng)
				res, err := Discharge(r, g.cutoff)
				if err != nil {
					t.Fatal(err)
				}
				budgets, use := Uncertainty(r, res, g.spec)
				so := w.at(g.cutoff)
				if res.Ending == NotReached {
					so = w.at(0) // "at least": what flowed until the load went off
				}
				for q := range Quantities {
					if q == End && g.cutoff > 0 {
						continue // given, not read
					}
					figures[q].add(q.Of(res)-q.Of(so), budgets[q])
				}
				step, _ := StepResistance(r, nil)
				for _, x := range step {
					of(ohms, fmt.Sprintf("R at %g s after the step", x.Time)).add(x.Ohm-w.ohms[x.Time], ResistanceBudget(r, x, use))
				}
				if g.cutoff == 0 && g.instants {
					back, _ := RecoveryResistance(r, []float64{10})
					for _, x := range back {
						of(ohms, "R at 10 s of the recovery").add(x.Ohm-w.back, ResistanceBudget(r, x, use))
					}
				}
			}
			var title []string
			var all []tally
			for q := range Quantities {
				if q == End && g.cutoff > 0 {
					continue
				}
				title, all = append(title, names[q]), append(all, figures[q])
			}
			for _, name := range slices.Sorted(maps.Keys(ohms)) {
				if y := ohms[name]; len(y.errors) > simulated()/2 {
					title, all = append(title, name), append(all, *y)
				}
			}
			show(t, g.name, title, all)
		})
	}
}

func of(m map[string]*tally, name string) *tally {
	if m[name] == nil {
		m[name] = &tally{}
	}
	return m[name]
}
