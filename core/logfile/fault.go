package logfile

import (
	"errors"
	"strconv"
	"strings"

	"plateau/core/say"
)

// The kinds of fault for which a whole log is refused. [Fault] wraps one, and has
// it in the reader's language.
var (
	ErrEmpty     = errors.New(say.Later("the file is empty"))
	ErrBinary    = errors.New(say.Later("the file is not text"))
	ErrLongLine  = errors.New(say.Later("a line is longer than 1 MiB"))
	ErrNoTable   = errors.New(say.Later("no table of numbers found"))
	ErrNoRows    = errors.New(say.Later("the header has no rows of numbers under it"))
	ErrNoHeader  = errors.New(say.Later("the columns have no header"))
	ErrHeader    = errors.New(say.Later("header and rows have different numbers of columns"))
	ErrNoTime    = errors.New(say.Later("no column of time found"))
	ErrNoVoltage = errors.New(say.Later("no column of voltage found"))
	ErrNoCurrent = errors.New(say.Later("no column of current found, and none of power to work it out from"))
	ErrNoUnit    = errors.New(say.Later("the header gives no unit, and the numbers do not tell it"))
	ErrTimeStuck = errors.New(say.Later("the time never advances"))
	ErrFewRows   = errors.New(say.Later("more rows had to be left out than could be read"))
)

// Fault is why a log was refused, and where.
//
// Line and Column count from 1 and follow the file as an editor shows it,
// preamble included; zero means that no one place is to blame.
type Fault struct {
	File   string // base name
	Line   int
	Column int    // column of the table
	Got    string // the text at fault, cut short
	Err    error  // one of the kinds above, or a cause from outside
	Hint   string // what to do; a sentence, as [say.Later] has it
}

// Error names place and fault: "run7.csv, line 4, column 2: …: "3,71"".
func (f *Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		b.WriteString(", " + say.With("line %d", f.Line))
	}
	if f.Column > 0 {
		b.WriteString(", " + say.With("column %d", f.Column))
	}
	b.WriteString(": " + say.Text(f.Err.Error()))
	if f.Got != "" {
		b.WriteString(": " + strconv.Quote(f.Got))
	}
	return b.String()
}

// Unwrap lets errors.Is reach the kind.
func (f *Fault) Unwrap() error { return f.Err }

// cut shortens a text from a file to what fits in a message.
func cut(s string) string {
	const keep = 40
	s = strings.ToValidUTF8(s, "\ufffd")
	if r := []rune(s); len(r) > keep {
		return string(r[:keep]) + "…"
	}
	return s
}

// keepLeftOut is how many of the rows left out are listed one by one.
const keepLeftOut = 100

// LeftOut is one row that was not used, and why.
type LeftOut struct {
	Line   int
	Reason string // as [say.Keep] has it
}

// leftOut counts rows left out and keeps the first of them.
type leftOut struct {
	n    int
	list []LeftOut
}

func (l *leftOut) add(line int, reason func() string) {
	l.n++
	if len(l.list) < keepLeftOut {
		l.list = append(l.list, LeftOut{line, reason()})
	}
}
