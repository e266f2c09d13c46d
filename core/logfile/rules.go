package logfile

import (
	"plateau/core/quantity"
	"plateau/core/say"
)

// Sure is how surely something was worked out.
type Sure uint8

// The degrees: more than one thing says so; one thing does; nothing does, so
// that a person has to.
const (
	Certain Sure = iota
	Likely
	Unsure
)

// String is the word, in English; [say.Text] shows it.
func (s Sure) String() string {
	return [...]string{say.Later("certain"), say.Later("likely"), say.Later("unsure")}[s]
}

// Guess is one thing that was worked out of a log's layout, in English;
// [say.Kept] shows its texts.
type Guess struct {
	What, Value string
	Sure        Sure
	Why         string
}

// Rules are what a person has settled of a log's layout. The zero value leaves
// everything to the reader. A rule outranks every guess.
type Rules struct {
	Encoding  string // a name of [Encodings]
	Delimiter byte   // , ; tab | or a blank for runs of them
	Decimal   byte   // . or ,
	Header    int    // line of the header; [NoHeader] for none
	Columns   []ColumnRule
	Discharge Discharge
	Interval  float64 // s between rows, for a log without time
	Current   float64 // A, for a log without current
}

// NoHeader as Rules.Header says that the columns have no names.
const NoHeader = -1

// Discharge is the sign that a log gives to discharge currents.
type Discharge uint8

// The signs; AnySign leaves it to the voltage.
const (
	AnySign Discharge = iota
	NegativeSign
	PositiveSign
)

// ColumnRule says what one column holds, Unknown for nothing of use. An empty
// unit leaves that to the header.
type ColumnRule struct {
	Index int // from 0
	Kind  Kind
	Unit  string
}

// column is the rule for one column, if there is one.
func (r Rules) column(index int) (ColumnRule, bool) {
	for _, c := range r.Columns {
		if c.Index == index {
			return c, true
		}
	}
	return ColumnRule{}, false
}

// Question is a fault that a person's answer mends: the log waits for it, and
// gives no figures before.
type Question struct {
	*Fault
	// About names what has to be settled: "current", "interval", "columns",
	// "delimiter" or "unit".
	About string
	// Ask is the question in words, as [say.Keep] has it.
	Ask string
}

// Unwrap gives the fault.
func (q *Question) Unwrap() error { return q.Fault }

func ask(f *Fault, about, english string, values ...any) *Question {
	return &Question{f, about, say.Keep(english, values...)}
}

// apply gives columns the kinds and units that a person has settled. Where any
// column has been, only those are used.
func (r Rules) apply(columns []Column) {
	for k := range columns {
		c := &columns[k]
		rule, ok := r.column(k)
		if !ok {
			continue
		}
		if rule.Kind != c.Kind {
			c.Kind, c.Unit, c.Stated = rule.Kind, baseUnit(rule.Kind), false
		}
		if u, ok := quantity.UnitOf(rule.Unit, rule.Kind.of()); ok {
			c.Unit, c.Stated = u, true
		}
		c.score, c.ruled = 1000, true
	}
}
