package plan

import (
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/trace"
)

// The closed form is what a cell does whose voltage rises in line with its
// charge near its end, behind a resistance: here that cell is charged in steps
// of 10 ms.
func TestChargeModel(t *testing.T) {
	for _, tt := range []struct{ q, i, end float64 }{{2.5, 1.25, 0.125}, {5, 5, 0.25}, {4, 0.4, 0.2}, {3, 15, 0.15}, {2, 1, 0.999}} {
		const slope, full = 0.25, 4.2 // V/Ah near the end, V
		r := tailTime * slope
		dt := 0.01 / 3600
		got := 0.0
		// The no-load voltage reaches full at q.
		for at := 0.0; ; got += dt {
			i := min(tt.i, (full-(full-slope*(tt.q-at)))/r)
			if i <= tt.end {
				break
			}
			at += i * dt
		}
		if want := chargeHours(tt.q, tt.i, tt.end); math.Abs(got-want) > 2e-4*want {
			t.Errorf("%g Ah at %g A to %g A: %g h, the simulated cell took %g h", tt.q, tt.i, tt.end, want, got)
		}
	}
}

// Charges of one large pouch cell at 0.5 It: G. Wiggins, S. Allu, H. Wang, Oak
// Ridge National Laboratory, DOI 10.5281/zenodo.2580327. The plan may book more
// time than it took, by a quarter at most, and not less.
func TestChargeHoursOfACell(t *testing.T) {
	_, here, _, _ := runtime.Caller(0)
	dir := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference")
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		dir = env
	}
	f, err := os.Open(filepath.Join(dir, "ornl-multirate", "1C.csv"))
	if err != nil {
		t.Skip("the open data \"ornl-multirate\" is not here: this check is skipped")
	}
	defer f.Close()
	log, err := logfile.Read("1C.csv", f)
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, s := range log.Trace.Steps() {
		if s.Kind != trace.Discharge {
			continue
		}
		c, why := measure.ChargeBefore(trace.NewRun(log.Trace, s))
		if why != "" || c.Capacity < 25 {
			continue
		}
		checked++
		// 15.3 A, to 1 A: the log.
		got, took := chargeHours(c.Capacity, 15.3, c.EndCurrent), c.Duration/3600
		t.Logf("%.2f Ah: %.3f h planned, %.3f h taken (%+.1f %%)", c.Capacity, got, took, 100*(got/took-1))
		if got < took || got > 1.25*took {
			t.Errorf("a charge of %.2f Ah: %.3f h planned, %.3f h taken", c.Capacity, got, took)
		}
	}
	if checked < 3 {
		t.Errorf("%d charges checked, want 3", checked)
	}
}
