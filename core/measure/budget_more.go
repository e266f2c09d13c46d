package measure

import (
	"math"

	"plateau/core/gum"
	"plateau/core/say"
	"plateau/core/tester"
	"plateau/core/trace"
)

// hidden is the part of a step that readings may scatter by unseen, where they
// mostly stand on one value. No source; by trial on simulated logs.
const hidden = 5

// ResistanceBudget is the uncertainty in Ω of a d.c. resistance, (V0 − V1)/ΔI:
// offsets cancel in both differences; gains, resolutions and noise do not. The
// instant of the step is uncertain as well, and so is the time after it that
// the reading is named by.
func ResistanceBudget(r *trace.Run, x Resistance, use tester.Use) gum.Budget {
	di := math.Abs(x.I1 - x.I0)
	if !(di > 0) {
		return gum.Budget{}
	}
	v, c := use.Voltage, use.Current
	step := func(l tester.Limit, of column) float64 {
		if l.Resolution == 0 && use.Known {
			return quantum(r, of)
		}
		return l.Resolution
	}
	vStep := step(v, volts)
	iStep := step(c, amps)
	var terms []gum.Term
	add := func(name, input string, shape gum.Shape, u, df float64) {
		if u > 0 {
			terms = append(terms, gum.Term{Name: name, Input: input, U: u, Shape: shape, DF: df})
		}
	}
	add(say.Later("voltage gain"), percent(v.Gain)+v.Words(), v.Shape(), x.Ohm*v.U(v.Gain), 0)
	add(say.Later("current gain"), percent(c.Gain)+c.Words(), c.Shape(), x.Ohm*c.U(c.Gain), 0)
	for _, name := range [...][2]string{
		{say.Later("voltage resolution, before the step"), say.Later("current resolution, before the step")},
		{say.Later("voltage resolution, after the step"), say.Later("current resolution, after the step")},
	} {
		add(name[0], stepsOf(vStep, "mV"), gum.Rectangular, gum.Resolution(vStep)/di, 0)
		add(name[1], stepsOf(iStep, "mA"), gum.Rectangular, x.Ohm*gum.Resolution(iStep)/di, 0)
	}
	sd, _ := scatter(r, volts)
	switch {
	case x.SE > 0:
		// The reading at rest has its scatter as well.
		add(say.Later("scatter of the fit"), say.With("standard error %.2g mΩ", 1000*x.SE), gum.Normal, math.Hypot(x.SE, sd/di), 0)
	case sd > vStep/2:
		add(say.Later("scatter of the voltage"), say.With("standard deviation %.3g mV, twice", 1000*sd), gum.Normal, sd*math.Sqrt2/di, 0)
	default:
		add(say.Later("scatter of the voltage"), say.Text("what the resolution hides of it: a fifth of a step, twice"), gum.Normal, vStep/hidden*math.Sqrt2/di, 0)
	}
	// Cells relax neither as √t nor as one exponential: between two samples the
	// one is off from the other by up to a sixteenth of the way, by trial on both.
	add(say.Later("between two samples"), say.With("a sixteenth of %.3g mV", 1000*x.Between), gum.Rectangular, gum.LimitsToU(x.Between/16)/di, 0)
	width := x.Latest - x.Earliest
	add(say.Later("instant of the step"), say.With("somewhere within %.3g s", width), gum.Rectangular, math.Abs(x.Slope)*gum.Resolution(width)/di, 0)
	if use.LeadError > 0 {
		add(say.Later("resistance of the leads"), leads(use), gum.Rectangular, gum.LimitsToU(use.LeadError), 0)
	}
	return gum.Budget{Terms: terms}
}

// ChargeBudgets are the uncertainties of a charge's Ah and Wh.
func ChargeBudgets(c Charge, use tester.Use) (capacity, energy gum.Budget) {
	i, v := use.Current, use.Voltage
	hours := c.Duration / 3600
	mean := c.Energy / c.Capacity
	add := func(name, input string, shape gum.Shape, dq, de float64) {
		if dq != 0 {
			capacity.Terms = append(capacity.Terms, gum.Term{Name: name, Input: input, U: dq, Shape: shape})
		}
		if de != 0 {
			energy.Terms = append(energy.Terms, gum.Term{Name: name, Input: input, U: de, Shape: shape})
		}
	}
	g := i.U(i.Gain)
	add(say.Later("current gain"), percent(i.Gain)+i.Words(), i.Shape(), g*c.Capacity, g*c.Energy)
	o := i.U(i.Offset) * hours
	add(say.Later("current offset"), milli(i.Offset, "mA")+i.Words(), i.Shape(), o, o*mean)
	// The current falls through many codes while the voltage is held, and
	// stands still before: as if it stood still throughout.
	d := gum.Resolution(i.Resolution) * hours
	add(say.Later("current resolution"), stepsOf(i.Resolution, "mA"), gum.Rectangular, d, d*mean)
	t := use.Time.U(use.Time.Gain)
	add(say.Later("time base"), percent(use.Time.Gain)+use.Time.Words(), use.Time.Shape(), t*c.Capacity, t*c.Energy)
	gv := v.U(v.Gain)
	add(say.Later("voltage gain"), percent(v.Gain)+v.Words(), v.Shape(), 0, gv*c.Energy)
	add(say.Later("voltage offset"), milli(v.Offset, "mV")+v.Words(), v.Shape(), 0, v.U(v.Offset)*c.Capacity)
	e := gum.LimitsToU(c.EdgeLimit)
	add(say.Later("first and last interval"), say.With("±%.2g Ah; rectangular", c.EdgeLimit), gum.Rectangular, e, e*mean)
	return capacity, energy
}

// EfficiencyBudgets are the uncertainties of the coulombic and the energy
// efficiency. Charge and discharge go through different gains of the current
// but one time base and one voltmeter, whose gains cancel.
func EfficiencyBudgets(e Efficiency, c Charge, res Results, dis Budgets, use tester.Use) (coulombic, energy gum.Budget) {
	qc, ec := ChargeBudgets(c, use)
	join := func(share, charged, given float64, of, and gum.Budget) gum.Budget {
		var out gum.Budget
		for _, t := range of.Terms {
			if t.Name != "time base" && t.Name != "voltage gain" && t.Name != "voltage offset" {
				t.Name = say.With("%s, charging", say.Text(t.Name))
				t.U *= share / charged
				out.Terms = append(out.Terms, t)
			}
		}
		for _, t := range and.Terms {
			switch t.Name {
			case "time base", "voltage gain", "voltage offset", "voltage resolution", "scatter of the voltage":
				continue
			}
			t.Name = say.With("%s, discharging", say.Text(t.Name))
			t.U *= share / given
			out.Terms = append(out.Terms, t)
		}
		return out
	}
	return join(e.Coulombic, c.Capacity, res.Capacity, qc, dis[Capacity]), join(e.Energy, c.Energy, res.Energy, ec, dis[Energy])
}

// MeanBudget is the uncertainty in Ah of the mean capacity of n runs of one cell
// at one rate on one tester: what is the same in all runs stays, what is drawn
// anew in each falls with √n, and the repeatability, a share of the mean with df
// degrees of freedom, comes on top. one are the budgets of one of the runs.
func MeanBudget(mean float64, n int, relative, df float64, one Budgets) gum.Budget {
	var b gum.Budget
	root := math.Sqrt(float64(max(n, 1)))
	for _, t := range one[Capacity].Terms {
		switch t.Name {
		case "first interval", "last interval", "scatter of the current", "scatter of the voltage":
			t.U /= root
		}
		b.Terms = append(b.Terms, t)
	}
	b.Terms = append(b.Terms, gum.Term{Name: say.Later("repeatability"), Input: say.With("standard deviation of one run %.2g %%", 100*relative),
		U: mean * relative / root, DF: df, Shape: gum.Normal})
	return b
}

// MeanExpanded is the expanded uncertainty in Ah of such a mean: the wider of
// the convolved interval and that by Welch and Satterthwaite, since with few
// repeats each falls short of its level where the other does not.
func MeanExpanded(b gum.Budget) float64 {
	const level = 0.9545
	return max(b.Interval(level), b.Expanded())
}
