// Package paste reads tables that a person pastes: from a spreadsheet, a post, a
// text file. It finds out how the columns are divided and which is which.
package paste

import (
	"strings"
	"unicode"

	"plateau/core/say"
)

const (
	mostBytes   = 1 << 20
	mostRows    = 2000
	mostColumns = 200
)

// Problem is a row that is left out, and why. Lines count from 1.
type Problem struct {
	Line   int
	Reason string
}

// ErrNothing says that no row can be used.
var ErrNothing = say.LaterError("there is no table in this: paste rows with a column for each figure, divided by tabs, semicolons, commas or |")

// row is one line of a table, divided.
type row struct {
	line   int
	text   string
	fields []string
}

// divisions are the ways to divide columns, the surest first.
var divisions = []struct{ mark, said string }{
	{"\t", say.Later("Tabs between the columns.")}, {"|", say.Later("Vertical bars between the columns.")},
	{";", say.Later("Semicolons between the columns.")}, {",", byCommas}, {"  ", say.Later("Spaces between the columns.")},
}

const byCommas = say.Later("Commas between the columns.")

// divide reads the rows of a text, and says, in English, what stands between its
// columns.
func divide(text string) (rows []row, said string, problems []Problem, err error) {
	if len(text) > mostBytes {
		return nil, "", nil, say.Error("the text is longer than %d kB: paste a part of it", mostBytes>>10)
	}
	lines := join(strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text), "\n"))
	best, most := -1, 0
	for k, d := range divisions {
		// The division counts that gives most lines one same number of columns.
		count := map[int]int{}
		for _, l := range lines[:min(len(lines), 200)] {
			if n := len(split(l.text, d.mark)); strings.TrimSpace(l.text) != "" && n > 1 {
				count[n]++
			}
		}
		for n, c := range count {
			if score := c * min(n, 6); score > most {
				best, most = k, score
			}
		}
	}
	mark := "\t"
	if best >= 0 {
		mark, said = divisions[best].mark, divisions[best].said
	}
	if (best < 0 || mark == "," && onlyInNumbers(lines)) && byBlanks(lines) {
		mark, said = " ", say.Later("Single spaces between the columns.")
	}
	for _, l := range lines {
		if strings.TrimSpace(l.text) == "" {
			continue
		}
		fields := split(l.text, mark)
		if mark == "|" && strings.Trim(l.text, "|-: \t") == "" {
			continue // the rule below a head
		}
		if len(rows) >= mostRows {
			problems = append(problems, Problem{l.line, say.With("More than %d rows: this and the rest are left out.", mostRows)})
			break
		}
		if len(fields) > mostColumns {
			problems = append(problems, Problem{l.line, say.With("More than %d columns.", mostColumns)})
			continue
		}
		rows = append(rows, row{l.line, l.text, fields})
	}
	if len(rows) == 0 {
		return nil, said, problems, ErrNothing
	}
	return rows, said, problems, nil
}

// join puts the lines of a field in quotes together. A quote that is not closed
// within a few lines is none.
func join(lines []string) (out []row) {
	for k := 0; k < len(lines); k++ {
		l, last := lines[k], k
		for n := k + 1; opened(l) && n < len(lines) && n <= k+20; n++ {
			if l += " " + lines[n]; !opened(l) {
				last = n
			}
		}
		if last == k {
			l = lines[k]
		}
		out = append(out, row{line: k + 1, text: l})
		k = last
	}
	return out
}

// opened tells whether a quote at the beginning of a field is not closed.
func opened(l string) bool {
	if strings.IndexByte(l, '"') < 0 {
		return false
	}
	quoted, start := false, true
	for _, r := range l {
		switch {
		case r == '"' && (quoted || start):
			// A doubled quote closes and opens again.
			quoted, start = !quoted, quoted
		case !quoted:
			start = strings.ContainsRune("\t|;,", r) || start && r == ' '
		}
	}
	return quoted
}

// onlyInNumbers tells whether all commas stand between digits: then they are
// decimal ones, if something else divides.
func onlyInNumbers(lines []row) bool {
	digit := func(s string, k int) bool { return k >= 0 && k < len(s) && s[k] >= '0' && s[k] <= '9' }
	for _, l := range lines {
		for k := range len(l.text) {
			if l.text[k] == ',' && !(digit(l.text, k-1) && digit(l.text, k+1)) {
				return false
			}
		}
	}
	return true
}

// byBlanks tells whether all lines have one number of words, and figures among
// them.
func byBlanks(lines []row) bool {
	n, figures := 0, false
	for _, l := range lines {
		words := strings.Fields(l.text)
		if len(words) == 0 {
			continue
		}
		if n == 0 {
			n = len(words)
		}
		if len(words) != n || n < 2 {
			return false
		}
		for _, w := range words {
			figures = figures || number(w)
		}
	}
	return figures
}

// split divides a line; what stands in quotes is not divided.
func split(l, mark string) []string {
	if mark == " " {
		return strings.Fields(l)
	}
	if mark == "|" {
		l = strings.Trim(strings.TrimSpace(l), "|")
	}
	var fields []string
	var f strings.Builder
	quoted := false
	blanks := mark == "  "
	rs := []rune(l)
	for k := 0; k < len(rs); k++ {
		r := rs[k]
		switch {
		case r == '"' && quoted && k+1 < len(rs) && rs[k+1] == '"':
			f.WriteRune(r)
			k++
		case r == '"' && (quoted || strings.TrimSpace(f.String()) == ""):
			quoted = !quoted
		case quoted:
			f.WriteRune(r)
		case blanks && r == ' ' && k+1 < len(rs) && rs[k+1] == ' ':
			for k+1 < len(rs) && rs[k+1] == ' ' {
				k++
			}
			if f.Len() > 0 || len(fields) > 0 {
				fields = append(fields, strings.TrimSpace(f.String()))
				f.Reset()
			}
		case !blanks && string(r) == mark:
			fields = append(fields, strings.TrimSpace(f.String()))
			f.Reset()
		default:
			f.WriteRune(r)
		}
	}
	if last := strings.TrimSpace(f.String()); last != "" || !blanks {
		fields = append(fields, last)
	}
	return fields
}

// headOf parts a column's head into its words and its unit: "Capacity (mAh)",
// "Nennkapazität / Ah", "mass [g]".
func headOf(s string) (words, unit string) {
	s = strings.TrimSpace(strings.ToLower(s))
	for _, pair := range [...]string{"()", "[]"} {
		if a, b := strings.IndexByte(s, pair[0]), strings.LastIndexByte(s, pair[1]); a >= 0 && b > a {
			unit = strings.TrimSpace(s[a+1 : b])
			s = s[:a] + s[b+1:]
		}
	}
	if k := strings.LastIndexByte(s, '/'); k > 0 && unit == "" {
		s, unit = s[:k], strings.TrimSpace(s[k+1:])
	}
	if k := strings.LastIndex(s, " in "); k > 0 && unit == "" {
		s, unit = s[:k], strings.TrimSpace(s[k+4:])
	}
	words = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }), " ")
	if w := strings.TrimSpace(words); unit == "" {
		if k := strings.LastIndexByte(w, ' '); k > 0 && isUnit(w[k+1:]) {
			words, unit = w[:k], w[k+1:]
		} else if isUnit(w) {
			unit = w
		}
	}
	return words, unit
}

func isUnit(s string) bool {
	switch s {
	case "ah", "mah", "wh", "mwh", "a", "ma", "v", "mv", "g", "kg", "°c":
		return true
	}
	return false
}

// number tells whether a field is one, a unit behind it allowed.
func number(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && strings.IndexFunc(s, unicode.IsDigit) >= 0 && strings.Trim(strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ°% "), "+-−.,0123456789' ") == ""
}
