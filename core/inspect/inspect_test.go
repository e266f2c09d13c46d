package inspect

import (
	"fmt"
	"strings"
	"testing"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
)

// oak is an invented cell of the usual kind.
var oak = cell.Cell{Name: "Oak", Chemistry: cell.Ion, Size: "21700", Rated: 5, Cutoff: 2.5, ChargeVoltage: 4.2, SheetMass: 70, MaxResistance: 0.025, Mass: 69.4}

// sound are readings of which there is nothing to say.
var sound = cell.Arrived{HasVoltage: true, Voltage: 3.55, Diameter: 21.2, Length: 70.1, Resistance: 0.018}

// found lists the findings of the first of some samples: "fault! It arrived at …".
func found(list ...Sample) (all []string) {
	for _, f := range Samples(list, quantity.Words{})[0] {
		mark := ""
		if f.Safety {
			mark = "!"
		}
		all = append(all, f.Severity.String()+mark+" "+f.Text)
	}
	return all
}

func TestEachFinding(t *testing.T) {
	for _, c := range []struct {
		change func(s *Sample)
		want   string // its beginning; empty for none
	}{
		{func(s *Sample) {}, ""},
		{func(s *Sample) { *s = Sample{Cell: cell.Cell{Name: "Oak"}} }, ""},
		// 2.50 V is the end voltage of the example cells in QCVN 101:2016 table 1.
		{func(s *Sample) { s.Voltage = 2.49 }, "fault! It arrived at 2.490 V, below its cut-off of 2.500 V."},
		{func(s *Sample) { s.Voltage, s.Cutoff = 2.49, 0 }, "fault! It arrived at 2.490 V, below its cut-off of 2.500 V."},
		{func(s *Sample) { s.Voltage = 2.5 }, "note It arrived at 2.500 V, nearly empty."},
		{func(s *Sample) { s.Voltage = 0 }, "fault! The open-circuit voltage is 0.000 V, next to nothing."},
		{func(s *Sample) { s.Voltage = -0.01 }, "fault! The open-circuit voltage is -0.010 V, next to nothing."},
		{func(s *Sample) { s.Voltage = -0.4 }, "fault! The open-circuit voltage is negative, -0.400 V."},
		{func(s *Sample) { s.Voltage = 4.26 }, "fault! It arrived at 4.260 V, above its charge voltage of 4.200 V."},
		{func(s *Sample) { s.Voltage = 4.12 }, "note It arrived at 4.120 V, nearly full."},
		{func(s *Sample) { s.Voltage = 35.5 }, "caution 35.500 V is no voltage of one cell."},
		{func(s *Sample) { s.Voltage, s.Series, s.Size = 35.5, 10, "" }, ""},
		{func(s *Sample) { s.Voltage, s.Series, s.Size = 24.9, 10, "" }, "fault! It arrived at 24.900 V, below its cut-off of 25.000 V."},
		{func(s *Sample) { s.Chemistry, s.Cutoff, s.ChargeVoltage, s.Voltage = cell.Phosphate, 0, 0, 3.28 }, ""},
		{func(s *Sample) { s.Chemistry, s.Cutoff, s.ChargeVoltage, s.Voltage = cell.Phosphate, 0, 3.65, 3.4 }, "note It arrived at 3.400 V, nearly full."},
		{func(s *Sample) { s.Chemistry, s.Cutoff, s.ChargeVoltage, s.Voltage = cell.Titanate, 0, 0, 1.4 }, "fault! It arrived at 1.400 V, below its cut-off of 1.500 V."},
		{func(s *Sample) { s.Chemistry, s.Cutoff, s.ChargeVoltage, s.Voltage = "", 0, 0, 1.9 }, "fault! It arrived at 1.900 V, below its cut-off of 2.000 V."},

		{func(s *Sample) { s.Mass = 67.9 }, ""}, // 3 % of 70 g are 2.1 g
		{func(s *Sample) { s.Mass = 67.8 }, "caution It weighs 67.8 g, which is 3.1 % less than the 70.0 g of its datasheet."},
		{func(s *Sample) { s.Mass = 73 }, "caution It weighs 73.0 g, which is 4.3 % more than the 70.0 g of its datasheet."},
		// 9.9 Ah · 3.6 V = 35.64 Wh, over 45 g 792 Wh/kg.
		{func(s *Sample) {
			s.Mass, s.SheetMass, s.Size, s.Diameter, s.Length, s.Rated = 45, 0, "18650", 18.3, 65, 9.9
		},
			"caution A rated capacity of 9.90 Ah at this mass would be 792 Wh/kg, which hardly any cell holds."},

		{func(s *Sample) { s.Diameter = 22.1 }, "fault! It is 22.1 mm thick, more than its size allows."},
		{func(s *Sample) { s.Diameter = 18.4 }, "caution It is 18.4 mm thick, less than its size has."},
		{func(s *Sample) { s.Length = 74.5 }, "note It is 74.5 mm long, more than a bare cell of its size."},
		{func(s *Sample) { s.Length = 65 }, "caution It is 65.0 mm long, less than its size has."},
		{func(s *Sample) { s.Size, s.Diameter = "ICP9/35/48", 9.4 }, "fault! It is 9.4 mm thick, more than its size allows."},

		{func(s *Sample) { s.Resistance = 0.0251 }, "caution Its a.c. resistance of 25.1 mΩ is over the datasheet’s 25.0 mΩ."},
		{func(s *Sample) { s.Loaded, s.LoadedU = 0.017, 0.0005 }, "caution Its a.c. resistance of 18.0 mΩ is above the d.c. resistance of 17.0 mΩ"},
		{func(s *Sample) { s.Loaded, s.LoadedU = 0.017, 0.0011 }, ""},
	} {
		s := Sample{Cell: oak, Arrived: sound}
		c.change(&s)
		got := found(s)
		if c.want == "" && got != nil || c.want != "" && (len(got) == 0 || !strings.HasPrefix(got[0], c.want)) || len(got) > 1 && c.want != "" && s.Size == oak.Size {
			t.Errorf("%q\nfor %q", got, c.want)
		}
	}
}

// QCVN 101:2016 table 1 has the smallest and the largest cell of a designation by
// IEC 61960-3: both are as they should be.
func TestSizesOfTheStandard(t *testing.T) {
	for _, c := range []struct {
		size              string
		thin, thick, l, h float64 // mm
	}{{"ICR19/66", 17.8, 18.5, 64.0, 65.2}, {"ICR18/68", 16.2, 17.1, 65.9, 67.2}} {
		for _, r := range []cell.Arrived{{Diameter: c.thin, Length: c.l}, {Diameter: c.thick, Length: c.h}} {
			if got := found(Sample{Cell: cell.Cell{Size: c.size}, Arrived: r}); got != nil {
				t.Errorf("%s, %g mm × %g mm: %q", c.size, r.Diameter, r.Length, got)
			}
		}
	}
}

func TestAmongSamples(t *testing.T) {
	make := func(lot string, volts, ohms float64) Sample {
		s := Sample{Cell: oak, Arrived: sound}
		s.Lot, s.Voltage, s.Resistance = lot, volts, ohms
		return s
	}
	// The medians are 3.550 V and 18.0 mΩ.
	low, others := make("A", 3.529, 0.0217), []Sample{make("A", 3.55, 0.018), make("A", 3.551, 0.0175), make("B", 3.7, 0.018)}
	want := []string{"caution Its voltage of 3.529 V lies 21 mV from the median of its lot, 3.550 V over 3 samples.",
		"caution Its a.c. resistance of 21.7 mΩ is 21 % off the median of 18.0 mΩ over 4 samples."}
	got := found(append([]Sample{low}, others...)...)
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%q\nfor %q", got, want)
	}
	if got := found(low, others[0]); got != nil {
		t.Errorf("two samples have no median: %q", got)
	}
	if got := found(others[2], low, others[0], others[1]); got != nil {
		t.Errorf("alone of its lot: %q", got)
	}
}

// Whatever is typed, each finding says what to do, by which rule and whose.
func TestWhole(t *testing.T) {
	s := Sample{Cell: oak, Arrived: cell.Arrived{HasVoltage: true, Voltage: 1, Diameter: 30, Length: 90, Resistance: 0.1}, Loaded: 0.02}
	s.Mass = 10
	list := Samples([]Sample{s}, quantity.Words{})[0]
	if len(list) != 7 {
		t.Errorf("%d findings: %v", len(list), found(s))
	}
	for k, f := range list {
		if f.Text == "" || f.Do == "" || f.Says == "" || f.Source == "" || f.Safety != (f.Severity == measure.Fault) || f.Safety && !strings.HasSuffix(f.Do, measure.Qualified) {
			t.Errorf("%+v", f)
		}
		if k > 0 && f.Safety && !list[k-1].Safety {
			t.Errorf("safety comes late: %v", found(s))
		}
	}
}
