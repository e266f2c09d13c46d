package measure

import (
	"math"
	"strings"
	"testing"

	"plateau/core/trace"
)

// pulsed is a log of the standard's two pulses in the middle, sampled each dt:
// the check value of IEC 61960-3 7.7.3 is 2.5 Ah, 4.050 V at 0.5 A, 3.970 V at
// 2.5 A, hence 0.040 Ω exactly.
func pulsed(dt, i1, i2, first, second float64) *trace.Trace {
	n := func(s float64) int { return int(math.Round(s / dt)) }
	return logOf(rows(n(60), dt, 4.1, 0), rows(n(first), dt, 4.05, i1), rows(n(second), dt, 3.97, i2), rows(n(60), dt, 4.08, 0))
}

func TestTwoPulses(t *testing.T) {
	for _, tt := range []struct {
		name     string
		tr       *trace.Trace
		rated    float64
		read     int
		standard bool
		why      string
	}{
		{"by the book, 0.1 s", pulsed(0.1, 0.5, 2.5, 10, 1), 2.5, 1, true, ""},
		{"by the book, 10 ms", pulsed(0.01, 0.5, 2.5, 10, 1), 2.5, 1, true, ""},
		{"capacity unknown", pulsed(0.01, 0.5, 2.5, 10, 1), 0, 1, false, "the rated capacity is not known"},
		{"sampled each second", pulsed(1, 0.5, 2.5, 10, 1), 2.5, 1, false, "not sampled often enough"},
		{"currents 3 % off", pulsed(0.01, 0.515, 2.575, 10, 1), 2.5, 1, false, "not within the standard’s"},
		{"another cell's currents", pulsed(0.01, 0.5, 2.5, 10, 1), 5, 0, false, "does not hold"},
		{"first pulse of 10.1 s", pulsed(0.01, 0.5, 2.5, 10.1, 1), 2.5, 1, true, ""},
		{"first pulse of 10.2 s", pulsed(0.01, 0.5, 2.5, 10.2, 1), 2.5, 0, false, "not of 10 s and 1 s"},
		{"first pulse of 12 s", pulsed(0.01, 0.5, 2.5, 12, 1), 2.5, 0, false, "not of 10 s and 1 s"},
		{"second pulse of 3 s", pulsed(0.01, 0.5, 2.5, 10, 3), 2.5, 0, false, "not of 10 s and 1 s"},
		{"one to four", pulsed(0.01, 0.5, 2.0, 10, 1), 0, 0, false, "does not hold"},
		{"only a discharge", logOf(rows(60, 1, 4.1, 0), rows(600, 1, 3.9, 2.5)), 2.5, 0, false, "does not hold"},
		{"empty", trace.New(false), 2.5, 0, false, "does not hold"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			all, why := TwoPulses(tt.tr, tt.rated)
			if len(all) != tt.read || !strings.Contains(why, tt.why) || (why == "") != (tt.why == "") {
				t.Fatalf("%d readings, %q; want %d, %q", len(all), why, tt.read, tt.why)
			}
			for _, res := range all {
				finite(t, res)
				near(t, "R", res.Ohm, 0.040, 0.0013) // 2.575 A where the currents are off
				if res.Standard != tt.standard {
					t.Errorf("%+v: standard %v, want %v", res, res.Standard, tt.standard)
				}
				if res.Standard {
					near(t, "R", res.Ohm, 0.040, 1e-15)
				}
			}
		})
	}
}

// One sample that caught the current between the pulses takes nothing away;
// several pairs in a log are all read.
func TestTwoPulsesFoundAnywhere(t *testing.T) {
	pair := func() [][3]float64 {
		var out [][3]float64
		out = append(out, rows(600, 0.1, 4.1, 0)...)
		out = append(out, rows(100, 0.1, 4.05, 0.5)...)
		out = append(out, rows(1, 0.1, 4.01, 1.4)...)
		return append(out, rows(9, 0.1, 3.97, 2.5)...)
	}
	all, why := TwoPulses(logOf(pair(), pair(), rows(600, 1, 3.9, 2.5)), 2.5)
	if len(all) != 1 {
		// The second pair runs on into a discharge: its second pulse is no pulse.
		t.Fatalf("%d readings, %q, want 1", len(all), why)
	}
	near(t, "R", all[0].Ohm, 0.040, 1e-15)
	all, _ = TwoPulses(logOf(pair(), pair(), rows(10, 1, 4, 0)), 2.5)
	if len(all) != 2 {
		t.Errorf("%d readings, want 2", len(all))
	}
}
