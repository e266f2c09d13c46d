package trace_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"plateau/core/trace"
)

// same tells whether two traces are equal to the last bit; any NaN is like any
// other.
func same(t *testing.T, a, b *trace.Trace) bool {
	t.Helper()
	if a.Len() != b.Len() || a.HasTemperature() != b.HasTemperature() || a.Lead() != b.Lead() {
		t.Errorf("%d samples, %d are back", a.Len(), b.Len())
		return false
	}
	bits := func(x float64) uint64 {
		if x != x {
			return 1
		}
		return math.Float64bits(x)
	}
	for k := range a.Len() {
		x := []float64{a.Time(k), a.Voltage(k), a.Current(k), a.Temperature(k), a.Counter(trace.CounterCharge, k), a.Counter(trace.CounterEnergy, k)}
		y := []float64{b.Time(k), b.Voltage(k), b.Current(k), b.Temperature(k), b.Counter(trace.CounterCharge, k), b.Counter(trace.CounterEnergy, k)}
		for c := range x {
			if bits(x[c]) != bits(y[c]) {
				t.Errorf("sample %d, column %d: %v is back as %v", k, c, x[c], y[c])
				return false
			}
		}
	}
	for _, c := range []trace.Counter{trace.CounterCharge, trace.CounterEnergy} {
		if a.HasCounter(c) != b.HasCounter(c) {
			t.Errorf("counter %d is there: %t and %t", c, a.HasCounter(c), b.HasCounter(c))
			return false
		}
	}
	return true
}

// back writes and reads a trace.
func back(t *testing.T, tr *trace.Trace) *trace.Trace {
	t.Helper()
	b, err := tr.AppendColumns(nil)
	if err != nil {
		t.Fatal(err)
	}
	got, err := trace.ReadColumns(b, tr.Len())
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// awkward is a trace of n samples with what makes each coding hard: times less an
// origin, mA made A, minus zero, NaN, values without decimals.
func awkward(n int, kind int) *trace.Trace {
	rng := rand.New(rand.NewPCG(uint64(n), uint64(kind)))
	tr := trace.New(kind != 1)
	if kind != 2 {
		tr.WithCounter(trace.CounterCharge)
	}
	if kind == 3 {
		tr.WithCounter(trace.CounterEnergy)
	}
	var q float64
	for k := range n {
		t := float64(k)*0.1 + 1769000000.3 - 1769000000.25
		v := float64(4200-rng.IntN(1700)) * 0.001
		i := math.Copysign(0, -1)
		c := 20 + float64(rng.IntN(50))/10
		switch {
		case kind == 3:
			t, v, i, c = t+rng.Float64()/100, rng.Float64()*4, 1/rng.NormFloat64(), (float64(680+rng.IntN(9))/10)*(5.0/9)+-160.0/9
		case k%5 > 1:
			i = float64(2000+rng.IntN(3)) * 1e-3
		case k%5 == 1:
			i = math.Copysign(0, -1)
		}
		switch rng.IntN(20) {
		case 0:
			c = math.NaN()
		case 1:
			c = 1e300
		case 2:
			c = math.Inf(-1)
		case 3:
			if kind == 3 {
				i = math.Inf(1)
			}
		case 4:
			c = 5e-324
		}
		tr.Append(t, v, i, c)
		q += i * 0.1 / 3600
		tr.Count(trace.CounterCharge, q)
		if rng.IntN(7) > 0 {
			tr.Count(trace.CounterEnergy, q*3.7)
		}
	}
	return tr
}

func TestColumnsKeepEveryBit(t *testing.T) {
	for kind := range 4 {
		for _, n := range []int{0, 1, 2, 63, 64, 65, 2047, 2048, 2049, 5000} {
			tr := awkward(n, kind)
			if !same(t, tr, back(t, tr)) {
				t.Errorf("kind %d, %d samples", kind, n)
			}
		}
	}
}

func TestColumnsKeepVoltageAsRead(t *testing.T) {
	plain, led := awkward(3000, 0), awkward(3000, 0)
	led.SetLead(0.017)
	if led.Voltage(7) == plain.Voltage(7) {
		t.Fatal("the lead takes nothing off")
	}
	same(t, plain, back(t, led))
}

// A trace that is read back goes on as the one that was written would.
func TestColumnsGoOn(t *testing.T) {
	a := awkward(2100, 0)
	b := back(t, a)
	for k := range 3000 {
		at := a.Time(a.Len()-1) + float64(k%3)
		for _, tr := range []*trace.Trace{a, b} {
			tr.Append(at, 3.5, 2, 21)
			tr.Count(trace.CounterCharge, float64(k))
		}
	}
	if !same(t, a, b) || a.Hottest(0, a.Len()) != b.Hottest(0, b.Len()) {
		t.Error("differ")
	}
	g, k := a.LongestGap(0, a.Len())
	if h, l := b.LongestGap(0, b.Len()); g != h || k != l {
		t.Errorf("gap %g at %d, was %g at %d", h, l, g, k)
	}
}

// By hand from the form's description: three samples, time 0, 1, 2 s by differences
// of differences, voltage raw, current 1.5 A, 1.5 A, −0 A with a correction.
func TestColumnsByHand(t *testing.T) {
	b := []byte{1, 3, 0, 0x30, 3, 0, 2, 0, 0, 24}
	for _, v := range []float64{4.1, 4.05, 4.0} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	b = append(b, 0x51, 6, 30, 0, 29, 0, 0, 2)
	tr, err := trace.ReadColumns(b, 3)
	if err != nil {
		t.Fatal(err)
	}
	want := trace.New(false)
	want.Append(0, 4.1, 1.5, 0)
	want.Append(1, 4.05, 1.5, 0)
	want.Append(2, 4.0, math.Copysign(0, -1), 0)
	same(t, want, tr)
	// 29 is the zigzag of −15, 2 that of 1; a step up from 4.0 is 4.000000000000001.
	copy(b[len(b)-8:], []byte{0x51, 6, 80, 0, 0, 5, 0, 4})
	if tr, err = trace.ReadColumns(b, 3); err != nil || tr.Current(0) != math.Nextafter(4, 5) || tr.Current(1) != 4 || tr.Current(2) != math.Nextafter(4, 0) {
		t.Errorf("%v %v %v %v", err, tr.Current(0), tr.Current(1), tr.Current(2))
	}
}

// Readings of an instrument take a byte or two each, before they are compressed;
// values without decimals at most what they take in memory.
func TestColumnsAreCompact(t *testing.T) {
	const n = 20000
	rng := rand.New(rand.NewPCG(1, 6))
	plain, derived := trace.New(true), trace.New(false)
	for k := range n {
		v := float64(42000-k+rng.IntN(9)) / 10000
		plain.Append(float64(k)*1.25, v, float64(3000+rng.IntN(5))*0.001, 20+float64(k/100)/10)
		derived.Append(float64(k)+rng.Float64()/3, math.Sqrt(rng.Float64()), 1/v, 0)
	}
	for _, x := range []struct {
		tr   *trace.Trace
		most float64
	}{{plain, 5.1}, {derived, 24.01}} {
		b, err := x.tr.AppendColumns(nil)
		if got := float64(len(b)) / n; err != nil || got > x.most {
			t.Errorf("%.2f bytes a sample, at most %g wanted: %v", got, x.most, err)
		}
		same(t, x.tr, back(t, x.tr))
	}
}

func TestColumnsUnsound(t *testing.T) {
	for _, x := range []struct {
		t, v, i float64
		want    string
	}{{math.NaN(), 1, 1, "time of sample 2"}, {math.Inf(1), 1, 1, "time of sample 2"}, {-1, 1, 1, "goes back"},
		{1, math.NaN(), 1, "sample 2 is no number"}, {1, 1, math.NaN(), "sample 2 is no number"}} {
		tr := trace.New(false)
		tr.Append(0, 1, 1, 0)
		tr.Append(x.t, x.v, x.i, 0)
		b, err := tr.AppendColumns([]byte{7})
		if err == nil || !strings.Contains(err.Error(), x.want) || !bytes.Equal(b, []byte{7}) {
			t.Errorf("%v: %v, %d", x, err, b)
		}
	}
}

// What is cut short, spoilt or made to harm is refused; nothing panics and no
// more memory is taken than the bytes can stand for.
func TestColumnsSpoilt(t *testing.T) {
	for kind := range 4 {
		tr := awkward(300, kind)
		whole, err := tr.AppendColumns(nil)
		if err != nil {
			t.Fatal(err)
		}
		for n := range whole {
			if _, err := trace.ReadColumns(whole[:n], 1e6); err == nil {
				t.Errorf("read of %d bytes of %d", n, len(whole))
			}
		}
		if _, err := trace.ReadColumns(append(whole[:len(whole):len(whole)], 0), 1e6); err == nil {
			t.Error("read with a byte too many")
		}
		if _, err := trace.ReadColumns(whole, 299); err == nil || !strings.Contains(err.Error(), "300 samples, more than 299") {
			t.Error(err)
		}
		rng := rand.New(rand.NewPCG(9, uint64(kind)))
		for range 3000 {
			b := bytes.Clone(whole)
			b[rng.IntN(len(b))] ^= 1 << rng.IntN(8)
			if got, err := trace.ReadColumns(b, 1e6); err == nil && got.Len() > len(b) {
				t.Errorf("%d samples of %d bytes", got.Len(), len(b))
			}
		}
	}
	huge := append(binary.AppendUvarint([]byte{1}, 1<<62), 7)
	for _, b := range [][]byte{nil, {}, {1}, {2, 0, 0}, {1, 0, 8}, {1, 0, 0x80}, {1, 1, 0, 0x1a, 1, 0}, {1, 1, 0, 0x0f, 1, 0}, {1, 1, 0, 0x90, 1, 0}, huge} {
		if _, err := trace.ReadColumns(b, math.MaxInt); err == nil {
			t.Errorf("%x is read", b)
		}
	}
}

func FuzzReadColumns(f *testing.F) {
	for kind := range 4 {
		b, err := awkward(40, kind).AppendColumns(nil)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		tr, err := trace.ReadColumns(b, 1<<16)
		if err != nil {
			return
		}
		for w := range tr.Windows(0, tr.Len()) {
			_ = w.T
		}
		tr.Steps()
		if !same(t, tr, back(t, tr)) {
			t.Errorf("%x", b)
		}
	})
}

func million() *trace.Trace {
	rng := rand.New(rand.NewPCG(1, 6))
	tr := trace.New(true)
	for k := range 1_000_000 {
		tr.Append(float64(k)*0.5, float64(42000-k/60+rng.IntN(9))/10000, float64(3000+rng.IntN(5))*0.001, 20+float64(k/1000)/100)
	}
	return tr
}

func BenchmarkAppendColumns(b *testing.B) {
	tr := million()
	b.ResetTimer()
	for b.Loop() {
		out, err := tr.AppendColumns(nil)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(out))/float64(tr.Len()), "B/row")
	}
}

func BenchmarkReadColumns(b *testing.B) {
	out, err := million().AppendColumns(nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	for b.Loop() {
		if _, err := trace.ReadColumns(out, 1e6); err != nil {
			b.Fatal(err)
		}
	}
}
