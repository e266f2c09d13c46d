package cell

import (
	"math"
	"strings"
	"testing"

	"plateau/core/quantity"
)

// 0.2 It of 2 500 mAh is 0.5 A (IEC 61434). What a datasheet leaves out is taken
// from the cell.
func TestClaims(t *testing.T) {
	c := Cell{Rated: 2.5, Typical: 2.6, Minimum: 2.45, Cutoff: 2.75, TypicalAt: Condition{Current: 1.25, Cutoff: 2.5}}
	want := []Claim{
		{Kind: RatedCapacity, Capacity: 2.5, Current: 0.5, Cutoff: 2.75, AssumedCurrent: true, AssumedCutoff: true},
		{Kind: MinimumCapacity, Capacity: 2.45, Current: 0.5, Cutoff: 2.75, AssumedCurrent: true, AssumedCutoff: true},
		{Kind: TypicalCapacity, Capacity: 2.6, Current: 1.25, Cutoff: 2.5},
	}
	got := c.Claims()
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for k := range want {
		if got[k] != want[k] {
			t.Errorf("%+v, want %+v", got[k], want[k])
		}
	}
	// Nothing rated: 0.2 It of the claim itself. No cut-off is none, not assumed.
	if got := (Cell{Typical: 3}).Claims(); len(got) != 1 || math.Abs(got[0].Current-0.6) > 1e-15 || got[0].Cutoff != 0 || got[0].AssumedCutoff {
		t.Errorf("%+v", got)
	}
	for _, x := range []float64{0, -1, math.NaN()} {
		if got := (Cell{Rated: x}).Claims(); got != nil {
			t.Errorf("rated %g claims %+v", x, got)
		}
	}
	if s := ClaimKind(9).String(); s != "" {
		t.Errorf("no kind is %q", s)
	}
}

func sound() Cell {
	return Cell{Name: "Elm", Chemistry: Ion, Size: "21700", Mass: 69, Rated: 4.9, Minimum: 4.85, Typical: 5, Cutoff: 2.5, ChargeVoltage: 4.2, ChargeCurrent: 2.5,
		MaxCharge: 5, ChargeEnd: 0.25, MaxCurrent: 15, MinTemp: -20, HasMinTemp: true, MaxTemp: 60, Nominal: 3.6}
}

func TestContradictions(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*Cell)
		fields string // in order
	}{
		{"sound", func(c *Cell) {}, ""},
		{"nothing known", func(c *Cell) { *c = Cell{} }, ""},
		{"minimum is the rated one", func(c *Cell) { c.Minimum = 4.9 }, ""},
		{"minimum over typical", func(c *Cell) { c.Minimum = 5.1 }, "minimum"},
		{"minimum over rated alone", func(c *Cell) { c.Minimum = 4.95 }, "minimum"},
		{"minimum at an easier current than rated", func(c *Cell) { c.Minimum, c.RatedAt.Current = 4.95, 4.9 }, ""},
		{"minimum at a harder current, and above", func(c *Cell) { c.Minimum, c.MinimumAt.Current = 4.95, 4.9 }, "minimum"},
		{"rated over typical", func(c *Cell) { c.Rated, c.Minimum = 5.2, 0 }, "rated"},
		{"rated over a typical at a higher current", func(c *Cell) { c.Rated, c.Minimum, c.TypicalAt.Current = 5.2, 0, 10 }, ""},
		{"rated over a typical down to a higher cut-off", func(c *Cell) { c.Rated, c.Minimum, c.TypicalAt.Cutoff = 5.2, 0, 3 }, ""},
		{"rated at a higher current over typical", func(c *Cell) { c.Rated, c.Minimum, c.RatedAt.Current = 5.2, 0, 5 }, "rated"},
		{"cut-off at the charge voltage", func(c *Cell) { c.Cutoff, c.Nominal = 4.2, 0 }, "cutoff"},
		{"cut-off over it: nominal too", func(c *Cell) { c.Cutoff = 4.3 }, "cutoff nominal"},
		{"a claim's cut-off", func(c *Cell) { c.TypicalAt.Cutoff = 4.2 }, "typicalCutoff"},
		{"a claim's current", func(c *Cell) { c.RatedAt.Current, c.Typical, c.Minimum = 16, 0, 0 }, "ratedCurrent"},
		{"maximum current below 0.2 It", func(c *Cell) { c.MaxCurrent = 0.5 }, "maxCurrent"},
		{"nominal below the cut-off", func(c *Cell) { c.Nominal = 2.4 }, "nominal"},
		{"nominal over the charge voltage", func(c *Cell) { c.Nominal = 4.25 }, "nominal"},
		{"ending current", func(c *Cell) { c.ChargeEnd = 2.6 }, "chargeEnd"},
		{"ending current with the maximum alone", func(c *Cell) { c.ChargeEnd, c.ChargeCurrent = 6, 0 }, "chargeEnd"},
		{"standard over maximum charge", func(c *Cell) { c.ChargeCurrent = 6 }, "chargeCurrent"},
		{"temperatures", func(c *Cell) { c.MinTemp = 60 }, "minTemp"},
		{"lowest temperature nought", func(c *Cell) { c.MinTemp = 0 }, ""},
		{"iron phosphate at 4.2 V", func(c *Cell) { c.Chemistry, c.Nominal = Phosphate, 3.2 }, "chargeVoltage"},
		{"ion at 3.65 V", func(c *Cell) { c.ChargeVoltage = 3.65 }, "chargeVoltage"},
		{"titanate at 4.2 V", func(c *Cell) { c.Chemistry = Titanate }, "chargeVoltage"},
		{"iron phosphate in a cobalt cell's designation", func(c *Cell) { c.Chemistry, c.ChargeVoltage, c.Nominal, c.Size = Phosphate, 3.65, 3.2, "ICR22/71" }, "chemistry"},
		{"grams typed as kilograms", func(c *Cell) { c.Mass = 0.069 }, "mass"},
		{"another cell's mass", func(c *Cell) { c.Mass = 200 }, "mass"},
		{"a battery's designation", func(c *Cell) { c.Size, c.Mass = "3INR22/71", 0 }, "series"},
		{"a battery's designation that fits", func(c *Cell) { c.Size, c.Mass, c.Series = "3INR22/71", 0, 3 }, ""},
		{"not numbers", func(c *Cell) { c.Rated, c.Minimum, c.Cutoff, c.Mass = math.NaN(), math.NaN(), math.NaN(), math.NaN() }, ""},
	} {
		c := sound()
		tt.change(&c)
		var fields []string
		for _, x := range c.Contradictions(quantity.Words{}) {
			fields = append(fields, x.Field)
			if !strings.HasSuffix(x.Says, ".") || strings.Contains(x.Says, "%!") {
				t.Errorf("%s: %q", tt.name, x.Says)
			}
		}
		if got := strings.Join(fields, " "); got != tt.fields {
			t.Errorf("%s: at %q, want %q: %+v", tt.name, got, tt.fields, c.Contradictions(quantity.Words{}))
		}
	}
	c := sound()
	c.Minimum = 5.25
	if says := c.Contradictions(quantity.Words{Comma: true})[0].Says; !strings.Contains(says, "5,25 Ah") || !strings.Contains(says, "5,00 Ah") {
		t.Errorf("%q", says)
	}
}

func TestInherit(t *testing.T) {
	first := sound()
	first.TypicalAt = Condition{Current: 1, Cutoff: 2.7}
	first.Mass, first.Price, first.Marking, first.Notes, first.Lot, first.Bought = 69, 5, "x", "y", "z", "shop"
	got := Cell{Name: "Elm 2", Mass: 70}.Inherit(first)
	want := first
	want.Name, want.Mass, want.Price, want.Marking, want.Notes, want.Lot, want.Bought = "Elm 2", 70, 0, "", "", "", ""
	if got != want {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	// Its own figures stay; no condition of another claim comes to its own.
	own := Cell{Typical: 5.1, MinTemp: 0, HasMinTemp: true, Chemistry: Phosphate}.Inherit(first)
	if own.Typical != 5.1 || own.TypicalAt != (Condition{}) || own.MinTemp != 0 || own.Chemistry != Phosphate || own.Rated != 4.9 {
		t.Errorf("%+v", own)
	}
	// A claim down to the cut-off of the other's datasheet stays one down to that.
	own = Cell{Cutoff: 3}.Inherit(first)
	if cl := own.Claims()[0]; own.Cutoff != 3 || cl.Kind != RatedCapacity || cl.Cutoff != 2.5 {
		t.Errorf("cut-off %g, claim %+v", own.Cutoff, cl)
	}
	if again := own.Inherit(first); again != own {
		t.Error("taken twice it differs")
	}
}

// 4.9 Ah · 3.6 V in a cylinder of 21 by 70 mm, 24.245 ml: 727.6 Wh/l, by hand.
func TestDensity(t *testing.T) {
	c := sound()
	if got, ok := c.Density(); !ok || math.Abs(got-727.6) > 0.1 {
		t.Errorf("%.2f Wh/l", got)
	}
	// Two cells of 9.52 ml in parallel hold 3.0 Ah between them: 1.5 Ah · 3.7 V
	// each, 582.9 Wh/l.
	two := Cell{Size: "ICP4/34/70-2", Rated: 3, Nominal: 3.7}
	if got, ok := two.Density(); !ok || math.Abs(got-582.98) > 0.1 {
		t.Errorf("two in parallel: %.2f Wh/l", got)
	}
	// Without a nominal voltage the chemistry tells, even beside a charge voltage.
	for _, tt := range []struct {
		of     Chemistry
		charge float64
		want   float64
	}{{Titanate, 2.8, 2.3}, {Phosphate, 3.65, 3.2}, {"", 3.65, 3.2}, {Ion, 4.2, 3.6}, {"", 0, 3.6}} {
		got, _ := Cell{Size: "21700", Rated: 1, Chemistry: tt.of, ChargeVoltage: tt.charge}.Density()
		if want := tt.want / 0.0242452; math.Abs(got-want) > 0.01 {
			t.Errorf("%q charged to %g V: %.2f Wh/l, want %.2f", tt.of, tt.charge, got, want)
		}
	}
	for _, c := range []Cell{{Rated: 3}, {Size: "21700"}, {Size: "21700", Rated: math.NaN()}, {Size: "?", Rated: 3}} {
		if got, ok := c.Density(); ok {
			t.Errorf("%+v has %g Wh/l", c, got)
		}
	}
}
