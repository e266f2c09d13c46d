package logfile

import (
	"bytes"
	"strings"
)

// form is how the values of a column are written.
type form uint8

const (
	text form = iota
	blank
	number
	clock    // h:mm:ss, mm:ss, with a fraction, days before it
	dateTime // a date, then a clock
	dateOnly
	forms
)

// delimiters in order of preference; a blank stands for runs of them.
var delimiters = []byte{',', ';', '\t', '|', ' '}

// apostrophes is the length of a field set in apostrophes at the head of s; 0
// where that is none, as in 'round or 1'234.
func apostrophes(s string, delimiter byte) int {
	for i := 1; i < len(s); i++ {
		if s[i] == '\'' && (i+1 == len(s) || s[i+1] == delimiter) {
			return i + 1
		}
	}
	return 0
}

// sense is the share of columns that hold numbers or times.
func (t table) sense() float64 {
	n := 0
	for _, f := range t.forms {
		if f >= number {
			n++
		}
	}
	return float64(n) / float64(max(t.width-t.tail, 1))
}

// mostCells is how many cells are looked at for each delimiter.
const mostCells = 3000

// quotedBlank has splitLine part at each single blank.
const quotedBlank = 1

// cell is what one field can be: a number under which of the syntaxes, or
// something that no syntax changes.
type cell struct {
	form   form
	number uint8 // one bit for each of syntaxes
}

func look(field string) cell {
	s := clean(field)
	if isBlank(s) {
		return cell{form: blank}
	}
	if len(s) > 40 {
		return cell{}
	}
	c := cell{}
	if c, ok := commonNumber(s); ok {
		return c
	}
	if !strings.ContainsAny(s, "0123456789") {
		return cell{}
	}
	for k, sx := range syntaxes {
		if _, _, ok := sx.number(s); ok {
			c.form, c.number = number, c.number|1<<k
		}
	}
	if c.form == number {
		return c
	}
	if _, ok := parseClock([]byte(s)); ok {
		return cell{form: clock}
	}
	var d dates
	if _, ok := d.parse([]byte(s)); ok {
		return cell{form: dateTime}
	}
	if _, ok := d.date([]byte(s)); ok && strings.ContainsAny(s, "-./") {
		return cell{form: dateOnly}
	}
	return cell{}
}

// commonNumber is look for what most cells are: digits, with one mark or none.
func commonNumber(s string) (cell, bool) {
	digits := strings.TrimLeft(s, "+-")
	if len(s)-len(digits) > 1 {
		return cell{}, false
	}
	at := strings.IndexAny(digits, ".,")
	if at < 0 {
		return cell{form: number, number: 0xff}, digits != "" && allDigits(digits)
	}
	whole, part := digits[:at], digits[at+1:]
	if len(whole)+len(part) == 0 || !allDigits(whole) || !allDigits(part) {
		return cell{}, false
	}
	c := cell{form: number}
	for k, sx := range syntaxes {
		grouped := sx.group == digits[at] && len(part) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
		if sx.mark == digits[at] || grouped {
			c.number |= 1 << k
		}
	}
	return c, true
}

// under is the cell's form under one syntax.
func (c cell) under(k int) form {
	if c.form == number && c.number>>k&1 == 0 {
		return text
	}
	return c.form
}

// table is a block of rows as one dialect sees it.
type table struct {
	delimiter byte
	syntax    syntax
	width     int
	first     int // index of the first row among the lines
	score     int // cells that make sense
	forms     []form
	tail      int // columns at the end that are blank in all rows
}

// splitLine parts a line at its delimiters, those inside double quotes aside
// (RFC 4180 section 2). A quote that is never closed reaches to the end.
func splitLine(l []byte, delimiter byte) []string {
	s := strings.TrimSuffix(string(l), "\r")
	if delimiter == ' ' {
		return splitBlanks(s)
	}
	if delimiter == quotedBlank {
		delimiter = ' '
	}
	if !strings.ContainsAny(s, `"'`) {
		return strings.Split(s, string(delimiter))
	}
	var fields []string
	var b strings.Builder
	quoted := false
	for i := 0; i < len(s); i++ {
		if s[i] == '\'' && !quoted && (i == 0 || s[i-1] == delimiter) {
			if n := apostrophes(s[i:], delimiter); n > 0 {
				b.WriteString(s[i+1 : i+n-1])
				i += n - 1
				continue
			}
		}
		switch c := s[i]; {
		case c == '"' && quoted && i+1 < len(s) && s[i+1] == '"':
			b.WriteByte('"')
			i++
		case c == '"' && (quoted || strings.TrimSpace(b.String()) == ""):
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

// splitBlanks parts at runs of blanks, those inside quotes aside; where two or
// more blanks part the columns, single ones are part of their names.
func splitBlanks(s string) []string {
	s = strings.TrimSpace(s)
	if s == "" {
		return nil
	}
	if strings.Contains(s, `"`) {
		var fields []string
		for _, f := range splitLine([]byte(strings.Join(blanks(s), " ")), quotedBlank) {
			if f != "" {
				fields = append(fields, f)
			}
		}
		return fields
	}
	if strings.Contains(s, "  ") {
		var wide []string
		for _, f := range strings.Split(s, "  ") {
			if f = strings.TrimSpace(f); f != "" {
				wide = append(wide, f)
			}
		}
		for _, f := range wide {
			if strings.Contains(f, " ") && look(f).form == text && look(blanks(f)[0]).form > blank {
				return blanks(s) // numbers parted by a single blank
			}
		}
		return wide
	}
	return blanks(s)
}

// blanks parts at runs of blanks; a tab is none.
func blanks(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\u00a0' })
}

// tablesIn looks at the lines through each dialect that the rules leave open
// and returns what each makes of them, the best first in order of preference.
func tablesIn(lines [][]byte, rules Rules) (best table) {
	for _, d := range delimiters {
		if rules.Delimiter != 0 && d != rules.Delimiter {
			continue
		}
		cells := make([][]cell, len(lines))
		looked := 0
		for k, l := range lines {
			if looked > mostCells {
				break
			}
			if len(l) > 4096 || comment(l) || d != ' ' && bytes.IndexByte(l, d) < 0 {
				continue
			}
			for _, f := range splitLine(l, d) {
				cells[k] = append(cells[k], look(f))
				looked++
			}
		}
		for k, sx := range syntaxes {
			if rules.Decimal != 0 && sx.mark != rules.Decimal {
				continue
			}
			// Marks that part columns mark nothing else, quotes aside.
			if (sx.mark == d && rules.Decimal == 0 || sx.group == d) && !quotesIn(lines) {
				continue
			}
			t := tableOf(lines, cells, d, k)
			better := t.score > best.score
			if d == ' ' && best.delimiter != ' ' && best.score > 0 {
				// Any other delimiter is meant as one, if its columns make sense
				// and it is not that of a few odd rows.
				better = best.sense() < 0.7 && t.sense() > best.sense() || t.score > 5*best.score
			}
			if better {
				best = t
			}
		}
	}
	return best
}

func quotesIn(lines [][]byte) bool {
	n := 0
	for _, l := range lines {
		if bytes.IndexByte(l, '"') >= 0 {
			n++
		}
	}
	return n*2 > len(lines)
}

// tableOf is the table that the lines make under one dialect.
func tableOf(lines [][]byte, cells [][]cell, delimiter byte, k int) table {
	t := table{delimiter: delimiter, syntax: syntaxes[k], first: -1}
	widths := make([]int, len(lines)) // 0 for what is no row
	scores := map[int]int{}
	for l, row := range cells {
		n := 0
		for _, c := range row {
			if c.under(k) >= number {
				n++
			}
		}
		if n >= 2 {
			widths[l] = len(row)
			scores[len(row)] += n
		}
	}
	for w, s := range scores {
		if s > t.score || s == t.score && w > t.width {
			t.width, t.score = w, s
		}
	}
	if t.width == 0 {
		return table{}
	}
	// The rows begin where two lines of that width follow each other, or under
	// a header, so that a preamble line with two numbers in it is none.
	next := func(l int) int { // the next line that says something
		for l++; l < len(lines) && len(bytes.TrimSpace(lines[l])) == 0; l++ {
		}
		return l
	}
	for l, w := range widths {
		if w == t.width && !namesColumns(lines[l], delimiter) && (next(l) < len(lines) && widths[next(l)] == w || scores[w] <= w || l > 0 && namesColumns(lines[l-1], delimiter)) {
			t.first = l
			break
		}
	}
	if t.first < 0 {
		return table{}
	}
	t.forms, t.tail = make([]form, t.width), t.width
	for c := range t.forms {
		var count [forms]int
		for l := t.first; l < len(cells); l++ {
			if widths[l] == t.width {
				count[cells[l][c].under(k)]++
			}
		}
		// A column is what most of its values are; with few of them among
		// other texts it is none.
		best := number
		for f := clock; f < forms; f++ {
			if count[f] > count[best] {
				best = f
			}
		}
		if count[best]*4 > count[text] {
			t.forms[c] = best
		}
		if count[text]+count[best] > 0 {
			t.tail = t.width - 1 - c
		}
	}
	return t
}

// comment tells whether a line is one that a logger or person wrote for people.
func comment(l []byte) bool {
	l = bytes.TrimLeft(l, " \t")
	if len(l) > 1 && l[0] == '#' {
		// "#N/A,…" and "#,…" are cells.
		return bytes.IndexByte(delimiters[:4], l[1]) < 0 && !bytes.HasPrefix(bytes.ToLower(l), []byte("#n/a"))
	}
	return len(l) > 1 && l[0] == '%' || bytes.HasPrefix(l, []byte("//"))
}

// namesColumns tells whether a line names two quantities that a log has.
func namesColumns(l []byte, delimiter byte) bool {
	n := 0
	for _, cell := range splitLine(l, delimiter) {
		if look(cell).form >= number {
			continue // "4.1 V" names nothing
		}
		if c := readHead(cell, ""); c.Kind == Time || c.Kind == Voltage || c.Kind == Current {
			n++
		}
	}
	return n >= 2
}
