package measure

import (
	"fmt"
	"math"
	"sync"

	"plateau/core/gum"
	"plateau/core/say"
	"plateau/core/tester"
	"plateau/core/trace"
)

// Quantity is one figure of a run.
type Quantity uint8

// The figures that have an uncertainty budget.
const (
	Capacity  Quantity = iota // Ah
	Energy                    // Wh
	Average                   // V
	MidPoint                  // V
	Duration                  // s
	Current                   // A
	Start                     // V
	End                       // V
	TempStart                 // °C
	TempMax                   // °C
	TempRise                  // °C
	Quantities
)

// Of is the figure's value in a run's results.
func (q Quantity) Of(r Results) float64 {
	return [...]float64{r.Capacity, r.Energy, r.Average, r.MidPoint, r.Duration, r.Current,
		r.Start, r.End, r.TempStart, r.TempMax, r.TempRise}[q]
}

// Budgets are the uncertainties of a run's figures, by the GUM (JCGM 100:2008,
// clauses 4 and 5): each source of error once, carried to every figure that it
// reaches, by all ways at once.
type Budgets [Quantities]gum.Budget

// source is one input: its standard uncertainty is folded into what add gets. Its
// name stays English until it is shown, since terms are told by it.
type source struct {
	name, input string
	shape       gum.Shape
}

// budgeter builds the budgets of one run.
type budgeter struct {
	terms []carried
	r     *trace.Run
	res   Results
	use   tester.Use
	// cut is what each figure shifts by where the voltage reads high by one
	// delta, since then the run ends later (by figures at the
	// cut-off less and more delta, since a slope fails on a knee).
	cut   [Quantities]float64
	delta float64 // V
	slope float64 // V/Ah at the mid-point; NaN until asked for
}

// carried is a term of one figure's budget.
type carried struct {
	to Quantity
	gum.Term
}

// room is lent to budgeters, since the heap of a browser is slow to grow.
var room = sync.Pool{New: func() any { return new([]carried) }}

// budgets are the terms by figure, all in one piece of memory.
func (u *budgeter) budgets() (b Budgets) {
	all := make([]gum.Term, 0, len(u.terms))
	for q := range Quantities {
		from := len(all)
		for _, t := range u.terms {
			if t.to == q {
				all = append(all, t.Term)
			}
		}
		if to := len(all); to > from {
			b[q].Terms = all[from:to:to]
		}
	}
	return b
}

// Uncertainty gives the budgets of a run's results on a tester, and what of its
// specification held for the run.
func Uncertainty(r *trace.Run, res Results, spec tester.Spec) (Budgets, tester.Use) {
	high := r.Remember("highest current", func() float64 {
		_, high := r.CurrentRange(r.From, r.To)
		return high
	})
	lent := room.Get().(*[]carried)
	u := &budgeter{terms: (*lent)[:0], slope: math.NaN(), r: r, res: res, use: spec.For(math.Max(res.Start, r.Trace().Voltage(r.From)), high)}
	if !(res.Capacity > 0) || !(res.Duration > 0) {
		return Budgets{}, u.use
	}
	u.currents()
	u.times()
	u.edges()
	u.sampling()
	u.voltages()
	u.temperatures()
	b := u.budgets()
	*lent = u.terms
	room.Put(lent)
	return b, u.use
}

// add carries a source to a figure: by is the shift of the figure for one
// standard uncertainty of the source, sign kept.
func (u *budgeter) add(s source, q Quantity, by float64) {
	if by == 0 || math.IsNaN(by) {
		return
	}
	u.terms = append(u.terms, carried{q, gum.Term{Name: s.name, Input: s.input, U: by, Shape: s.shape}})
}

// charge carries a shift of the charge in Ah and of the energy in Wh to the
// figures that hang on them.
func (u *budgeter) charge(s source, dq, de float64) {
	u.add(s, Capacity, dq)
	u.add(s, Energy, de)
	u.add(s, Average, (de-float64(u.res.Average*dq))/u.res.Capacity)
}

// currents: gain and offset of the current are the same all through a run, and
// so is its resolution, since the code stands still at constant current: they
// do not fall with the number of samples.
func (u *budgeter) currents() {
	u.currentLimits()
	c := u.use.Current
	step := c.Resolution
	if step == 0 && u.use.Known {
		step = quantum(u.r, amps)
	}
	u.even(source{say.Later("current resolution"), stepsOf(step, "mA"), gum.Rectangular}, gum.Resolution(step))
	if sd, n := scatter(u.r, amps); sd > step/2 && n > 0 {
		u.even(source{say.Later("scatter of the current"), deviationOf(sd, "mA"), gum.Normal}, sd/math.Sqrt(n))
	}
}

// currentLimits are the tester's gain and offset of the current.
func (u *budgeter) currentLimits() {
	c := u.use.Current
	gain := c.U(c.Gain)
	s := source{say.Later("current gain"), percent(c.Gain) + c.Words(), c.Shape()}
	u.charge(s, gain*u.res.Capacity, gain*u.res.Energy)
	u.add(s, Current, gain*u.res.Current)
	u.even(source{say.Later("current offset"), milli(c.Offset, "mA") + c.Words(), c.Shape()}, c.U(c.Offset))
}

// even carries an error of the current in A that is the same all through a run.
func (u *budgeter) even(s source, amps float64) {
	hours := u.res.Duration / 3600
	u.charge(s, amps*hours, amps*hours*u.res.Average)
	u.add(s, Current, amps)
}

func (u *budgeter) times() {
	g := u.use.Time.U(u.use.Time.Gain)
	s := source{say.Later("time base"), percent(u.use.Time.Gain) + u.use.Time.Words(), u.use.Time.Shape()}
	u.charge(s, g*u.res.Capacity, g*u.res.Energy)
	u.add(s, Duration, g*u.res.Duration)
}

// edges: the load came on, and went off, somewhere in the interval between two
// samples.
func (u *budgeter) edges() {
	edge := func(name string, e trace.Edge, k int, way float64) {
		if e.Width == 0 {
			return
		}
		tr := u.r.Trace()
		dt := gum.Resolution(e.Width)
		dq := float64(tr.Current(k)*dt) / 3600
		s := source{name, say.With("somewhere within %.3g s", e.Width), gum.Rectangular}
		v := tr.Voltage(k)
		if way > 0 && e.Rest {
			v = (v + e.V) / 2 // it fell from that at rest meanwhile
		}
		u.charge(s, dq, dq*v)
		u.add(s, Duration, dt)
		u.add(s, MidPoint, way*u.slopeAtMiddle()*dq/2)
	}
	edge(say.Later("first interval"), u.r.Before, u.r.From, 1)
	if u.res.toLoadOff() && !u.res.Fixed {
		edge(say.Later("last interval"), u.r.After, u.r.To-1, -1)
	}
}

// slopeAtMiddle is dV/dQ at the mid-point in V/Ah.
func (u *budgeter) slopeAtMiddle() float64 {
	if math.IsNaN(u.slope) {
		u.slope = u.slopeNow()
	}
	return u.slope
}

func (u *budgeter) slopeNow() float64 {
	half, step := u.res.Capacity/2, u.res.Capacity/50
	a, ok := u.r.At(trace.ByCharge, half-step)
	b, also := u.r.At(trace.ByCharge, half+step)
	if !ok || !also || !(b.Q > a.Q) {
		return 0
	}
	return (b.V - a.V) / (b.Q - a.Q)
}

// voltages: what is wrong with the voltage acts on the figures themselves, and
// through the cut-off on when the run ends.
func (u *budgeter) voltages() {
	v := u.use.Voltage
	end := u.res.End
	step := v.Resolution
	if step == 0 && u.use.Known {
		step = quantum(u.r, volts)
	}
	sd, n := scatter(u.r, volts)
	amps := u.r.Trace().Current(u.r.To - 1)

	gain, offset, res, lead := v.U(v.Gain), v.U(v.Offset), gum.Resolution(step), u.use.LeadError/math.Sqrt(3)
	if !(sd > step/2) {
		sd = 0 // what scatter there is comes of the rounding
	}
	delta := [...]float64{gain * end, offset, res, sd / math.Sqrt(reach*2+1), lead * amps}
	u.throughCutoff(norm(delta[:]))
	at := func(k int, s source, direct func(q Quantity) float64) {
		for q := range Quantities {
			by := direct(q)
			if u.delta > 0 {
				by += u.cut[q] * delta[k] / u.delta
			}
			u.add(s, q, by)
		}
	}
	r := u.res
	volts := func(q Quantity) bool { return q == Average || q == MidPoint || q == Start || q == End && !r.atCutoff() }
	at(0, source{say.Later("voltage gain"), percent(v.Gain) + v.Words(), v.Shape()}, func(q Quantity) float64 {
		if volts(q) || q == Energy {
			return gain * q.Of(r)
		}
		return 0
	})
	even := func(k int, s source, by, many float64) {
		at(k, s, func(q Quantity) float64 {
			switch {
			case q == Energy:
				return by * r.Capacity / many
			case q == Average:
				return by / many
			case q == MidPoint && k == 3:
				return by * math.Sqrt(2.0/3) // read between two samples
			case volts(q):
				return by
			}
			return 0
		})
	}
	even(1, source{say.Later("voltage offset"), milli(v.Offset, "mV") + v.Words(), v.Shape()}, offset, 1)
	// A voltage that moves through many steps has their errors cancel.
	codes := 1.0
	if step > 0 {
		codes = math.Sqrt(max(1, math.Abs(r.Start-r.End)/step))
	}
	even(2, source{say.Later("voltage resolution"), stepsOf(step, "mV"), gum.Rectangular}, res, codes)
	even(3, source{say.Later("scatter of the voltage"), deviationOf(sd, "mV"), gum.Normal}, sd, math.Sqrt(max(n, 1)))
	if lead > 0 {
		squared := u.r.Remember("square of the current by time", func() float64 { return u.r.SquaredCharge(u.r.To) })
		at(4, source{say.Later("resistance of the leads"), leads(u.use), gum.Rectangular}, func(q Quantity) float64 {
			switch q {
			case Energy:
				return lead * squared
			case Average:
				return lead * squared / r.Capacity
			case MidPoint:
				return lead * amps
			case End:
				if !r.atCutoff() {
					return lead * amps
				}
			}
			return 0
		})
	}
}

// throughCutoff works out what the figures shift by where the voltage reads
// high by delta: they then end at a true voltage that is lower by so much. Where
// the run has nothing below its cut-off, what lies above it tells. Figures that
// go to where the load went off do not hang on a voltage.
func (u *budgeter) throughCutoff(delta float64) {
	if !(delta > 0) || !u.res.atCutoff() {
		return
	}
	high, err := Discharge(u.r, u.res.End+delta)
	if err != nil || high.Ending != AtCutoff {
		return
	}
	u.delta = delta
	low, err := Discharge(u.r, u.res.End-delta)
	half := 2.0
	if err != nil || low.Ending != AtCutoff {
		low, half = u.res, 1
	}
	for _, q := range []Quantity{Capacity, Energy, Average, MidPoint, Duration, TempMax, TempRise} {
		u.cut[q] = (q.Of(low) - q.Of(high)) / half
	}
	// The curve bends one way: this is the whole of what a line can be off, not
	// one standard deviation of it, since it is not corrected for.
	s := source{say.Later("cut-off between two samples"), say.Text("how far the curve bends between them"), gum.Normal}
	dq, dt := u.bend()
	u.charge(s, dq, dq*u.res.End)
	u.add(s, Duration, dt)
	u.add(s, MidPoint, u.slopeAtMiddle()*dq/2)
	// What was carried on past the last sample is a guess along its slope.
	dq = u.res.Extended / 2
	u.charge(source{say.Later("carried on to the cut-off"), say.With("%.2g Ah past the last sample, give or take half", u.res.Extended), gum.Rectangular},
		gum.LimitsToU(dq), gum.LimitsToU(dq)*u.res.End)
}

// bend is what a curve that bends between the two samples beside the cut-off
// may hide, in Ah and s: the line between them is off
// by ½·V″·(t − t₀)(t₁ − t) (the remainder of linear interpolation, NIST DLMF
// 3.3.4), V″ being the larger of the second differences to either side.
func (u *budgeter) bend() (dq, dt float64) {
	tr, k := u.r.Trace(), u.r.Trace().LastAbove(u.r.From, u.r.To, u.res.End)
	if k <= u.r.From || k+1 >= u.r.To {
		return 0, 0
	}
	second := func(k int) float64 {
		if k <= u.r.From || k+1 >= u.r.To {
			return 0
		}
		t0, t1, t2 := tr.Time(k-1), tr.Time(k), tr.Time(k+1)
		if !(t1 > t0) || !(t2 > t1) {
			return 0
		}
		first, next := (tr.Voltage(k)-tr.Voltage(k-1))/(t1-t0), (tr.Voltage(k+1)-tr.Voltage(k))/(t2-t1)
		return 2 * (next - first) / (t2 - t0)
	}
	h := tr.Time(k+1) - tr.Time(k)
	fall := (tr.Voltage(k) - tr.Voltage(k+1)) / h
	since := u.res.Duration - (tr.Time(k) - tr.Time(u.r.From) + u.r.Before.Width/2)
	if !(fall > 0) || !(since > 0) || !(since < h) {
		return 0, 0
	}
	curve := max(math.Abs(second(k)), math.Abs(second(k+1)))
	off := min(curve/2*since*(h-since)/fall, h/2)
	// Where the samples scatter, their second differences do too.
	if noise := deviation(u.r, volts); noise*2.5 > curve*h*h {
		return 0, 0
	}
	return tr.Current(k) * off / 3600, off
}

func norm(x []float64) float64 {
	var ss float64
	for _, v := range x {
		ss += float64(v * v)
	}
	return math.Sqrt(ss)
}

func percent(x float64) string         { return fmt.Sprintf("±%.3g %%, ", 100*x) }
func milli(x float64, u string) string { return fmt.Sprintf("±%.3g %s, ", 1000*x, u) }

func stepsOf(x float64, unit string) string { return say.With("steps of %.3g %s", 1000*x, unit) }

func deviationOf(x float64, unit string) string {
	return say.With("standard deviation %.3g %s", 1000*x, unit)
}

func leads(use tester.Use) string {
	return say.With("±%.3g mΩ; rectangular", 1000*use.LeadError)
}
