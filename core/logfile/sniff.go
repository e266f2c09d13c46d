package logfile

import (
	"bytes"
	"errors"
	"slices"
	"strings"

	"plateau/core/quantity"
	"plateau/core/say"
)

// headBytes is how much of a log is looked at before the rows are read.
const headBytes = 64 << 10

// headLines is the same in lines, for the work that each of them makes.
const headLines = 300

// Layout is how a log is laid out, as worked out from its first 64 KiB.
type Layout struct {
	Encoding   string
	Delimiter  byte
	Decimal    byte
	HeaderLine int // from 1; 0 where there is none
	UnitsLine  int // from 1; 0 where there is none
	FirstRow   int // line of the first row, from 1
	Columns    []Column
	Guesses    []Guess

	rules  Rules
	syntax syntax
	width  int // fields of a row
	tail   int // of them at the end, that are always blank
	pairs  bool
	forms  []form
	lines  [][]byte // the lines looked at
	first  int      // index in lines of the first row
	used   []Column
	shift  int // lines before those looked at
}

// sniff works out the layout, and which columns to read. head is the start of
// the log as UTF-8 with its line ends made '\n'; whole says that it is all of
// it. The error is a [*Fault] or a [*Question].
func sniff(head []byte, whole bool, rules Rules) (*Layout, *plan, error) {
	head = bytes.TrimPrefix(head, []byte("\ufeff"))
	if len(bytes.TrimSpace(head)) == 0 {
		return nil, nil, &Fault{Err: ErrEmpty, Hint: say.Later("Export the log again from the tester, and look at the file's size.")}
	}
	lines := bytes.Split(head, []byte("\n"))
	if n := len(lines); n > 1 && (!whole || len(lines[n-1]) == 0) {
		lines = lines[:n-1] // the last one may be cut
	}
	lines = lines[:min(len(lines), headLines)]
	if d := declared(lines); d != 0 && rules.Delimiter == 0 {
		rules.Delimiter = d
	}
	lay, p, err := sniffFrom(lines, 0, rules)
	if err == nil || rules.Header != 0 {
		return lay, p, err
	}
	// The first table may be one of settings or results, with the log below.
	for k := 1; k < len(lines); k++ {
		if k == lay.header() || !namesSomewhere(lines[k]) {
			continue
		}
		if other, p, err := sniffFrom(lines[k:], k, rules); err == nil && !other.passesOver(lines[:k]) {
			return other, p, nil
		}
	}
	return lay, p, err
}

// passesOver tells whether lines above the layout look like its rows: then it
// is not the log that begins there, but its header that comes again.
func (lay *Layout) passesOver(above [][]byte) bool {
	n := 0
	for _, l := range above {
		cells := splitLine(l, lay.Delimiter)
		if len(cells) != lay.width {
			continue
		}
		numbers := 0
		for _, c := range cells {
			if _, _, ok := lay.syntax.number(c); ok {
				numbers++
			}
		}
		if numbers >= 2 && numbers*2 >= lay.width {
			n++
		}
	}
	return n > 1
}

func (lay *Layout) header() int {
	if lay == nil {
		return -1
	}
	return lay.HeaderLine - 1
}

func namesSomewhere(l []byte) bool {
	for _, d := range delimiters {
		if (d == ' ' || bytes.IndexByte(l, d) >= 0) && namesColumns(l, d) {
			return true
		}
	}
	return false
}

// declared is the delimiter that a first line "sep=;" names; 0 for none.
func declared(lines [][]byte) byte {
	if rest, ok := bytes.CutPrefix(bytes.ToLower(bytes.TrimRight(lines[0], "\r")), []byte("sep=")); ok && len(rest) == 1 &&
		bytes.IndexByte(delimiters, rest[0]) >= 0 {
		return rest[0]
	}
	return 0
}

// sniffFrom is sniff over lines that begin shift lines into the log.
func sniffFrom(lines [][]byte, shift int, rules Rules) (*Layout, *plan, error) {
	lay := &Layout{lines: lines, shift: shift, rules: rules}
	from := 0
	if rules.Header > 0 {
		from = min(rules.Header, len(lines))
	}
	t := tablesIn(lines[from:], rules)
	if t.score == 0 {
		return nil, nil, lay.noTable()
	}
	lay.Delimiter, lay.Decimal, lay.syntax = t.delimiter, t.syntax.mark, t.syntax
	lay.width, lay.tail, lay.first, lay.forms = t.width, t.tail, t.first+from, t.forms
	lay.FirstRow = lay.first + 1 + shift
	lay.guess(say.Later("delimiter"), delimiterNames[lay.Delimiter], say.Keep(say.Later("the rows part into %s fields that make sense"), t.width), rules.Delimiter != 0)
	lay.guess(say.Later("decimal mark"), markNames[lay.Decimal], say.Later("so the fields are numbers"), rules.Decimal != 0)
	if err := lay.readHeader(); err != nil {
		return lay, nil, err
	}
	rules.apply(lay.Columns)
	p, err := lay.choose()
	return lay, p, err
}

var (
	delimiterNames = map[byte]string{',': say.Later("comma"), ';': say.Later("semicolon"), '\t': say.Later("tab"), '|': say.Later("pipe"), ' ': say.Later("blanks")}
	markNames      = map[byte]string{'.': say.Later("point"), ',': say.Later("comma")}
)

func (lay *Layout) guess(what, value, why string, ruled bool) {
	g := Guess{what, value, Certain, why}
	if ruled {
		g.Why = say.Later("settled by you or by the file")
	}
	lay.Guesses = append(lay.Guesses, g)
}

// notText refuses pictures, archives and spreadsheets early.
func notText(head []byte) *Fault {
	sample := bytes.TrimRight(head[:min(len(head), 4096)], "\x00") // room that a logger kept for later
	if len(sample) == 0 {
		sample = head[:min(len(head), 4096)]
	}
	var nul, ctrl int
	for _, c := range sample {
		switch {
		case c == 0:
			nul++
		case c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x1a && c != 0x1b:
			ctrl++
		}
	}
	if ctrl*50 > len(sample) || nul*2 > len(sample) || bytes.HasPrefix(head, []byte("PK\x03\x04")) ||
		bytes.HasPrefix(head, []byte("\x89PNG")) || bytes.HasPrefix(head, []byte("%PDF")) {
		return &Fault{Line: 1, Err: ErrBinary,
			Hint: say.Later("It looks like a picture, an archive or a program's own format. Export the log as CSV or text and drop that.")}
	}
	return nil
}

func (lay *Layout) noTable() error {
	for k, l := range lay.lines {
		if namesSomewhere(l) {
			return &Fault{Line: k + 1 + lay.shift, Got: cut(string(bytes.TrimSpace(l))), Err: ErrNoRows,
				Hint: say.Later("Look whether the export was stopped early, and export the log again.")}
		}
	}
	return &Fault{Line: 1, Got: cut(string(bytes.TrimSpace(lay.lines[0]))), Err: ErrNoTable,
		Hint: say.Later("A log has rows of numbers with time, voltage and current, parted by commas, semicolons, tabs or blanks. Look whether this is the right file.")}
}

// above is the line before k that says something; -1 for none.
func (lay *Layout) above(k int) int {
	for k--; k >= 0 && (len(bytes.TrimSpace(lay.lines[k])) == 0 || comment(lay.lines[k]) && !namesColumns(lay.lines[k], lay.Delimiter)); k-- {
	}
	return k
}

// findHeader is the line of the header: the one above the first row, or a
// little higher where spoilt rows lie between, which then count as rows.
func (lay *Layout) findHeader() int {
	if lay.rules.Header > 0 {
		return lay.rules.Header - 1 - lay.shift
	}
	nearest := lay.above(lay.first)
	for k, tries := nearest, 0; k >= 0 && tries < 6; k, tries = lay.above(k), tries+1 {
		cells := splitLine(lay.lines[k], lay.Delimiter)
		if n := len(trimBlank(cells)); (n == lay.width || n == lay.width-1) && namesColumns(lay.lines[k], lay.Delimiter) {
			if tries > 0 && !(tries == 1 && isUnitsRow(splitLine(lay.lines[nearest], lay.Delimiter))) {
				lay.first = k + 1
				if up := lay.first; up < len(lay.lines) && isUnitsRow(splitLine(lay.lines[up], lay.Delimiter)) {
					lay.first++
				}
				lay.FirstRow = lay.first + 1 + lay.shift
				return lay.above(lay.first)
			}
			return nearest
		}
	}
	return nearest
}

// readHeader finds the header above the rows, with the units row that may lie
// between, and reads its cells.
func (lay *Layout) readHeader() error {
	k := lay.findHeader()
	if k < 0 || lay.rules.Header == NoHeader {
		lay.unnamed()
		return nil
	}
	cells, units := splitLine(lay.lines[k], lay.Delimiter), []string(nil)
	if lay.Delimiter == ' ' && len(cells) != lay.width {
		cells = blanks(strings.TrimSpace(string(lay.lines[k])))
	}
	if up := lay.above(k); isUnitsRow(cells) && up >= 0 && lay.rules.Header == 0 {
		if names := splitLine(lay.lines[up], lay.Delimiter); len(names) > 1 && len(names) >= len(cells)-1 {
			units, lay.UnitsLine = cells, k+1+lay.shift
			k, cells = up, names
		}
	}
	n := len(trimBlank(cells))
	if n < 2 || n < lay.width-1 && !namesColumns(lay.lines[k], lay.Delimiter) {
		lay.unnamed() // a line of the preamble
		return nil
	}
	lay.HeaderLine = k + 1 + lay.shift
	if lay.width == 2*n && lay.Delimiter == ',' && lay.rules.Delimiter == ',' && lay.rules.Decimal == ',' {
		lay.pairs, lay.width = true, n
		lay.forms = slices.Repeat([]form{number}, n)
	}
	if n > lay.width || len(cells) < lay.width-1 {
		return lay.headerMismatch(n)
	}
	for c := range lay.width {
		cell, unit := "", ""
		if c < len(cells) {
			cell = cells[c]
		}
		if c < len(units) {
			unit = units[c]
		}
		col := readHead(cell, unit)
		col.Index = c
		col.sure, col.why = Certain, say.Later("its name says so")
		if !col.Stated {
			col.sure = Likely
		}
		lay.Columns = append(lay.Columns, col)
	}
	return nil
}

// headerMismatch is a header of n names over rows of another width.
func (lay *Layout) headerMismatch(n int) error {
	f := &Fault{Line: lay.FirstRow, Got: cut(string(bytes.TrimSpace(lay.lines[lay.first]))), Err: ErrHeader,
		Hint: say.Later("Give every column a name and export the log again.")}
	if lay.Delimiter == ',' && n > 1 && lay.width > n && lay.width <= 2*n {
		f.Hint = say.Later("The comma seems to be both delimiter and decimal mark. Export the log again with semicolons between the columns, or with decimal points.")
		if lay.width == 2*n {
			return ask(f, "delimiter", say.Later("The header names %s columns, the rows have %s fields. Is the comma both delimiter and decimal mark, so that two fields make one number?"), n, lay.width)
		}
	}
	return f
}

// isUnitsRow: every cell is a unit, a bracketed unit or blank, and two are.
func isUnitsRow(cells []string) bool {
	n := 0
	for _, c := range cells {
		c = strings.Trim(strings.TrimSpace(headReplacer.Replace(c)), "[]()")
		if c == "" || c == "-" || c == "%" || c == "1" {
			continue
		}
		if len(quantity.Units(c)) == 0 {
			return false
		}
		n++
	}
	return n > 1
}

func trimBlank(cells []string) []string {
	for len(cells) > 0 && strings.TrimSpace(cells[len(cells)-1]) == "" {
		cells = cells[:len(cells)-1]
	}
	return cells
}

// faultOf is the fault in an error of this package.
func faultOf(err error) *Fault {
	var f *Fault
	errors.As(err, &f)
	return f
}
