package logfile

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"plateau/core/quantity"
)

// role is the place of a value in a sample.
type role uint8

const (
	skip role = iota
	roleTime
	roleVoltage
	roleCurrent
	roleTemperature
	rolePower
	roles = 8 // a power of two, so that an index needs no check
)

// plan says what to take from each field of a row.
type plan struct {
	fields   []role // up to the last that is needed
	factor   [roles]float64
	offset   [roles]float64
	timeForm form
	has      [roles]bool
	column   [roles]int
	assumed  []string // "time as s"
	notes    []string
}

// choose picks the columns to read: for each quantity the one whose header fits
// best and whose values can be it.
func (lay *Layout) choose() (*plan, *Fault) {
	p := &plan{}
	sample := lay.sample()
	fault := func(kind error, hint string) *Fault {
		return &Fault{Line: lay.HeaderLine, Got: cut(strings.TrimSpace(string(lay.lines[lay.HeaderLine-1]))), Err: kind, Hint: hint}
	}
	if !lay.pick(p, roleTime, Time, sample) {
		return nil, fault(ErrNoTime, "Name the column of time in the header, such as Time / s, and export the log again.")
	}
	if !lay.pick(p, roleVoltage, Voltage, sample) {
		return nil, fault(ErrNoVoltage, "Name the column of the cell's voltage in the header, such as Voltage / V; or record it, since nothing can be worked out without it.")
	}
	if !lay.pick(p, roleCurrent, Current, sample) && !lay.pick(p, rolePower, Power, sample) {
		return nil, fault(ErrNoCurrent, "Name the column of current in the header, such as Current / A, or add one that holds the current you set.")
	}
	lay.pick(p, roleTemperature, Temperature, sample)

	if len(p.assumed) > 0 {
		p.notes = append(p.notes, "The header gives no unit: "+strings.Join(p.assumed, ", ")+" was assumed.")
	}
	last := 0
	for r := roleTime; r < roles; r++ {
		if p.has[r] {
			last = max(last, p.column[r])
		}
	}
	p.fields = make([]role, last+1)
	for r := roleTime; r < roles; r++ {
		if p.has[r] {
			p.fields[p.column[r]] = r
		}
	}
	return p, nil
}

// sample is the fields of the rows looked at, up to a thousand.
func (lay *Layout) sample() [][]string {
	var rows [][]string
	for _, l := range lay.lines[lay.first:] {
		if f := splitLine(l, lay.Delimiter); len(f) == lay.width && len(rows) < 1000 {
			rows = append(rows, f)
		}
	}
	return rows
}

func (lay *Layout) pick(p *plan, r role, kind Kind, sample [][]string) bool {
	type candidate struct {
		Column
		values []float64
		score  int
	}
	var list []candidate
	for _, c := range lay.Columns {
		fm := lay.forms[c.Index]
		if c.Kind != kind || fm < number || (kind != Time && fm != number) {
			continue
		}
		x := candidate{c, values(sample, c.Index, fm, lay.Decimal), c.score}
		if kind == Time {
			if !rises(x.values) {
				x.score -= 20
			}
			if fm == number || fm == dateTime {
				x.score++
			}
		}
		list = append(list, x)
	}
	if len(list) == 0 {
		return false
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].score > list[j].score })
	best := list[0]
	if len(list) > 1 && list[1].score == best.score {
		p.notes = append(p.notes, fmt.Sprintf("Columns %d and %d could both be the %s; column %d was taken.",
			best.Index+1, list[1].Index+1, kind, best.Index+1))
	}
	c := &lay.Columns[best.Index]
	fm := lay.forms[best.Index]
	if kind == Time {
		p.timeForm = fm
		if fm != number {
			c.Unit = quantity.Unit{Kind: quantity.Time, Symbol: "h:mm:ss", Factor: 1, Clock: true}
			if fm == dateTime {
				c.Unit.Symbol = "date and time"
			}
			c.Stated = true
		} else if c.Unit.Clock { // the header promises a clock, the rows have numbers
			c.Unit, c.Stated = baseUnit(Time), false
		}
	}
	if !c.Stated {
		p.assumed = append(p.assumed, lay.assume(c, best.values))
	}
	p.has[r], p.column[r] = true, best.Index
	p.factor[r], p.offset[r] = c.Unit.Factor, c.Unit.Offset
	return true
}

// assume settles the unit of a column whose header has none by the size of its
// numbers, and says so. Limits: common practice, no source.
func (lay *Layout) assume(c *Column, values []float64) string {
	var size float64
	for _, x := range values {
		size = max(size, math.Abs(x))
	}
	symbol := ""
	switch {
	case c.Kind == Voltage && size > 200:
		symbol = "mV"
	case c.Kind == Current && size > 60:
		symbol = "mA"
	case c.Kind == Power && size > 1000:
		symbol = "mW"
	case c.Kind == Time && size > 1e11: // s since 1970 are below 1e10
		symbol = "ms"
	}
	if u, ok := quantity.UnitOf(symbol, c.Kind.of()); ok {
		c.Unit = u
	}
	return fmt.Sprintf("%s in %s (column %d)", c.Kind, c.Unit.Symbol, c.Index+1)
}

// values are the numbers of one column; for times in s or as written.
func values(sample [][]string, column int, fm form, mark byte) []float64 {
	var out []float64
	var d dates
	for _, row := range sample {
		f := []byte(row[column])
		switch fm {
		case number:
			if x, err := quantity.Decimal(f, mark); err == nil {
				out = append(out, x)
			}
		case clock:
			if x, ok := parseClock(f); ok {
				out = append(out, x)
			}
		case dateTime:
			if x, ok := d.parse(f); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

// rises says whether values go up somewhere; a clock that stands still is none.
func rises(x []float64) bool {
	for k := 1; k < len(x); k++ {
		if x[k] > x[k-1] {
			return true
		}
	}
	return false
}

// Words tells in words how the log was read.
func (lay *Layout) Words() string {
	name := map[byte]string{',': "comma", ';': "semicolon", '\t': "tab"}
	mark := map[byte]string{'.': "point", ',': "comma"}
	var b strings.Builder
	fmt.Fprintf(&b, "%s between columns, decimal %s; header in line %d", name[lay.Delimiter], mark[lay.Decimal], lay.HeaderLine)
	if lay.UnitsLine > 0 {
		fmt.Fprintf(&b, ", units in line %d", lay.UnitsLine)
	}
	for _, c := range lay.used {
		fmt.Fprintf(&b, "; %s from column %d “%s”", c.Kind, c.Index+1, cut(c.Head))
		switch {
		case c.Unit.Clock:
			fmt.Fprintf(&b, " as %s", c.Unit.Symbol)
		default:
			fmt.Fprintf(&b, " in %s", c.Unit.Symbol)
		}
	}
	return b.String()
}
