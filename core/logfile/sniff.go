package logfile

import (
	"bytes"
	"strings"

	"plateau/core/quantity"
)

// headBytes is how much of a log is looked at before the rows are read.
const headBytes = 64 << 10

// headLines is the same in lines, for the work that each of them makes.
const headLines = 500

// Layout is how a log is laid out, as worked out from its first 64 KiB.
type Layout struct {
	BOM        bool
	Delimiter  byte
	Decimal    byte
	HeaderLine int // from 1; 0 where there is none
	UnitsLine  int // from 1; 0 where there is none
	FirstRow   int // line of the first row, from 1
	Columns    []Column
	width      int // fields of a row
	forms      []form
	lines      [][]byte // the lines looked at
	first      int      // index in lines of the first row
	used       []Column
}

// dialects in order of preference where two fit equally well.
var dialects = []struct{ delimiter, decimal byte }{
	{',', '.'}, {';', '.'}, {'\t', '.'}, {';', ','}, {'\t', ','},
}

// sniff works out the layout. head is the start of the log with its line ends
// made '\n'; whole says that it is all of it.
func sniff(head []byte, whole bool) (*Layout, *Fault) {
	lay := &Layout{}
	if rest, ok := bytes.CutPrefix(head, []byte("\xef\xbb\xbf")); ok {
		lay.BOM, head = true, rest
	}
	if len(bytes.TrimSpace(head)) == 0 {
		return nil, &Fault{Err: ErrEmpty, Hint: "Export the log again from the tester, and look at the file's size."}
	}
	if f := notText(head); f != nil {
		return nil, f
	}
	lines := bytes.Split(head, []byte("\n"))
	if !whole || len(lines[len(lines)-1]) == 0 {
		lines = lines[:len(lines)-1] // the last one may be cut
	}
	lines = lines[:min(len(lines), headLines)]
	lay.lines = lines
	best := 0
	for _, d := range dialects {
		width, first, score, forms := tableOf(lines, d.delimiter, d.decimal)
		if score > best {
			best = score
			lay.Delimiter, lay.Decimal, lay.width, lay.first, lay.forms = d.delimiter, d.decimal, width, first, forms
		}
	}
	if best == 0 {
		return nil, noTable(lines)
	}
	lay.FirstRow = lay.first + 1
	return lay, lay.readHeader()
}

// notText refuses pictures, archives, spreadsheets and UTF-16 early.
func notText(head []byte) *Fault {
	sample := head[:min(len(head), 4096)]
	var nul, ctrl int
	for _, c := range sample {
		switch {
		case c == 0:
			nul++
		case c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x1a && c != 0x1b:
			ctrl++
		}
	}
	if bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")) ||
		(nul*5 > len(sample)*2 && nul*5 < len(sample)*3 && ctrl*20 < len(sample)) {
		return &Fault{Line: 1, Err: ErrEncoding, Hint: "Save or export it as UTF-8 text (CSV) and drop that."}
	}
	if ctrl*50 > len(sample) || nul*2 > len(sample) || bytes.HasPrefix(head, []byte("PK\x03\x04")) ||
		bytes.HasPrefix(head, []byte("\x89PNG")) || bytes.HasPrefix(head, []byte("%PDF")) {
		return &Fault{Line: 1, Err: ErrBinary,
			Hint: "It looks like a picture, an archive or a program's own format. Export the log as CSV or text and drop that."}
	}
	return nil
}

func noTable(lines [][]byte) *Fault {
	for k, l := range lines {
		d := byte(',')
		for _, c := range []byte{';', '\t'} {
			if bytes.Count(l, []byte{c}) > bytes.Count(l, []byte{d}) {
				d = c
			}
		}
		if namesColumns(l, d) {
			return &Fault{Line: k + 1, Got: cut(string(l)), Err: ErrNoRows,
				Hint: "Look whether the export was stopped early, and export the log again."}
		}
	}
	return &Fault{Line: 1, Got: cut(string(lines[0])), Err: ErrNoTable,
		Hint: "A log has rows of numbers with time, voltage and current, parted by commas, semicolons or tabs. Look whether this is the right file."}
}

// namesColumns tells whether a line names two quantities that a log has.
func namesColumns(l []byte, delimiter byte) bool {
	n := 0
	for _, cell := range splitLine(l, delimiter) {
		if c := readHead(cell, ""); c.Kind == Time || c.Kind == Voltage || c.Kind == Current {
			n++
		}
	}
	return n >= 2
}

// tableOf looks at the lines through one dialect: how many fields a row has,
// at which line the rows begin, and how many numbers make sense that way.
func tableOf(lines [][]byte, delimiter, decimal byte) (width, first, score int, forms []form) {
	type row struct {
		width, numbers int
		forms          []form
	}
	rows := make([]row, len(lines))
	score2 := map[int]int{}
	for k, l := range lines {
		if len(l) > 4096 || bytes.IndexByte(l, delimiter) < 0 {
			continue
		}
		fields := splitLine(l, delimiter)
		r := row{width: len(fields)}
		for _, f := range fields {
			fm := formOf(f, decimal)
			r.forms = append(r.forms, fm)
			if fm >= number {
				r.numbers++
			}
		}
		if r.numbers < 2 {
			r.width = 0
		}
		rows[k] = r
		score2[r.width] += r.numbers
	}
	for w, s := range score2 {
		if w > 0 && (s > score || s == score && w > width) {
			width, score = w, s
		}
	}
	if width == 0 {
		return 0, 0, 0, nil
	}
	// The rows begin where two lines of that width follow each other, or under
	// a header, so that a preamble line with two numbers in it is none.
	first = -1
	for k := range rows {
		if rows[k].width == width && (k+1 < len(rows) && rows[k+1].width == width ||
			score == rows[k].numbers || k > 0 && namesColumns(lines[k-1], delimiter)) {
			first = k
			break
		}
	}
	if first < 0 {
		return 0, 0, 0, nil
	}
	// A column's form is what most of its numbers have; with few numbers among
	// other texts it is none.
	forms = make([]form, width)
	for c := range forms {
		var count [5]int
		for _, r := range rows[first:] {
			if r.width == width {
				count[r.forms[c]]++
			}
		}
		best := number
		for f := clock; f <= dateTime; f++ {
			if count[f] > count[best] {
				best = f
			}
		}
		if count[best]*4 > count[text] {
			forms[c] = best
		}
	}
	return width, first, score, forms
}

// splitLine parts a line at its delimiters, those inside double quotes aside
// (RFC 4180 section 2).
func splitLine(l []byte, delimiter byte) []string {
	s := strings.TrimSuffix(string(l), "\r")
	if !strings.Contains(s, `"`) {
		return strings.Split(s, string(delimiter))
	}
	var fields []string
	var b strings.Builder
	quoted := false
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '"' && quoted && i+1 < len(s) && s[i+1] == '"':
			b.WriteByte('"')
			i++
		case c == '"':
			quoted = !quoted
		case c == delimiter && !quoted:
			fields = append(fields, b.String())
			b.Reset()
		default:
			b.WriteByte(c)
		}
	}
	return append(fields, b.String())
}

// readHeader finds the header above the rows, with the units row that may lie
// between, and reads its cells.
func (lay *Layout) readHeader() *Fault {
	above := func(k int) int {
		for k--; k >= 0 && len(bytes.TrimSpace(lay.lines[k])) == 0; k-- {
		}
		return k
	}
	k := above(lay.first)
	if k < 0 {
		return &Fault{Line: 1, Got: cut(string(lay.lines[0])), Err: ErrNoHeader,
			Hint: "Put a line above the numbers that names the columns and units, such as: Time / s, Voltage / V, Current / A."}
	}
	cells, units := splitLine(lay.lines[k], lay.Delimiter), []string(nil)
	if isUnitsRow(cells) {
		if up := above(k); up >= 0 {
			if names := splitLine(lay.lines[up], lay.Delimiter); len(names) > 1 && len(names) >= len(cells)-1 {
				units, lay.UnitsLine = cells, k+1
				k, cells = up, names
			}
		}
	}
	lay.HeaderLine = k + 1
	if n := len(trimBlank(cells)); n > lay.width || len(cells) < lay.width-1 {
		f := &Fault{Line: lay.FirstRow, Got: cut(string(lay.lines[lay.first])), Err: ErrHeader,
			Hint: "Give every column a name and export the log again."}
		if lay.Delimiter == ',' && n > 1 && lay.width >= 2*n-1 {
			f.Hint = "The comma seems to be both delimiter and decimal mark. Export the log again with semicolons between the columns, or with decimal points."
		} else if n < 2 {
			f.Err, f.Line, f.Got = ErrNoHeader, lay.HeaderLine, cut(string(lay.lines[k]))
			f.Hint = "Put a line above the numbers that names the columns and units, such as: Time / s, Voltage / V, Current / A."
		}
		return f
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
		lay.Columns = append(lay.Columns, col)
	}
	return nil
}

// isUnitsRow: every cell is a unit, a bracketed unit or blank, and one is.
func isUnitsRow(cells []string) bool {
	n := 0
	for _, c := range cells {
		c = strings.Trim(strings.TrimSpace(headReplacer.Replace(c)), "[]()")
		if c == "" || c == "-" || c == "%" {
			continue
		}
		// A single capital letter is a symbol ("V", "A") as well as a unit;
		// beside other units it is one.
		if len(quantity.Units(c)) == 0 && !isUnit(strings.ToValidUTF8(c, "°")) {
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
