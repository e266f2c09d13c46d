package load

import (
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/tester"
	"plateau/core/trace"
)

func reference(t *testing.T, name string) string {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference", name)
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		dir = filepath.Join(env, name)
	}
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("the open data %q is not here: this check is skipped", name)
	}
	return dir
}

// discharges are those of a log that end at 3 V, whole ones.
func discharges(t *testing.T, path string) (runs []*trace.Run) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	log, err := logfile.Read(filepath.Base(path), f)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range log.Trace.Steps() {
		if s.Kind == trace.Discharge {
			if r := trace.NewRun(log.Trace, s); r.Last().V <= 3 && r.Last().Q > 1 {
				runs = append(runs, r)
			}
		}
	}
	if len(runs) == 0 {
		t.Fatalf("%s has no discharge to 3 V", path)
	}
	return runs
}

// flawless is a tester all but without errors: what is left of a budget is the
// repeatability and the model's term.
var flawless = tester.Spec{TimeBase: 1e-6, Temperature: 0.01,
	Voltage: []tester.Range{{Gain: 1e-6}}, Current: []tester.Range{{Gain: 1e-6}}}

// Discharges of one large pouch cell at three rates: G. Wiggins, S. Allu, H.
// Wang, Oak Ridge National Laboratory, DOI 10.5281/zenodo.2580327. What the
// runs at 1C and 3C say of 2C is compared with the runs at 2C, down to the end
// with its counters (29.95 Ah and 109.59 Wh in the first one), and down to
// cut-offs of devices, where a plain line in the charge misses by three times as
// much.
func TestORNL(t *testing.T) {
	dir := reference(t, "ornl-multirate")
	slow, middle, fast := discharges(t, filepath.Join(dir, "1C.csv")), discharges(t, filepath.Join(dir, "2C.csv")), discharges(t, filepath.Join(dir, "3C.csv"))
	const i1, i2, i3 = 30.60, 61.20, 91.80
	for _, n := range []int{1, 5} {
		var curves []Curve
		for _, r := range slow[:min(n, len(slow))] {
			curves = append(curves, Curve{Run: r, Current: i1, Spec: flawless, Relative: 0.003, DF: 8})
		}
		for _, r := range fast[:min(n, len(fast))] {
			curves = append(curves, Curve{Run: r, Current: i3, Spec: flawless, Relative: 0.003, DF: 8})
		}
		m, err := New(curves)
		if err != nil {
			t.Fatal(err)
		}
		for _, tt := range []struct {
			cutoff, limit float64 // V; share by which charge and energy may be off
		}{{3.0, 0.025}, {3.1, 0.025}, {3.2, 0.025}, {3.3, 0.03}, {3.4, 0.04}} {
			ans, err := m.Answer(Ask{Current: i2, Cutoff: tt.cutoff})
			if err != nil {
				t.Fatal(err)
			}
			var q, e, plain float64
			for _, r := range middle[:min(n, len(middle))] {
				res, err := measure.Discharge(r, tt.cutoff)
				if err != nil {
					t.Fatal(err)
				}
				q += res.Capacity / float64(min(n, len(middle)))
				e += res.Energy / float64(min(n, len(middle)))
			}
			if n == 1 && tt.cutoff == 3 {
				q, e = 29.95, 109.59
			}
			for _, r := range []*trace.Run{slow[0], fast[0]} {
				res, _ := measure.Discharge(r, tt.cutoff)
				plain += res.Capacity / 2
			}
			dq, de := ans.Charge/q-1, ans.Energy/e-1
			t.Logf("%d runs to %.1f V: charge %+.2f %% (U %.2f %%), energy %+.2f %% (U %.2f %%); a line in the charge %+.2f %%", n, tt.cutoff,
				100*dq, 100*ans.ChargeBudget.Expanded()/q, 100*de, 100*ans.EnergyBudget.Expanded()/e, 100*(plain/q-1))
			if math.Abs(dq) > tt.limit || math.Abs(de) > tt.limit {
				t.Errorf("%d runs to %.1f V: charge off by %+.2f %%, energy by %+.2f %%, want at most %.1f", n, tt.cutoff, 100*dq, 100*de, 100*tt.limit)
			}
			if math.Abs(ans.Charge-q) > ans.ChargeBudget.Expanded() || math.Abs(ans.Energy-e) > ans.EnergyBudget.Expanded() {
				t.Errorf("%d runs to %.1f V: %.3f ± %.3f Ah, %.2f ± %.2f Wh; measured %.3f Ah, %.2f Wh", n, tt.cutoff,
					ans.Charge, ans.ChargeBudget.Expanded(), ans.Energy, ans.EnergyBudget.Expanded(), q, e)
			}
			if math.Abs(ans.Runtime-ans.Charge/i2*3600) > 1e-9*ans.Runtime {
				t.Errorf("%g s for %g Ah at %g A", ans.Runtime, ans.Charge, i2)
			}
			// A power lasts no longer than its energy at the current it starts
			// with, no shorter than at the one it ends with.
			for _, watts := range []float64{150, 200, 240} {
				p, err := m.Answer(Ask{Power: watts, Cutoff: tt.cutoff})
				if err != nil {
					t.Fatal(err)
				}
				first, err1 := m.Answer(Ask{Current: p.From, Cutoff: tt.cutoff})
				last, err2 := m.Answer(Ask{Current: p.To, Cutoff: tt.cutoff})
				if err1 != nil || err2 != nil {
					t.Fatal(err1, err2)
				}
				if !(p.Energy < first.Energy && p.Energy > last.Energy) || math.Abs(p.Runtime*watts/3600-p.Energy) > 1e-9*p.Energy {
					t.Errorf("%g W to %g V: %g Wh in %g s; %g Wh at %g A and %g Wh at %g A", watts, tt.cutoff, p.Energy, p.Runtime, first.Energy, p.From, last.Energy, p.To)
				}
			}
		}
	}
}
