package logfile

import (
	"bytes"
	"math"
	"slices"
	"sort"
	"strings"

	"plateau/core/quantity"
	"plateau/core/say"
)

// role is the place of a value in a sample.
type role uint8

const (
	skip role = iota
	roleTime
	roleVoltage
	roleCurrent
	roleTemperature
	roleCharge
	roleEnergy
	rolePower
	roleResistance
	roleDate

	roles role = 16 // more than there are: with a power of two an index needs no check
)

var roleKinds = [roles]Kind{roleTime: Time, roleVoltage: Voltage, roleCurrent: Current, roleTemperature: Temperature,
	roleCharge: Charge, roleEnergy: Energy, rolePower: Power, roleResistance: Resistance, roleDate: Time}

// plan says what to take from each field of a row.
type plan struct {
	fields   []role // up to the last that is needed
	factor   [roles]float64
	offset   [roles]float64
	timeForm form
	has      [roles]bool
	column   [roles]int
	interval float64       // s, where there is no time
	current  float64       // A, where there is no current
	supposed [roles]bool   // the unit is assumed, not stated
	stated   [roles]bool   // the first header gives the unit, and it is no clock
	counted  [roles]string // the name of a counter, as phrase has it
	notes    []string
}

// chooser picks the columns to read.
type chooser struct {
	lay    *Layout
	p      *plan
	sample [][]string
}

// choose picks for each quantity the column whose header fits best and whose
// values can be it. What cannot be settled becomes a [*Question].
func (lay *Layout) choose() (*plan, error) {
	ch := &chooser{lay, &plan{}, lay.sample()}
	p := ch.p
	for _, step := range []func() error{ch.voltage, ch.current, ch.time} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	if _, err := ch.pick(roleTemperature); err != nil {
		return nil, err
	}
	ch.counters()
	last := 0
	for r := roleTime; r < roles; r++ {
		if p.has[r] {
			last = max(last, p.column[r])
		}
	}
	p.fields = make([]role, last+1)
	for r := roleTime; r < roles; r++ {
		if p.has[r] {
			c := lay.Columns[p.column[r]]
			p.fields[c.Index] = r
			lay.used = append(lay.used, c)
			p.stated[r] = c.Stated && !c.Unit.Clock
			if r.isCounter() {
				p.counted[r] = phrase(c.Head)
			}
		}
	}
	return p, nil
}

func (ch *chooser) fault(kind error, hint string) *Fault {
	k := max(ch.lay.HeaderLine, 1)
	line := ch.lay.lines[min(max(k-1-ch.lay.shift, 0), len(ch.lay.lines)-1)]
	return &Fault{Line: k, Got: cut(string(bytes.TrimSpace(line))), Err: kind, Hint: hint}
}

func (ch *chooser) voltage() error {
	ok, err := ch.pick(roleVoltage)
	if err != nil {
		return err
	}
	if !ok {
		f := ch.fault(ErrNoVoltage, say.Later("Name the column of the cell's voltage in the header, such as Voltage / V; or record it, since nothing can be worked out without it."))
		if ch.spare() || ch.lay.HeaderLine == 0 {
			return ask(f, "columns", say.Later("Which column is the cell's voltage?"))
		}
		return f
	}
	var size []float64
	c := ch.lay.Columns[ch.p.column[roleVoltage]]
	for _, x := range ch.values(c.Index, number) {
		size = append(size, math.Abs(x*c.Unit.Factor))
	}
	slices.Sort(size)
	if mid := size[len(size)/2]; (mid > 1000 || mid > 0 && mid < 0.05) && !c.ruled {
		return ask(ch.fault(ErrNoVoltage, say.Later("Put the right unit in the header.")), "unit",
			say.Later("Column %s reads %s V, which no cell has. What is its unit, or which column is the voltage?"), c.Index+1, significant(mid, 4))
	}
	return nil
}

// spare tells whether numbers are left that could be what is missing.
func (ch *chooser) spare() bool {
	for _, c := range ch.lay.Columns {
		if c.Kind == Unknown && ch.lay.forms[c.Index] == number {
			return true
		}
	}
	return false
}

func (ch *chooser) current() error {
	for _, r := range []role{roleCurrent, rolePower} {
		if ok, err := ch.pick(r); ok || err != nil {
			return err
		}
	}
	if a := ch.lay.rules.Current; a != 0 {
		ch.p.current = a
		ch.p.notes = append(ch.p.notes, say.Keep(say.Later("The log has no current: %s A, as you said, is taken for every row."), a))
		return nil
	}
	if ok, err := ch.pick(roleResistance); err != nil || ok && ch.isLoad() {
		return err
	}
	ch.p.has[roleResistance] = false
	if a, text := ch.stated(); a != 0 {
		ch.p.current = a
		ch.p.notes = append(ch.p.notes, say.Keep(say.Later("The log has no current: %s A is taken for every row, from the line “%s” above the rows."), a, text))
		return nil
	}
	f := ch.fault(ErrNoCurrent, say.Later("Name the column of current in the header, such as Current / A, or say which current you set."))
	if ch.spare() {
		return ask(f, "columns", say.Later("Which column is the current, or which current was set?"))
	}
	return ask(f, "current", say.Later("The log has no current. Which current was set?"))
}

// isLoad tells a load resistor from the internal resistance of a cell: with
// the first one a current comes out that a bench draws.
func (ch *chooser) isLoad() bool {
	c := ch.lay.Columns[ch.p.column[roleResistance]]
	for _, x := range ch.values(c.Index, number) {
		if r := x * c.Unit.Factor; r != 0 && r < 0.2 {
			return false
		}
	}
	return true
}

// stated looks above the rows for a line that gives one current.
func (ch *chooser) stated() (amps float64, line string) {
	for k := 0; k < ch.lay.first; k++ {
		text := strings.TrimSpace(string(ch.lay.lines[k]))
		parts := strings.FieldsFunc(text, func(r rune) bool { return r == ':' || r == '=' || r == ';' || r == '\t' || r == '|' })
		if len(parts) < 2 {
			continue
		}
		head := readHead(parts[0], "")
		if head.Kind != Current || qualify(parts[0]) < -6 {
			continue
		}
		value := strings.TrimSpace(strings.Join(parts[1:min(len(parts), 3)], " "))
		unit := head.Unit
		for _, sx := range syntaxes {
			x, u, ok := sx.number(value)
			if !ok || !(x > 0) {
				continue
			}
			if u != "" {
				if unit, ok = quantity.UnitOf(u, quantity.Current); !ok {
					continue
				}
			} else if !head.Stated {
				continue
			}
			if amps != 0 {
				return 0, "" // two of them
			}
			amps, line = x*unit.Factor, cut(text)
			break
		}
	}
	return amps, line
}

func (ch *chooser) time() error {
	lay, p := ch.lay, ch.p
	ok, err := ch.pick(roleTime)
	if err != nil {
		return err
	}
	if !ok {
		if lay.rules.Interval > 0 {
			p.interval = lay.rules.Interval
			p.notes = append(p.notes, say.Keep(say.Later("The log has no time: %s s between rows, as you said."), p.interval))
			return nil
		}
		f := ch.fault(ErrNoTime, say.Later("Name the column of time in the header, such as Time / s, or say how far apart the rows are."))
		if ch.spare() {
			return ask(f, "columns", say.Later("Which column is the time, or how far apart are the rows?"))
		}
		return ask(f, "interval", say.Later("The log has no time. How far apart are its rows?"))
	}
	c := lay.Columns[p.column[roleTime]]
	if c.sure == Unsure && !c.ruled {
		return ask(ch.fault(ErrNoHeader, say.Later("Put a line above the numbers that names the columns and units, such as: Time / s, Voltage / V, Current / A.")),
			"unit", say.Later("The columns have no names. Is column %s the time, and in which unit?"), c.Index+1)
	}
	if p.timeForm == clock { // a date beside it tells the days
		for _, other := range lay.Columns {
			if lay.forms[other.Index] == dateOnly && (other.Kind == Time || other.Kind == Unknown) {
				p.has[roleDate], p.column[roleDate], p.factor[roleDate] = true, other.Index, 1
			}
		}
	}
	return nil
}

// sample is the fields of the rows looked at.
func (lay *Layout) sample() [][]string {
	var rows [][]string
	for _, l := range lay.lines[lay.first:] {
		if f := lay.split(l); len(f) == lay.width {
			rows = append(rows, f)
		}
	}
	return rows
}

// split parts a row into its fields; where the comma is delimiter and decimal
// mark as well, two make one.
func (lay *Layout) split(l []byte) []string {
	f := splitLine(l, lay.Delimiter)
	if !lay.pairs || len(f)%2 != 0 {
		return f
	}
	joined := make([]string, len(f)/2)
	for k := range joined {
		joined[k] = f[2*k] + "," + f[2*k+1]
	}
	return joined
}

type candidate struct {
	Column
	values []float64
	score  int
}

// pick settles the column of one role; false where there is none.
func (ch *chooser) pick(r role) (bool, error) {
	lay, p, kind := ch.lay, ch.p, roleKinds[r]
	var list []candidate
	for _, c := range lay.Columns {
		fm := lay.forms[c.Index]
		if c.Kind != kind || fm < number || fm == dateOnly || kind != Time && fm != number {
			continue
		}
		x := candidate{c, ch.values(c.Index, fm), c.score}
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
		return false, nil
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].score > list[j].score })
	best := list[0]
	if len(list) > 1 && list[1].score == best.score && !slices.Equal(list[1].values, best.values) {
		if r == roleVoltage || r == roleCurrent {
			return false, ask(ch.fault(ErrHeader, say.Later("Name the cell's own column so that it differs from the other.")), "columns",
				say.Later("Columns %s and %s could both be the %s. Which is the cell's?"), best.Index+1, list[1].Index+1, kind)
		}
		p.notes = append(p.notes, say.Keep(say.Later("Columns %s and %s could both be the %s; column %s was taken."),
			best.Index+1, list[1].Index+1, kind, best.Index+1))
	}
	c := &lay.Columns[best.Index]
	fm := lay.forms[best.Index]
	if kind == Time {
		p.timeForm = fm
		if fm != number {
			c.Unit = quantity.Unit{Kind: quantity.Time, Symbol: "h:mm:ss", Factor: 1, Clock: true}
			if fm == dateTime {
				c.Unit.Symbol = say.Later("date and time")
			}
			c.Stated = true
		} else if c.Unit.Clock { // the header promises a clock, the rows have numbers
			c.Unit, c.Stated = baseUnit(Time), false
		}
	}
	if !c.Stated && !c.ruled {
		assume(c, best.values)
		p.notes = append(p.notes, say.Keep(say.Later("The header gives no unit: %s in %s (column %s) was assumed."), kind, c.Unit.Symbol, c.Index+1))
		// Seconds and milliseconds since 1970 tell themselves.
		p.supposed[r] = kind != Time || fm != number || best.values[0] < 1e8
	}
	p.has[r], p.column[r] = true, best.Index
	p.factor[r], p.offset[r] = c.Unit.Factor, c.Unit.Offset
	return true, nil
}

// assume settles the unit of a column whose header has none by the size of its
// numbers. Limits: common practice, no source.
func assume(c *Column, values []float64) {
	var size float64
	for _, x := range values {
		size = max(size, math.Abs(x))
	}
	symbol := ""
	switch {
	case c.Kind == Voltage && size > 1000: // packs stay below, cells come to more mV
		symbol = "mV"
	case c.Kind == Power && size > 1000:
		symbol = "mW"
	case c.Kind == Time && size > 1e11: // s since 1970 are below 1e10
		symbol = "ms"
	}
	if u, ok := quantity.UnitOf(symbol, c.Kind.of()); ok {
		c.Unit = u
	}
}

// values are the numbers of one column; times in s or as written.
func (ch *chooser) values(column int, fm form) []float64 {
	var out []float64
	var d dates
	for _, row := range ch.sample {
		x, ok := 0.0, false
		switch f := clean(row[column]); fm {
		case number:
			x, _, ok = ch.lay.syntax.number(f)
		case clock:
			x, ok = parseClock([]byte(f))
		case dateTime:
			x, ok = d.parse([]byte(f))
		}
		if ok {
			out = append(out, x)
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
