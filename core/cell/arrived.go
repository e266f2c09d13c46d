package cell

// Arrived is what was measured of a sample before it was ever charged, beside its
// mass. Zero stands for what was not, but for the voltage, which may be 0.
type Arrived struct {
	HasVoltage bool
	Voltage    float64 // V, open circuit, over all cells in series
	Diameter   float64 // mm; of a prismatic cell the thickness
	Length     float64 // mm; of a prismatic cell the height
	Resistance float64 // Ω, a.c. at 1 kHz
}
