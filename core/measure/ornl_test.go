package measure

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Discharges of one large pouch cell at three rates: G. Wiggins, S. Allu, H.
// Wang, Oak Ridge National Laboratory, DOI 10.5281/zenodo.2580327. The logs have
// no header, and hold charges, rests and several discharges; what is right is
// the tester's own counter at the end of the first discharge to 3 V, in the
// columns of step charge (12) and step energy (13).
func TestORNLCounters(t *testing.T) {
	dir := reference(t, "ornl-multirate")
	for _, tt := range []struct {
		name         string
		charge, work float64 // Ah, Wh, as the publisher's file has them
	}{{"1C.csv", 30.33, 113.84}, {"2C.csv", 29.95, 109.59}, {"3C.csv", 28.61, 101.47}} {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(dir, tt.name)
			q, e := counters(t, path)
			if q != tt.charge || e != tt.work {
				t.Errorf("the file's counters say %g Ah and %g Wh, the publisher %g and %g", q, e, tt.charge, tt.work)
			}
			var got Results
			for _, run := range readRuns(t, path) {
				res, err := Discharge(run, 0)
				if err == nil && run.Last().V <= 3.0 && res.Capacity > 1 {
					got = res
					break
				}
			}
			if d := got.Capacity/q - 1; math.Abs(d) > 0.001 {
				t.Errorf("%.4f Ah, the tester has %.2f: off by %+.3f %%, want ±0.1", got.Capacity, q, 100*d)
			}
			if d := got.Energy/e - 1; math.Abs(d) > 0.002 {
				t.Errorf("%.4f Wh, the tester has %.2f: off by %+.3f %%, want ±0.2", got.Energy, e, 100*d)
			}
		})
	}
}

// counters are the charge and energy of the first discharge to 3 V in Ah and Wh.
func counters(t *testing.T, path string) (q, e float64) {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(k, c int) float64 {
		x, err := strconv.ParseFloat(rows[k][c-1], 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for k := range rows {
		last := k+1 == len(rows) || rows[k+1][6] != rows[k][6]
		if rows[k][13] == "DCHG" && last && number(k, 10) <= 3.0 {
			return -number(k, 12), -number(k, 13)
		}
	}
	t.Fatal("no discharge to 3 V")
	return 0, 0
}
