// Package inspect judges samples as they came, before they are ever charged: by
// open-circuit voltage, mass, size and a.c. resistance.
package inspect

import (
	"math"
	"sort"
	"strconv"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
)

// Sample is one sample with the datasheet of its model, by which it stands with
// others.
type Sample struct {
	cell.Cell
	cell.Arrived
	// Loaded is the lowest d.c. resistance that its discharges show, and LoadedU
	// its expanded uncertainty, in Ω; 0 for none.
	Loaded, LoadedU float64
}

// Limits, all by common practice without a source.
const (
	reversed = -0.05 // V; a meter's zero is nearer to 0
	dead     = 0.5   // V
	over     = 0.05  // V above the charge voltage, for meter and charger
	nearFull = 0.15  // V below the charge voltage of a lithium-ion cell
	apart    = 0.02  // V between samples of one lot
	massOff  = 0.03
	ohmsOff  = 0.2 // between samples
	fewest   = 3   // samples that have a median
	densest  = 350 // Wh/kg
	caliper  = 0.1 // mm
	sleeve   = 0.05
	taller   = 1.0 // mm, of a cell without circuit or raised top
	shorter  = 1.5 // mm
	// Between the smallest cell of a designation and the size in it, which is
	// rounded up: those of QCVN 101:2016 table 1 lie up to 1.8 mm below it in
	// diameter, 2.1 mm in height.
	thinBy, shortBy = 2.0, 2.5 // mm
)

// levels in V of one cell, by common practice without a source: the cut-off where
// the datasheet's is not known, and below and above which a cell did not come as
// it was made.
type levels struct{ cutoff, low, high float64 }

func levelsOf(c cell.Cell) levels {
	full := c.ChargeVoltage
	switch {
	case c.Chemistry == cell.Titanate || full > 0 && full < 3.2:
		return levels{1.5, 1.9, 2.55}
	case c.Chemistry == cell.Phosphate || full > 0 && full < 3.9:
		return levels{2, 3, 3.36}
	case c.Chemistry == cell.Ion || full > 0:
		if full == 0 {
			full = 4.2
		}
		return levels{2.5, 3.2, full - nearFull}
	}
	return levels{2, 0, math.Inf(1)}
}

// finder gathers the findings of one sample.
type finder struct {
	*Sample
	words quantity.Words
	out   []measure.Finding
}

// Samples returns the findings of each of some samples, the graver ones first. A
// fault is about safety: it says not to charge the sample.
func Samples(list []Sample, w quantity.Words) [][]measure.Finding {
	all := map[string][]float64{} // by model, and by model and lot
	for k := range list {
		s := &list[k]
		if s.Resistance > 0 {
			all[s.Model] = append(all[s.Model], s.Resistance)
		}
		if lot := s.Model + "\n" + s.Lot; s.HasVoltage {
			all[lot] = append(all[lot], s.Voltage)
		}
	}
	for _, readings := range all {
		sort.Float64s(readings)
	}
	out := make([][]measure.Finding, len(list))
	for k := range list {
		x := &finder{Sample: &list[k], words: w}
		if x.HasVoltage {
			x.voltage(all[x.Model+"\n"+x.Lot])
		}
		x.mass()
		x.size()
		if x.Resistance > 0 {
			x.resistance(all[x.Model])
		}
		sort.SliceStable(x.out, func(i, j int) bool { return x.out[i].Severity > x.out[j].Severity })
		out[k] = x.out
	}
	return out
}

// say adds a finding with values in its text, and returns it.
func (x *finder) say(t *remark, values ...string) *measure.Finding {
	list := make([]any, len(values))
	for k, v := range values {
		list[k] = v
	}
	f := measure.Finding{Severity: t.severity, Text: say.With(t.text, list...), Do: say.Text(t.do), At: math.NaN(),
		Rule: measure.Rule{Says: say.Text(t.rule), Source: say.Text(t.source)}}
	if f.Safety = t.severity == measure.Fault; f.Safety {
		f.Do += say.Text(measure.Qualified)
	}
	x.out = append(x.out, f)
	return &x.out[len(x.out)-1]
}

func (x *finder) volts(v float64) string { return x.words.Fixed(v, 3) + " V" }
func (x *finder) milli(r float64) string {
	return x.words.Fixed(1000*r, quantity.Decimals(1000*r, 3)) + " mΩ"
}
func (x *finder) grams(m float64) string { return x.words.Fixed(m, quantity.Decimals(m, 3)) + " g" }
func (x *finder) mm(d float64) string    { return x.words.Fixed(d, 1) + " mm" }
func (x *finder) percent(p float64) string {
	return x.words.Fixed(100*math.Abs(p), quantity.Decimals(100*p, 2)) + " %"
}

// middle is the median of a sorted list of one at least.
func middle(sorted []float64) float64 {
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// voltage looks at the open-circuit voltage; lot are those of the lot, sorted.
func (x *finder) voltage(lot []float64) {
	n := x.Cells()
	v, seen := x.Voltage/n, x.volts(x.Voltage)
	l, full := levelsOf(x.Cell), x.ChargeVoltage
	if x.Cutoff > 0 {
		l.cutoff = x.Cutoff
	}
	var f *measure.Finding
	switch {
	case v > measure.PackFrom:
		x.say(&noCell, seen)
		return
	case v < reversed:
		f = x.say(&negative, seen)
	case v < dead:
		f = x.say(&nothing, seen)
	case v < l.cutoff:
		f = x.say(&below, seen, x.volts(l.cutoff*n))
	case full > 0 && v > full+over:
		x.say(&above, seen, x.volts(full*n))
		return
	case v > l.high:
		x.say(&nearlyFull, seen)
	case v < l.low:
		x.say(&nearlyEmpty, seen)
	}
	if f != nil {
		if x.Cutoff > 0 {
			f.Source = say.Text(datasheet)
		}
		return
	}
	if len(lot) < fewest {
		return
	}
	m := middle(lot)
	if d := math.Abs(x.Voltage-m) / n; d > apart {
		x.say(&offLot, seen, x.words.Fixed(1000*d*n, 0)+" mV", x.volts(m), strconv.Itoa(len(lot)))
	}
}

// mass looks at what it weighs.
func (x *finder) mass() {
	if !(x.Mass > 0) {
		return
	}
	if off := x.Mass/x.SheetMass - 1; x.SheetMass > 0 && math.Abs(off) > massOff {
		t := &heavy
		if off < 0 {
			t = &light
		}
		x.say(t, x.grams(x.Mass), x.percent(off), x.grams(x.SheetMass))
	}
	d, ok := x.Density()
	if d *= x.Volume() * x.Cells() / x.Mass * 1000; ok && d > densest {
		x.say(&tooDense, x.words.Fixed(x.Rated, 2)+" Ah", x.words.Fixed(d, 0)+" Wh/kg")
	}
}

// size sets diameter and length against the designation's: those of IEC 61960-3
// are the largest, rounded up to whole mm, the trade's five digits are nominal.
func (x *finder) size() {
	d, err := cell.ParseDesignation(x.Size)
	if err != nil || d.Series*d.Parallel > 1 {
		return
	}
	most, least, tall, short := d.Diameter*(1+sleeve), d.Diameter*(1-sleeve), d.Height+taller, d.Height-shorter
	if d.Largest {
		most, least, tall, short = d.Diameter+caliper, d.Diameter-thinBy, d.Height+caliper, d.Height-shortBy
	}
	for _, c := range [...]struct {
		x, least, most float64
		small, large   *remark
	}{{x.Diameter, least, most, &thin, &thick}, {x.Length, short, tall, &small, &long}} {
		t := c.small
		switch {
		case c.x > c.most:
			t = c.large
		case c.x == 0 || c.x >= c.least:
			continue
		}
		f, rule := x.say(t, x.mm(c.x)), sizeNominal
		if d.Largest {
			rule, f.Source = sizeMost, say.Text(designation)
		}
		f.Says = say.With(rule, x.Size, x.mm(d.Diameter), x.mm(d.Height))
	}
}

// resistance looks at the a.c. resistance; all are those of the model, sorted.
func (x *finder) resistance(all []float64) {
	r, seen := x.Resistance, x.milli(x.Resistance)
	if x.MaxResistance > 0 && r > x.MaxResistance {
		x.say(&overSheet, seen, x.milli(x.MaxResistance))
	}
	if x.Loaded > 0 && x.Loaded+x.LoadedU < r {
		x.say(&overLoaded, seen, x.milli(x.Loaded))
	}
	if len(all) < fewest {
		return
	}
	m := middle(all)
	if off := r/m - 1; math.Abs(off) > ohmsOff {
		x.say(&offModel, seen, x.percent(off), x.milli(m), strconv.Itoa(len(all)))
	}
}
