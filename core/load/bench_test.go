package load

import (
	"math/rand/v2"
	"testing"
)

// eight runs of 20,000 samples.
func eight() (curves []Curve) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, amps := range []float64{1, 2, 3, 5, 7, 10, 14, 20} {
		curves = append(curves, Curve{Current: amps, Spec: flawless, Relative: 0.003, DF: 8,
			Run: logged(amps, 3600*5.5/amps/20_000, 2.5, func(q, _ float64) float64 { return 4.2 - 0.3*q - 0.01*amps + 0.3e-3*rng.NormFloat64() })})
	}
	return curves
}

func BenchmarkNew(b *testing.B) {
	curves := eight()
	for b.Loop() {
		if _, err := New(curves); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAnswer(b *testing.B) {
	m, err := New(eight())
	if err != nil {
		b.Fatal(err)
	}
	for name, a := range map[string]Ask{"current": {Current: 8, Cutoff: 2.8}, "power": {Power: 25, Cutoff: 2.8}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := m.Answer(a); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
