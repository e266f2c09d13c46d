// Package load tells how long a cell lasts on a given current or power down to
// a device's cut-off, from its measured discharges at several currents.
//
// What is interpolated between the measured currents is the voltage at equal
// depth, a share of the charge that each run gives down to a voltage that both
// reach, and that charge itself; each as a line in the current. The depth ends
// at 1 for both runs. At equal Ah there would be nothing beside the end of the
// longer one; and the charge at equal voltage would mix the knee of the one with
// the plateau of the other.
//
// There is no extrapolation. What the runs hold of their own heating is in the
// answer: it is good for a like ambient and like cooling.
package load

import (
	"math"
	"sort"

	"plateau/core/gum"
	"plateau/core/say"
	"plateau/core/tester"
	"plateau/core/trace"
)

const (
	// Currents that differ by no more than sameCurrent are one current: their
	// runs are averaged. As rates they differ from rateApart on. Common
	// practice, no source.
	sameCurrent = 0.03
	rateApart   = 0.05
)

// Curve is one measured discharge of the cell.
type Curve struct {
	Run     *trace.Run
	Current float64     // A, mean
	Spec    tester.Spec // for the budgets
	// Relative is the repeatability of one run as a share of its figure, a
	// standard deviation with DF degrees of freedom.
	Relative, DF float64
}

// Map is what a cell gives by voltage and current.
type Map struct {
	rates []group // by rising current
}

// group is the runs at one current.
type group struct {
	current float64 // A, mean
	curves  []*curve
}

// curve is a run with the charge at which it falls through each voltage.
type curve struct {
	Curve
	fall
}

// New takes the discharges of one cell. It fails where they are not at two
// currents at least that differ by 5 %.
func New(curves []Curve) (*Map, error) {
	var all []*curve
	for k, c := range curves {
		if c.Run == nil || !(c.Current > 0) || math.IsInf(c.Current, 0) {
			return nil, say.Error("discharge %d has no current", k+1)
		}
		all = append(all, &curve{Curve: c})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Current < all[j].Current })
	if len(all) == 0 {
		return nil, Few{}
	}
	if first, last := all[0].Current, all[len(all)-1].Current; last-first < rateApart*last {
		return nil, Few{Current: first}
	}
	m := &Map{}
	for _, c := range all {
		c.fall = fallOf(c.Run)
		n := len(m.rates)
		if n == 0 || c.Current > m.rates[n-1].curves[0].Current*(1+sameCurrent) {
			m.rates = append(m.rates, group{})
			n++
		}
		g := &m.rates[n-1]
		g.curves = append(g.curves, c)
	}
	for k := range m.rates {
		m.rates[k].current = meanOf(m.rates[k].curves, func(c *curve) float64 { return c.Current })
	}
	return m, nil
}

func meanOf[T any](all []T, of func(T) float64) float64 {
	var sum float64
	for _, x := range all {
		sum += of(x)
	}
	return sum / float64(len(all))
}

// Currents are the measured currents in A, rising.
func (m *Map) Currents() []float64 {
	var all []float64
	for _, g := range m.rates {
		all = append(all, g.current)
	}
	return all
}

// Ask is what a device takes of one cell: Current in A or Power in W, the other
// 0, down to Cutoff in V.
type Ask struct{ Current, Power, Cutoff float64 }

// Answer is what the cell gives on a load.
type Answer struct {
	Charge, Energy, Runtime                   float64 // Ah, Wh, s
	ChargeBudget, EnergyBudget, RuntimeBudget gum.Budget
	// EndTemp is the highest temperature in °C, at an ambient as in the runs and
	// cooled like them; NaN where it was not logged.
	EndTemp       float64
	EndTempBudget gum.Budget
	// Low and High are the measured currents in A beside those of the load; the
	// same where the load is at a measured one.
	Low, High float64
	// From and To are the currents in A at the start and at the cut-off.
	From, To float64
	// Model says how the uncertainty of the interpolation was had.
	Model string
}

// Answer interpolates. Its errors are [Outside], [Shutdown], [TooLow],
// [Disorder] and, for an ask that is none, [Senseless].
func (m *Map) Answer(a Ask) (Answer, error) {
	amount := a.Current + a.Power
	if !(a.Current >= 0) || !(a.Power >= 0) || !(amount > 0) || math.IsInf(amount, 0) || a.Current > 0 && a.Power > 0 ||
		!(a.Cutoff > 0) || math.IsInf(a.Cutoff, 0) {
		return Answer{}, Senseless{}
	}
	s, err := m.at(a.Cutoff)
	if err != nil {
		return Answer{}, err
	}
	var ans Answer
	if a.Power > 0 {
		ans, err = s.power(a.Power)
	} else {
		ans, err = s.constant(a.Current)
	}
	if err == nil && !sound(ans.Charge, ans.Energy, ans.Runtime, 1+ans.ChargeBudget.Combined()+ans.EnergyBudget.Combined()) {
		err = Disorder{}
	}
	if err != nil {
		return Answer{}, err
	}
	return ans, nil
}

// constant answers for a constant current in A.
func (s *slice) constant(amps float64) (Answer, error) {
	if err := s.admit(amps, amps); err != nil {
		return Answer{}, err
	}
	j, _ := s.place(amps)
	t := s.tableOf(j, j+1)
	c := t.constant(amps, line)
	points := t.points(amps, c.depth, true)
	q, v := points.of(charge), points.of(average)
	ans := Answer{Charge: q, Energy: float64(q * v), Runtime: q / amps * 3600, From: amps, To: amps}
	ans.Low, ans.High = points.span()
	ans.ChargeBudget, ans.EnergyBudget = points.budgets()
	var dq, de float64
	for _, k := range t.others(j, j) {
		o := t.constant(amps, k)
		dq = math.Max(dq, math.Abs(o.charge-c.charge))
		de = math.Max(de, math.Abs(o.energy-c.energy))
	}
	ans.model(dq, de, len(s.rates))
	ans.RuntimeBudget = scaled(ans.ChargeBudget, 3600/amps)
	points.temperature(&ans, points)
	return ans, nil
}

// model adds the interpolation's own term: the most that another way of it gives
// for charge and energy. It is taken as normal: it is a typical size and not a
// limit, since a cell may bend more between two currents than it does beside
// them.
func (ans *Answer) model(dq, de float64, rates int) {
	switch {
	case ans.Low == ans.High:
		ans.Model = say.With("measured at %.3g A", ans.Low)
	case rates < enough:
		ans.Model = say.With("lines between %.3g A and %.3g A; how far lines in the logarithm and in the square of the current lie from them", ans.Low, ans.High)
	default:
		ans.Model = say.With("straight lines between %.3g A and %.3g A; ± from how far such lines miss the currents beside them when those are left out", ans.Low, ans.High)
	}
	t := gum.Term{Name: Interpolation, Input: ans.Model, Shape: gum.Normal, DF: modelDF}
	t.U = dq
	ans.ChargeBudget.Terms = put(ans.ChargeBudget.Terms, t)
	t.U = de
	ans.EnergyBudget.Terms = put(ans.EnergyBudget.Terms, t)
}

// modelDF is how far the model's term is to be trusted: it may be off by a
// quarter, which is 1/(2·0.25²) degrees of freedom by GUM G.4.2.
const modelDF = 8

// Interpolation is the name of the model's term in the budgets.
const Interpolation = say.Later("interpolation between currents")
