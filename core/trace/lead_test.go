package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate"
)

// sums are charge and energy of all of a trace, its summaries used.
func sums(tr *Trace) (q, e float64) {
	last := NewRun(tr, Step{Discharge, 0, tr.Len()}).Last()
	return last.Q, last.E
}

// The leads' drop is added to the voltage as read, each time anew, and taking it
// off gives back each voltage to the last bit, with all that is summed up.
func TestSetLead(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 4))
	for _, n := range lengths {
		tr, s := random(rng, n)
		q0, e0 := sums(tr)
		for _, ohm := range []float64{0.01, 0.0337, 0.01, 1e-5, 0, 0.5, 0} {
			tr.SetLead(ohm)
			if tr.Lead() != ohm {
				t.Fatalf("the lead is %v Ω, was set to %v Ω", tr.Lead(), ohm)
			}
			var power []float64
			for k := range s.t {
				want := s.v[k]
				if ohm != 0 {
					want = s.v[k] + float64(s.i[k]*ohm)
				}
				if got := tr.Voltage(k); math.Float64bits(got) != math.Float64bits(want) {
					t.Fatalf("%d samples, %v Ω: sample %d has %v V, want %v V", n, ohm, k, got, want)
				}
				power = append(power, want*s.i[k])
			}
			q, e := sums(tr)
			if q != q0 {
				t.Errorf("%d samples, %v Ω: the charge goes from %v to %v Ah", n, ohm, q0, q)
			}
			if ohm == 0 && e != e0 {
				t.Errorf("%d samples: the energy was %v Wh, is %v Wh after the leads were taken off again", n, e0, e)
			}
			if n > 1 {
				var size float64
				for k, p := range power {
					size = max(size, math.Abs(p)*s.t[k])
				}
				near(t, "energy", e, integrate.Trapezoidal(s.t, power)/3600, 1e-12*size)
			}
		}
	}
}

// What the leads take up is R·∫I²dt.
func TestLeadEnergy(t *testing.T) {
	tr, s := random(rand.New(rand.NewPCG(8, 4)), 3*SegmentLen+200)
	r := NewRun(tr, Step{Discharge, 0, tr.Len()})
	_, e0 := sums(tr)
	heat := r.SquaredCharge(tr.Len())
	tr.SetLead(0.025)
	_, e := sums(tr)
	near(t, "energy in the leads", e-e0, 0.025*heat, 1e-9*heat)
	if len(s.t) == 0 || heat <= 0 {
		t.Fatal("nothing was taken up")
	}
}

// Samples that come after the leads are set are corrected as well, and given
// back as read.
func TestLeadThenMoreSamples(t *testing.T) {
	tr := build([3]float64{0, 4, 2}, [3]float64{1, 3.9, 2})
	tr.SetLead(0.1)
	for k := range SegmentLen {
		tr.Append(2+float64(k), 3.8, 1, 0)
	}
	for _, ohm := range []float64{0.1, 0.2, 0.1, 0} {
		tr.SetLead(ohm)
		for _, k := range []int{0, 1, 2, SegmentLen - 1, SegmentLen, SegmentLen + 1} {
			want := [3]float64{4, 3.9, 3.8}[min(k, 2)] + float64([3]float64{2, 2, 1}[min(k, 2)]*ohm)
			if got := tr.Voltage(k); got != want {
				t.Errorf("%v Ω: sample %d has %v V, want %v V", ohm, k, got, want)
			}
		}
	}
}
