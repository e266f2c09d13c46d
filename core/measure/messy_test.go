package measure

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// Layouts that this reader is to know so far; the other encodings and the log
// without a header are still to come.
var messyNow = map[string]bool{"de_semicolon_comma.csv": true, "epoch_ms_power.csv": true, "midnight_ampm.csv": true, "bad_rows.csv": true}

// Logs in awkward layouts, with the sums worked out from their numbers as
// written. With no cut-off the result is the trapezoid over the whole file;
// the loaded samples alone, and as much again on the other side, bound it.
func TestMessyLogs(t *testing.T) {
	dir := filepath.Join("..", "..", "testdata", "messy")
	f, err := os.Open(filepath.Join(dir, "truth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, row := range rows[1:] {
		if row[1] != "read" || !messyNow[row[0]] {
			continue
		}
		n++
		t.Run(row[0], func(t *testing.T) {
			var truth [4]float64 // loaded Ah, whole Ah, loaded Wh, whole Wh
			for k := range truth {
				if truth[k], err = strconv.ParseFloat(row[2+k], 64); err != nil {
					t.Fatal(err)
				}
			}
			runs := readRuns(t, filepath.Join(dir, row[0]))
			if len(runs) != 1 {
				t.Fatalf("%d discharges, want 1", len(runs))
			}
			res, err := Discharge(runs[0], 0)
			if err != nil {
				t.Fatal(err)
			}
			if d := res.Capacity/truth[1] - 1; math.Abs(d) > 2e-5 {
				t.Errorf("%.5f Ah, want %.5f: off by %.2g", res.Capacity, truth[1], d)
			}
			if d := res.Energy/truth[3] - 1; math.Abs(d) > 2e-5 {
				t.Errorf("%.5f Wh, want %.5f: off by %.2g", res.Energy, truth[3], d)
			}
			near(t, "least possible", res.Capacity-res.EdgeLimit, truth[0], 1e-5)
			near(t, "most possible", res.Capacity+res.EdgeLimit, 2*truth[1]-truth[0], 2e-5)
		})
	}
	if n != len(messyNow) {
		t.Errorf("%d logs checked, want %d", n, len(messyNow))
	}
}
