// Package inspect judges samples as they came, before they are ever charged: by
// open-circuit voltage, mass, size and a.c. resistance.
package inspect

import (
	"math"
	"slices"
	"sort"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
)

// Sample is one sample with the datasheet of its model.
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
	Sample
	words quantity.Words
	out   []measure.Finding
}

// Samples looks at samples of one model, and returns the findings of each: what
// is about safety first, then by severity. A fault says not to charge it.
func Samples(list []Sample, w quantity.Words) [][]measure.Finding {
	var ohms []float64
	lots := map[string][]float64{}
	for k := range list {
		s := &list[k]
		if s.Resistance > 0 {
			ohms = append(ohms, s.Resistance)
		}
		if s.HasVoltage {
			lots[s.Lot] = append(lots[s.Lot], s.Voltage)
		}
	}
	slices.Sort(ohms)
	for _, lot := range lots {
		slices.Sort(lot)
	}
	out := make([][]measure.Finding, len(list))
	for k := range list {
		x := &finder{Sample: list[k], words: w}
		if x.HasVoltage {
			x.voltage(lots[x.Lot])
		}
		x.mass()
		x.size()
		if x.Resistance > 0 {
			x.resistance(ohms)
		}
		sort.SliceStable(x.out, func(i, j int) bool {
			if a, b := &x.out[i], &x.out[j]; a.Safety == b.Safety {
				return a.Severity > b.Severity
			}
			return x.out[i].Safety
		})
		out[k] = x.out
	}
	return out
}

// say adds a finding; a rule of no source is common practice.
func (x *finder) say(s measure.Severity, text, do, rule, source string) {
	if source == "" {
		source = say.Text("common practice, no source")
	}
	x.out = append(x.out, measure.Finding{Severity: s, Text: text, Do: do, Rule: measure.Rule{Says: rule, Source: source}, At: math.NaN()})
}

// danger adds one that says not to charge the sample.
func (x *finder) danger(text, do, rule, source string) {
	x.say(measure.Fault, text, do+say.Text(measure.Qualified), rule, source)
	x.out[len(x.out)-1].Safety = true
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

func datasheet() string { return say.Text("the cell’s datasheet, as entered") }

// voltage looks at the open-circuit voltage; lot are those of the lot, sorted.
func (x *finder) voltage(lot []float64) {
	n := x.Cells()
	v, seen := x.Voltage/n, x.volts(x.Voltage)
	l, from := levelsOf(x.Cell), ""
	if x.Cutoff > 0 {
		l.cutoff, from = x.Cutoff, datasheet()
	}
	rule := say.Text("no cell arrives below its cut-off")
	switch {
	case v > measure.PackFrom:
		x.say(measure.Caution, say.With("%s is no voltage of one cell.", seen), say.Text("Look at the unit, and enter how many cells are in series."),
			say.Text("one cell reads less than 5 V"), "")
		return
	case v < reversed:
		x.danger(say.With("The open-circuit voltage is negative, %s.", seen),
			say.Text("Look whether the meter’s leads are swapped. If they are not, the cell is reversed: do not charge it."), rule, from)
		return
	case v < dead:
		x.danger(say.With("The open-circuit voltage is %s, next to nothing.", seen),
			say.Text("Do not charge it. A protection circuit that has cut off reads 0 V as well; a cell without one is damaged, and copper dissolved in it can short it inside (cited from memory)."), rule, from)
		return
	case v < l.cutoff:
		x.danger(say.With("It arrived at %s, below its cut-off of %s.", seen, x.volts(l.cutoff*n)),
			say.Text("Do not charge it: a cell that was too low is damaged, and copper dissolved in it can short it inside (cited from memory)."), rule, from)
		return
	case x.ChargeVoltage > 0 && v > x.ChargeVoltage+over:
		x.danger(say.With("It arrived at %s, above its charge voltage of %s.", seen, x.volts(x.ChargeVoltage*n)),
			say.Text("Do not charge it: an overcharged cell can burn. Look at the meter, and at the datasheet’s charge voltage."),
			say.Text("no cell arrives above its charge voltage"), datasheet())
		return
	case v > l.high:
		x.say(measure.Note, say.With("It arrived at %s, nearly full.", seen), say.Text("Ask where it was kept and whether it was used before: its maker does not ship it so by air."),
			say.Text("by air, cells that are packed alone (UN 3480) are charged to 30 % at most"), say.Text("IATA packing instruction 965, since 2016 (cited from memory)"))
	case v < l.low:
		x.say(measure.Note, say.With("It arrived at %s, nearly empty.", seen), say.Text("Charge it soon, let it rest for two weeks, and read its voltage again: one that falls discharges itself."),
			say.Text("cells arrive partly charged"), "")
	}
	if len(lot) < fewest {
		return
	}
	m := middle(lot)
	if d := math.Abs(x.Voltage-m) / n; d > apart {
		x.say(measure.Caution, say.With("Its voltage of %s lies %s mV from the median of its lot, %s over %d samples.", seen, x.words.Fixed(1000*d*n, 0), x.volts(m), len(lot)),
			say.Text("Read all of them again after two weeks: one that falls faster discharges itself, and belongs into no pack."),
			say.Text("samples of one lot arrive within 20 mV of each other"), "")
	}
}

// mass looks at what it weighs.
func (x *finder) mass() {
	if !(x.Mass > 0) {
		return
	}
	if x.SheetMass > 0 {
		off, rule := x.Mass/x.SheetMass-1, say.Text("a cell weighs what its datasheet says, within 3 %")
		switch {
		case off < -massOff:
			x.say(measure.Caution, say.With("It weighs %s, which is %s less than the %s of its datasheet.", x.grams(x.Mass), x.percent(off), x.grams(x.SheetMass)),
				say.Text("Look whether the datasheet gives the most that it may weigh, and weigh something known on the same balance. A cell that is too light is often another one under a false wrapper."), rule, "")
		case off > massOff:
			x.say(measure.Caution, say.With("It weighs %s, which is %s more than the %s of its datasheet.", x.grams(x.Mass), x.percent(off), x.grams(x.SheetMass)),
				say.Text("Take off what is not the cell’s, such as tabs or a second sleeve, and weigh it again."), rule, "")
		}
	}
	if d, ok := x.Density(); ok {
		if d *= x.Volume() * x.Cells() / x.Mass * 1000; d > densest {
			x.say(measure.Caution, say.With("A rated capacity of %s Ah at this mass would be %s Wh/kg, which hardly any cell holds.", x.words.Fixed(x.Rated, 2), x.words.Fixed(d, 0)),
				say.Text("Doubt the claim: look at the wrapper and where the cell was bought, and weigh it again."), say.Text("good cells hold 150 Wh/kg to 300 Wh/kg"), "")
		}
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
	rule, from := say.With("cells of the size %s measure %s × %s", x.Size, x.mm(d.Diameter), x.mm(d.Height)), ""
	if d.Largest {
		rule, from = say.With("cells of the size %s measure %s × %s at most", x.Size, x.mm(d.Diameter), x.mm(d.Height)), say.Text("IEC 61960-3 clause 5.1")
	}
	again := say.Text("Measure it again, and look whether the size is right. It may be another cell under this wrapper.")
	switch w := x.Diameter; {
	case w > most:
		x.danger(say.With("It is %s thick, more than its size allows.", x.mm(w)),
			say.Text("Look whether a second sleeve makes it so. If not, it is swollen: do not charge it, and keep it away from what burns."), rule, from)
	case w > 0 && w < least:
		x.say(measure.Caution, say.With("It is %s thick, less than its size has.", x.mm(w)), again, rule, from)
	}
	switch h := x.Length; {
	case h > tall:
		x.say(measure.Note, say.With("It is %s long, more than a bare cell of its size.", x.mm(h)),
			say.Text("Look whether it has a raised top or a protection circuit: a circuit adds to the resistance, and can end a discharge."), rule, from)
	case h > 0 && h < short:
		x.say(measure.Caution, say.With("It is %s long, less than its size has.", x.mm(h)), again, rule, from)
	}
}

// resistance looks at the a.c. resistance; all are those of the model, sorted.
func (x *finder) resistance(all []float64) {
	r, seen := x.Resistance, x.milli(x.Resistance)
	again := say.Text("Measure it again with four leads on clean terminals, at 20 °C to 25 °C. If it stays so, the cell is aged, or not what it is sold for.")
	if x.MaxResistance > 0 && r > x.MaxResistance {
		x.say(measure.Caution, say.With("Its a.c. resistance of %s is over the datasheet’s %s.", seen, x.milli(x.MaxResistance)), again,
			say.Text("a new cell’s a.c. resistance at 1 kHz is no more than its datasheet says"), datasheet())
	}
	if x.Loaded > 0 && x.Loaded+x.LoadedU < r {
		x.say(measure.Caution, say.With("Its a.c. resistance of %s is above the d.c. resistance of %s that its discharges show.", seen, x.milli(x.Loaded)),
			say.Text("One of the two is wrong: measure the a.c. resistance again with four leads on the terminals themselves, and look at its unit."),
			say.Text("the d.c. resistance holds slower losses too, and is the higher one"), say.Text("IEC 61960-3 clause 7.7 has both (cited from memory)"))
	}
	if len(all) < fewest {
		return
	}
	m := middle(all)
	if off := r/m - 1; math.Abs(off) > ohmsOff {
		x.say(measure.Caution, say.With("Its a.c. resistance of %s is %s off the median of %s over %d samples.", seen, x.percent(off), x.milli(m), len(all)), again,
			say.Text("samples of one model have the same a.c. resistance within 20 %"), "")
	}
}
