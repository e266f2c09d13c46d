package demo

const (
	kelvin    = 273.15        // K at 0 °C
	reference = 25.0 + kelvin // K at which resistances are stated
)

// resistor is a resistance that grows towards the empty end and falls as the
// cell warms.
type resistor struct {
	ref        float64 // Ω at z = 0 and 25 °C
	growth     float64 // a: at z = 1 it is ref·(1 + a)
	activation float64 // B in K
}

// at is the resistance in Ω at depth z and temperature temp in °C.
func (r resistor) at(z, temp float64) float64 {
	z2 := float64(z * z)
	z4 := float64(z2 * z2)
	end := 1 + float64(r.growth*float64(z4*z4))
	warm := exp(float64(r.activation * (1/(temp+kelvin) - 1/reference)))
	return float64(r.ref*end) * warm
}

// cell holds the constants of the model in the package's comment.
type cell struct {
	name     string
	ocv      curve    // U(z) in V
	capacity float64  // C in Ah, from z = 0 to z = 1
	series   resistor // R0
	polar    resistor // R1
	tau      float64  // s
	heat     float64  // m·c in J/K
	cooling  float64  // h·A in W/K
}

// state is what changes in a cell.
type state struct {
	z    float64 // depth of discharge
	v    float64 // polarisation in V
	temp float64 // °C
}

// emf is the voltage in V behind the series resistance: U(z) − v.
func (c *cell) emf(s state) float64 { return c.ocv.at(s.z) - s.v }

// voltage is the terminal voltage in V at current i in A.
func (c *cell) voltage(s state, i float64) float64 {
	return c.emf(s) - float64(i*c.series.at(s.z, s.temp))
}

// motion advances a cell by one time step: decay = e^(−step/τ) is exact for the
// polarisation while current and resistance hold; depth and temperature go by
// Euler's rule, the step being small beside the hours and minutes they take.
type motion struct {
	*cell
	step    float64 // s
	decay   float64
	ambient float64 // °C
}

func newMotion(c *cell, step, ambient float64) motion {
	return motion{c, step, exp(-step / c.tau), ambient}
}

// advance is the state one step later, at current i in A.
func (m motion) advance(s state, i float64) state {
	r0, r1 := m.series.at(s.z, s.temp), m.polar.at(s.z, s.temp)
	power := float64(float64(i*i)*r0) + float64(s.v*s.v)/r1
	loss := float64(m.cooling * (s.temp - m.ambient))
	target := float64(i * r1)
	return state{
		z:    s.z + float64(i*m.step)/float64(3600*m.capacity),
		v:    target + float64((s.v-target)*m.decay),
		temp: s.temp + float64((power-loss)*m.step)/m.heat,
	}
}
