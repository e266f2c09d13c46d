package measure

import (
	"math"
	"testing"

	"plateau/core/trace"
)

// A log that begins when the charger holds the voltage already: 4.2 V while the
// current falls from 1.2 A to 0.24 A as e^(−t/500 s), 4 min of rest, the load.
func TestChargeFromItsTail(t *testing.T) {
	tr := trace.New(false)
	held := 500 * math.Log(5)
	for s := 0.0; s <= held; s += 5 {
		tr.Append(s, 4.2, -1.2*math.Exp(-s/500), 0)
	}
	for s := held + 5; s < held+240; s += 5 {
		tr.Append(s, 4.19, 0, 0)
	}
	for s := held + 240; s < held+4000; s += 5 {
		tr.Append(s, 4.1-(s-held)/4000, 3, 0)
	}
	var run *trace.Run
	for _, s := range tr.Steps() {
		if s.Kind == trace.Discharge {
			run = trace.NewRun(tr, s)
		}
	}
	c, why := ChargeBefore(run)
	if c.To <= c.From || c.Whole || c.CV < 0.9 || math.Abs(c.Rest-237) > 8 || math.Abs(c.EndCurrent-0.24) > 0.005 {
		t.Errorf("%+v %s", c, why)
	}
	near(t, "charge of the tail", c.Capacity, 1.2*500*0.8/3600, 0.002)
}
