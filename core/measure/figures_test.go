package measure

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"plateau/core/demo"
	"plateau/core/logfile"
	"plateau/core/trace"
)

// TestFigures writes the results of the demo's logs, bit by bit, to the file
// that PLATEAU_FIGURES names, so that a native run and one under WebAssembly
// can be compared. Alone it checks that a second run gives the same.
func TestFigures(t *testing.T) {
	first, again := demoFigures(t), demoFigures(t)
	if first != again {
		t.Error("two runs over the same logs differ")
	}
	if n := strings.Count(first, "\n"); n < 12 {
		t.Errorf("%d results, want at least 12", n)
	}
	if path := os.Getenv("PLATEAU_FIGURES"); path != "" {
		if err := os.WriteFile(path, []byte(first), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func demoFigures(t *testing.T) string {
	var out strings.Builder
	for _, l := range demo.Logs() {
		var text bytes.Buffer
		if _, err := l.WriteTo(&text); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read(l.Name, &text)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range log.Trace.Steps() {
			if s.Kind != trace.Discharge {
				continue
			}
			r := trace.NewRun(log.Trace, s)
			for _, cutoff := range []float64{0, 2.9} {
				res, err := Discharge(r, cutoff)
				fmt.Fprintf(&out, "%s to %g V: %v", l.Name, cutoff, err)
				for _, x := range []float64{res.Capacity, res.Energy, res.Average, res.MidPoint, res.Duration,
					res.Current, res.Start, res.End, res.Lowest, res.TempStart, res.TempMax, res.TempRise, res.EdgeLimit} {
					fmt.Fprintf(&out, " %x", math.Float64bits(x))
				}
				budgets, _ := Uncertainty(r, res, demo.Tester())
				for q := range Quantities {
					fmt.Fprintf(&out, " %x", math.Float64bits(budgets[q].Expanded()))
				}
				out.WriteByte('\n')
			}
		}
	}
	return out.String()
}
