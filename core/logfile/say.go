package logfile

import (
	"slices"
	"strings"

	"plateau/core/say"
)

// Words tells in words how the log was read.
func (lay *Layout) Words() string {
	var b strings.Builder
	if lay.Encoding != "" && lay.Encoding != utf8Encoding.Name {
		b.WriteString(lay.Encoding + "; ")
	}
	b.WriteString(say.With("%s between columns, decimal %s", say.Text(delimiterNames[lay.Delimiter]), say.Text(markNames[lay.Decimal])) + "; ")
	if lay.HeaderLine > 0 {
		b.WriteString(say.With("header in line %d", lay.HeaderLine))
	} else {
		b.WriteString(say.Text("no header, the columns told by their cells"))
	}
	if lay.UnitsLine > 0 {
		b.WriteString(", " + say.With("units in line %d", lay.UnitsLine))
	}
	for _, c := range lay.used {
		column := say.With("column %d", c.Index+1)
		if c.Head != "" {
			column = say.With("column %d “%s”", c.Index+1, cut(c.Head))
		}
		b.WriteString("; ")
		if c.Unit.Clock {
			b.WriteString(say.With("%s from %s as %s", c.Kind.Label(), column, say.Text(c.Unit.Symbol)))
		} else {
			b.WriteString(say.With("%s from %s in %s", c.Kind.Label(), column, c.Unit.Symbol))
		}
	}
	return b.String()
}

// Words tells in words how the log was read, its sign of current included.
func (l *Log) Words() string {
	w := l.Layout.Words()
	if l.Sign.NegativeDischarge && !slices.ContainsFunc(l.Layout.used, func(c Column) bool { return c.Kind == Power }) {
		w += "; " + say.Text("discharge is written as negative current")
	}
	return w
}
