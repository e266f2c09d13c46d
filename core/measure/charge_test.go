package measure

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"plateau/core/trace"
)

// The tester's own counters at the end of each charge, in the open data's
// columns of step charge (12) and step energy (13), are what is right. Its
// energy comes of a power that it rounds, 0.3 % below voltage times current.
func TestORNLCharges(t *testing.T) {
	dir := reference(t, "ornl-multirate")
	for _, name := range []string{"1C.csv", "2C.csv", "3C.csv"} {
		path := filepath.Join(dir, name)
		stated := chargeCounters(t, path)
		n := 0
		for _, r := range readRuns(t, path) {
			c, why := ChargeBefore(r)
			if why != "" {
				if n > 0 || r.From > 0 {
					t.Errorf("%s: %q before sample %d", name, why, r.From)
				}
				continue
			}
			// Its counter shows 0.01 Ah, and rows a minute apart make the trapezoid
			// of the falling current up to h²/12·15 A/250 s = 0.005 Ah too large.
			near(t, name+" charge", c.Capacity, stated[n][0], 0.015)
			near(t, name+" energy", c.Energy, stated[n][1], 0.005*stated[n][1])
			near(t, name+" end current", c.EndCurrent, 1, 0.011)
			near(t, name+" held voltage", c.CVVoltage, 4.2, 0.001)
			near(t, name+" rest", c.Rest, 600, 1)
			// Rows are a minute apart: 0.25 Ah or 0.8 % may lie on either side.
			near(t, name+" at constant voltage", c.CV, stated[n][2], 0.009)
			near(t, name+" in all", c.CC+c.CV, 1, 0.001)
			if !c.Whole || c.AfterDischarge != (n > 0 || name != "1C.csv") || c.AfterDischarge && c.PreviousEnd != 3 {
				t.Errorf("%s: %+v", name, c)
			}
			res, err := Discharge(r, 0)
			if err != nil {
				t.Fatal(err)
			}
			e, why := c.Efficiency(res)
			near(t, name+" coulombic", e.Coulombic, res.Capacity/stated[n][0], 0.0005)
			// A lithium-ion cell gives back all but a few thousandths; at 3C
			// what one discharge left behind comes out of the next.
			near(t, name+" coulombic", e.Coulombic, 1, 0.006)
			if !(e.Energy < e.Coulombic) || (why != "") == c.AfterDischarge {
				t.Errorf("%s: %+v, %q", name, e, why)
			}
			n++
		}
		if n < 4 {
			t.Errorf("%s: %d charges, want 4", name, n)
		}
	}
}

// chargeCounters are Ah and Wh of each charge that a discharge follows, and the
// share of it after the voltage had first come to 4.2 V.
func chargeCounters(t *testing.T, path string) (all [][3]float64) {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
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
	full := math.NaN()
	for k := range rows[:len(rows)-1] {
		if rows[k][13] != "CHRG" {
			continue
		}
		if math.IsNaN(full) && number(k, 10) >= 4.2 {
			full = number(k, 12)
		}
		if rows[k+1][6] != rows[k][6] {
			all = append(all, [3]float64{number(k, 12), number(k, 13), 1 - full/number(k, 12)})
			full = math.NaN()
		}
	}
	return all
}

// charging is a charge by the book, a sample each second: 2 A for an hour
// while the voltage rises from 3.6 to 4.2 V, then 4.2 V for an hour while the
// current falls as 2 A·e^(−t/1200 s).
func charging() (out [][3]float64) {
	for k := range 3600 {
		out = append(out, [3]float64{1, 3.6 + 0.6*float64(k)/3600, -2})
	}
	for k := range 3601 {
		out = append(out, [3]float64{1, 4.2, -2 * math.Exp(-float64(k)/1200)})
	}
	return out
}

// Closed form (the decaying current of an exponential): 2 Ah, and after it
// I0·τ·(1 − e^(−T/τ)) = 2·(1/3)·(1 − e^(−3)) Ah.
func TestChargeClosedForm(t *testing.T) {
	rest := rows(600, 1, 3.6, 0)
	tail := 2.0 / 3 * (1 - math.Exp(-3))
	// The trapezoid of the rest's edges adds half of 2 A·1 s at the start, and
	// less at the end; that of the interval to constant voltage is exact.
	want := 2 + tail + 0.5*2/3600
	tr := logOf(rows(100, 1, 3.4, 2), rest, charging(), rows(1800, 1, 4.19, 0), rows(3600, 1, 3.9, 2))
	r := trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: tr.Len() - 3600, To: tr.Len()})
	c, why := ChargeBefore(r)
	if why != "" {
		t.Fatal(why)
	}
	near(t, "charge", c.Capacity, want, 1e-4)
	near(t, "energy", c.Energy, 3.9*2+4.2*tail, 3e-3)
	// The first 2 % of the fall, 24 s, count as constant current: 0.5 % of all.
	near(t, "at constant current", c.CC, 2/want, 0.006)
	near(t, "at constant voltage", c.CV, tail/want, 0.006)
	near(t, "held", c.CVVoltage, 4.2, 1e-4)
	near(t, "top", c.Top, 4.2, 1e-12)
	near(t, "end current", c.EndCurrent, 2*math.Exp(-3), 1e-9)
	near(t, "duration", c.Duration, 7201, 1)
	near(t, "rest", c.Rest, 1800, 1)
	near(t, "the discharge before", c.PreviousEnd, 3.4, 1e-12)
	near(t, "edges", c.EdgeLimit, (2+2*math.Exp(-3))/7200, 1e-9)
	if !c.Whole || !c.AfterDischarge || !math.IsNaN(c.TempStart) || !math.IsNaN(c.TempMax) {
		t.Errorf("%+v", c)
	}
}

func TestChargesOfAllKinds(t *testing.T) {
	rest, load := rows(600, 1, 3.6, 0), rows(3600, 1, 3.5, 2)
	constantPower := func() (out [][3]float64) {
		for k := range 3600 {
			v := 3.0 + 1.2*float64(k)/3600
			out = append(out, [3]float64{1, v, -6 / v})
		}
		return out
	}
	all := charging()
	whole := 2 + 2.0/3*(1-math.Exp(-3))
	for _, tt := range []struct {
		name          string
		parts         [][][3]float64
		charge        float64 // Ah; 0 for none
		cc, cv        float64
		whole, before bool
		reason        string
	}{
		{"nothing but rest", [][][3]float64{load, rest}, 0, 0, 0, false, false, ""},
		{"an offset at rest", [][][3]float64{rows(3600, 1, 4.1, -0.012)}, 0, 0, 0, false, false, ""},
		{"a charge, then another discharge", [][][3]float64{all, rest, load, rest}, 0, 0, 0, false, false, ""},
		{"begins in the charge", [][][3]float64{all[1800:], rest}, whole - 1, 1 / (whole - 1), 1 - 1/(whole-1), false, false, "begins within the charge"},
		{"a pause of 30 s", [][][3]float64{rest, all[:1000], rows(30, 1, 3.7, 0), all[1000:], rest}, whole, 2 / whole, 1 - 2/whole, true, false, "no discharge just before"},
		{"topped up after 10 min", [][][3]float64{load, rest, all[:3600], rows(600, 1, 4.15, 0), rows(60, 1, 4.1, -1), rows(60, 1, 4.18, -1), rest}, 2.0 / 60, 1, 0, true, false, "no discharge just before"},
		{"constant current alone", [][][3]float64{load, rest, all[:3600], rest}, 2, 1, 0, true, true, ""},
		{"constant power", [][][3]float64{load, rest, constantPower(), rest}, 5 * math.Log(1.4), 0, 0, true, true, ""},
		{"no rest on either side", [][][3]float64{load, all}, whole, 2 / whole, 1 - 2/whole, true, true, ""},
		{"noise at rest", [][][3]float64{rows(50, 1, 3.5, 2), rows(600, 1, 3.6, -0.011), all, rows(600, 1, 4.19, -0.011)}, whole, 2 / whole, 1 - 2/whole, true, true, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tr := logOf(append(append([][][3]float64{}, tt.parts...), load)...)
			r := trace.NewRun(tr, trace.Step{Kind: trace.Discharge, From: tr.Len() - 3600, To: tr.Len()})
			c, why := ChargeBefore(r)
			if (why != "") != (tt.charge == 0) {
				t.Fatalf("%q, %+v", why, c)
			}
			near(t, "charge", c.Capacity, tt.charge, 0.003)
			tolerance := 0.01
			if tt.cc+tt.cv == 0 {
				tolerance = 0.04 // the last piece of a drift is too short to be told from a level
			}
			near(t, "at constant current", c.CC, tt.cc, tolerance)
			near(t, "at constant voltage", c.CV, tt.cv, 0.01)
			if c.Whole != tt.whole || c.AfterDischarge != tt.before || math.IsNaN(c.CVVoltage) != (c.CV == 0) && tt.charge > 0 {
				t.Errorf("%+v", c)
			}
			res, err := Discharge(r, 0)
			if err != nil {
				t.Fatal(err)
			}
			if e, reason := c.Efficiency(res); tt.charge > 0 {
				if !strings.Contains(reason, tt.reason) || (reason == "") != (tt.reason == "") {
					t.Errorf("%q, want %q", reason, tt.reason)
				}
				if c.Whole {
					near(t, "coulombic", e.Coulombic, res.Capacity/tt.charge, 0.01*e.Coulombic)
				} else if e != (Efficiency{}) {
					t.Errorf("%+v for a charge that is not whole", e)
				}
			}
		})
	}
}
