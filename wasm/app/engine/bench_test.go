package engine

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"plateau/wasm/app/wire"
)

// rested is a discharge at a current in A with rests around it, each second row
// under load 10 s after the last: from 4.15 V at rest and 4.1 V down to 3.0 V in
// an hour, with temperature and, where asked, a counter.
func rested(amps float64, counter bool) string {
	var b strings.Builder
	b.WriteString("t/s,U/V,I/A,T/°C")
	if counter {
		b.WriteString(",Capacity/Ah")
	}
	b.WriteByte('\n')
	for k := range 380 {
		v, i, q := 4.15, 0.0, 0.0
		if k >= 10 && k <= 370 {
			v, i, q = 4.1-1.1*float64(k-10)/360, amps, amps*float64(k-10)/360*1.01
		}
		fmt.Fprintf(&b, "%d,%.4f,%g,%g", 10*k, v, i, 22+float64(k)/100)
		if counter {
			fmt.Fprintf(&b, ",%.5f", q)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func do(t *testing.T, e *Engine, c wire.Command) wire.Reply {
	t.Helper()
	r, _ := e.Do(c)
	if r.Error != "" {
		t.Fatalf("%s: %s", c.Do, r.Error)
	}
	return r
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("%q is no number", s)
	}
	return x
}

// Without a tester the tolerances of IEC 61960-3 stand in, and it is said; a
// better one makes the interval narrower; what is wrong in its form is said at
// the field, and the rest taken.
func TestTester(t *testing.T) {
	e := &Engine{}
	v := drop(e, 1, "Elm 2 A.csv", rested(2, false)).View
	wide := number(t, v.Runs[0].Capacity.U)
	if v.Tester.Known || len(v.Tester.Assumed) == 0 || wide < 0.0232 || wide > 0.026 {
		t.Errorf("U = %g, want a little over 1.16 %% of 2 Ah; tester %+v", wide, v.Tester)
	}
	tester := &wire.Tester{Name: "bench", Current: []wire.Range{{Gain: "0,1"}, {UpTo: "x"}}, Voltage: []wire.Range{{Gain: "±0.05 %", Offset: "2"}}, TimeBase: "0.01", Temperature: "1"}
	v = do(t, e, wire.Command{Do: "tester", Tester: tester}).View
	if u := number(t, v.Runs[0].Capacity.U); !v.Tester.Known || u > wide/3 {
		t.Errorf("with a better tester U = %g, known %v", u, v.Tester.Known)
	}
	if msg := v.Tester.Errors["current.1.upTo"]; msg == "" || len(v.Tester.Errors) != 1 {
		t.Errorf("errors %v", v.Tester.Errors)
	}
	v = do(t, e, wire.Command{Do: "tester"}).View
	if u := number(t, v.Runs[0].Capacity.U); u != wide {
		t.Errorf("forgotten, U = %g, was %g", u, wide)
	}
}

// Two wires: 50 mΩ at 2 A are 0.1 V more at the cell, 0.2 Wh more energy; taken
// back, all is as it was. A saved trace stays as it was read.
func TestLeads(t *testing.T) {
	e := &Engine{}
	before := drop(e, 1, "Elm.csv", rested(2, false)).View.Runs[0]
	saved := do(t, e, wire.Command{Do: "bdf", File: 1}).Download.Text
	v := do(t, e, wire.Command{Do: "tester", Tester: &wire.Tester{Wires: "2", Lead: "50", LeadError: "5"}}).View
	if d := number(t, v.Runs[0].Energy.Value) - number(t, before.Energy.Value); d < 0.198 || d > 0.202 {
		t.Errorf("energy is %.3f Wh more, want 0.200", d)
	}
	if d := number(t, v.Runs[0].End.Value) - number(t, before.End.Value); d < 0.0999 || d > 0.1001 {
		t.Errorf("the end is %.4f V higher, want 0.1", d)
	}
	if text := do(t, e, wire.Command{Do: "bdf", File: 1}).Download.Text; text != saved {
		t.Error("the saved trace is not as it was read")
	}
	v = do(t, e, wire.Command{Do: "tester"}).View
	if v.Runs[0].Energy != before.Energy || v.Runs[0].End != before.End {
		t.Errorf("back to four wires: %+v, was %+v", v.Runs[0].Energy, before.Energy)
	}
}

// A cell's figures give rates, cut-offs and checks; errors stand at their field.
func TestCells(t *testing.T) {
	e := &Engine{}
	drop(e, 1, "Elm 2 A.csv", rested(2, false))
	drop(e, 2, "Elm 4 A.csv", rested(4, false))
	c := &wire.Cell{Name: "Elm", Rated: "10 Ah", Cutoff: "3,2", MaxCurrent: "3", ChargeVoltage: "9", Series: "no"}
	v := do(t, e, wire.Command{Do: "cell", Cell: c}).View
	if v.Runs[0].Cell != "Elm" || !v.Runs[0].Guessed || v.Runs[0].Rate != "0.2C (0.2 It)" {
		t.Errorf("run %+v", v.Runs[0])
	}
	if v.Cells[0].Errors["chargeVoltage"] == "" || v.Cells[0].Errors["series"] == "" || v.Cells[0].Runs != 2 {
		t.Errorf("cell %+v", v.Cells[0])
	}
	if c := v.Cutoffs; c == nil || c.Columns[len(c.Columns)-1].Voltage != "3.200 V" || c.Rows[0].Fields[len(c.Columns)-1].AtLeast {
		t.Errorf("cut-offs %+v", c)
	}
	over := false
	for _, x := range v.Runs[1].Checks {
		over = over || x.Safety && strings.Contains(x.Text, "over the 3.000 A") && strings.Contains(x.Do, "qualified person")
	}
	if !over {
		t.Errorf("4 A of 3 A permitted is not said: %+v", v.Runs[1].Checks)
	}
	v = do(t, e, wire.Command{Do: "assign", Run: "2.1", Text: "Fir"}).View
	if v.Runs[1].Cell != "Fir" || v.Runs[1].Guessed || v.Runs[1].Rate != "" {
		t.Errorf("assigned: %+v", v.Runs[1])
	}
}

// Repeats: mean and best of what counts; a void run stays, with its reason.
func TestRepeatsAndVoid(t *testing.T) {
	e := &Engine{}
	for k, amps := range []float64{2, 2.02, 1.99} {
		drop(e, k+1, fmt.Sprintf("Elm run%d.csv", k), rested(amps, false))
	}
	g := do(t, e, wire.Command{Do: "view"}).View.Repeats.Groups[0]
	if g.N != 3 || g.Best.Value != "2.026" || g.Mean.Value != "2.009" || g.Mean.U == "" || g.Spread == "" || !strings.Contains(g.Trend, "no more than chance") {
		t.Errorf("three: %+v", g)
	}
	v := do(t, e, wire.Command{Do: "void", Run: "2.1", Text: "contacts slipped"}).View
	if g := v.Repeats.Groups[0]; v.Runs[1].Void != "contacts slipped" || g.N != 2 || len(g.Runs) != 3 || g.Best.Value != "2.006" {
		t.Errorf("one void: %+v %+v", v.Runs[1].Void, g)
	}
	if v := do(t, e, wire.Command{Do: "void", Run: "2.1"}).View; v.Repeats.Groups[0].N != 3 {
		t.Error("a run that counts again does not")
	}
}

// One repeat far from the others is remarked on, not left out: Grubbs' test.
func TestOutlier(t *testing.T) {
	e := &Engine{}
	for k, amps := range []float64{2, 2.001, 1.999, 2.0005, 1.9995, 2.05} {
		drop(e, k+1, fmt.Sprintf("Elm run%d.csv", k), rested(amps, false))
	}
	g := do(t, e, wire.Command{Do: "view"}).View.Repeats.Groups[0]
	if g.N != 6 || len(g.Checks) != 1 || !strings.Contains(g.Checks[0].Text, "Elm run5 lies 2.04 standard deviations from the mean of 6 repeats") {
		t.Errorf("%+v", g)
	}
	do(t, e, wire.Command{Do: "void", Run: "6.1", Text: "wrong current"})
	if g := do(t, e, wire.Command{Do: "view"}).View.Repeats.Groups[0]; len(g.Checks) != 0 {
		t.Errorf("without it: %+v", g.Checks)
	}
}

// Details: budgets add up, what is missing has its reason, the counter is set
// against the samples.
func TestDetails(t *testing.T) {
	e := &Engine{}
	drop(e, 1, "Elm.csv", rested(2, true))
	d := do(t, e, wire.Command{Do: "details", Run: "1.1"}).Details
	var share float64
	for _, term := range d.Figures[0].Terms {
		share += number(t, strings.TrimSuffix(term.Share, " %"))
	}
	if d.Figures[0].Label != "Capacity" || d.Figures[0].K != "k = 2" || share < 99.5 || share > 100.5 {
		t.Errorf("budget of the capacity: %+v, shares add up to %.1f %%", d.Figures[0], share)
	}
	if len(d.Counters) != 1 || d.Counters[0].Difference != "+1.00 %" {
		t.Errorf("counters %+v %s", d.Counters, d.CountersWhy)
	}
	if len(d.Resistances) == 0 || !strings.HasPrefix(d.Resistances[0].Label, "R at 10 s after the step") || d.Resistances[0].Figure.U == "" {
		t.Errorf("resistances %+v %v", d.Resistances, d.ResistanceWhy)
	}
	if d.ChargeWhy == "" || len(d.Charge) != 0 || len(d.Conditions) < 5 || len(d.Method) < 3 {
		t.Errorf("charge %q, conditions %v", d.ChargeWhy, d.Conditions)
	}
	if r, _ := e.Do(wire.Command{Do: "details", Run: "9.9"}); r.Error == "" {
		t.Error("details of a run that is not there")
	}
}

// A pack is said to be one, and its cells are asked for; with their number the
// datasheet's voltages are taken for each.
func TestPack(t *testing.T) {
	e := &Engine{}
	var b strings.Builder
	b.WriteString("t/s,U/V,I/A\n")
	for k := range 361 {
		fmt.Fprintf(&b, "%d,%.4f,2\n", 10*k, 41-11*float64(k)/360)
	}
	v := drop(e, 1, "Elm pack.csv", b.String()).View
	if len(v.Runs) != 1 || !strings.Contains(v.Cells[0].Ask, "how many cells are in series") || !strings.Contains(fmt.Sprint(v.Runs[0].Checks), "this is a pack") {
		t.Fatalf("%+v %+v", v.Files, v.Cells)
	}
	c := v.Cells[0]
	c.Series, c.Cutoff = "10", "3.2"
	v = do(t, e, wire.Command{Do: "cell", Cell: &c}).View
	if v.Cells[0].Ask != "" || v.Cutoffs == nil || v.Cutoffs.Columns[0].Voltage != "32.000 V" {
		t.Errorf("with ten cells: %+v, cut-offs %+v", v.Cells[0], v.Cutoffs)
	}
}

// No figure is nought or not a number where there is none: the reason stands in
// its place. A discharge of one sample is none.
func TestAbsentFigures(t *testing.T) {
	e := &Engine{}
	v := drop(e, 1, "bare.csv", "t/s,U/V,I/A\n0,4.1,2\n600,3.8,2\n1200,3.5,2\n").View
	r := v.Runs[0]
	for name, f := range map[string]wire.Figure{"highest temperature": r.TempMax, "rise": r.TempRise, "resistance": r.Resistance} {
		if f.Value != "" || f.Why == "" {
			t.Errorf("%s: %+v", name, f)
		}
	}
	v = drop(e, 2, "one.csv", "t/s,U/V,I/A\n0,4.1,0\n10,3.8,2\n20,4.0,0\n").View
	if f := v.Files[1]; f.State != "refused" || !strings.Contains(f.Fault+f.Hint, "one sample") {
		t.Errorf("a discharge of one sample: %+v", f)
	}
}

// The curves of dQ/dV and of effective resistance, or why there are none.
func TestShows(t *testing.T) {
	e := &Engine{}
	for k, amps := range []float64{1, 2} {
		drop(e, k+1, fmt.Sprintf("Elm %g A.csv", amps), rested(amps, false))
	}
	c, data := e.Do(wire.Command{Do: "curves", Show: "resistance", Width: 400})
	if len(data) != 0 || !strings.Contains(c.Curves.Why, "three different currents") {
		t.Errorf("two rates: %+v", c.Curves)
	}
	drop(e, 3, "Elm 4 A.csv", rested(4, false))
	c, data = e.Do(wire.Command{Do: "curves", Show: "resistance", Width: 400})
	if len(data) != 2 || len(data[0]) < 20 || c.Curves.Series[0].Run != "cell Elm" {
		t.Errorf("three rates: %+v with %d", c.Curves, len(data))
	}
	c, data = e.Do(wire.Command{Do: "curves", Show: "incremental", Width: 400, Window: "50"})
	if len(data) != 3 || !strings.Contains(c.Curves.Note, "Savitzky-Golay, window 5") {
		t.Fatalf("dQ/dV: %+v", c.Curves)
	}
	// V falls 1.1 V evenly over 1 Ah: 0.909 Ah/V everywhere.
	ro, _ := e.Do(wire.Command{Do: "readout", Show: "incremental", X: 3.5, Window: "50"})
	if got := number(t, ro.Readout.Runs[0].Values[0]); got < 0.90 || got > 0.92 {
		t.Errorf("dQ/dV = %g Ah/V, want 0.909", got)
	}
	if c, _ := e.Do(wire.Command{Do: "curves", Show: "incremental", Width: 400, Window: "wide"}); c.Curves.WindowError == "" {
		t.Error("a window that is none is not said")
	}
}

// The demo has its cells and tester; its tester is not that of other logs.
func TestDemoTesterGoesWithIt(t *testing.T) {
	e := &Engine{}
	v := do(t, e, wire.Command{Do: "demo", File: 1}).View
	if !v.Tester.Known || len(v.Cells) != 4 || v.Runs[0].Rate != "0.2C (0.2 It)" {
		t.Fatalf("demo: tester %+v", v.Tester)
	}
	if v := drop(e, 90, "Elm.csv", rested(2, false)).View; v.Tester.Known || v.Tester.Name != "" {
		t.Errorf("another log has the demo’s tester: %+v", v.Tester)
	}
}

func TestIsDayAgreesWithTheCalendarOfGo(t *testing.T) {
	list := []string{"", "2026-11-25x", "2026-11-5", "26-11-25", "2026/11/25", "2026-1a-05", "+026-11-25", "2026-11--5", "２026-11-"}
	for _, year := range []int{0, 1900, 2000, 2023, 2024, 2026, 2100, 9999} {
		for month := range 14 {
			for day := range 33 {
				list = append(list, fmt.Sprintf("%04d-%02d-%02d", year, month, day))
			}
		}
	}
	for _, s := range list {
		if _, err := time.Parse(time.DateOnly, s); isDay(s) != (err == nil) {
			t.Errorf("%q is a day: %v, and for Go %v", s, isDay(s), err)
		}
	}
}
