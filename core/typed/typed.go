// Package typed looks for slips in figures that a person copied from a tester's
// display: the quotient of Wh and Ah is an average voltage, and those lie within
// the cell's voltages, fall with the current and agree with their neighbours.
package typed

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"plateau/core/quantity"
)

// Row is one discharge as typed. Zero stands for what was not.
type Row struct {
	Cell         string
	Current      float64 // A
	Capacity     float64 // Ah
	Energy       float64 // Wh
	Cutoff       float64 // V
	CapacityText string  // as typed, a unit behind it or not
	EnergyText   string
}

// Remark is what is doubtful in a row. Severity is "fault", "caution" or "note".
type Remark struct {
	Row                           int // index
	Severity                      string
	Field, Says, Do, Rule, Source string
	Offers                        []Offer
}

const (
	// Average voltages may be off the line between their neighbours by inside,
	// and by outside more for each of its lengths beyond it; they may rise with
	// the current by rise, capacities by capacityRise. No source: curves of
	// simulated cells bend by half of that.
	inside, outside, rise, capacityRise = 0.02, 0.02, 0.003, 0.03

	usualCharge, usualPhosphate = 4.2, 3.65 // V; common practice, no source
	lowest, lowestPhosphate     = 2.5, 2.0  // V; common practice, no source
)

var practice = "common practice, no source"

// point is a row with its implied average voltage in V and how far the last
// digits let that be off.
type point struct {
	row           int
	amps, v, slip float64
	charge        float64
	low, high     float64 // between which it must lie
	band          [2]float64
}

// Check looks at all rows; of tells a cell's cut-off and charge voltage in V,
// zeros where they are not known, and whether it is of iron phosphate.
func Check(rows []Row, of func(cell string) (cutoff, charge float64, phosphate bool), w quantity.Words) []Remark {
	c := &checker{rows: rows, w: w}
	var cells []string
	by := map[string][]point{}
	for k, r := range rows {
		if !(r.Capacity > 0) || !(r.Energy > 0) || math.IsInf(r.Capacity, 0) || math.IsInf(r.Energy, 0) {
			continue
		}
		cutoff, charge, phosphate := of(r.Cell)
		p := point{row: k, amps: r.Current, v: r.Energy / r.Capacity, charge: r.Capacity, low: cutoff, high: charge, band: [2]float64{3.0, 3.85}}
		p.slip = p.v * (step(r.CapacityText)/2 + step(r.EnergyText)/2)
		usualLow, usualHigh := lowest, usualCharge
		if phosphate {
			p.band, usualLow, usualHigh = [2]float64{2.8, 3.3}, lowestPhosphate, usualPhosphate
		}
		if p.low == 0 {
			p.low = usualLow
		}
		if r.Cutoff > 0 {
			p.low = r.Cutoff
		}
		if p.high == 0 {
			p.high = usualHigh
		}
		if by[r.Cell] == nil {
			cells = append(cells, r.Cell)
		}
		by[r.Cell] = append(by[r.Cell], p)
	}
	for _, name := range cells {
		c.cell(by[name])
	}
	slices.SortStableFunc(c.out, func(a, b Remark) int { return cmp.Compare(a.Row, b.Row) })
	return c.out
}

type checker struct {
	rows []Row
	w    quantity.Words
	out  []Remark
}

func (c *checker) volts(v float64) string { return c.w.Fixed(v, 2) + " V" }
func (c *checker) amps(a float64) string  { return c.w.Fixed(a, quantity.Decimals(a, 3)) + " A" }

// cell looks at the rows of one cell. What stands out most goes first, and is
// not taken for a neighbour of the others.
func (c *checker) cell(all []point) {
	slices.SortStableFunc(all, func(a, b point) int { return cmp.Compare(a.amps, b.amps) })
	var good, bad []point
	for _, p := range all {
		if p.v < p.low-p.slip || p.v > p.high+p.slip {
			bad = append(bad, p)
		} else {
			good = append(good, p)
		}
	}
	for _, p := range bad {
		r := Remark{Row: p.row, Severity: "fault", Field: "energy", Rule: "the average voltage, Wh over Ah, lies between cut-off and charge voltage", Source: "arithmetic",
			Says: fmt.Sprintf("Wh over Ah is %s, which is not between %s and %s: one of the two is wrong.", c.volts(p.v), c.volts(p.low), c.volts(p.high)),
			Do:   "Look at the display or your notes again."}
		r.Offers = c.offers(p, good)
		c.out = append(c.out, r)
	}
	for len(good) > 2 {
		// Not the one that stands out most, but the one without which the others
		// agree best: a slip makes its neighbours stand out too.
		worst, rest, own, expected := -1, math.Inf(1), 0.0, expectation{}
		for k, p := range good {
			others := without(good, k)
			e := expect(p, others)
			if off := e.off(p); off > 1 {
				if r := disagreement(others); r < rest-1e-9 || r < rest+1e-9 && off > own {
					worst, rest, own, expected = k, r, off, e
				}
			}
		}
		if worst < 0 {
			break
		}
		p := good[worst]
		good = without(good, worst)
		r := Remark{Row: p.row, Severity: "caution", Field: "energy", Rule: "average voltages of one cell agree with their neighbours", Source: practice,
			Says: fmt.Sprintf("Wh over Ah is %s; beside the other discharges of this cell about %s is expected at %s.", c.volts(p.v), c.volts(expected.v), c.amps(p.amps)),
			Do:   "Look at the display or your notes again: a digit may have slipped."}
		r.Offers = c.offers(p, good)
		c.out = append(c.out, r)
	}
	for k := 1; k < len(good); k++ {
		a, b := good[k-1], good[k]
		if !(b.amps > a.amps*1.05) {
			continue
		}
		if b.v > a.v*(1+rise)+a.slip+b.slip {
			c.out = append(c.out, Remark{Row: b.row, Severity: "caution", Field: "energy", Rule: "the average voltage does not rise with the current", Source: practice,
				Says: fmt.Sprintf("Wh over Ah is %s at %s, more than the %s at %s.", c.volts(b.v), c.amps(b.amps), c.volts(a.v), c.amps(a.amps)),
				Do:   "Look at both rows: one of their figures may be wrong. A cell that was colder in the slower run does this too.", Offers: c.offers(b, without(good, k))})
		}
		if b.charge > a.charge*(1+capacityRise) {
			c.out = append(c.out, Remark{Row: b.row, Severity: "note", Field: "capacity", Rule: "the capacity hardly rises with the current", Source: practice,
				Says: fmt.Sprintf("%s Ah at %s are more than the %s Ah at %s.", c.w.Fixed(b.charge, 3), c.amps(b.amps), c.w.Fixed(a.charge, 3), c.amps(a.amps)),
				Do:   "Look at both rows. Heating, or a slower run that did not start full, does this too."})
		}
	}
	for _, p := range good {
		if p.v < p.band[0] || p.v > p.band[1] {
			c.out = append(c.out, Remark{Row: p.row, Severity: "note", Field: "energy", Rule: fmt.Sprintf("average voltages mostly lie between %s and %s", c.volts(p.band[0]), c.volts(p.band[1])), Source: practice,
				Says: fmt.Sprintf("Wh over Ah is %s.", c.volts(p.v)), Do: "Nothing need be done where the cell is of a kind with another voltage, or the current high."})
		}
	}
}

func without(list []point, k int) []point { return slices.Delete(slices.Clone(list), k, k+1) }

// disagreement is how far the discharges are off each other, in tolerances; what
// is within them does not count.
func disagreement(list []point) (sum float64) {
	for k, p := range list {
		others := without(list, k)
		sum += max(0, expect(p, others).off(p)-1)
	}
	for k := 1; k < len(list); k++ {
		sum += max(0, (list[k].v-list[k-1].v)/(list[k].v*inside)-rise/inside)
	}
	return sum
}

// expectation is what the other discharges of a cell let expect.
type expectation struct {
	v, tolerance float64 // V
	charge       float64 // Ah
	ok           bool
}

// off is how many tolerances a discharge lies from it.
func (e expectation) off(p point) float64 {
	if !e.ok {
		return 0
	}
	return math.Abs(p.v-e.v) / (e.tolerance + p.slip)
}

// expect reads the line between the neighbours by current, or not too far beyond
// two on one side.
func expect(p point, others []point) expectation {
	if len(others) < 2 || !(p.amps > 0) {
		return expectation{}
	}
	k := slices.IndexFunc(others, func(o point) bool { return o.amps > p.amps })
	switch {
	case k < 0:
		k = len(others) - 1
	case k == 0:
		k = 1
	}
	a, b := others[k-1], others[k]
	if !(b.amps > a.amps) {
		return expectation{v: a.v, tolerance: outside * a.v, charge: a.charge, ok: p.amps < 2*a.amps && a.amps < 2*p.amps}
	}
	f := (p.amps - a.amps) / (b.amps - a.amps)
	beyond := max(f-1, -f, 0)
	e := expectation{v: a.v + float64(f*(b.v-a.v)), charge: a.charge + float64(f*(b.charge-a.charge)), ok: beyond <= 3}
	e.tolerance = e.v * (inside + float64(beyond*outside))
	return e
}

// step is one step of a typed number's last digit, as a share of it.
func step(text string) float64 {
	n, _ := number(text)
	digits := strings.TrimLeft(strings.NewReplacer(".", "", ",", "").Replace(n), "0")
	x, err := strconv.ParseFloat(digits, 64)
	if err != nil || !(x > 0) {
		return 0
	}
	return 1 / x
}

// number parts a text into its number and what stands behind.
func number(text string) (n, unit string) {
	text = strings.TrimSpace(text)
	k := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.,", r) })
	if k < 0 {
		return text, ""
	}
	return text[:k], text[k:]
}
