package unpack

import (
	"bytes"
	"io"
	"unicode/utf8"

	"plateau/core/say"
)

// The most that a sheet can have: ECMA-376 has no limits of its own; these are
// what spreadsheet programs keep to.
const (
	mostRows    = 1 << 20
	mostColumns = 1 << 14
)

const (
	// longestRow is also the longest line that the reader of logs takes.
	longestRow  = 1 << 20
	longestText = 128 << 10 // of one cell: 32767 characters of up to 4 bytes
	// padded is up to which width short rows are filled up with blanks. A sheet
	// does not store a blank last cell, a log needs it to keep its columns.
	padded = 256
)

// sheet gives the rows of one sheet, one after the other.
type sheet interface {
	// row makes the next row of t; false after the last.
	row(t *table) (bool, error)
}

// table makes delimited text of rows: commas, quotes as in RFC 4180, decimal
// points.
type table struct {
	use     *meter
	line    []byte // the row, without line end
	cols    int    // fields in line, missing ones in front included
	width   int    // of the widest row so far
	numbers int    // fields of the row that are numbers or times …
	texts   int    // … and those that are neither
	blank   int    // blank rows between the last row and this one
	rows    int    // so far
}

// begin starts a row after a number of blank ones.
func (t *table) begin(blank int) error {
	t.line = t.line[:0]
	t.cols, t.numbers, t.texts = 0, 0, 0
	t.blank = blank
	if t.rows+blank >= mostRows {
		return badSheet(say.Error("it has more than %d rows", mostRows))
	}
	return nil
}

// reach goes to the column, counted from 0, with blank fields up to it.
func (t *table) reach(col int) error {
	if col < t.cols {
		return badSheet(say.Error("its cells are out of order"))
	}
	if col >= mostColumns {
		return badSheet(say.Error("a cell beyond column %d", mostColumns))
	}
	if t.cols > 0 {
		t.line = append(t.line, ',')
	}
	for ; t.cols < col; t.cols++ {
		t.line = append(t.line, ',')
	}
	t.cols++
	if len(t.line) > longestRow {
		return badSheet(say.Error("a row longer than 1 MiB"))
	}
	return nil
}

// number sets a field to a number or a time that needs no quotes.
func (t *table) number(col int, b []byte) error {
	err := t.reach(col)
	t.line = append(t.line, b...)
	t.numbers++
	return err
}

// words sets a field to a text; a blank one is left out.
func (t *table) words(col int, b []byte) error {
	b = bytes.TrimSpace(b)
	if len(b) == 0 || isErrorValue(b) {
		return nil
	}
	if err := t.reach(col); err != nil {
		return err
	}
	if len(t.line)+2*len(b) > longestRow {
		return badSheet(say.Error("a row longer than 1 MiB"))
	}
	if startsNumber(b) {
		t.numbers++
	} else {
		t.texts++
	}
	t.line = appendField(t.line, b)
	return nil
}

// isErrorValue tells whether a cell shows that its formula failed
// (ECMA-376 Part 1, 18.17.3, and one spreadsheet program's "Err:502").
func isErrorValue(b []byte) bool {
	if b[0] == 'E' {
		return len(b) == 7 && bytes.HasPrefix(b, []byte("Err:"))
	}
	switch string(b) {
	case "#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#GETTING_DATA":
		return true
	}
	return false
}

// startsNumber tells whether a text may be a number, with a unit perhaps.
func startsNumber(b []byte) bool {
	b = bytes.TrimLeft(bytes.TrimPrefix(b, []byte("\u2212")), "+-.,")
	return len(b) > 0 && b[0] >= '0' && b[0] <= '9'
}

// appendField adds a text as one field on one line.
func appendField(to, b []byte) []byte {
	if !utf8.Valid(b) {
		b = bytes.ToValidUTF8(b, []byte("\ufffd"))
	}
	quote := bytes.ContainsAny(b, `,"`)
	if quote {
		to = append(to, '"')
	}
	for _, c := range b {
		switch {
		case c == '"':
			to = append(to, '"', '"')
		case c < ' ' || c == 0x7f: // line breaks within a cell among them
			to = append(to, ' ')
		default:
			to = append(to, c)
		}
	}
	if quote {
		to = append(to, '"')
	}
	return to
}

// appendTo adds the row, with the blank ones before it, as lines.
func (t *table) appendTo(to []byte) ([]byte, error) {
	cells := t.blank + max(t.cols, 1)
	from := len(to)
	to = append(to, bytes.Repeat([]byte("\n"), t.blank)...)
	to = append(to, t.line...)
	if t.cols > 0 {
		t.width = max(t.width, t.cols)
		for k := t.cols; k < min(t.width, padded); k++ {
			to = append(to, ',')
			cells++
		}
	}
	to = append(to, '\n')
	t.rows += t.blank + 1
	return to, t.use.made(len(to)-from, cells)
}

// ofNumbers tells whether the row could be one of a log: two numbers, or one
// and nothing beside it. A line such as "Rated capacity, 3.4" is none.
func (t *table) ofNumbers() bool {
	return t.numbers > 1 || t.numbers == 1 && t.texts == 0
}

// heldText is how much of a sheet is looked at for rows of numbers.
const heldText = 256 << 10

// sheet gives a sheet as a log, unless it has no two rows of numbers.
func (w *walker) sheet(name string, s sheet) error {
	t := &table{use: &w.use}
	var held []byte
	for found := 0; found < 2 && len(held) < heldText; {
		more, err := s.row(t)
		if err == nil && !more {
			w.leave(name, say.Text("it has no rows of numbers"), true)
			return nil
		}
		if err == nil {
			held, err = t.appendTo(held)
		}
		if err != nil {
			return w.spoilt(name, err)
		}
		if t.ofNumbers() {
			found++
		}
	}
	return w.give(name, func(to io.Writer) error {
		for {
			more, err := s.row(t)
			if err != nil {
				return err
			}
			if more {
				if held, err = t.appendTo(held); err != nil {
					return err
				}
			}
			if !more || len(held) >= heldText {
				if _, err := to.Write(held); err != nil {
					return err
				}
				held = held[:0]
			}
			if !more {
				return nil
			}
		}
	})
}
