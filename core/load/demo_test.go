package load

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"plateau/core/demo"
	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/trace"
)

// Each demo cell without its run at 3 A, or at 12 A where there is one above it,
// tells of that run within what it states. The cells are invented, with heat and
// polarisation: this shows that nothing is out of order, no more.
func TestDemo(t *testing.T) {
	runs := map[string]map[float64]*trace.Run{}
	for _, l := range demo.Logs() {
		var b bytes.Buffer
		if _, err := l.WriteTo(&b); err != nil {
			t.Fatal(err)
		}
		log, err := logfile.Read(l.Name, &b)
		if err != nil {
			t.Fatal(err)
		}
		name, rest, _ := strings.Cut(l.Name, " ")
		var amps float64
		if _, err := fmt.Sscanf(rest, "%g A", &amps); err != nil {
			t.Fatal(l.Name, err)
		}
		if name == "Birch" && amps == 6 {
			continue // its start is missing
		}
		for _, s := range log.Trace.Steps() {
			if s.Kind == trace.Discharge && s.To-s.From > 20 {
				if runs[name] == nil {
					runs[name] = map[float64]*trace.Run{}
				}
				runs[name][amps] = trace.NewRun(log.Trace, s)
			}
		}
	}
	checked := 0
	for name, by := range runs {
		for _, out := range []float64{3, 6, 12} {
			var curves []Curve
			for _, amps := range []float64{0.8, 0.96, 1, 1.2, 3, 6, 12, 18} {
				if r := by[amps]; r != nil && amps != out {
					curves = append(curves, Curve{Run: r, Current: amps, Spec: flawless, Relative: 0.003, DF: 8})
				}
			}
			if by[out] == nil || out >= curves[len(curves)-1].Current {
				continue
			}
			m, err := New(curves)
			if err != nil {
				t.Fatal(err)
			}
			for _, cutoff := range []float64{2.8, 3.0, 3.1} {
				ans, err := m.Answer(Ask{Current: out, Cutoff: cutoff})
				res, err2 := measure.Discharge(by[out], cutoff)
				if err != nil || err2 != nil {
					t.Errorf("%s at %g A to %g V: %v, %v", name, out, cutoff, err, err2)
					continue
				}
				checked++
				if math.Abs(ans.Charge-res.Capacity) > ans.ChargeBudget.Expanded() || math.Abs(ans.Energy-res.Energy) > ans.EnergyBudget.Expanded() ||
					math.Abs(ans.EndTemp-res.TempMax) > 0.1*res.TempRise+1 {
					t.Errorf("%s at %g A to %g V: %.3f ± %.3f Ah, %.2f ± %.2f Wh, %.1f °C; its own run has %.3f Ah, %.2f Wh, %.1f °C", name, out, cutoff,
						ans.Charge, ans.ChargeBudget.Expanded(), ans.Energy, ans.EnergyBudget.Expanded(), ans.EndTemp, res.Capacity, res.Energy, res.TempMax)
				}
			}
		}
	}
	if checked < 20 {
		t.Errorf("%d loads were looked at, want 20 at least", checked)
	}
}
