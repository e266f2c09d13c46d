package publish

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"plateau/core/demo"
	"plateau/core/logfile"
)

// What is written is read back to the last bit, and its labels are those of
// the Battery Data Format 1.3.0.
func TestTraceBDFRoundTrip(t *testing.T) {
	for _, l := range demo.Logs()[:10] {
		var text, bdf bytes.Buffer
		if _, err := l.WriteTo(&text); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read(l.Name, &text)
		if err != nil {
			t.Fatal(err)
		}
		if err := TraceBDF(&bdf, log.Trace); err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(bdf.String(), "\r\n")
		if head != "Test Time / s,Voltage / V,Current / A,Surface Temperature / degC" {
			t.Errorf("%s: labels %q", l.Name, head)
		}
		again, err := logfile.Read("again.bdf.csv", &bdf)
		if err != nil {
			t.Fatal(err)
		}
		a, b := log.Trace, again.Trace
		if a.Len() != b.Len() || again.Left != 0 || !again.Sign.NegativeDischarge || len(again.Notes) != 0 {
			t.Fatalf("%s: %d samples, then %d; sign %+v, notes %q", l.Name, a.Len(), b.Len(), again.Sign, again.Notes)
		}
		for k := range a.Len() {
			same := a.Time(k) == b.Time(k) && a.Voltage(k) == b.Voltage(k) && a.Current(k) == b.Current(k) &&
				(a.Temperature(k) == b.Temperature(k) || math.IsNaN(a.Temperature(k)) && math.IsNaN(b.Temperature(k)))
			if !same {
				t.Fatalf("%s: sample %d differs", l.Name, k)
			}
		}
	}
}

// Every label of the standard that names a quantity of a log is known for it:
// the table of labels of the Battery Data Format 1.3.0, Apache-2.0.
func TestBDFLabelsAreRead(t *testing.T) {
	_, here, _, _ := runtime.Caller(0)
	path := filepath.Join(filepath.Dir(here), "..", "..", "..", "shared", "reference", "bdf-columns.csv")
	if env := os.Getenv("PLATEAU_REFERENCE"); env != "" {
		path = filepath.Join(env, "bdf-columns.csv")
	}
	f, err := os.Open(path)
	if err != nil {
		t.Skip("the table of labels is not here: this check is skipped")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	labels := map[string]bool{}
	for _, row := range rows[1:] {
		for _, label := range strings.Split(row[1], " | ") {
			labels[label] = true
		}
	}
	for label, factor := range map[string]float64{"Test Time / s": 1, "Test Time / ms": 1e-3, "Unix Time / s": 1, "Unix Time / ms": 1e-3} {
		if !labels[label] {
			t.Errorf("%q is no label of the standard", label)
		}
		log, err := logfile.Read("x", strings.NewReader("Record Index / 1,"+label+",Voltage / V,Current / A,Ambient Temperature / degC,Surface Temperature / degC,Power / W\n"+
			"1,1000,4.1,0,20,21,0\n2,11000,4.0,-2,20,22,8\n3,21000,3.9,-2,20,23,7.8\n"))
		if err != nil {
			t.Fatalf("%s: %v", label, err)
		}
		tr := log.Trace
		if tr.Time(1) != 10_000*factor || tr.Current(1) != 2 || tr.Temperature(1) != 22 {
			t.Errorf("%s: t %g, I %g, T %g", label, tr.Time(1), tr.Current(1), tr.Temperature(1))
		}
	}
}
