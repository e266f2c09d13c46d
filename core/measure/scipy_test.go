package measure

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"plateau/core/trace"
)

// scipy's trapezoid and cumulative_trapezoid on the same samples;
// testdata/scipy/make.py makes the files, which name its version.
func TestIntegralAgreesWithScipy(t *testing.T) {
	tr := trace.New(false)
	var charge, energy []float64
	for _, row := range scipyRows(t, "integral.csv") {
		tr.Append(row[0], row[1], row[2], math.NaN())
		charge = append(charge, row[3])
		energy = append(energy, row[4])
	}
	whole := scipyRows(t, "integral_whole.csv")[0]
	steps := tr.Steps()
	var run *trace.Run
	for _, s := range steps {
		if s.Kind == trace.Discharge {
			run = trace.NewRun(tr, s)
		}
	}
	if run == nil || run.From != 1 || run.To != tr.Len()-1 {
		t.Fatalf("not one discharge between two rests: %+v", steps)
	}
	close := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= 1e-10*math.Abs(want)) {
			t.Errorf("%s: %.15g, scipy has %.15g", what, got, want)
		}
	}
	n := 0
	for p := range run.Points(0) {
		close("charge", p.Q, charge[p.K])
		close("energy", p.E, energy[p.K])
		n++
	}
	if n != len(charge)-2 {
		t.Errorf("%d samples compared, want %d", n, len(charge)-2)
	}
	res, err := Discharge(run, 0)
	if err != nil {
		t.Fatal(err)
	}
	close("whole charge", res.Capacity, whole[0])
	close("whole energy", res.Energy, whole[1])
}

func scipyRows(t *testing.T, name string) (all [][]float64) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "scipy", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		var values []float64
		for _, field := range row {
			x, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatal(err)
			}
			values = append(values, x)
		}
		all = append(all, values)
	}
	return all
}
