package compare

import (
	"math"
	"slices"
	"testing"
)

// The highest common cut-off is the highest voltage that a run ended at; a run
// cut short and a void one do not drag it up, and another chemistry has its own.
func TestCommon(t *testing.T) {
	ion := func(v float64) Reach { return Reach{Reached: v, Kind: LithiumIon} }
	iron := func(v float64) Reach { return Reach{Reached: v, Kind: IronPhosphate} }
	for name, tt := range map[string]struct {
		runs []Reach
		want float64
		ok   bool
	}{
		"two cut-offs":          {[]Reach{ion(2.5), ion(2.65)}, 2.65, true},
		"one cut short at 3.6":  {[]Reach{ion(2.5), ion(2.65), ion(3.6)}, 2.65, true},
		"one void":              {[]Reach{ion(2.5), ion(2.5), {Reached: 2.8, Kind: LithiumIon, Void: true}}, 2.5, true},
		"mixed with phosphate":  {[]Reach{ion(2.5), ion(2.8), ion(2.65), iron(2.0), iron(2.1)}, 2.8, true},
		"phosphate alone":       {[]Reach{iron(2.0), iron(2.1)}, 2.1, true},
		"phosphate cut short":   {[]Reach{iron(2.0), iron(2.1), iron(3.0)}, 2.1, true},
		"one run":               {[]Reach{ion(2.5)}, 0, false},
		"none":                  {nil, 0, false},
		"a claim of 3.3 V":      {[]Reach{{Reached: 3.3, Claimed: 3.3, Kind: LithiumIon}, ion(2.8)}, 3.3, true},
		"both cut short at 3.5": {[]Reach{ion(3.5), ion(3.6)}, 0, false},
	} {
		if got, _, ok := Common(tt.runs); got != tt.want || ok != tt.ok {
			t.Errorf("%s: %g %v, want %g %v", name, got, ok, tt.want, tt.ok)
		}
	}
}

func TestKindOf(t *testing.T) {
	for _, tt := range []struct {
		charge, start float64
		want          Kind
	}{{4.2, 0, LithiumIon}, {3.65, 0, IronPhosphate}, {0, 3.41, IronPhosphate}, {0, 4.18, LithiumIon}, {0, 0, UnknownKind}, {4.2, 3.4, LithiumIon}} {
		if got := KindOf(tt.charge, tt.start); got != tt.want {
			t.Errorf("charged to %g V, starting at %g V: %d, want %d", tt.charge, tt.start, got, tt.want)
		}
	}
}

// A contact that adds 5 mΩ and more stands out; a poor one among two is the
// higher; runs without a reading say nothing.
func TestContacts(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		ohms []float64
		off  []int
	}{
		{[]float64{0.030, 0.031, 0.029}, nil},
		{[]float64{0.030, 0.041, 0.029}, []int{1}},
		{[]float64{0.030, 0.041}, []int{1}},
		{[]float64{nan, 0.041, 0.030, nan}, []int{1}},
		{[]float64{0.030}, nil},
		{[]float64{nan, nan}, nil},
	} {
		if off, _ := Contacts(tt.ohms); !slices.Equal(off, tt.off) {
			t.Errorf("%v: %v, want %v", tt.ohms, off, tt.off)
		}
	}
}
