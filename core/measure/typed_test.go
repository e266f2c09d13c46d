package measure

import (
	"errors"
	"math"
	"testing"

	"plateau/core/cell"
	"plateau/core/tester"
	"plateau/core/trace"
)

// Current ±1 % and time ±0.1 % as rectangular limits are u = 0.580 % of the
// charge, U (k = 2) 1.16 %: worked out from the tolerances of IEC 61960 clause 4
// (from memory). With a cut-off at 0 V and no last digit nothing else is in it.
func TestTypedTolerances(t *testing.T) {
	res, b, err := Typed(Display{Capacity: 2.5, Energy: 9, Current: 0.5}, tester.Spec{})
	if err != nil || res.Duration != 18000 || res.Average != 3.6 {
		t.Fatal(res, err)
	}
	want := math.Sqrt(math.Pow(0.01/math.Sqrt(3), 2) + math.Pow(0.001/math.Sqrt(3), 2))
	if got := b[Capacity].Combined() / 2.5; math.Abs(got-want) > 1e-9 || math.Abs(got-0.0058) > 5e-5 {
		t.Errorf("u of the charge is %.4f %%, want %.4f %%", 100*got, 100*want)
	}
	// Energy and charge share the current's gain: the average voltage has that of
	// the voltmeter alone.
	if got, want := b[Average].Combined()/3.6, 0.01/math.Sqrt(3); math.Abs(got-want) > 1e-9 {
		t.Errorf("u of the average voltage is %.4f %%, want %.4f %%", 100*got, 100*want)
	}
}

func TestTypedDigits(t *testing.T) {
	with, b, _ := Typed(Display{Capacity: 2.5, CapacityStep: 0.1, Current: 0.5, Cutoff: 2.5}, tester.Spec{})
	_, without, _ := Typed(Display{Capacity: 2.5, Current: 0.5, Cutoff: 2.5}, tester.Spec{})
	// A step of 0.1 Ah is u = 0.1/√12 Ah (GUM F.2.2.1).
	u, u0 := b[Capacity].Combined(), without[Capacity].Combined()
	if got, want := math.Sqrt(u*u-u0*u0), 0.1/math.Sqrt(12); math.Abs(got-want) > 1e-9 {
		t.Errorf("the last digit adds %g Ah, want %g", got, want)
	}
	if !math.IsNaN(with.Energy) || !math.IsNaN(with.Average) || b[Energy].Combined() != 0 {
		t.Errorf("an energy that was not typed is %g", with.Energy)
	}
	for _, d := range []Display{{}, {Capacity: 2.5}, {Current: 1}, {Capacity: math.NaN(), Current: 1}, {Capacity: -1, Current: 1}} {
		if _, _, err := Typed(d, tester.Spec{}); !errors.Is(err, ErrDisplay) {
			t.Errorf("%+v: %v", d, err)
		}
	}
}

// What a typed run and one of a log have in common goes by the same names: else
// nothing would cancel between the two.
func TestTypedNames(t *testing.T) {
	spec := tester.Spec{Voltage: []tester.Range{{Gain: 0.0005, Offset: 2e-3}}, Current: []tester.Range{{Gain: 0.001, Offset: 5e-3}}, TimeBase: 1e-4}
	tr := trace.New(true)
	for k := range 400 {
		v, i := 4.1-float64(k)*0.004, 1.0
		if k < 10 {
			v, i = 4.15, 0
		}
		tr.Append(float64(k)*30, v, i, 22)
	}
	for _, s := range tr.Steps() {
		if s.Kind != trace.Discharge {
			continue
		}
		r := trace.NewRun(tr, s)
		res, err := Discharge(r, 2.8)
		if err != nil {
			t.Fatal(err)
		}
		logged, _ := Uncertainty(r, res, spec)
		_, b, _ := Typed(Display{Capacity: res.Capacity, Energy: res.Energy, Current: 1, Cutoff: 2.8}, spec)
		for _, name := range []string{"current gain", "current offset", "time base", "voltage gain", "voltage offset"} {
			var u [2]float64
			for k, budgets := range []Budgets{logged, b} {
				for _, term := range budgets[Energy].Terms {
					if term.Name == name {
						u[k] = term.U
					}
				}
			}
			// Through the cut-off a voltage acts by the slope there, which no display
			// tells: of a straight line it is far steeper than what is assumed.
			throughCutoff := name == "voltage gain" || name == "voltage offset"
			if u[0] == 0 || u[1] == 0 || u[0]*u[1] < 0 || !throughCutoff && math.Abs(u[1]/u[0]-1) > 0.02 {
				t.Errorf("%s: %g Wh of the log, %g Wh as typed", name, u[0], u[1])
			}
		}
		return
	}
	t.Fatal("no discharge")
}

// Findings that bear on what a run can prove say which way.
func TestBearings(t *testing.T) {
	good := cell.Cell{Rated: 1.7, Cutoff: 2.9, ChargeVoltage: 4.2, ChargeEnd: 0.1, MaxCurrent: 5}
	for _, tt := range []struct {
		name   string
		charge func(tr *trace.Trace)
		temp   float64
		want   Bearing
	}{
		{"sound", charged(0.1, 4.2, 5000), 22, NoBearing},
		{"charge ended early", charged(0.6, 4.2, 5000), 22, Lowers},
		{"charged to less", charged(0.1, 4.1, 5000), 22, Lowers},
		{"charged to more", charged(0.1, 4.35, 5000), 22, Raises},
		{"rested for 10 min", charged(0.1, 4.2, 600), 22, NoAttempt},
		{"rested for 5 h", charged(0.1, 4.2, 18000), 22, NoAttempt},
		{"cold", charged(0.1, 4.2, 5000), 5, Lowers},
		{"warm", charged(0.1, 4.2, 5000), 35, Raises},
	} {
		tr := trace.New(true)
		tt.charge(tr)
		for k := range 700 {
			v, i := 4.05-float64(k)*0.00165, 1.0
			if k < 3 {
				v, i = 4.15, 0
			}
			tr.Append(float64(k)*9, v, i, tt.temp)
		}
		var found []Bearing
		steps := tr.Steps()
		for _, s := range steps {
			if s.Kind != trace.Discharge {
				continue
			}
			r := trace.NewRun(tr, s)
			res, err := Discharge(r, 0)
			if err != nil {
				t.Fatal(tt.name, err)
			}
			c, _ := ChargeBefore(r)
			for _, f := range Findings(Facts{Run: r, Results: res, Cell: good, Charge: &c}) {
				if f.Bearing != NoBearing {
					found = append(found, f.Bearing)
					if f.Because == "" {
						t.Errorf("%s: no reason for %q", tt.name, f.Text)
					}
				}
			}
		}
		has := tt.want == NoBearing && len(found) == 0
		for _, b := range found {
			has = has || b == tt.want
		}
		if !has {
			t.Errorf("%s: %v, want %v", tt.name, found, tt.want)
		}
	}
}
