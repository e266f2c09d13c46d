package measure

import (
	"strings"
	"testing"

	"plateau/core/quantity"
	"plateau/core/trace"
)

// findings of a discharge of 2 A, 100 samples 10 s apart, with rests around it
// and whatever a test changes.
func findings(t *testing.T, cutoff float64, change func(k int, s *[4]float64)) string {
	t.Helper()
	tr := trace.New(true)
	for k := range 106 {
		s := [4]float64{float64(10 * k), 4.15, 0, 22}
		if k >= 3 && k < 103 {
			s[1], s[2] = 4.0-float64(k)/100, 2
		}
		if change != nil {
			change(k, &s)
		}
		tr.Append(s[0], s[1], s[2], s[3])
	}
	for _, s := range tr.Steps() {
		if s.Kind == trace.Discharge {
			r := trace.NewRun(tr, s)
			res, err := Discharge(r, cutoff)
			if err != nil && res.Ending != AllBelow {
				t.Fatal(err)
			}
			var all []string
			for _, f := range Findings(r, res, cutoff, quantity.Words{}) {
				all = append(all, f.Severity.String()+": "+f.Text)
			}
			return strings.Join(all, "\n")
		}
	}
	t.Fatal("no discharge")
	return ""
}

// Each finding is there where its cause is, and not on the same run without it.
func TestFindings(t *testing.T) {
	const edges = "can be off by up to"
	plain := findings(t, 0, nil)
	if !strings.Contains(plain, "came on or went off (a gap of 10 s and 10 s)") || strings.Count(plain, "\n") != 0 {
		t.Fatalf("a plain run sampled each 10 s over 1000 s: %q, want the edges alone", plain)
	}
	for _, tt := range []struct {
		name   string
		cutoff float64
		change func(k int, s *[4]float64)
		want   string
	}{
		{"begins under load", 0, func(k int, s *[4]float64) {
			if k < 3 {
				s[1], s[2] = 4.0, 2
			}
		}, "caution: The log begins under load"},
		{"no rest before", 0, func(k int, s *[4]float64) {
			if k < 3 {
				s[1], s[2] = 4.1, -1
			}
		}, "caution: The discharge follows on another load"},
		{"hot", 0, func(k int, s *[4]float64) { s[3] = 20 + float64(k)/2 }, "caution: The cell reached 71.0 °C"},
		{"gap", 0, func(k int, s *[4]float64) {
			if k > 50 {
				s[0] += 600
			}
		}, "caution: The log has a gap of 610 s, 0:07:55 after the start"},
		{"not reached", 2.5, nil, "caution: The run ended at 2.980 V, above the cut-off of 2.500 V"},
		{"just above", 2.975, nil, "note: The last sample lies just above the cut-off"},
		{"all below", 4.05, nil, "fault: The voltage is below the cut-off of 4.050 V"},
		{"cut-off reached", 3.2, nil, "the load came on (a gap of 10 s)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := findings(t, tt.cutoff, tt.change); !strings.Contains(got, tt.want) {
				t.Errorf("%q, want %q", got, tt.want)
			}
			if strings.Contains(plain, tt.want) {
				t.Errorf("the plain run has %q too", tt.want)
			}
		})
	}
	if !strings.Contains(plain, edges) {
		t.Errorf("%q lacks %q", plain, edges)
	}
}
