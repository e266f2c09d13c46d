package measure

import (
	"math"

	"plateau/core/say"
	"plateau/core/trace"
)

// Charge is the charge before a discharge in the same log, pauses of less than
// a minute included. NaN stands where the log has no value.
//
// Charge and energy are trapezoidal sums as in [trace.Run], the intervals
// beside a rest included.
type Charge struct {
	Capacity float64 // Ah, positive
	Energy   float64 // Wh, positive
	Duration float64 // s, pauses included
	// CC and CV are the shares of the charge, 0 to 1, given at constant
	// current and at constant voltage; the rest was given at neither.
	CC, CV     float64
	CVVoltage  float64 // V, the level held; NaN where none was
	Top        float64 // V, the highest
	EndCurrent float64 // A, positive, of the last sample before it went off
	TempStart  float64 // °C
	TempMax    float64 // °C
	Rest       float64 // s from the charge's end to the load
	// Whole: the charge's beginning is in the log, after a rest or a discharge.
	Whole bool
	// AfterDischarge: so is a discharge before it, which ended at PreviousEnd
	// in V (NaN where none). Charge and discharge compare like with like only
	// where that one ended as this one does.
	AfterDischarge bool
	PreviousEnd    float64
	EdgeLimit      float64 // Ah that its edges may hide, as in [Results]
	From, To       int     // samples, To left out
}

const (
	// pause in s is the longest rest that is part of a charge, as between its
	// steps. Common practice, no source.
	pause = 60
	// noCharging, as a share of the charge's largest current, is rest: a
	// charge ends at several times that. chargeFloor in A is what no
	// instrument tells from its offset. Common practice, no source.
	noCharging  = 0.01
	chargeFloor = 0.5e-3
	// A charge raises the voltage by chargeRise in V at least, and its largest
	// current is chargeShare of the discharge's: an offset at rest is none.
	chargeRise  = 0.02
	chargeShare = 0.005
	// A level of current stays within levelBand of its mean, drifts by less
	// than levelDrift from end to end, and lasts levelLasts in s. So the first
	// levelBand of the fall at constant voltage counts as constant current.
	levelBand  = 0.02
	levelDrift = 0.03
	levelLasts = 30
	// A voltage is held within heldBand of the highest, while the current
	// falls by more than heldFall.
	heldBand = 0.003
	heldFall = 0.05
)

const noChargeBefore = say.Later("the log has no charge before this discharge")

// ChargeBefore finds the charge that came before a run, with nothing but rest
// between the two; why says that there is none.
func ChargeBefore(r *trace.Run) (c Charge, why string) {
	tr := r.Trace()
	load := math.Abs(tr.Current(r.From + (r.To-r.From)/2))
	// Back to the discharge before, or to the log's beginning.
	start, most := r.From, 0.0
	for start > 0 && tr.Current(start-1) <= max(chargeFloor, float64(restAfter*load)) {
		start--
		most = max(most, -tr.Current(start))
	}
	limit := max(chargeFloor, float64(noCharging*most))
	if !(most > max(limit, float64(chargeShare*load))) {
		return Charge{}, say.Text(noChargeBefore)
	}
	c.To = r.From
	for -tr.Current(c.To-1) <= limit {
		c.To--
	}
	c.From = c.To - 1
	rest := -1 // the last sample of the pause that is looked through
	earlier := false
	for k := c.From - 1; k >= start; k-- {
		switch {
		case -tr.Current(k) > limit:
			earlier = rest >= 0 && tr.Time(rest)-tr.Time(k+1) > pause
			if !earlier {
				c.From, rest = k, -1
			}
		case rest < 0:
			rest = k
		}
		if earlier {
			break
		}
	}
	c.Whole = c.From > 0
	c.PreviousEnd = math.NaN()
	if start > 0 && !earlier {
		c.AfterDischarge, c.PreviousEnd = true, tr.Voltage(start-1)
	}
	c.add(tr, limit)
	c.phases(tr)
	// A log may begin when the voltage is held already.
	if c.Top-tr.Voltage(c.From) < chargeRise && c.CV < 0.5 || !(c.Capacity > 0) || math.IsInf(c.Capacity, 0) ||
		math.IsNaN(c.Energy) || math.IsInf(c.Energy, 0) {
		return Charge{}, say.Text(noChargeBefore)
	}
	c.EndCurrent = -tr.Current(c.To - 1)
	c.Rest = tr.Time(r.From) - tr.Time(c.To-1) - r.Before.Width/2
	if c.To < r.From {
		c.Rest -= (tr.Time(c.To) - tr.Time(c.To-1)) / 2
	} else {
		c.Rest = 0
	}
	c.TempStart = math.NaN()
	for k := c.From; k < c.To && math.IsNaN(c.TempStart) && tr.HasTemperature(); k++ {
		c.TempStart = tr.Temperature(k)
	}
	c.TempMax = tr.Hottest(c.From, c.To)
	return c, ""
}

// add adds up charge, energy and duration, with the intervals to the samples
// outside: beside a rest both ends count, beside a load only the charge's.
func (c *Charge) add(tr *trace.Trace, limit float64) {
	one := func(half, i, power float64) {
		c.Capacity -= float64(i * half)
		c.Energy -= float64(power * half)
	}
	var lastT, lastI, lastP float64
	first := true
	for w := range tr.Windows(c.From, c.To) {
		for j, t := range w.T {
			i, power := w.I[j], float64(w.V[j]*w.I[j])
			if !first {
				one((t-lastT)/7200, lastI+i, lastP+power)
			}
			first = false
			lastT, lastI, lastP = t, i, power
		}
	}
	c.Duration = tr.Time(c.To-1) - tr.Time(c.From)
	for _, edge := range [...][2]int{{c.From, c.From - 1}, {c.To - 1, c.To}} {
		in, out := edge[0], edge[1]
		if out < 0 || out >= tr.Len() {
			continue
		}
		width := math.Abs(tr.Time(out) - tr.Time(in))
		i, power := tr.Current(in), float64(tr.Voltage(in)*tr.Current(in))
		if math.Abs(tr.Current(out)) <= limit {
			i += tr.Current(out)
			power += float64(tr.Voltage(out) * tr.Current(out))
		}
		one(width/7200, i, power)
		c.Duration += width / 2
		c.EdgeLimit += math.Abs(float64(i * width / 7200))
	}
}

// stretch is a part of a charge at one current, within levelBand.
type stretch struct {
	n                  int
	first, last, mean  float64 // A
	start, end         float64 // s
	charge, volts, sum float64 // Ah; s·V and s, for the mean voltage
}

// phases tells how the charge went: at constant current, at constant voltage.
func (c *Charge) phases(tr *trace.Trace) {
	c.Top = math.Inf(-1)
	for w := range tr.Windows(c.From, c.To) {
		for _, v := range w.V {
			c.Top = max(c.Top, v)
		}
	}
	c.CVVoltage = math.NaN()
	var flat, other, heldCharge, heldFlat, volts, span float64
	var cvFirst, cvLast float64
	end := func(s stretch) {
		if s.n == 0 {
			return
		}
		steady := s.end-s.start >= levelLasts && math.Abs(s.last-s.first) <= levelDrift*s.mean
		switch {
		case s.sum > 0 && s.volts/s.sum >= c.Top*(1-heldBand):
			if heldCharge == 0 {
				cvFirst = s.first
			}
			cvLast = s.last
			heldCharge += s.charge
			volts += s.volts
			span += s.sum
			if steady {
				heldFlat += s.charge
			}
		case steady:
			flat += s.charge
		default:
			other += s.charge
		}
	}
	var s stretch
	var lastT, lastV, lastI float64
	for w := range tr.Windows(c.From, c.To) {
		for j, t := range w.T {
			v, i := w.V[j], -w.I[j]
			if s.n == 0 || !(math.Abs(i-s.mean) <= levelBand*math.Abs(s.mean)) {
				end(s)
				before := s.n > 0
				s = stretch{first: i, mean: i, start: t}
				if before {
					// The interval in which the current changed.
					s.charge = (i + lastI) * (t - lastT) / 7200
					s.volts, s.sum = float64((v+lastV)/2*(t-lastT)), t-lastT
				}
			} else {
				s.charge += (i + lastI) * (t - lastT) / 7200
				s.volts += float64((v + lastV) / 2 * (t - lastT))
				s.sum += t - lastT
			}
			s.n++
			s.mean += (i - s.mean) / float64(s.n)
			s.last, s.end = i, t
			lastT, lastV, lastI = t, v, i
		}
	}
	end(s)
	if heldCharge > 0 && cvFirst-cvLast > heldFall*cvFirst {
		c.CV, c.CVVoltage = heldCharge, volts/span
	} else {
		flat += heldFlat
		other += heldCharge - heldFlat
	}
	c.CC = flat
	total := c.CC + c.CV + other
	if total > 0 {
		c.CC, c.CV = min(max(c.CC/total, 0), 1), min(max(c.CV/total, 0), 1)
	} else {
		c.CC, c.CV = 0, 0
	}
}

// Efficiency is what a discharge gave back of the charge before it: 1 is all
// of it. Above 1 is possible, since the two are measured by different gains
// and the discharge before may have ended higher than this one.
type Efficiency struct {
	Coulombic float64 // Ah over Ah
	Energy    float64 // Wh over Wh
}

// Efficiency compares the results of the run that followed, taken to its end
// and not to a cut-off above it, with the charge. The reason is in place of
// the figures where there are none, and beside them where they mean little.
func (c Charge) Efficiency(res Results) (Efficiency, string) {
	switch {
	case !(c.Capacity > 0) || !(c.Energy > 0):
		return Efficiency{}, say.Text(noChargeBefore)
	case !(res.Capacity > 0) || !(res.Energy > 0):
		return Efficiency{}, ErrNoCharge.Error()
	case !c.Whole:
		return Efficiency{}, say.Text("the log begins within the charge: how much went in is not known")
	}
	e := Efficiency{Coulombic: res.Capacity / c.Capacity, Energy: res.Energy / c.Energy}
	if math.IsInf(e.Coulombic, 0) || math.IsInf(e.Energy, 0) {
		return Efficiency{}, say.Text("charge and discharge are too far apart to be compared")
	}
	if !c.AfterDischarge {
		return e, say.Text("the log has no discharge just before the charge: how empty the cell was then is not known")
	}
	return e, ""
}
