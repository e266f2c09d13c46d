package logfile

import (
	"bytes"
	"errors"
	"strings"

	"plateau/core/say"
)

// previewRows is how many rows a person sees of a log to check its layout.
const previewRows = 10

// View is how the beginning of a log is laid out under some rules.
type View struct {
	Layout   *Layout // nil where nothing could be made of it
	Rows     [][]string
	Question *Question // what a person has to settle, or nil
	Fault    *Fault    // why nothing can be read, or nil
}

// LookAt works out the layout of a log from its first bytes, as reading it
// would, and shows its first rows.
func LookAt(name string, head []byte, rules Rules) View {
	r := NewReader(name).Follow(rules)
	r.have = copy(r.room(len(head)), head)
	if err := r.decodeHead(); err != nil {
		return View{Fault: faultOf(err)}
	}
	text := r.buf[:r.have]
	lfFromCR(text)
	text = text[:min(len(text), headBytes)]
	lay, _, err := sniff(text, len(head) < headBytes, rules)
	v := View{Layout: lay}
	if err != nil {
		v.Fault = faultOf(err)
		v.Fault.File = name
		errors.As(err, &v.Question)
	}
	if lay != nil {
		lay.Encoding = r.coding.Value
		lay.Guesses = append([]Guess{r.coding}, lay.Guesses...)
		for k := lay.first; k < len(lay.lines) && len(v.Rows) < previewRows; k++ {
			if len(bytes.TrimSpace(lay.lines[k])) > 0 {
				v.Rows = append(v.Rows, lay.split(lay.lines[k]))
			}
		}
	}
	return v
}

// Key names a header, so that what a person settled for one log can be used
// for the next one like it: its cells, or the number of columns where it has
// none.
func (lay *Layout) Key() string {
	var names []string
	for _, c := range lay.Columns {
		names = append(names, c.Head+"/"+headUnit(c))
	}
	return delimiterNames[lay.Delimiter] + ":" + strings.Join(names, "|")
}

func headUnit(c Column) string {
	if c.Stated && !c.ruled {
		return c.Unit.Symbol
	}
	return ""
}

// Used are the columns that are read, in the order time, voltage, current and
// the rest.
func (lay *Layout) Used() []Column { return lay.used }

// settled is why something was taken that a person has ruled.
const settled = say.Later("settled by you")

// Sure is how surely a column was taken for what it is, and why, as [say.Keep] has it.
func (c Column) Sure() (Sure, string) {
	if c.ruled {
		return Certain, settled
	}
	return c.sure, c.why
}

// KindNamed is the kind of a name that [Kind.String] gives.
func KindNamed(name string) (Kind, bool) {
	for k := Unknown; k <= Record; k++ {
		if k.String() == name {
			return k, true
		}
	}
	return Unknown, false
}

// UnitsOf lists the units in which a kind of column can be.
func UnitsOf(k Kind) []string {
	switch k {
	case Time:
		return []string{"s", "ms", "min", "h"}
	case Voltage:
		return []string{"V", "mV"}
	case Current:
		return []string{"A", "mA", "µA"}
	case Temperature:
		return []string{"°C", "°F", "K"}
	case Power:
		return []string{"W", "mW"}
	case Resistance:
		return []string{"Ω", "mΩ"}
	case Charge:
		return []string{"Ah", "mAh", "As"}
	case Energy:
		return []string{"Wh", "mWh", "J"}
	}
	return nil
}

// Mask hides every digit of a text, so that it can be shown to others.
func Mask(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return '#'
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// HeadLines are the first lines of a log up to its first row, and a few rows,
// each cut to a length that can be shown.
func HeadLines(v View) []string {
	if v.Layout == nil {
		return nil
	}
	var out []string
	for k, l := range v.Layout.lines {
		if k > v.Layout.first+2 || len(out) > 30 {
			break
		}
		s := strings.TrimRight(string(l), "\r")
		if r := []rune(s); len(r) > 200 {
			s = string(r[:200]) + "…"
		}
		out = append(out, s)
	}
	return out
}
