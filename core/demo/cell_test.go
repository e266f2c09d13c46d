package demo

import (
	"math"
	"testing"
)

// near fails unless got lies within tolerance (a share of want) of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g within %.2g %%", what, got, want, 100*tolerance)
	}
}

// plain is a cell whose resistances and voltage do not change, so that the
// closed forms of the textbooks hold for it.
func plain() *cell {
	return &cell{
		ocv:      newCurve(point{0, 3.7}, point{1, 3.7}),
		capacity: 1e6,
		series:   resistor{ref: 0.020}, polar: resistor{ref: 0.010}, tau: 30,
		heat: 70, cooling: 0.1,
	}
}

// A body of even temperature that takes up a steady power P warms by
// P/(hA)·(1 − e^(−t·hA/(mc))): 63.2 % of the way after mc/(hA), all of it in
// the end. Lumped-capacitance law, Incropera and DeWitt, Fundamentals of Heat
// and Mass Transfer, chapter 5 (from memory).
func TestHeatsAsALumpedBody(t *testing.T) {
	c := plain()
	const current, ambient, step = 5, 20, 0.5
	rise := current * current * 0.030 / 0.1 // 25 A² · 30 mΩ / (0.1 W/K) = 7.5 K
	m := newMotion(c, step, ambient)
	s := state{temp: ambient, v: current * 0.010} // polarised, so that the power is steady
	for k := 1; k <= 28000; k++ {
		s = m.advance(s, current)
		switch at := float64(k) * step; at {
		case 700: // mc/(hA) = 70 J/K / 0.1 W/K
			near(t, "rise after one time constant", s.temp-ambient, rise*0.63212, 1e-3)
		case 1400:
			near(t, "rise after two", s.temp-ambient, rise*0.86466, 1e-3)
		case 14000:
			near(t, "rise in the end", s.temp-ambient, rise, 1e-6)
		}
	}
}

// One RC pair charges as 1 − e^(−t/τ) and relaxes as e^(−t/τ), and the series
// resistance answers at once with I·R (Ohm).
func TestPolarisesAsAnRCPair(t *testing.T) {
	c := plain()
	m := newMotion(c, 0.5, 25)
	s := state{temp: 25}
	const current = 4
	near(t, "drop at load on", 3.7-c.voltage(s, current), current*0.020, 1e-12)
	for k := 1; k <= 60; k++ {
		s = m.advance(s, current)
	}
	near(t, "drop after τ under load", 3.7-c.voltage(s, current),
		current*0.020+current*0.010*(1-math.Exp(-1)), 1e-9)
	loaded, before := s, 3.7-c.voltage(s, 0)
	for k := 1; k <= 150; k++ {
		s = m.advance(s, 0)
		if k%60 == 0 || k == 150 {
			near(t, "polarisation left", 3.7-c.voltage(s, 0), before*math.Exp(-float64(k)*0.5/30), 1e-9)
		}
	}
	near(t, "step at load off", c.voltage(loaded, 0)-c.voltage(loaded, current), current*0.020, 1e-9)
}

// balance discharges a cell from full and lets it rest until it is depolarised.
// It gives the energies in J: of the source, 3600·C·∫U dz; of the electrical
// work; of the heat that left or is still in the cell. None of them uses the
// model's own figure of the heat produced.
func balance(c *cell, current float64) (source, work, heat float64) {
	const step, ambient = 0.25, 23
	m := newMotion(c, step, ambient)
	s := state{temp: ambient}
	cutoff := c.ocv.at(1)
	for on := true; on || s.v > 1e-6; {
		i := 0.0
		if on {
			i = current
		}
		next := m.advance(s, i)
		work += i * step * (c.voltage(s, i) + c.voltage(next, i)) / 2
		heat += c.cooling * step * ((s.temp+next.temp)/2 - ambient)
		s = next
		on = on && c.voltage(s, i) > cutoff
	}
	heat += c.heat * (s.temp - ambient)
	const parts = 20000
	for k := range parts {
		source += 3600 * c.capacity * c.ocv.at(s.z*(float64(k)+0.5)/parts) * s.z / parts
	}
	return source, work, heat
}

// First law: what the source gives is the work and the heat. With resistances
// that hold, to the error of the step. With those of the cells, to 0.2 %: the
// time constant is kept while R1 changes, so the capacitance changes under the
// charge on it, which is work that the model leaves out.
func TestEnergyBalance(t *testing.T) {
	for _, c := range []*cell{&alder, &birch, &cedar, &dogwood} {
		held := *c
		held.series.growth, held.series.activation = 0, 0
		held.polar.growth, held.polar.activation = 0, 0
		for _, current := range []float64{1, 6, 12} {
			source, work, heat := balance(&held, current)
			near(t, c.name+", resistances held", work+heat, source, 1e-5)
			source, work, heat = balance(c, current)
			near(t, c.name, work+heat, source, 2e-3)
			if heat < 0.005*source {
				t.Errorf("%s at %g A: only %.0f J of %.0f J became heat", c.name, current, heat, source)
			}
		}
	}
}

// The result must not hang on the step: ten times the step, the same charge.
func TestStepIsSmallEnough(t *testing.T) {
	charge := func(step float64) (ah, temp float64) {
		m := newMotion(&cedar, step, 23)
		s := state{temp: 23}
		for cedar.voltage(s, 12) > 2.80 {
			s = m.advance(s, 12)
		}
		return s.z * cedar.capacity, s.temp
	}
	q, temp := charge(0.1)
	coarse, coarseTemp := charge(1)
	near(t, "charge", coarse, q, 12.0/3600/q+5e-4) // one step's charge at the end
	near(t, "temperature", coarseTemp, temp, 2e-3)
}

// A resistance with activation energy E falls as e^(E/R·(1/T − 1/T₀))
// (Arrhenius). 20 kJ/mol with R = 8.314 J/(mol·K) from 25 to 35 °C:
// 20000/8.314·(1/308.15 − 1/298.15) = −0.26183, so to 0.76964.
func TestArrhenius(t *testing.T) {
	r := resistor{ref: 1, activation: 20000 / 8.314}
	near(t, "at 25 °C", r.at(0, 25), 1, 1e-12)
	near(t, "at 35 °C", r.at(0, 35), 0.76964, 1e-4)
	r.growth = 3
	near(t, "at the empty end", r.at(1, 25), 4, 1e-12)
}

func TestExp(t *testing.T) {
	for x := -8.0; x <= 8; x += 1.0 / 64 {
		near(t, "exp", exp(x), math.Exp(x), 1e-13)
	}
}

// A monotone cubic meets its points, keeps their order between them, has no
// kink at them, and is straight where they are (Fritsch and Butland 1984).
func TestCurve(t *testing.T) {
	straight := newCurve(point{0, 4}, point{0.1, 3.9}, point{0.7, 3.3}, point{1, 3})
	for z := -0.5; z < 1.5; z += 0.01 {
		near(t, "straight line", straight.at(z), 4-z, 1e-12)
	}
	for _, c := range []*cell{&alder, &birch, &cedar, &dogwood} {
		for k, p := range c.ocv.points {
			near(t, c.name+" at a point", c.ocv.at(p.z), p.v, 1e-12)
			if k == 0 || k == len(c.ocv.points)-1 {
				continue
			}
			const h = 1e-7
			left := (p.v - c.ocv.at(p.z-h)) / h
			right := (c.ocv.at(p.z+h) - p.v) / h
			near(t, c.name+" slope", left, right, 1e-3)
		}
		last := math.Inf(1)
		for z := -0.01; z < 1.03; z += 1e-4 {
			v := c.ocv.at(z)
			if v >= last {
				t.Fatalf("%s: voltage does not fall at depth %.4f", c.name, z)
			}
			last = v
		}
	}
}
