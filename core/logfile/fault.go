package logfile

import (
	"errors"
	"strconv"
	"strings"
)

// The kinds of fault for which a whole log is refused. [Fault] wraps one.
var (
	ErrEmpty     = errors.New("the file is empty")
	ErrBinary    = errors.New("the file is not text")
	ErrLongLine  = errors.New("a line is longer than 1 MiB")
	ErrNoTable   = errors.New("no table of numbers found")
	ErrNoRows    = errors.New("the header has no rows of numbers under it")
	ErrNoHeader  = errors.New("the columns have no header")
	ErrHeader    = errors.New("header and rows have different numbers of columns")
	ErrNoTime    = errors.New("no column of time found")
	ErrNoVoltage = errors.New("no column of voltage found")
	ErrNoCurrent = errors.New("no column of current found, and none of power to work it out from")
	ErrNoUnit    = errors.New("the header gives no unit, and the numbers do not tell it")
	ErrTimeStuck = errors.New("the time never advances")
	ErrFewRows   = errors.New("more rows had to be left out than could be read")
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
	Hint   string // what to do; a sentence
}

// Error names place and fault: "run7.csv, line 4, column 2: …: "3,71"".
func (f *Fault) Error() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		b.WriteString(", line " + strconv.Itoa(f.Line))
	}
	if f.Column > 0 {
		b.WriteString(", column " + strconv.Itoa(f.Column))
	}
	b.WriteString(": " + f.Err.Error())
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
	Reason string
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
