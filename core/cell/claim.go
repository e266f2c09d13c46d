package cell

import (
	"plateau/core/quantity"
	"plateau/core/say"
)

// ClaimKind is which of its capacities a datasheet claims.
type ClaimKind uint8

// The kinds. IEC 61960-3 knows the rated capacity alone.
const (
	RatedCapacity ClaimKind = iota
	MinimumCapacity
	TypicalCapacity
)

var kinds = [...]string{say.Later("rated"), say.Later("minimum"), say.Later("typical")}

// String is the word, in English; [say.Text] shows it.
func (k ClaimKind) String() string {
	if int(k) < len(kinds) {
		return kinds[k]
	}
	return ""
}

// Claim is one capacity that a datasheet claims.
type Claim struct {
	Kind     ClaimKind
	Capacity float64 // Ah
	Current  float64 // A
	Cutoff   float64 // V; 0 where it is not known
	// AssumedCurrent: the datasheet's current was not entered, and is taken to
	// be 0.2 It. AssumedCutoff: the claim's cut-off was not, and is the cell's.
	AssumedCurrent, AssumedCutoff bool
}

// Claims are what the datasheet claims, at the current and down to the cut-off
// that it has for each: 0.2 It and the cell's own where it has none.
func (c Cell) Claims() (list []Claim) {
	for k, x := range [...]struct {
		capacity float64
		at       Condition
	}{{c.Rated, c.RatedAt}, {c.Minimum, c.MinimumAt}, {c.Typical, c.TypicalAt}} {
		if !(x.capacity > 0) {
			continue
		}
		out := Claim{Kind: ClaimKind(k), Capacity: x.capacity, Current: x.at.Current, Cutoff: x.at.Cutoff}
		if out.Current == 0 {
			of := c.Rated
			if !(of > 0) {
				of = x.capacity
			}
			out.Current, out.AssumedCurrent = of/5, true
		}
		if out.Cutoff == 0 {
			out.Cutoff, out.AssumedCutoff = c.Cutoff, c.Cutoff > 0
		}
		list = append(list, out)
	}
	return list
}

// Inherit gives a sample the figures of its model's datasheet, as they were
// entered for another sample, where it has none of its own. What is weighed,
// paid or read off the sample stays its own.
func (c Cell) Inherit(from Cell) Cell {
	take := func(own *float64, other float64) {
		if *own == 0 {
			*own = other
		}
	}
	claim := func(own *float64, at *Condition, other float64, otherAt Condition) {
		if *own == 0 && *at == (Condition{}) {
			*own, *at = other, otherAt
			if other > 0 && at.Cutoff == 0 && c.Cutoff > 0 && c.Cutoff != from.Cutoff {
				at.Cutoff = from.Cutoff // it was made down to that
			}
		}
	}
	claim(&c.Rated, &c.RatedAt, from.Rated, from.RatedAt)
	claim(&c.Minimum, &c.MinimumAt, from.Minimum, from.MinimumAt)
	claim(&c.Typical, &c.TypicalAt, from.Typical, from.TypicalAt)
	take(&c.Cutoff, from.Cutoff)
	take(&c.ChargeVoltage, from.ChargeVoltage)
	take(&c.ChargeCurrent, from.ChargeCurrent)
	take(&c.MaxCharge, from.MaxCharge)
	take(&c.ChargeEnd, from.ChargeEnd)
	take(&c.MaxCurrent, from.MaxCurrent)
	take(&c.MaxTemp, from.MaxTemp)
	take(&c.Nominal, from.Nominal)
	take(&c.SheetMass, from.SheetMass)
	take(&c.MaxResistance, from.MaxResistance)
	if !c.HasMinTemp {
		c.MinTemp, c.HasMinTemp = from.MinTemp, from.HasMinTemp
	}
	if c.Chemistry == "" {
		c.Chemistry = from.Chemistry
	}
	if c.Size == "" {
		c.Size = from.Size
	}
	if c.Series == 0 {
		c.Series = from.Series
	}
	return c
}

// usualNominal stands in for a nominal voltage in V that is not entered. No
// source.
func (c Cell) usualNominal() float64 {
	switch {
	case c.Nominal > 0:
		return c.Nominal
	case c.Chemistry == Titanate:
		return 2.3
	case c.Chemistry == Phosphate || c.ChargeVoltage > 0 && c.ChargeVoltage < 3.9:
		return 3.2
	}
	return 3.6
}

// Density is what the rated capacity would make in Wh/l, by the nominal voltage
// and the size; false where one is not known.
func (c Cell) Density() (whPerL float64, ok bool) {
	volume := c.Volume()
	if !(volume > 0) || !(c.Rated > 0) {
		return 0, false
	}
	return c.Rated * c.usualNominal() / volume, true
}

// Contradiction is where a datasheet, as entered, contradicts itself. Field is
// the JSON name of the figure.
type Contradiction struct{ Field, Says string }

// Contradictions looks for figures that cannot both be right.
func (c Cell) Contradictions(w quantity.Words) (list []Contradiction) {
	add := func(field, says string) { list = append(list, Contradiction{field, says}) }
	num := func(x float64) string { return w.Fixed(x, quantity.Decimals(x, 3)) }
	over := func(a, b float64) bool { return a > 0 && b > 0 && a > b }
	var claims [len(kinds)]Claim
	for _, x := range c.Claims() {
		claims[x.Kind] = x
	}
	// tops: one capacity lies above another that was to be had no harder, by
	// current and cut-off. More can be had at less current or to a lower cut-off.
	tops := func(k, of ClaimKind) bool {
		a, b := claims[k], claims[of]
		return over(a.Capacity, b.Capacity*1.001) && b.Current <= a.Current*1.001 && (b.Cutoff <= a.Cutoff || a.Cutoff == 0)
	}
	switch {
	case tops(MinimumCapacity, TypicalCapacity):
		add("minimum", say.With("The minimum of %s Ah lies above the typical %s Ah. One of the two is wrong.", num(c.Minimum), num(c.Typical)))
	case tops(MinimumCapacity, RatedCapacity):
		add("minimum", say.With("The minimum of %s Ah lies above the rated %s Ah. Look which of the two the datasheet means.", num(c.Minimum), num(c.Rated)))
	}
	if tops(RatedCapacity, TypicalCapacity) {
		add("rated", say.With("The rated %s Ah lie above the typical %s Ah. One of the two is wrong.", num(c.Rated), num(c.Typical)))
	}
	full := c.ChargeVoltage
	if c.Cutoff > 0 && full > 0 && c.Cutoff >= full {
		add("cutoff", say.With("The cut-off of %s V does not lie below the charge voltage of %s V.", num(c.Cutoff), num(full)))
	}
	for _, x := range [...]struct {
		name string
		at   Condition
	}{{"rated", c.RatedAt}, {"minimum", c.MinimumAt}, {"typical", c.TypicalAt}} {
		if x.at.Cutoff > 0 && full > 0 && x.at.Cutoff >= full {
			add(x.name+"Cutoff", say.With("This cut-off of %s V does not lie below the charge voltage of %s V.", num(x.at.Cutoff), num(full)))
		}
		if over(x.at.Current, c.MaxCurrent) {
			add(x.name+"Current", say.With("The claim’s %s A are over the maximum current of %s A.", num(x.at.Current), num(c.MaxCurrent)))
		}
	}
	if c.Nominal > 0 && (full > 0 && c.Nominal >= full || c.Cutoff > 0 && c.Nominal <= c.Cutoff) {
		add("nominal", say.With("The nominal voltage of %s V does not lie between cut-off and charge voltage. Look which of the three is wrong.", num(c.Nominal)))
	}
	if over(0.2*c.Rated, c.MaxCurrent*1.001) && c.RatedAt.Current == 0 {
		add("maxCurrent", say.With("The maximum current of %s A lies below 0.2 It, which is %s A. Look whether it is in A.", num(c.MaxCurrent), num(0.2*c.Rated)))
	}
	switch {
	case over(c.ChargeEnd, c.ChargeCurrent):
		add("chargeEnd", say.With("The charge ends at %s A, above the standard charge current of %s A.", num(c.ChargeEnd), num(c.ChargeCurrent)))
	case !(c.ChargeCurrent > 0) && over(c.ChargeEnd, c.MaxCharge):
		add("chargeEnd", say.With("The charge ends at %s A, above the maximum charge current of %s A.", num(c.ChargeEnd), num(c.MaxCharge)))
	}
	if over(c.ChargeCurrent, c.MaxCharge) {
		add("chargeCurrent", say.With("The standard charge of %s A is over the maximum of %s A.", num(c.ChargeCurrent), num(c.MaxCharge)))
	}
	if c.HasMinTemp && c.MaxTemp > 0 && c.MinTemp >= c.MaxTemp {
		add("minTemp", say.With("The lowest temperature of %s °C does not lie below the highest of %s °C.", num(c.MinTemp), num(c.MaxTemp)))
	}
	// Common practice, no source: iron phosphate is charged to 3.65 V, titanate
	// to 2.8 V, the others to 4.1 V and more.
	low, high := 0.0, 5.0
	switch c.Chemistry {
	case Ion:
		low = 3.95
	case Phosphate:
		low, high = 3.3, 3.9
	case Titanate:
		high = 3.1
	}
	if full > 0 && (full < low || full > high) {
		add("chargeVoltage", say.With("%s V is no charge voltage of a cell of this chemistry: overcharged cells can burn. Look at the datasheet.", num(full)))
	}
	d, err := ParseDesignation(c.Size)
	if err != nil {
		return list
	}
	if c.Chemistry != "" && d.Positive != 0 && d.Positive != 'V' && (c.Chemistry == Phosphate) != (d.Positive == 'F') {
		add("chemistry", say.With("The designation %s is one of another chemistry.", c.Size))
	}
	if d.Series > 1 && d.Series != c.Series {
		add("series", say.With("The designation %s tells of %d cells in series.", c.Size, d.Series))
	}
	// Common practice, no source: lithium cells weigh 1.5 g to 3.3 g a ml.
	if c.Mass > 0 && d.Series*d.Parallel == 1 {
		if x := c.Mass / (1000 * d.Volume()); x < 1 || x > 5 {
			add("mass", say.With("%s g in the size %s would be %s g a ml; such cells weigh 1.5 g to 3.3 g a ml. Look at the unit, and at the size.", num(c.Mass), c.Size, num(x)))
		}
	}
	return list
}
