package logfile

import (
	"fmt"
	"strings"
)

// Words tells in words how the log was read.
func (lay *Layout) Words() string {
	var b strings.Builder
	if lay.Encoding != "" && lay.Encoding != utf8Encoding.Name {
		fmt.Fprintf(&b, "%s; ", lay.Encoding)
	}
	fmt.Fprintf(&b, "%s between columns, decimal %s", delimiterNames[lay.Delimiter], markNames[lay.Decimal])
	if lay.HeaderLine > 0 {
		fmt.Fprintf(&b, "; header in line %d", lay.HeaderLine)
	} else {
		b.WriteString("; no header, the columns told by their cells")
	}
	if lay.UnitsLine > 0 {
		fmt.Fprintf(&b, ", units in line %d", lay.UnitsLine)
	}
	for _, c := range lay.used {
		fmt.Fprintf(&b, "; %s from column %d", c.Kind, c.Index+1)
		if c.Head != "" {
			fmt.Fprintf(&b, " “%s”", cut(c.Head))
		}
		if c.Unit.Clock {
			fmt.Fprintf(&b, " as %s", c.Unit.Symbol)
		} else {
			fmt.Fprintf(&b, " in %s", c.Unit.Symbol)
		}
	}
	return b.String()
}

// Words tells in words how the log was read, its sign of current included.
func (l *Log) Words() string {
	w := l.Layout.Words()
	if l.Sign.NegativeDischarge && !strings.Contains(w, "power") {
		w += "; discharge is written as negative current"
	}
	return w
}
