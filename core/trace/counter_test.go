package trace

import (
	"math"
	"math/rand/v2"
	"testing"
)

func sameBits(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// sameCounters compares the counters from sample at on with what was counted.
func sameCounters(t *testing.T, tr *Trace, at int, s samples) {
	t.Helper()
	for k := range s.t {
		q, e := tr.Counter(CounterCharge, at+k), tr.Counter(CounterEnergy, at+k)
		if !sameBits(q, s.ah[k]) || !sameBits(e, s.wh[k]) {
			t.Fatalf("sample %d counts %v Ah and %v Wh, want %v and %v", at+k, q, e, s.ah[k], s.wh[k])
		}
	}
}

// Counters come out as they were set, NaN where they were not, one by one and by
// windows.
func TestCounters(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for _, n := range lengths {
		tr, s := random(rng, n)
		sameCounters(t, tr, 0, s)
		from := rng.IntN(n)
		next := from
		for w := range tr.Windows(from, n) {
			for j, q := range w.Counts[CounterCharge] {
				if w.Start != next || !sameBits(float64(q), s.ah[w.Start+j]) || !sameBits(float64(w.Counts[CounterEnergy][j]), s.wh[w.Start+j]) {
					t.Fatalf("window at %d: sample %d counts %v Ah", w.Start, w.Start+j, q)
				}
			}
			next += len(w.Counts[CounterCharge])
		}
		if next != n {
			t.Errorf("windows end at %d of %d", next, n)
		}
	}
}

// A trace has the counters that it was given, and no others.
func TestNoCounter(t *testing.T) {
	tr := New(false).WithCounter(CounterEnergy)
	tr.Count(CounterEnergy, 1) // there is no sample yet
	tr.Append(0, 4, 1, 0)
	tr.Count(CounterCharge, 5)
	tr.Count(CounterEnergy, 2.5)
	if tr.HasCounter(CounterCharge) || !tr.HasCounter(CounterEnergy) {
		t.Error("counters are not those that were asked for")
	}
	if q, e := tr.Counter(CounterCharge, 0), tr.Counter(CounterEnergy, 0); !math.IsNaN(q) || e != 2.5 {
		t.Errorf("counts %v Ah and %v Wh, want NaN and 2.5", q, e)
	}
	if w := tr.Room(); w.Counts[CounterCharge] != nil || len(w.Counts[CounterEnergy]) != len(w.T) {
		t.Error("room for counters is not that of the columns")
	}
}

// Changing the sign or the size of currents leaves the counters, and what is
// summed up from them.
func TestNegateLeavesCounters(t *testing.T) {
	tr, s := random(rand.New(rand.NewPCG(5, 4)), 3*SegmentLen+50)
	q, e := sums(tr)
	tr.Negate()
	sameCounters(t, tr, 0, s)
	if q2, e2 := sums(tr); q2 != -q || e2 != -e {
		t.Errorf("%v Ah, %v Wh; with the sign changed %v and %v", q, e, q2, e2)
	}
	tr.Negate()
	tr.ScaleCurrent(0.001)
	tr.SetLead(0.02)
	sameCounters(t, tr, 0, s)
}

// Copies hold counters where both have them, NaN where the source has none.
func TestCopy(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 4))
	a, s := random(rng, 2*SegmentLen+5)
	plain := build([3]float64{1, 4, 2}, [3]float64{2, 3.9, 2})
	b := New(true).WithCounter(CounterCharge).WithCounter(CounterEnergy)
	b.Copy(a, 0)
	b.Copy(plain, 1e6)
	b.Copy(a, 2e6)
	if b.Len() != 2*a.Len()+2 {
		t.Fatalf("%d samples, want %d", b.Len(), 2*a.Len()+2)
	}
	sameCounters(t, b, 0, s)
	sameCounters(t, b, a.Len()+2, s)
	for k := a.Len(); k < a.Len()+2; k++ {
		if !math.IsNaN(b.Counter(CounterCharge, k)) || !math.IsNaN(b.Counter(CounterEnergy, k)) || !math.IsNaN(b.Temperature(k)) {
			t.Errorf("sample %d of a trace without counters counts %v Ah at %v °C", k, b.Counter(CounterCharge, k), b.Temperature(k))
		}
	}
	for k := range s.t {
		j := a.Len() + 2 + k
		if b.Time(k) != s.t[k] || b.Time(j) != s.t[k]+2e6 || b.Voltage(j) != s.v[k] || b.Current(j) != s.i[k] || b.Temperature(j) != s.temp[k] {
			t.Fatalf("sample %d was copied to %v s, %v V, %v A, %v °C", k, b.Time(j), b.Voltage(j), b.Current(j), b.Temperature(j))
		}
	}
	c := New(false)
	c.Copy(a, 0)
	if c.HasCounter(CounterCharge) || c.HasTemperature() || c.Len() != a.Len() {
		t.Error("a copy into fewer columns has more of them")
	}
}
