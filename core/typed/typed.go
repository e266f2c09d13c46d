// Package typed looks for slips in figures that a person copied from a tester's
// display: the quotient of Wh and Ah is an average voltage, and those lie within
// the cell's voltages, fall with the current and agree with their neighbours.
package typed

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"plateau/core/quantity"
	"plateau/core/say"
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

	sameCutoff   = 0.15 // V a cell, within which rows are beside each other; common practice, no source
	mostCapacity = 400  // Ah, more is not taken without a unit; common practice, no source

	mostApart   = 100 // rows of a cell that are said to lie apart
	mostOffered = 30  // rows that get offers
)

const practice = say.Later("common practice, no source")

// Kind is what the average voltages of a cell must fit, in V a cell.
type Kind struct {
	Cutoff, Charge float64
	Low, High      float64 // between which they mostly lie
	Cells          float64 // in series; the habitual band is for one only
}

// The usual voltages of the kinds; common practice, no source.
var (
	Ion       = Kind{2.5, 4.2, 3.0, 3.85, 1}
	Phosphate = Kind{2.0, 3.65, 2.8, 3.3, 1}
	Titanate  = Kind{1.5, 2.8, 2.1, 2.5, 1}
)

// point is a row with its implied average voltage in V and how far the last
// digits let that be off.
type point struct {
	row           int
	amps, v, slip float64
	charge        float64
	low, high     float64 // between which it must lie
	kind          Kind

	expected  expectation // from the others
	off, gain float64     // how far it is off that, and how much better the others agree without it
}

// Check looks at all rows; of tells what a cell's voltages must fit. A row
// without a cell or a current has no others beside it.
func Check(rows []Row, of func(cell string) Kind, w quantity.Words) []Remark {
	c := &checker{rows: rows, w: w}
	var cells []string
	by := map[string][]*point{}
	kinds := map[string]Kind{}
	for k, r := range rows {
		if !(r.Capacity > 0) || math.IsInf(r.Capacity, 0) || !(r.Energy >= 0) || math.IsInf(r.Energy, 0) {
			continue
		}
		kind, ok := kinds[r.Cell]
		if !ok {
			kind = of(r.Cell)
			kind.Cells = max(kind.Cells, 1)
			kinds[r.Cell] = kind
		}
		p := &point{row: k, amps: r.Current, v: r.Energy / r.Capacity, charge: r.Capacity, kind: kind, low: kind.Cutoff * kind.Cells, high: kind.Charge * kind.Cells}
		p.slip = p.v * (step(r.CapacityText)/2 + step(r.EnergyText)/2)
		switch {
		case r.Cutoff > kind.Charge:
			p.low = r.Cutoff // of the pack, not of a cell
		case r.Cutoff > 0:
			p.low = r.Cutoff * kind.Cells
		}
		if out := p.outside(); r.Capacity > mostCapacity && bare(r.CapacityText) && (r.Energy == 0 || !out) {
			c.milli(p)
			continue
		}
		if r.Energy == 0 {
			continue
		}
		if r.Cell == "" || !(r.Current > 0) || math.IsInf(r.Current, 0) {
			c.cell([]*point{p})
			continue
		}
		if by[r.Cell] == nil {
			cells = append(cells, r.Cell)
		}
		by[r.Cell] = append(by[r.Cell], p)
	}
	for _, name := range cells {
		all := by[name]
		slices.SortStableFunc(all, func(a, b *point) int { return cmp.Compare(a.low, b.low) })
		for from, to := 0, 1; to <= len(all); to++ {
			if to == len(all) || all[to].low > all[from].low+float64(sameCutoff*all[from].kind.Cells)+1e-9 {
				c.cell(all[from:to])
				from = to
			}
		}
	}
	slices.SortStableFunc(c.out, func(a, b Remark) int { return cmp.Compare(a.Row, b.Row) })
	return c.out
}

type checker struct {
	rows    []Row
	w       quantity.Words
	out     []Remark
	offered int // rows
}

func (c *checker) volts(v float64) string { return c.w.Fixed(v, 2) + " V" }
func (c *checker) amps(a float64) string  { return c.w.Fixed(a, quantity.Decimals(a, 3)) + " A" }

func (p *point) outside() bool { return p.v < p.low-p.slip || p.v > p.high+p.slip }

// milli is for a row whose figures are in mAh and mWh, and do not say so.
func (c *checker) milli(p *point) {
	r := c.rows[p.row]
	m := Remark{Row: p.row, Severity: "fault", Field: "capacity", Rule: say.With("a capacity of more than %d Ah has its unit with it", mostCapacity), Source: say.Text(practice),
		Says: say.With("%s Ah is hardly the capacity of a cell: it may be in mAh.", r.CapacityText), Do: say.Text("Write the unit behind the figure; Ah too, where it is so large.")}
	for _, o := range []Offer{{Field: "capacity", Text: r.CapacityText + " mAh"}, {Field: "energy", Text: r.EnergyText + " mWh"}} {
		if o.Field == "capacity" || r.Energy > 0 && bare(r.EnergyText) {
			o.Why = say.With("%s for %s, the unit.", o.Text, strings.Fields(o.Text)[0])
			m.Offers = append(m.Offers, o)
		}
	}
	c.out = append(c.out, m)
}

// cell looks at the rows of one cell that ended alike. What stands out most goes
// first, and is not taken for a neighbour of the others.
func (c *checker) cell(all []*point) {
	slices.SortStableFunc(all, func(a, b *point) int { return cmp.Compare(a.amps, b.amps) })
	var good, bad []*point
	for _, p := range all {
		if p.outside() {
			bad = append(bad, p)
		} else {
			good = append(good, p)
		}
	}
	for _, p := range bad {
		r := Remark{Row: p.row, Severity: "fault", Field: "energy", Rule: say.Text("the average voltage, Wh over Ah, lies between cut-off and charge voltage"), Source: say.Text("arithmetic"),
			Says: say.With("Wh over Ah is %s, which is not between %s and %s: one of the two is wrong.", c.volts(p.v), c.volts(p.low), c.volts(p.high)),
			Do:   say.Text("Look at the display or your notes again.")}
		r.Offers = c.offers(p, good)
		c.out = append(c.out, r)
	}
	weigh(good, 0, len(good))
	for apart := 0; len(good) > 2 && apart < mostApart; apart++ {
		// Not the one that stands out most, but the one without which the others
		// agree best: a slip makes its neighbours stand out too.
		worst := -1
		for k, p := range good {
			if p.off > 1 && (worst < 0 || p.gain > good[worst].gain+1e-9 || p.gain > good[worst].gain-1e-9 && p.off > good[worst].off) {
				worst = k
			}
		}
		if worst < 0 {
			break
		}
		p := good[worst]
		r := Remark{Row: p.row, Severity: "caution", Field: "energy", Rule: say.Text("average voltages of one cell agree with their neighbours"), Source: say.Text(practice),
			Says: c.besides(p, good),
			Do:   say.Text("Look at the display or your notes again: a digit may have slipped.")}
		good = slices.Delete(good, worst, worst+1)
		weigh(good, worst-2*reach-1, worst+2*reach+1)
		r.Offers = c.offers(p, good)
		c.out = append(c.out, r)
	}
	for k := 1; k < len(good); k++ {
		a, b := good[k-1], good[k]
		if !(b.amps > a.amps*1.05) {
			continue
		}
		if b.v > a.v*(1+rise)+a.slip+b.slip {
			c.out = append(c.out, Remark{Row: b.row, Severity: "caution", Field: "energy", Rule: say.Text("the average voltage does not rise with the current"), Source: say.Text(practice),
				Says: say.With("Wh over Ah is %s at %s, more than the %s at %s: it is this row or that at %s.", c.volts(b.v), c.amps(b.amps), c.volts(a.v), c.amps(a.amps), c.amps(a.amps)),
				Do:   say.Text("Look at both rows: one of their figures may be wrong. A cell that was colder in the slower run does this too."), Offers: c.offers(b, without(good, k))})
		}
		if b.charge > a.charge*(1+capacityRise) {
			c.out = append(c.out, Remark{Row: b.row, Severity: "note", Field: "capacity", Rule: say.Text("the capacity hardly rises with the current"), Source: say.Text(practice),
				Says: say.With("%s Ah at %s are more than the %s Ah at %s: it may be this row or that at %s.", c.w.Fixed(b.charge, 3), c.amps(b.amps), c.w.Fixed(a.charge, 3), c.amps(a.amps), c.amps(a.amps)),
				Do:   say.Text("Look at both rows. Heating, or a slower run that did not start full, does this too.")})
		}
	}
	for _, p := range good {
		if k := p.kind; k.Cells == 1 && k.High > 0 && (p.v < k.Low || p.v > k.High) {
			c.out = append(c.out, Remark{Row: p.row, Severity: "note", Field: "energy", Rule: say.With("average voltages mostly lie between %s and %s", c.volts(k.Low), c.volts(k.High)), Source: say.Text(practice),
				Says: say.With("Wh over Ah is %s.", c.volts(p.v)), Do: say.Text("Nothing need be done where the cell is of a kind with another voltage, or the current high.")})
		}
	}
}

// besides says how far a row is off the others of its cell, and names those of
// three that may be the wrong one instead.
func (c *checker) besides(p *point, all []*point) string {
	is, expected, at := c.volts(p.v), c.volts(p.expected.v), c.amps(p.amps)
	var others []string
	for _, o := range all {
		if len(all) == 3 && o != p && o.off > 1 {
			others = append(others, c.amps(o.amps))
		}
	}
	switch len(others) {
	case 0:
		return say.With("Wh over Ah is %s; beside the other discharges of this cell about %s is expected at %s.", is, expected, at)
	case 1:
		return say.With("Wh over Ah is %s; beside the other discharges of this cell about %s is expected at %s: it is this row or that at %s.",
			is, expected, at, others[0])
	}
	return say.With("Wh over Ah is %s; beside the other discharges of this cell about %s is expected at %s: it is this row or that at %s or that at %s.",
		is, expected, at, others[0], others[1])
}

func without(list []*point, k int) []*point { return slices.Delete(slices.Clone(list), k, k+1) }

// step is one step of a typed number's last digit, as a share of it.
func step(text string) float64 {
	n, _ := number(text)
	digits := strings.TrimLeft(noMark(n), "0")
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

// bare tells whether a number has no unit.
func bare(text string) bool {
	return strings.IndexFunc(text, unicode.IsLetter) < 0 && strings.TrimSpace(text) != ""
}

func noMark(n string) string { return strings.ReplaceAll(strings.ReplaceAll(n, ".", ""), ",", "") }
