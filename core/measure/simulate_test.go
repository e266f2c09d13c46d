package measure

import (
	"math"
	"math/rand/v2"

	"plateau/core/tester"
	"plateau/core/trace"
)

// model is a cell whose curve is known in closed form, so that every figure of a
// discharge at constant current is known exactly:
//
//	V(t) = U(q) − I·R0 − I·R1·(1 − e^(−t/τ)),  q = I·t/3600,  x = q/C
//	U(q) = U0 − x + 0.2·x² − 0.75·x²⁰
type model struct {
	capacity, r0, r1, tau float64 // Ah, Ω, Ω, s
	full                  float64 // V, at x = 0
}

// sound is one cell of many that are not quite alike.
func sound(rng *rand.Rand) model {
	return model{capacity: 4.9 + 0.2*rng.Float64(), r0: 0.02, r1: 0.012, tau: 40, full: 4.175 + 0.01*rng.Float64()}
}

func (m model) open(q float64) float64 {
	x := q / m.capacity
	return m.full - x + 0.2*x*x - 0.75*math.Pow(x, 20)
}

func (m model) volts(t, i float64) float64 {
	return m.open(i*t/3600) - i*m.r0 - i*m.r1*(1-math.Exp(-t/m.tau))
}

// joules is ∫V dt from 0 to t at current i, in V·s.
func (m model) joules(t, i float64) float64 {
	x := i * t / 3600 / m.capacity
	open := t * (m.full - x/2 + 0.2*x*x/3 - 0.75*math.Pow(x, 20)/21)
	return open - i*m.r0*t - i*m.r1*(t-m.tau*(1-math.Exp(-t/m.tau)))
}

// until is when the voltage falls through v.
func (m model) until(v, i float64) float64 {
	low, high := 60.0, 3600*1.2*m.capacity/i
	for range 60 {
		if mid := (low + high) / 2; m.volts(mid, i) > v {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// rig is a tester of a given specification, and how it logs.
type rig struct {
	name     string
	spec     tester.Spec
	assumed  tester.Use // what its errors are drawn from
	every    float64    // s
	amps     float64
	noiseV   float64 // V
	noiseI   float64 // A
	lead     float64 // Ω, nominal, in the two-wire set-up
	cutoff   float64 // V asked for; 0 for the run's own end
	stepV    float64 // V, the log's digits
	stepI    float64 // A
	instants bool    // the tester writes a row when the load goes off
}

// truth is what is so, beside what is measured.
type truth struct {
	at   func(cutoff float64) Results // down to it, or with 0 to where the load went off
	ohms map[float64]float64          // at s after the step
	back float64                      // at 10 s after the load went off
}

// drawn is an error of a stated size by what it stands for.
func drawn(rng *rand.Rand, l tester.Limit, stated float64) float64 {
	if l.Basis == tester.Calibration {
		return rng.NormFloat64() * stated / 2
	}
	return (2*rng.Float64() - 1) * stated
}

func rounded(x, step float64) float64 {
	if step == 0 {
		return x
	}
	return math.Round(x/step) * step
}

// log simulates one discharge and its log.
func (g rig) log(m model, rng *rand.Rand) (*trace.Run, truth) {
	u := g.assumed
	gi, oi := drawn(rng, u.Current, u.Current.Gain), drawn(rng, u.Current, u.Current.Offset)
	gv, ov := drawn(rng, u.Voltage, u.Voltage.Gain), drawn(rng, u.Voltage, u.Voltage.Offset)
	gt := drawn(rng, u.Time, u.Time.Gain)
	lead := 0.0
	if g.lead > 0 {
		lead = g.lead + (2*rng.Float64()-1)*u.LeadError
	}
	// A sensor that is off by up to its limits, and in a difference of two
	// temperatures by no more than in one.
	var e0, e1 float64
	if size := u.Temperature.Offset; u.Temperature.Basis == tester.Calibration {
		e0 = rng.NormFloat64() * size / 2
		e1 = e0/2 + math.Sqrt(0.75)*rng.NormFloat64()*size/2
	} else {
		d := (2*rng.Float64() - 1) * size
		low, high := math.Max(-size, -size-d), math.Min(size, size-d)
		e0 = low + (high-low)*rng.Float64()
		e1 = e0 + d
	}
	// The set current is what it is; the tester's reading differs.
	amps := g.amps * (1 + 0.01*(2*rng.Float64()-1))
	on := 120 + g.every*rng.Float64() // true s; rows at whole intervals
	stop := 2.42 - g.lead*amps        // V as the tester reads it
	off := m.until((stop-ov)/(1+gv)+amps*lead, amps)
	full := 20 + 12.0
	temp := func(t float64) float64 { return 20 + 12*math.Min(math.Max(t, 0), off)/off }

	tr := trace.New(true)
	row := func(t, v, i float64) {
		if i != 0 {
			i = i*(1+gi) + oi + g.noiseI*rng.NormFloat64()
		}
		c := temp(t - on)
		c += e0 + (e1-e0)*(c-20)/(full-20)
		tr.Append((t)*(1+gt), rounded((v-amps*lead*sign(i))*(1+gv)+ov+g.noiseV*rng.NormFloat64(), g.stepV), rounded(i, g.stepI), rounded(c+0.05*rng.NormFloat64(), 0.1))
	}
	after := func(t float64) float64 { // s since the load went off
		return m.open(amps*off/3600) - amps*m.r1*(1-math.Exp(-off/m.tau))*math.Exp(-t/m.tau)
	}
	written := false
	for t := 0.0; t < on+off+400; t += g.every {
		switch {
		case t < on:
			row(t, m.open(0), 0)
		case t < on+off:
			row(t, m.volts(t-on, amps), amps)
		default:
			if g.instants && !written {
				row(on+off, m.volts(off, amps), amps)
				written = true
			}
			row(t, after(t-on-off), 0)
		}
	}
	tr.SetLead(g.lead)
	var r *trace.Run
	for _, s := range tr.Steps() {
		if s.Kind == trace.Discharge && s.To-s.From > 3 {
			r = trace.NewRun(tr, s)
		}
	}
	w := truth{at: func(cutoff float64) Results {
		end := off
		if cutoff > 0 {
			end = m.until(cutoff, amps)
		}
		q := amps * end / 3600
		res := Results{Capacity: q, Energy: amps * m.joules(end, amps) / 3600, Duration: end, Current: amps, Start: m.open(0),
			TempStart: 20, TempMax: temp(end), End: cutoff}
		res.Average = res.Energy / q
		res.MidPoint = m.volts(end/2, amps)
		if r != nil {
			first, last := tr.Time(r.From)/(1+gt), tr.Time(r.To-1)/(1+gt)
			res.TempStart = temp(first - on)
			if cutoff == 0 {
				res.End, res.TempMax = m.volts(last-on, amps), temp(last-on)
			}
		}
		res.TempRise = res.TempMax - res.TempStart
		return res
	}}
	w.ohms = map[float64]float64{}
	for _, t := range usualTimes {
		w.ohms[t] = (m.open(0) - m.volts(t, amps)) / amps
	}
	w.back = (after(10) - m.volts(off, amps)) / amps
	return r, w
}

func sign(i float64) float64 {
	if i != 0 {
		return 1
	}
	return 0
}
