package cell

import (
	"math"
	"testing"
)

func TestGuess(t *testing.T) {
	for name, want := range map[string]string{
		"Alder 1.00 A":          "Alder",
		"Birch_18A_run2":        "Birch",
		"Cedar 40T 0.2C":        "Cedar 40T",
		"INR21700 B2 2,5A":      "INR21700 B2",
		"Dogwood discharge 3 A": "Dogwood",
		"B0005":                 "B0005",
		"1C":                    "1C",
		"2024 cells 5A":         "2024 cells",
		"":                      "",
		"Elm #3":                "Elm",
		"Elm 7":                 "Elm",
	} {
		if got := Guess(name); got != want {
			t.Errorf("Guess(%q) = %q, want %q", name, got, want)
		}
	}
}

// It / A = C5 / Ah over 1 h (IEC 61434, quoted in IEC 62257-8-1, 3.14): 2 500
// mAh has It = 2.5 A and 0.2 It = 0.5 A.
func TestRate(t *testing.T) {
	if got := (Cell{Rated: 2.5}).Rate(0.5); got != 0.2 {
		t.Errorf("0.5 A of 2.5 Ah is %g It, want 0.2", got)
	}
	if got := (Cell{}).Rate(0.5); got != 0 {
		t.Errorf("without a rated capacity %g", got)
	}
}

// A cylinder of 21 by 70 mm holds π/4·21²·70 mm³ = 24.245 cm³; one of IEC's
// designation 19/66 is at most 19 by 66 mm; a prism 9/35/48 mm is 15.12 cm³.
func TestVolume(t *testing.T) {
	for size, want := range map[string]float64{
		"21700": 24.2452, "INR21700": 24.2452, "INR19/66": 18.7129, "ICP9/35/48": 15.12, "": 0, "pouch": 0, "99999999": 0,
	} {
		if got := (Cell{Size: size}).Volume() * 1000; math.Abs(got-want) > 1e-3 {
			t.Errorf("%q: %.4f cm³, want %.4f", size, got, want)
		}
	}
}
