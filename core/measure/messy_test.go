package measure

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"plateau/core/logfile"
)

// What the logs that cannot be read without a person are to be asked about.
var messyAsks = map[string]string{"comma_twice.csv": "delimiter", "voltage_only.csv": "current"}

// Rows of bad_rows.csv that cannot be used: one overflow, one text, a summary
// behind the rows. Blank lines are no rows.
const messyBadRows = 3

// Logs in awkward layouts, with the sums worked out from their numbers as
// written. With no cut-off the result is the trapezoid over the whole file;
// the loaded samples alone, and as much again on the other side, bound it. Those
// that nobody can read unaided get their question, and no figure before.
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
	read, asked := 0, 0
	for _, row := range rows[1:] {
		path := filepath.Join(dir, row[0])
		switch row[1] {
		case "read":
			read++
			t.Run(row[0], func(t *testing.T) { messyRead(t, path, row) })
		case "ask":
			asked++
			t.Run(row[0], func(t *testing.T) { messyAsked(t, path) })
		default:
			t.Errorf("%s: nothing is known of %q", row[0], row[1])
		}
	}
	if read != 8 || asked != len(messyAsks) {
		t.Errorf("%d logs read and %d asked about, want 8 and %d", read, asked, len(messyAsks))
	}
}

func messyRead(t *testing.T, path string, row []string) {
	var truth [5]float64 // loaded Ah, whole Ah, loaded Wh, whole Wh, rows
	for k := range truth {
		var err error
		if truth[k], err = strconv.ParseFloat(row[2+k], 64); err != nil {
			t.Fatal(err)
		}
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	log, err := logfile.Read(filepath.Base(path), f)
	if err != nil {
		t.Fatal(err)
	}
	bad := 0
	if filepath.Base(path) == "bad_rows.csv" {
		bad = messyBadRows
	}
	if log.Rows != int(truth[4]) || log.Left != bad || len(log.LeftOut) != bad {
		t.Errorf("%d rows read, %d left out (%v); want %g rows, %d left out", log.Rows, log.Left, log.LeftOut, truth[4], bad)
	}
	runs := readRuns(t, path)
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
}

func messyAsked(t *testing.T, path string) {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	log, err := logfile.Read(filepath.Base(path), f)
	var q *logfile.Question
	if log != nil || !errors.As(err, &q) {
		t.Fatalf("log %v, error %v; want a question and no log", log != nil, err)
	}
	if want := messyAsks[filepath.Base(path)]; q.About != want || q.Ask == "" || q.Hint == "" {
		t.Errorf("asked about %q: %q (hint %q), want a question about %q", q.About, q.Ask, q.Hint, want)
	}
}
