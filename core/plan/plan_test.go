package plan

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/tester"
)

var (
	monday = time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC)
	day    = &Hours{From: 8 * time.Hour, To: 17 * time.Hour, Days: [7]bool{false, true, true, true, true, true, false}}
	bench  = tester.Spec{MaxCurrent: 20, MaxPower: 100, SetStep: 0.01}
)

// small is a cell of 2.5 Ah, as in the check values of IEC 61960-3.
func small() cell.Cell {
	return cell.Cell{Name: "Hazel 1", Model: "Hazel", Chemistry: cell.Ion, Rated: 2.5, Cutoff: 2.5, ChargeVoltage: 4.2, ChargeCurrent: 1.25, ChargeEnd: 0.125, MaxCurrent: 10}
}

func currents(amps ...float64) (list []Current) {
	for _, a := range amps {
		list = append(list, Current{Value: a})
	}
	return list
}

// at are the findings at a field, as texts.
func at(p Plan, field string) string {
	var list []string
	for _, f := range p.Findings {
		if f.Field == field {
			list = append(list, f.Text)
		}
	}
	return strings.Join(list, "\n")
}

// IEC 61960-3 7.2 and 7.3.1: a cell rated 2.5 Ah is emptied at 0.2 It, charged
// by its maker's method, rests 1 h to 4 h, and gives 0.5 A for 5 h to the
// cut-off. Read in QCVN 101:2016 clause 2.8.1.2; the emptying from memory.
func TestRatedCapacity(t *testing.T) {
	p := Make(Request{Cells: []cell.Cell{small()}, Tester: bench, Start: monday, Options: Options{Pretest: true, HighRate: true}})
	if len(p.Runs) != 2 || len(p.Left) != 0 || len(p.Findings) != 0 {
		t.Fatalf("%d runs, left out %v, findings %v", len(p.Runs), p.Left, p.Findings)
	}
	r := p.Runs[0]
	if r.Basis != Rated || r.Set != 0.5 || r.Rate != 0.2 || r.Deviation != 0 || r.Cutoff != 2.5 || r.SetCutoff != 2.5 {
		t.Errorf("rated: %+v", r)
	}
	if r.ChargeAmps != 1.25 || r.ChargeTo != 4.2 || r.ChargeEnd != 0.125 {
		t.Errorf("charge %g A to %g V until %g A", r.ChargeAmps, r.ChargeTo, r.ChargeEnd)
	}
	var order []string
	for _, s := range r.Steps {
		order = append(order, s.Kind.String()+" "+s.Lasts.String())
	}
	// The charge by hand: (2.5 − 1.25·0.3)/1.25 h + 0.3 h·ln 10 = 2.391 h, up to
	// whole minutes.
	if got := strings.Join(order, ", "); got != "empty 5h0m0s, rest 1h0m0s, charge 2h24m0s, rest 1h0m0s, discharge 5h0m0s, rest 1h0m0s" {
		t.Errorf("steps: %s", got)
	}
	// 7.3.3: 1 It. What was emptied at 0.2 It needs no emptying before it.
	if r := p.Runs[1]; r.Basis != HighRate || r.Set != 2.5 || r.Rate != 1 || r.EmptyFirst || r.Discharges().Lasts != time.Hour {
		t.Errorf("high rate: %+v", r)
	}
	// 5 + 1 + 2.4 + 1 + 5 + 1 and 2.4 + 1 + 1 + 1 hours from Monday 9:00.
	if want := monday.Add(20*time.Hour + 48*time.Minute); !p.End.Equal(want) || math.Abs(p.Hours-20.8) > 1e-9 {
		t.Errorf("ends %v after %g h, want %v", p.End, p.Hours, want)
	}
}

// Set-points are whole steps of the tester, and say how far off they are.
func TestSetPoints(t *testing.T) {
	c := small()
	for _, tt := range []struct {
		amps, step, want, deviation float64
	}{
		{0.5, 0.01, 0.5, 0},
		{0.07, 0.01, 0.07, 0},
		{1.014, 0.01, 1.01, 1.01/1.014 - 1},
		{1.015, 0.05, 1, 1/1.015 - 1},
		{3, 0, 3, 0},
		{10, 0.3, 9.9, -0.01}, // 10.2 would be nearest but for the 10 A that are permitted
		{9.99, 4, 8, 8/9.99 - 1},
		{0.985, 1, 1, 1/0.985 - 1},
	} {
		p := Make(Request{Cells: []cell.Cell{c}, Tester: tester.Spec{SetStep: tt.step}, Currents: currents(tt.amps), Start: monday})
		k := slices.IndexFunc(p.Runs, func(r Run) bool { return r.Current == 0 || r.Set == tt.want })
		if k < 0 {
			t.Errorf("%g A in steps of %g A: left out %v", tt.amps, tt.step, p.Left)
			continue
		}
		if r := p.Runs[k]; r.Set != tt.want || r.Current == 0 && math.Abs(r.Deviation-tt.deviation) > 1e-12 || math.Abs(r.Rate-tt.want/2.5) > 1e-12 {
			t.Errorf("%g A in steps of %g A: %g A, %g It, off by %g", tt.amps, tt.step, r.Set, r.Rate, r.Deviation)
		}
	}
	// 0.2 It of 1.234 Ah is 0.2468 A; in steps of 0.05 A that is 0.25 A, 1.3 %
	// off: more than the ±1 % of clause 4.
	c.Rated = 1.234
	p := Make(Request{Cells: []cell.Cell{c}, Tester: tester.Spec{SetStep: 0.05}, Start: monday})
	if got := at(p, "tester.step"); !strings.Contains(got, "0.25 A is set for 0.2468 A: +1.30 % off") {
		t.Errorf("tester.step: %q", got)
	}
}

// What stands against a run is said at its field, and the rest of the plan
// stands.
func TestLimits(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*Request, *cell.Cell)
		field  string
		says   string
		runs   int // of 0.2 It, 3 A and 8 A
	}{
		{"sound", func(*Request, *cell.Cell) {}, "cutoff", "", 3},
		{"over the cell's current", func(_ *Request, c *cell.Cell) { c.MaxCurrent = 5 }, "maxCurrent", "8 A is over the 5 A that the cell may give continuously", 2},
		{"over the tester's current", func(r *Request, _ *cell.Cell) { r.Tester.MaxCurrent = 2 }, "tester.maxCurrent", "3 A is over the tester’s 2 A", 1},
		{"no tester", func(r *Request, c *cell.Cell) {
			c.MaxCurrent, r.Tester.MaxPower, r.Currents = 900, 0, currents(3, 800)
		}, "tester.maxCurrent", "800 A is over the tester’s 20 A", 2},
		// 8 A · 4.2 V = 33.6 W.
		{"over the tester's power", func(r *Request, _ *cell.Cell) { r.Tester.MaxPower = 30 }, "tester.maxPower", "8 A from a cell at 4.20 V (full) are 33.6 W, over the tester’s 30 W", 2},
		// 3 A · 4 · 4.2 V = 50.4 W.
		{"four in series", func(r *Request, c *cell.Cell) { r.Tester.MaxPower, c.Series = 50, 4 }, "tester.maxPower", "3 A from a cell at 16.80 V (full) are 50.4 W", 1},
		{"steps too coarse", func(r *Request, _ *cell.Cell) { r.Tester.SetStep = 1 }, "tester.step", "One step of the tester, 1 A, is larger than the current of 0.5 A", 2},
		{"cut-off over charge voltage", func(_ *Request, c *cell.Cell) { c.Cutoff = 4.3 }, "cutoff", "does not lie below the charge voltage", 0},
		{"no cut-off", func(_ *Request, c *cell.Cell) { c.Cutoff = 0 }, "cutoff", "Without a cut-off no discharge can be set", 0},
		{"no rated capacity", func(_ *Request, c *cell.Cell) { c.Rated, c.Typical = 0, 2.6 }, "rated", "there is no It, and no run at 0.2 It. The hours are those of 2.6 Ah", 2},
		{"no capacity", func(_ *Request, c *cell.Cell) { c.Rated = 0 }, "rated", "Without a capacity", 0},
		{"no permitted current", func(_ *Request, c *cell.Cell) { c.MaxCurrent = 0 }, "maxCurrent", "The permitted discharge current is not entered", 3},
		{"no charge voltage", func(_ *Request, c *cell.Cell) { c.ChargeVoltage = 0 }, "chargeVoltage", "The charge voltage is not entered", 3},
		{"charge over the maximum", func(_ *Request, c *cell.Cell) { c.MaxCharge = 1 }, "chargeCurrent", "over the maximum of 1.00 A", 3},
		{"no charge", func(_ *Request, c *cell.Cell) { c.ChargeCurrent, c.ChargeEnd = 0, 0 }, "chargeCurrent", "The charge current is not entered: the hours are those of 0.5 It.", 3},
		{"end over the charge", func(_ *Request, c *cell.Cell) { c.ChargeEnd = 2 }, "chargeEnd", "above the standard charge current", 3},
		{"wrong chemistry", func(_ *Request, c *cell.Cell) { c.Chemistry = cell.Phosphate }, "chargeVoltage", "no charge voltage of a cell of this chemistry", 3},
		{"not a current", func(r *Request, _ *cell.Cell) { r.Currents = currents(3, math.NaN(), 8) }, "currents.1", "This is no current", 3},
		{"twice", func(r *Request, _ *cell.Cell) { r.Currents = currents(3, 8, 3.001) }, "currents.2", "3 A is planned once", 3},
		{"too near", func(r *Request, _ *cell.Cell) { r.Currents = currents(3, 3.05) }, "currents.1", "3 A and 3.05 A are so near", 3},
		{"for ever", func(r *Request, _ *cell.Cell) { r.Tester.SetStep, r.Currents = 0, currents(3, 8, 0.001) }, "currents.2", "0.001 A takes 2500 h", 3},
		{"short rest", func(r *Request, _ *cell.Cell) { r.RestCharged = 59 * time.Minute }, "rest", "A rest of 59 min is not within 1 h to 4 h", 3},
		{"1 h is no short rest", func(r *Request, _ *cell.Cell) { r.RestCharged = time.Hour }, "rest", "", 3},
		{"4 h is no long rest", func(r *Request, _ *cell.Cell) { r.RestCharged = 4 * time.Hour }, "rest", "", 3},
		{"long rest", func(r *Request, _ *cell.Cell) { r.RestCharged = 241 * time.Minute }, "rest", "A rest of 4 h 1 min is not within", 3},
		{"long rest by the datasheet", func(r *Request, c *cell.Cell) { r.RestCharged, c.RestByDatasheet = 2*time.Hour, true }, "rest", "A rest of 2 h is longer than 1 h", 3},
		{"no start", func(r *Request, _ *cell.Cell) { r.Start = time.Time{} }, "start", "the plan has hours, but no dates", 3},
		{"no hours", func(r *Request, _ *cell.Cell) { r.Options.Hours = &Hours{From: 1, To: 2} }, "hours", "the plan goes on day and night", 3},
		{"many repeats", func(r *Request, _ *cell.Cell) { r.Repeats = 6 }, "repeats", "only five are attempts", 18},
		{"too many repeats", func(r *Request, _ *cell.Cell) { r.Repeats = 21 }, "repeats", "1 is planned", 3},
		{"two of one name", func(r *Request, c *cell.Cell) { r.Cells = append(r.Cells, *c) }, "name", "Two cells have this name", 6},
		{"unknown tester", func(r *Request, _ *cell.Cell) { r.Tester = tester.Spec{} }, "tester.maxPower", "no run is checked against it", 3},
		{"leads", func(r *Request, _ *cell.Cell) {
			r.Tester.TwoWire, r.Tester.Lead, r.Tester.LeadError = true, 0.02, 0.005
		}, "tester.lead",
			"At 8 A the leads take 0.16 V: a tester set to 2.50 V would stop with the cell at 2.66 V. Set to 2.38 V", 3},
		{"leads not known", func(r *Request, _ *cell.Cell) { r.Tester.TwoWire = true }, "tester.lead", "the cut-offs are not corrected", 3},
		{"all in the leads", func(r *Request, _ *cell.Cell) { r.Tester.TwoWire, r.Tester.Lead = true, 0.4 }, "tester.lead", "At 8 A the leads take 3.20 V, all of the cut-off of 2.50 V", 2},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := Request{Cells: []cell.Cell{small()}, Tester: bench, Currents: currents(3, 8), Start: monday}
			c := r.Cells[0]
			tt.change(&r, &c)
			r.Cells[0] = c
			p := Make(r)
			if got := at(p, tt.field); tt.says == "" && got != "" || !strings.Contains(got, tt.says) {
				t.Errorf("at %s: %q, want %q", tt.field, got, tt.says)
			}
			if len(p.Runs) != tt.runs {
				t.Errorf("%d runs, want %d; left out %v", len(p.Runs), tt.runs, p.Left)
			}
			for _, l := range p.Left {
				if l.Why == "" || l.Field == "" || at(p, l.Field) == "" {
					t.Errorf("left out without a reason at its field: %+v", l)
				}
			}
			for _, r := range p.Runs {
				if !(r.Set > 0) || c.MaxCurrent > 0 && r.Set > c.MaxCurrent || r.ChargeAmps > c.ChargeCurrent || c.MaxCharge > 0 && r.ChargeAmps > c.MaxCharge {
					t.Errorf("a run out of bounds: %+v", r)
				}
			}
		})
	}
}

// The cut-off to set never lets the cell below its own, wherever within their
// stated limits the leads are: V of the cell = V read + I·R (metrology of
// two-wire set-ups, by Ohm's law). Emptying is set apart from the run.
func TestTwoWire(t *testing.T) {
	spec := bench
	spec.TwoWire, spec.Lead, spec.LeadError = true, 0.0317, 0.0042
	spec.Voltage = []tester.Range{{UpTo: 5, Resolution: 0.01}}
	p := Make(Request{Cells: []cell.Cell{small()}, Tester: spec, Currents: currents(3.33, 8), Start: monday, Options: Options{Pretest: true, Closing: true}})
	if len(p.Runs) != 4 {
		t.Fatal(len(p.Runs))
	}
	for _, r := range p.Runs {
		for _, s := range r.Steps {
			if s.Amps == 0 {
				continue
			}
			least := s.Volts + s.Amps*(spec.Lead-spec.LeadError)
			if least < r.Cutoff-1e-9 || least > r.Cutoff+0.01+1e-9 {
				t.Errorf("%v of %s at %g A: the cell comes to %g V at least, its cut-off is %g V", s.Kind, r.Words(), s.Amps, least, r.Cutoff)
			}
		}
	}
}

// Findings about safety come first, then the graver ones; those of one kind on
// samples of one model are one.
func TestFindingsGathered(t *testing.T) {
	var r Request
	r.Start, r.Tester, r.Currents = monday, bench, currents(12)
	for _, name := range []string{"Hazel 1", "Hazel 2", "Hazel 3"} {
		c := small()
		c.Name = name
		r.Cells = append(r.Cells, c)
	}
	p := Make(r)
	if len(p.Findings) != 1 || !slices.Equal(p.Findings[0].Cells, []string{"Hazel 1", "Hazel 2", "Hazel 3"}) || !p.Findings[0].Safety || p.Findings[0].Current != 0 {
		t.Errorf("findings: %+v", p.Findings)
	}
	r.Cells[0].ChargeEnd, r.Tester.MaxPower = 0, 0
	p = Make(r)
	if len(p.Findings) != 3 || !p.Findings[0].Safety || p.Findings[1].Severity < p.Findings[2].Severity || p.Findings[2].Severity != measure.Note {
		t.Errorf("findings: %+v", p.Findings)
	}
	if len(p.Left) != 3 || len(p.Runs) != 3 {
		t.Errorf("%d runs, %d left out", len(p.Runs), len(p.Left))
	}
}

// The order of work: 0.2 It first, then currents rise, attempts of one current
// together, the closing run last; 1 It by choice is the high rate, even where
// its set-point was also asked for in A.
func TestOrder(t *testing.T) {
	p := Make(Request{Cells: []cell.Cell{small()}, Tester: bench, Start: monday, Currents: append(currents(8, 2.5, 0.3), Current{1, true}, Current{2, true}), Options: Options{Closing: true, Repeats: 2}})
	var got []string
	for k := range p.Runs {
		got = append(got, p.LogName(&p.Runs[k])+" ("+p.Runs[k].Words()+")")
	}
	want := "Hazel 1 0.5 A run 1 (rated capacity, 1 of 2); Hazel 1 0.5 A run 2 (rated capacity, 2 of 2); " +
		"Hazel 1 0.3 A run 1 (chosen current, 1 of 2); Hazel 1 0.3 A run 2 (chosen current, 2 of 2); Hazel 1 2.5 A run 1 (high rate, 1 of 2); Hazel 1 2.5 A run 2 (high rate, 2 of 2); " +
		"Hazel 1 5 A run 1 (chosen current, 1 of 2); Hazel 1 5 A run 2 (chosen current, 2 of 2); Hazel 1 8 A run 1 (chosen current, 1 of 2); Hazel 1 8 A run 2 (chosen current, 2 of 2); Hazel 1 0.5 A closing (closing run)"
	if s := strings.Join(got, "; "); s != want {
		t.Errorf("order:\n%s\nwant\n%s", s, want)
	}
	// A log of that name finds its cell.
	for k := range p.Runs {
		if name := cell.Guess(p.LogName(&p.Runs[k])); name != "Hazel 1" {
			t.Errorf("%q is taken for a log of %q", p.LogName(&p.Runs[k]), name)
		}
	}
}
