package measure

import (
	"fmt"
	"math"

	"plateau/core/gum"
	"plateau/core/say"
)

func (u *budgeter) temperatures() {
	t := u.use.Temperature
	s := source{say.Later("sensor of temperature"), fmt.Sprintf("±%.3g °C, %s", t.Offset, t.Words()), t.Shape()}
	by := t.U(t.Offset)
	for _, q := range []Quantity{TempStart, TempMax} {
		if !math.IsNaN(q.Of(u.res)) {
			u.add(s, q, by)
		}
	}
	// An offset of the sensor cancels in the rise; its limit is allowed for the
	// rest of its error.
	if !math.IsNaN(u.res.TempRise) {
		u.add(s, TempRise, by)
	}
	last := u.drift()
	s = source{say.Later("sampling of the temperature"), say.Text("its change within an interval"), gum.Rectangular}
	u.add(s, TempMax, gum.LimitsToU(last))
	u.add(s, TempRise, gum.LimitsToU(last))
	if sd, _ := scatter(u.r, celsius); sd > 0 {
		s := source{say.Later("scatter of the temperature"), say.With("standard deviation %.2g °C", sd), gum.Normal}
		u.add(s, TempStart, sd)
		u.add(s, TempMax, sd)
		u.add(s, TempRise, sd*math.Sqrt2)
	}
}

// drift is by how much the temperature changes in °C within a sampling interval
// at the end of the run, judged over ten intervals.
func (u *budgeter) drift() float64 {
	const span = 10
	tr, to := u.r.Trace(), u.r.To-1
	n := min(span, to-u.r.From)
	if n < 1 || !tr.HasTemperature() {
		return 0
	}
	if d := math.Abs(tr.Temperature(to)-tr.Temperature(to-n)) / float64(n); !math.IsNaN(d) {
		return d
	}
	return 0
}
