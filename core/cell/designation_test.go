package cell

import (
	"errors"
	"math"
	"strings"
	"testing"

	"plateau/core/quantity"
)

// IEC 61960-3 clause 5.1; ICR19/66, ICP9/35/48 and ICR18/68 are cells of QCVN
// 101:2016/BTTTT Table 1, which carries it. The five digits are the trade's.
func TestParseDesignation(t *testing.T) {
	round := func(neg, pos byte, d, h float64, most bool) Designation {
		return Designation{Negative: neg, Positive: pos, Diameter: d, Height: h, Largest: most, Series: 1, Parallel: 1}
	}
	flat := func(neg, pos byte, d, w, h float64, s, p int) Designation {
		return Designation{Negative: neg, Positive: pos, Prismatic: true, Diameter: d, Width: w, Height: h, Largest: true, Series: s, Parallel: p}
	}
	for text, want := range map[string]Designation{
		"ICR19/66":        round('I', 'C', 19, 66, true),
		"ICR18/68":        round('I', 'C', 18, 68, true),
		"INR19/66":        round('I', 'N', 19, 66, true),
		"icr 19/66":       round('I', 'C', 19, 66, true),
		"ICP9/35/48":      flat('I', 'C', 9, 35, 48, 1, 1),
		"ICPt9/35/48":     flat('I', 'C', 0.9, 35, 48, 1, 1),
		"2ICP7/34/48-2":   flat('I', 'C', 7, 34, 48, 2, 2),
		"9/35/48":         flat(0, 0, 9, 35, 48, 1, 1),
		"18/65":           round(0, 0, 18, 65, true),
		"18650":           round(0, 0, 18, 65, false),
		"21700":           round(0, 0, 21, 70, false),
		"INR21700":        round('I', 'N', 21, 70, false),
		"IFR32700":        round('I', 'F', 32, 70, false),
		" 21 700 ":        round(0, 0, 21, 70, false),
		"XYZ14500":        round(0, 0, 14, 50, false),
		"3INR19/66":       {Negative: 'I', Positive: 'N', Diameter: 19, Height: 66, Largest: true, Series: 3, Parallel: 1},
		"12IMR19/66-10":   {Negative: 'I', Positive: 'M', Diameter: 19, Height: 66, Largest: true, Series: 12, Parallel: 10},
		"LMP160/120/1000": flat('L', 'M', 160, 120, 1000, 1, 1),
	} {
		if got, err := ParseDesignation(text); err != nil || got != want {
			t.Errorf("%q: %+v, %v; want %+v", text, got, err, want)
		}
	}
	// says is a word of what is wrong.
	for text, says := range map[string]string{
		"": "no size", "pouch": "no size", "2170": "five digits", "4680": "five digits", "103450": "five digits", "99999999": "five digits",
		"00000": "diameter", "INR": "no size", "INR19": "five digits", "INR19/": "whole", "INR19/66/": "whole", "INR19/35/66": "two", "ICP19/66": "three", "ICP18650": "three",
		"0INR19/66": "in series", "INR19/66-": "parallel", "INR19/66-1": "parallel", "INR19/66-200": "parallel", "INR-19/66": "parallel", "INR19/6x": "whole",
		"INR99999999999999999999/66": "whole", "XQZ19/66": "letters", "INR5/+66": "whole", "INR19/0": "whole", "INR3/66": "diameter",
		"\x00": "no size", "21７００": "no size", strings.Repeat("9", 5000): "five digits", strings.Repeat("/", 5000): "whole",
	} {
		d, err := ParseDesignation(text)
		switch {
		case !errors.Is(err, ErrDesignation):
			t.Errorf("%.40q is taken for %+v, %v", text, d, err)
		case !strings.Contains(err.Error(), says) || !strings.Contains(err.Error(), "21700") || len(err.Error()) > 400:
			t.Errorf("%.40q: %v; want a word of %q", text, err, says)
		}
	}
}

func TestDesignationWords(t *testing.T) {
	for text, want := range map[string]string{
		"INR19/66":      "round, 19 mm × 66 mm at most, 18.7 ml; lithium ion with nickel",
		"18650":         "round, 18 mm × 65 mm, 16.5 ml",
		"ICPt9/35/48":   "prismatic, 0.9 mm × 35 mm × 48 mm at most, 1.51 ml; lithium ion with cobalt",
		"2ICP7/34/48-2": "prismatic, 7 mm × 34 mm × 48 mm at most, 11.4 ml; lithium ion with cobalt; a battery of 2 in series, 2 in parallel",
	} {
		d, err := ParseDesignation(text)
		if err != nil || d.Words(quantity.Words{}) != want {
			t.Errorf("%q: %q, %v", text, d.Words(quantity.Words{}), err)
		}
	}
}

// The rounded-up sizes of the designation hold the cell that QCVN 101:2016 Table
// 1 gives for it: at most 18.5 mm by 65.2 mm, π/4·18.5²·65.2 mm³ = 17.526 ml.
func TestLargestHoldsTheCell(t *testing.T) {
	d, err := ParseDesignation("ICR19/66")
	if err != nil || !(d.Volume() > 17.526e-3) || d.Volume() > 17.526e-3*1.08 {
		t.Errorf("%g l, %v", d.Volume(), err)
	}
}

func FuzzDesignation(f *testing.F) {
	for _, s := range []string{"INR19/66", "2ICP7/34/48-2", "ICPt9/35/48", "21700", "-", "/", "t/t/t", "9INR", "ı19/66"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDesignation(s)
		if v := d.Volume(); (err == nil) != (v > 0) || math.IsInf(v, 0) {
			t.Errorf("%q: %g l, %v", s, v, err)
		}
		_ = d.Words(quantity.Words{})
	})
}
