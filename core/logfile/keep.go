package logfile

import (
	"math"

	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/trace"
)

// Kept is what has to be kept of a log beside its trace so that all that is said
// of it can be said again, as plain data for a file that a person can read. What
// was said is in English, as [say.Keep] has it.
type Kept struct {
	Name         string        `json:"name"`
	Bytes        int64         `json:"bytes"`
	Rows         int           `json:"rows"`
	Origin       float64       `json:"origin"` // s
	Absolute     bool          `json:"absolute,omitempty"`
	Negative     bool          `json:"dischargeNegative,omitempty"`
	Unsigned     bool          `json:"unsigned,omitempty"`
	Notes        []string      `json:"notes,omitempty"`
	Left         int           `json:"left,omitempty"`
	LeftOut      []KeptLeftOut `json:"leftOut,omitempty"`
	WentBack     int           `json:"wentBack,omitempty"`
	WentBackLine int           `json:"wentBackLine,omitempty"`
	Restarts     int           `json:"restarts,omitempty"`
	RestartLine  int           `json:"restartLine,omitempty"`
	Layout       KeptLayout    `json:"layout"`
}

// KeptLeftOut is a [LeftOut].
type KeptLeftOut struct {
	Line   int    `json:"line"`
	Reason string `json:"reason"`
}

// KeptLayout is a [Layout], but for what only reading on needs.
type KeptLayout struct {
	Encoding  string       `json:"encoding"`
	Delimiter string       `json:"delimiter"`
	Decimal   string       `json:"decimal"`
	Header    int          `json:"headerLine"` // from 1; 0 where there is none
	Units     int          `json:"unitsLine,omitempty"`
	FirstRow  int          `json:"firstRow"`
	Columns   []KeptColumn `json:"columns"`
	Used      []int        `json:"used"` // their indices, in the order of [Layout.Used]
	Guesses   []KeptGuess  `json:"guesses,omitempty"`
}

// KeptColumn is a [Column].
type KeptColumn struct {
	Head   string  `json:"head"`
	Kind   string  `json:"kind"`
	Unit   string  `json:"unit,omitempty"`
	UnitOf string  `json:"unitOf,omitempty"` // the kind that the unit measures
	Factor float64 `json:"factor,omitempty"`
	Offset float64 `json:"offset,omitempty"`
	Clock  bool    `json:"clock,omitempty"`
	Stated bool    `json:"stated,omitempty"`
	Ruled  bool    `json:"ruled,omitempty"`
	Sure   string  `json:"sure"`
	Why    string  `json:"why,omitempty"`
}

// KeptGuess is a [Guess].
type KeptGuess struct {
	What  string `json:"what"`
	Value string `json:"value"`
	Sure  string `json:"sure"`
	Why   string `json:"why,omitempty"`
}

// Keep is what has to be kept of the log beside its trace.
func (l *Log) Keep() Kept {
	k := Kept{Name: l.Name, Bytes: l.Bytes, Rows: l.Rows, Origin: l.Origin, Absolute: l.Absolute,
		Negative: l.Sign.NegativeDischarge, Unsigned: l.Sign.Unsigned, Notes: l.Notes, Left: l.Left,
		WentBack: l.WentBack, WentBackLine: l.WentBackLine, Restarts: l.Restarts, RestartLine: l.RestartLine}
	if !isFinite(k.Origin) { // JSON has no such number, and nothing can be reckoned with it
		k.Origin = 0
	}
	for _, x := range l.LeftOut {
		k.LeftOut = append(k.LeftOut, KeptLeftOut(x))
	}
	lay := l.Layout
	k.Layout = KeptLayout{Encoding: lay.Encoding, Delimiter: string(rune(lay.Delimiter)), Decimal: string(rune(lay.Decimal)),
		Header: lay.HeaderLine, Units: lay.UnitsLine, FirstRow: lay.FirstRow}
	for _, c := range lay.Columns {
		kept := KeptColumn{Head: c.Head, Kind: c.Kind.String(), Unit: c.Unit.Symbol, Factor: c.Unit.Factor, Offset: c.Unit.Offset,
			Clock: c.Unit.Clock, Stated: c.Stated, Ruled: c.ruled, Sure: c.sure.String(), Why: c.why}
		if of := kindOf(c.Unit.Kind); of != Unknown {
			kept.UnitOf = of.String()
		}
		k.Layout.Columns = append(k.Layout.Columns, kept)
	}
	for _, c := range lay.used {
		k.Layout.Used = append(k.Layout.Used, c.Index)
	}
	for _, g := range lay.Guesses {
		k.Layout.Guesses = append(k.Layout.Guesses, KeptGuess{g.What, g.Value, g.Sure.String(), g.Why})
	}
	return k
}

func isFinite(x float64) bool { return math.Abs(x) <= math.MaxFloat64 }

// Log is the log that was kept, with its trace, which may be nil where that is
// lost. The file it comes from may be damaged or made to harm: the error says what
// no log has.
func (k Kept) Log(tr *trace.Trace) (*Log, error) {
	lay, err := k.Layout.layout()
	if err != nil {
		return nil, err
	}
	for _, n := range []int{k.Rows, k.Left - len(k.LeftOut), k.WentBack, k.WentBackLine, k.Restarts, k.RestartLine} {
		if n < 0 {
			return nil, say.Error("one of its numbers of rows or lines is below zero")
		}
	}
	if k.Bytes < 0 || !isFinite(k.Origin) || len(k.LeftOut) > keepLeftOut || len(k.Notes) > headLines {
		return nil, say.Error("its size, its start or its notes are out of bounds")
	}
	if tr != nil && tr.Len() != k.Rows {
		return nil, say.Error("its trace has %d samples, %d are written beside it", tr.Len(), k.Rows)
	}
	l := &Log{Name: k.Name, Bytes: k.Bytes, Rows: k.Rows, Layout: lay, Trace: tr, Origin: k.Origin, Absolute: k.Absolute,
		Sign:  trace.Sign{NegativeDischarge: k.Negative, Unsigned: k.Unsigned},
		Notes: k.Notes, Left: k.Left, WentBack: k.WentBack, WentBackLine: k.WentBackLine, Restarts: k.Restarts, RestartLine: k.RestartLine}
	for _, x := range k.LeftOut {
		l.LeftOut = append(l.LeftOut, LeftOut(x))
	}
	return l, nil
}

func (k KeptLayout) layout() (*Layout, error) {
	lay := &Layout{Encoding: k.Encoding, HeaderLine: k.Header, UnitsLine: k.Units, FirstRow: k.FirstRow, width: len(k.Columns)}
	if len(k.Delimiter) == 1 && len(k.Decimal) == 1 {
		lay.Delimiter, lay.Decimal = k.Delimiter[0], k.Decimal[0]
	}
	if delimiterNames[lay.Delimiter] == "" || markNames[lay.Decimal] == "" {
		return nil, say.Error("%q and %q are no delimiter and decimal mark", cut(k.Delimiter), cut(k.Decimal))
	}
	if min(k.Header, k.Units, k.FirstRow) < 0 {
		return nil, say.Error("one of its line numbers is below zero")
	}
	if len(k.Columns) > headBytes || len(k.Used) > int(roles) || len(k.Guesses) > headLines {
		return nil, say.Error("it has more columns or guesses than a log can have")
	}
	for at, c := range k.Columns {
		kind, ok := KindNamed(c.Kind)
		sure, known := sureNamed(c.Sure)
		of := Unknown
		if c.UnitOf != "" {
			var measures bool
			of, measures = KindNamed(c.UnitOf)
			known = known && measures
		}
		if !ok || !known || !isFinite(c.Factor) || !isFinite(c.Offset) {
			return nil, say.Error("column %d is none that a log can have: %q, %q", at+1, cut(c.Kind), cut(c.Unit))
		}
		lay.Columns = append(lay.Columns, Column{Index: at, Head: c.Head, Kind: kind,
			Unit:   quantity.Unit{Kind: of.of(), Symbol: c.Unit, Factor: c.Factor, Offset: c.Offset, Clock: c.Clock},
			Stated: c.Stated, ruled: c.Ruled, sure: sure, why: c.Why})
	}
	for _, at := range k.Used {
		if at < 0 || at >= len(lay.Columns) {
			return nil, say.Error("there is no column %d", at+1)
		}
		lay.used = append(lay.used, lay.Columns[at])
	}
	for _, g := range k.Guesses {
		sure, ok := sureNamed(g.Sure)
		if !ok {
			return nil, say.Error("%q does not say how sure it is", cut(g.Sure))
		}
		lay.Guesses = append(lay.Guesses, Guess{g.What, g.Value, sure, g.Why})
	}
	return lay, nil
}

func sureNamed(name string) (Sure, bool) {
	for s := Certain; s <= Unsure; s++ {
		if s.String() == name {
			return s, true
		}
	}
	return Unsure, false
}
