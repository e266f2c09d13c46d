package measure

import (
	"strings"
	"testing"

	"plateau/core/cell"
	"plateau/core/tester"
	"plateau/core/trace"
)

// bench is a discharge of 2 A, 300 samples 10 s apart, from 4.15 V at rest down to
// 2.96 V, with rests around it, and whatever a test changes.
type bench struct {
	facts   Facts
	change  func(k int, s *[4]float64) // t, V, I, °C
	prelude func(tr *trace.Trace)      // samples before t = 0
	counted float64                    // what the log counts, as a part of what flows; 0 for no count
}

func (b bench) findings(t *testing.T) []Finding {
	t.Helper()
	tr := trace.New(true)
	if b.counted > 0 {
		tr.WithCounter(trace.CounterCharge)
	}
	if b.prelude != nil {
		b.prelude(tr)
	}
	for k := range 310 {
		s := [4]float64{float64(10 * k), 4.15, 0, 22}
		if k >= 3 && k < 303 {
			s[1], s[2] = 4.0-float64(k-3)*0.0034, 2
		}
		if k == 303 {
			s[0] -= 9 // written when the load went off
		}
		if b.change != nil {
			b.change(k, &s)
		}
		tr.Append(s[0], s[1], s[2], s[3])
		tr.Count(trace.CounterCharge, b.counted*2*max(s[0]-30, 0)/3600)
	}
	for _, s := range tr.Steps() {
		if s.Kind == trace.Discharge {
			f := b.facts
			f.Run = trace.NewRun(tr, s)
			var err error
			f.Results, err = Discharge(f.Run, f.Cutoff)
			if err != nil && f.Results.Ending != AllBelow {
				t.Fatal(err)
			}
			if c, why := ChargeBefore(f.Run); why == "" {
				f.Charge = &c
			}
			return Findings(f)
		}
	}
	t.Fatal("no discharge")
	return nil
}

func text(all []Finding) string {
	var lines []string
	for _, f := range all {
		line := f.Severity.String() + ": " + f.Text
		if f.Safety {
			line = "safety " + line
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

// charged puts a charge with an ending current in A and a top voltage in V, and a
// rest in s, before a run.
func charged(end, top, rest float64) func(tr *trace.Trace) {
	return func(tr *trace.Trace) {
		const long = 4000
		at := -rest - long
		for k := range 200 {
			x := float64(k) / 199
			v := min(top, 3.6+1.2*x*(top-3.6))
			tr.Append(at+x*long, v, -(2 + (end-2)*x), 22)
		}
		for s := 10.0; s < rest; s += 10 {
			tr.Append(-rest+s, 4.15, 0, 22)
		}
	}
}

// Each finding is there where its cause is, and not on the same run without it.
// Limits are those of the sources named in the rules.
func TestFindings(t *testing.T) {
	good := cell.Cell{Rated: 1.7, Cutoff: 2.9, ChargeVoltage: 4.2, ChargeEnd: 0.1, MaxCurrent: 5, MaxTemp: 60, Nominal: 3.6, Size: "21700"}
	plain := bench{facts: Facts{Cell: good}}.findings(t)
	if len(plain) != 0 {
		t.Fatalf("a sound run has %q", text(plain))
	}
	with := func(change func(c *cell.Cell)) cell.Cell {
		c := good
		change(&c)
		return c
	}
	for _, tt := range []struct {
		name string
		bench
		want string
	}{
		{"begins under load", bench{change: func(k int, s *[4]float64) {
			if k < 3 {
				s[1], s[2] = 4.0, 2
			}
		}}, "caution: The log begins under load"},
		{"no rest before", bench{change: func(k int, s *[4]float64) {
			if k < 3 {
				s[1], s[2] = 4.1, -1
			}
		}}, "caution: The discharge follows on another load"},
		{"not full by its voltage", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.ChargeVoltage = 4.35 })}}, "caution: The run started at 4.150 V, more than 0.100 V below the charge voltage of 4.350 V"},
		{"not full, nothing known", bench{facts: Facts{Cell: cell.Cell{}}, change: func(k int, s *[4]float64) {
			if s[1] == 4.15 {
				s[1] = 4.02
			}
		}}, "note: The run started at 4.020 V: a cell charged to 4.200 V rests above 4.100 V"},
		{"charge ended early", bench{facts: Facts{Cell: good}, prelude: charged(0.5, 4.2, 4000)}, "caution: The charge ended at 0.5000 A, above 0.1100 A"},
		{"charged too low", bench{facts: Facts{Cell: good}, prelude: charged(0.1, 4.1, 4000)}, "caution: The charge went to 4.100 V only"},
		{"rest of 59 min", bench{facts: Facts{Cell: good}, prelude: charged(0.1, 4.2, 59*60-30)}, "shorter than 1 h"},
		{"rest of 241 min", bench{facts: Facts{Cell: good}, prelude: charged(0.1, 4.2, 241*60-20)}, "longer than 4 h"},
		{"rest of 61 min by the datasheet", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.RestByDatasheet = true })}, prelude: charged(0.1, 4.2, 61*60-20)}, "longer than 1 h"},
		{"ambient 25.1 °C", bench{change: func(_ int, s *[4]float64) { s[3] = 25.1 }}, "caution: The cell was at 25.1 °C"},
		{"ambient 14.9 °C", bench{change: func(_ int, s *[4]float64) { s[3] = 14.9 }}, "caution: The cell was at 14.9 °C"},
		{"still cooling", bench{change: func(k int, s *[4]float64) {
			if k < 2 {
				s[3] = 24.5
			}
		}}, "note: The cell went from 24.5 °C to 22.0 °C while it rested"},
		{"current not held", bench{change: func(k int, s *[4]float64) {
			if k == 100 {
				s[2] = 1.9
			}
		}}, "caution: The current was not held: 1.900 A to 2.000 A"},
		{"constant power", bench{change: func(_ int, s *[4]float64) {
			if s[2] > 0 {
				s[2] = 7 / s[1]
			}
		}}, "note: The load took constant power, 7.00 W"},
		{"over the permitted current", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.MaxCurrent = 1.9 })}}, "safety caution: 2.000 A is over the 1.900 A"},
		{"over the tester's current", bench{facts: Facts{Cell: good, Tester: tester.Spec{MaxCurrent: 1.5}}}, "caution: 2.000 A is over the 1.500 A that the tester can take"},
		{"over the tester's power", bench{facts: Facts{Cell: good, Tester: tester.Spec{MaxPower: 5}}}, "caution: 2.000 A at 4.150 V are 8.3 W"},
		{"hot", bench{change: func(k int, s *[4]float64) { s[3] = 20 + float64(k)/6 }}, "safety caution: The cell reached 70.3 °C, over 60 °C"},
		{"hot by its datasheet", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.MaxTemp = 45 })}, change: func(k int, s *[4]float64) { s[3] = 20 + float64(k)/10 }}, "safety caution: The cell reached 50.2 °C, over 45 °C"},
		{"overcharged", bench{facts: Facts{Cell: good}, prelude: charged(0.1, 4.3, 4000)}, "safety caution: The log goes up to 4.300 V, above 4.250 V"},
		{"few samples", bench{change: func(k int, s *[4]float64) {
			if k >= 3 && k < 213 {
				s[2] = 0
			}
		}}, "caution: The run has 90 samples only"},
		{"edges", bench{change: func(k int, s *[4]float64) {
			if k < 3 {
				s[0] -= 20
			}
		}}, "gaps of 30 s and 1 s"},
		{"gap", bench{change: func(k int, s *[4]float64) {
			if k > 50 {
				s[0] += 600
			}
		}}, "caution: The log has a gap of 610 s, 0:07:55 after the start"},
		{"time goes back", bench{facts: Facts{Cell: good, WentBack: 2, WentBackLine: 17}}, "caution: Time goes back in 2 rows of the log, first in line 17"},
		{"clock begins anew", bench{facts: Facts{Cell: good, Restarts: 1, RestartLine: 9}}, "caution: The log’s clock begins anew once, in line 9"},
		{"counter off by 1 %", bench{facts: Facts{Cell: good}, counted: 1.01}, "caution: The log counts 1.678 Ah for this discharge; its samples add up to 1.661 Ah (+1.0 %)"},
		{"counter of something else", bench{facts: Facts{Cell: good}, counted: 2}, "(+100.0 %)"},
		{"not reached", bench{facts: Facts{Cell: good, Cutoff: 2.5}}, "caution: The run ended at 2.983 V, above the cut-off of 2.500 V"},
		{"just above", bench{facts: Facts{Cell: good, Cutoff: 2.982}}, "note: The last sample lies just above the cut-off"},
		{"all below", bench{facts: Facts{Cell: good, Cutoff: 4.05}}, "fault: The voltage is below the cut-off of 4.050 V"},
		{"start dip", bench{facts: Facts{Cell: good, Cutoff: 3.2}, change: func(k int, s *[4]float64) {
			if k == 3 || k == 4 {
				s[1] = 3.1
			}
		}}, "note: The voltage dips to 3.100 V, below the cut-off"},
		{"below the datasheet's cut-off", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.Cutoff = 3.2 })}}, "safety caution: The run went down to 2.983 V, below 3.200 V"},
		{"below every cut-off", bench{change: func(k int, s *[4]float64) {
			if k >= 290 && k < 303 {
				s[1] = 1.8
			}
		}}, "safety caution: The run went down to 1.800 V, below 1.950 V"},
		{"below it for a moment", bench{facts: Facts{Cell: good}, change: func(k int, s *[4]float64) {
			if k == 150 {
				s[1] = 2.7
			}
		}}, "safety caution: The run went down to 2.700 V, below 2.900 V"},
		{"asked below the datasheet", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.Cutoff = 3.2 }), Cutoff: 3.1}}, "note: The cut-off asked for, 3.100 V, is below"},
		{"pack", bench{change: func(_ int, s *[4]float64) { s[1] *= 10 }}, "caution: The log reads 41.500 V: this is a pack"},
		{"pack of the wrong count", bench{facts: Facts{Cell: cell.Cell{Series: 4}}, change: func(_ int, s *[4]float64) { s[1] *= 10 }}, "caution: 41.500 V over 4 cells are 10.375 V each"},
		{"average voltage", bench{change: func(_ int, s *[4]float64) { s[1] -= 1.5 }}, "note: The average voltage is"},
		{"above the charge voltage", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.ChargeVoltage = 3.3 })}}, "fault: The average voltage of 3.4"},
		{"another cell's capacity", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.Rated = 1.0 })}}, "caution: The run gave 166.4 % of the rated capacity"},
		{"too good to be true", bench{facts: Facts{Cell: with(func(c *cell.Cell) { c.Rated = 9.9; c.Size = "18650" })}}, "would be 2155 Wh/l, which no cell holds"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			all := tt.bench.findings(t)
			if got := text(all); !strings.Contains(got, tt.want) {
				t.Errorf("%q, want %q", got, tt.want)
			}
			for _, f := range all {
				if f.Says == "" || f.Source == "" || f.Do == "" {
					t.Errorf("%q lacks its rule, source or what to do: %+v", f.Text, f)
				}
				if f.Safety && !strings.Contains(f.Do, "qualified person") {
					t.Errorf("%q does not defer to qualified people", f.Text)
				}
			}
		})
	}
}

// Between limits nothing is said: 60 min, 240 min, 15 °C and 25 °C pass (IEC
// 61960-3 clause 7.3.1).
func TestFindingsWithinLimits(t *testing.T) {
	c := cell.Cell{Rated: 1.7, Cutoff: 2.9, ChargeVoltage: 4.2, ChargeEnd: 0.1}
	for name, b := range map[string]bench{
		"60 min":               {facts: Facts{Cell: c}, prelude: charged(0.1, 4.2, 60*60-20)},
		"240 min":              {facts: Facts{Cell: c}, prelude: charged(0.1, 4.2, 240*60-30)},
		"15 °C":                {facts: Facts{Cell: c}, change: func(_ int, s *[4]float64) { s[3] = 15 }},
		"counter off by 0.4 %": {facts: Facts{Cell: c}, counted: 1.004},
		"25 °C":                {facts: Facts{Cell: c}, change: func(_ int, s *[4]float64) { s[3] = 25 }},
	} {
		if got := text(b.findings(t)); got != "" {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// What is about safety comes first, then faults.
func TestFindingsInOrder(t *testing.T) {
	all := bench{facts: Facts{Cell: cell.Cell{MaxCurrent: 1, Rated: 1}, WentBack: 1}, change: func(k int, s *[4]float64) { s[3] = 30 }}.findings(t)
	if len(all) < 3 || !all[0].Safety || all[1].Severity < all[len(all)-1].Severity {
		t.Errorf("order: %s", text(all))
	}
}
