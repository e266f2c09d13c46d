package quantity

import (
	"errors"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// Factors follow the SI brochure (9th edition, tables of prefixes and of units
// outside the SI: min, h, °C), cited from memory; 1 Ah = 3600 C, 1 Wh = 3600 J,
// 0 °C = 273.15 K, 32 °F = 0 °C.
func TestUnits(t *testing.T) {
	for _, tt := range []struct {
		spelling string
		kind     Kind
		x, want  float64
	}{
		{"V", Voltage, 3.7, 3.7}, {"mV", Voltage, 3700, 3.7}, {"MV", Voltage, 3700, 3.7}, {"µV", Voltage, 1e6, 1},
		{"A", Current, 2, 2}, {"mA", Current, 2000, 2}, {"мА", Current, 2000, 2}, {"Amps", Current, 2, 2},
		{"Ah", Charge, 2, 2}, {"mAh", Charge, 2000, 2}, {"A·h", Charge, 2, 2}, {"A.h", Charge, 2, 2}, {"A h", Charge, 2, 2}, {"C", Charge, 3600, 1},
		{"Wh", Energy, 2, 2}, {"kWh", Energy, 2, 2000}, {"J", Energy, 3600, 1},
		{"s", Time, 2, 2}, {"min", Time, 2, 120}, {"h", Time, 2, 7200}, {"ms", Time, 2, 0.002},
		{"°C", Temperature, 25, 25}, {"C", Temperature, 25, 25}, {"degC", Temperature, 25, 25}, {"deg. C", Temperature, 25, 25},
		{"K", Temperature, 298.15, 25}, {"°F", Temperature, 32, 0}, {"°F", Temperature, 212, 100},
		{"mΩ", Resistance, 20, 0.02}, {"mOhm", Resistance, 20, 0.02}, {"Ω", Resistance, 1, 1}, {"W", Power, 3, 3},
	} {
		u, ok := UnitOf(tt.spelling, tt.kind)
		if !ok {
			t.Errorf("%q is not known as a unit of kind %d", tt.spelling, tt.kind)
			continue
		}
		if got := tt.x*u.Factor + u.Offset; math.Abs(got-tt.want) > 1e-12*math.Max(1, tt.want) {
			t.Errorf("%g %s = %g, want %g", tt.x, tt.spelling, got, tt.want)
		}
	}
	for _, s := range []string{"", "foo", "Voltage", "volt age meter of some length beyond all units"} {
		if u := Units(s); u != nil {
			t.Errorf("%q is taken for %v", s, u)
		}
	}
}

// Exact must agree with strconv to the last bit wherever it answers.
func TestExactAgreesWithStrconv(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for range 20_000 {
		mant, frac := rng.Uint64N(1<<53), rng.IntN(23)
		got, ok := Exact(mant, frac)
		want, err := strconv.ParseFloat(strconv.FormatUint(mant, 10)+"e-"+strconv.Itoa(frac), 64)
		if !ok || err != nil || got != want {
			t.Fatalf("%d/10^%d = %v, %v; strconv has %v", mant, frac, got, ok, want)
		}
	}
	for _, tt := range []struct {
		mant uint64
		frac int
	}{{1 << 53, 0}, {1, 23}, {1, -1}} {
		if _, ok := Exact(tt.mant, tt.frac); ok {
			t.Errorf("%d/10^%d is not exact, but was answered", tt.mant, tt.frac)
		}
	}
}

func TestParse(t *testing.T) {
	for _, tt := range []struct {
		s    string
		kind Kind
		want float64
		err  error
	}{
		{"2.7", Voltage, 2.7, nil}, {"2,70 V", Voltage, 2.7, nil}, {" 2700mV ", Voltage, 2.7, nil}, {"-0.5", Voltage, -0.5, nil},
		{"3350 mAh", Charge, 3.35, nil}, {"20", Temperature, 20, nil},
		{"2.7 A", Voltage, 0, ErrUnit}, {"2.7 h:mm:ss", Time, 0, ErrUnit}, {"", Voltage, 0, ErrNumber}, {"abc", Voltage, 0, ErrNumber},
		{"1.2.3", Voltage, 0, ErrNumber}, {"1,234.5", Voltage, 0, ErrNumber}, {"NaN", Voltage, 0, ErrNumber},
	} {
		got, err := Parse(tt.s, tt.kind)
		if !errors.Is(err, tt.err) || math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("Parse(%q) = %g, %v; want %g, %v", tt.s, got, err, tt.want, tt.err)
		}
	}
}

func TestWords(t *testing.T) {
	w, comma := Words{}, Words{Comma: true}
	for got, want := range map[string]string{
		w.Fixed(3.14159, 3): "3.142", comma.Fixed(3.14159, 3): "3,142", w.Fixed(math.NaN(), 2): "", w.Fixed(-0.0001, 2): "0.00",
		w.Count(0): "0", w.Count(1234567): "1\u202f234\u202f567", w.Count(-1234): "-1\u202f234", w.Count(999): "999",
		w.Bytes(712): "712 B", w.Bytes(34_000): "34 kB", w.Bytes(1_234_567): "1.2 MB",
		Clock(18_000): "5:00:00", Clock(3599.6): "1:00:00", Clock(-61): "-0:01:01", Clock(math.Inf(1)): "",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	for _, tt := range []struct {
		x    float64
		want int
	}{{5.003, 3}, {0.25, 4}, {33.1, 2}, {12345, 0}, {0, 3}, {1e-9, 6}, {0.99999, 3}, {1, 3}} {
		if got := Decimals(tt.x, 4); got != tt.want {
			t.Errorf("Decimals(%g) = %d, want %d", tt.x, got, tt.want)
		}
	}
}
