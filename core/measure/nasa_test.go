package measure

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"plateau/core/logfile"
	"plateau/core/trace"
)

// reference is the folder of open data beside the project; tests that need it
// are skipped where it is not.
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

func readRuns(t *testing.T, path string) []*trace.Run {
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
	var runs []*trace.Run
	for _, s := range log.Trace.Steps() {
		if s.Kind == trace.Discharge {
			runs = append(runs, trace.NewRun(log.Trace, s))
		}
	}
	return runs
}

// The publisher states a capacity for each of these discharges: B. Saha, K.
// Goebel, "Battery Data Set", NASA Prognostics Data Repository, 2007. Its rule,
// worked out from all 636 of them, is the trapezoid of the discharge current
// from the log's first sample through the first one below 2.7 V.
func TestNASAStatedCapacity(t *testing.T) {
	dir := reference(t, "nasa")
	f, err := os.Open(filepath.Join(dir, "metadata_selected.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	const cutoff = 2.7
	n := 0
	for _, row := range rows[1:] {
		name := row[7]
		stated, err := strconv.ParseFloat(row[8], 64)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(name, func(t *testing.T) {
			runs := readRuns(t, filepath.Join(dir, name))
			if len(runs) != 1 {
				t.Fatalf("%d discharges, want 1", len(runs))
			}
			r := runs[0]
			tr := r.Trace()

			var theirs float64
			for k := 1; k < tr.Len(); k++ {
				theirs += (tr.Current(k-1) + tr.Current(k)) / 2 * (tr.Time(k) - tr.Time(k-1)) / 3600
				if tr.Voltage(k) < cutoff && k > r.From {
					break
				}
			}
			if d := theirs/stated - 1; math.Abs(d) > 1e-4 {
				t.Errorf("by the publisher's rule %.6f Ah, stated %.6f: off by %+.4f %%, want ±0.01 %%", theirs, stated, 100*d)
			}

			// Ours ends at the crossing itself; theirs one whole interval later.
			res, err := Discharge(r, cutoff)
			if err != nil || res.Ending != AtCutoff {
				t.Fatalf("ending %d, error %v", res.Ending, err)
			}
			k := r.Trace().LastAbove(r.From, r.To, cutoff)
			tail := tr.Current(k+1) * (tr.Time(k+1) - tr.Time(r.From) - (res.Duration - r.Before.Width/2)) / 3600
			if d := stated - res.Capacity; d < -1e-4*stated || d > tail+1e-4*stated {
				t.Errorf("at %.1f V %.6f Ah, stated %.6f: difference %.6f, want 0 to %.6f", cutoff, res.Capacity, stated, d, tail)
			}
			if d := res.Capacity/stated - 1; d < -0.0065 || d > 0.0001 {
				t.Errorf("off by %+.3f %%, want -0.65 to +0.01", 100*d)
			}
		})
		n++
	}
	if n != 12 {
		t.Errorf("%d files checked, want 12", n)
	}
}
