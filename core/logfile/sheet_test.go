package logfile_test

import (
	"fmt"
	"math"
	"runtime"
	"strconv"
	"strings"
)

// sample is t in s, V in V, I in A (positive on discharge) and T in °C.
type sample [4]float64

// clean is a discharge log as it should be, with rest before and after.
type clean struct {
	name      string
	delimiter string
	head      []string
	rows      [][]string
	col       [4]int // the columns of time, voltage, current, temperature
	want      []sample
	lead      int   // rows at rest that come before the forty
	try       []int // the rows to do something to
}

// cleanLogs are forty rows of one discharge, invented, in five layouts: two more
// columns behind those that count, in front of them, around, one of them blank,
// and the way that German spreadsheets write it; and two of them with so many
// rows before that the reader has settled the layout when the forty come.
func cleanLogs() []*clean {
	all := append(layouts(), layouts()[0], layouts()[4])
	for n, c := range all {
		for k := range 40 {
			if runtime.GOOS != "js" || k < 2 || k%7 == 4 || k == 39 { // there it takes ten times as long
				c.try = append(c.try, k)
			}
		}
		if n > 4 {
			c.name, c.lead = c.name+", far down", 3000
			c.try = []int{c.lead + 2, c.lead + 20, c.lead + 38}
		}
		for k := range c.lead + 40 {
			c.add(k, c.name == "more columns in front" || c.delimiter == ";")
		}
	}
	return all
}

func layouts() []*clean {
	return []*clean{
		{name: "more columns behind", delimiter: ",", col: [4]int{0, 1, 2, 3},
			head: []string{"Time / s", "Voltage / V", "Current / A", "Temperature / degC", "Capacity / Ah", "Note"}},
		{name: "more columns in front", delimiter: ",", col: [4]int{2, 3, 4, 5},
			head: []string{"Record", "Step", "Time / s", "Voltage / V", "Current / A", "Temperature / degC"}},
		{name: "more columns around", delimiter: ",", col: [4]int{4, 2, 1, 3},
			head: []string{"Step", "Current (A)", "Voltage (V)", "Temperature (degC)", "Time (s)", "Capacity (Ah)"}},
		{name: "a blank column", delimiter: ",", col: [4]int{0, 3, 2, 4},
			head: []string{"Time / s", "Step", "Current / A", "Voltage / V", "Temperature / degC", "Remark"}},
		{name: "German", delimiter: ";", col: [4]int{1, 3, 2, 4},
			head: []string{"Schritt", "Zeit in h:mm:ss", "Strom in A", "Spannung in V", "Temperatur in °C", "Ladung in Ah"}},
	}
}

// add adds row k, with discharge currents below zero or above.
func (c *clean) add(k int, negative bool) {
	all := k
	k = max(k-c.lead, 0)
	step, note, i, q := 1, "rest", 0.0, 0.025*float64(min(max(k-3, 0), 32))
	v := 4.187 + 0.0003*float64(k%3)
	switch {
	case k >= 36:
		step, v = 3, 3.1+0.03*float64(k-36)
	case k >= 4:
		step, note = 2, `on, "held"`
		depth := float64(k-4) / 32
		i, v = 3.0+0.001*float64(k%5), 4.05-0.9*depth-0.35*math.Pow(depth, 8)+0.0004*float64(k%4)
	}
	number := func(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }
	values := [4]string{strconv.Itoa(30 * all), number(v, 4), number(i, 3), number(22.5+0.11*float64(k), 2)}
	var want sample
	for j, s := range values {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			panic(err)
		}
		want[j] = x
	}
	c.want = append(c.want, want)
	if negative && i > 0 {
		values[2] = "-" + values[2]
	}
	row := make([]string, len(c.head))
	for j, h := range c.head {
		word, _, _ := strings.Cut(h, " ")
		row[j] = map[string]string{"Record": strconv.Itoa(all + 1), "Step": strconv.Itoa(step), "Schritt": strconv.Itoa(step), "Note": note,
			"Capacity": number(q, 5), "Ladung": number(q, 5)}[word]
	}
	for j, col := range c.col {
		row[col] = values[j]
	}
	if c.delimiter == ";" {
		row[c.col[0]] = fmt.Sprintf("%d:%02d:%02d", all/120, all/2%60, all%2*30)
		for j := range row {
			row[j] = strings.Replace(row[j], ".", ",", 1)
		}
	}
	c.rows = append(c.rows, row)
}

// sheet is a log about to be written.
type sheet struct {
	*clean
	above      []string   // lines before the header, as they are
	heads      [][]string // header rows
	rows       [][]string
	raw        map[int]string   // a row as it is to be written
	before     map[int][]string // lines before a row, as they are
	below      []string         // lines after the last row, as they are
	delimiter  string
	quote      string
	escape     string
	end        func(line int) string
	everywhere bool // quotes around each cell
	noLast     bool // no line end after the last line
}

func (c *clean) sheet() *sheet {
	s := &sheet{clean: c, heads: [][]string{c.head}, delimiter: c.delimiter, quote: `"`, escape: `"`,
		raw: map[int]string{}, before: map[int][]string{}, end: func(int) string { return "\n" }}
	for _, r := range c.rows {
		s.rows = append(s.rows, append([]string(nil), r...))
	}
	return s
}

// join writes one row.
func (s *sheet) join(cells []string) string {
	out := make([]string, len(cells))
	for j, c := range cells {
		if s.everywhere || s.quote != "" && (strings.Contains(c, s.delimiter) || strings.ContainsAny(c, s.quote+"\r\n")) {
			c = strings.ReplaceAll(c, `\`, `\\`)
			if s.escape == `"` || s.escape == `'` {
				c = strings.ReplaceAll(c, `\\`, `\`)
			}
			c = s.quote + strings.ReplaceAll(c, s.quote, s.escape+s.quote) + s.quote
		}
		out[j] = c
	}
	return strings.Join(out, s.delimiter)
}

// write gives the text, and the first and last line of each record.
func (s *sheet) write() (text string, at [][2]int) {
	var b strings.Builder
	line := 1
	put := func(l string, last bool) {
		if !last || !s.noLast {
			l += s.end(line)
		}
		b.WriteString(l)
		line += breaks(l)
	}
	var heads []string
	for _, h := range s.heads {
		heads = append(heads, s.join(h))
	}
	for _, l := range append(append([]string(nil), s.above...), heads...) {
		put(l, len(s.rows) == 0)
	}
	for k, r := range s.rows {
		for _, l := range s.before[k] {
			put(l, false)
		}
		l, ok := s.raw[k]
		if !ok {
			l = s.join(r)
		}
		from := line
		put(l, k == len(s.rows)-1 && len(s.below) == 0)
		at = append(at, [2]int{from, max(from, line-1)})
	}
	for k, l := range s.below {
		put(l, k == len(s.below)-1)
	}
	return b.String(), at
}

// breaks counts the line ends of a text as an editor shows them.
func breaks(text string) int {
	return strings.Count(text, "\n") + strings.Count(text, "\r") - strings.Count(text, "\r\n")
}

// polluted is the sheet as a log to be tried, of which the rows touched may be
// left out.
func (s *sheet) polluted(kind, what string, touched ...int) polluted {
	text, at := s.write()
	p := polluted{kind: kind, what: what, text: []byte(text), at: at, want: append([]sample(nil), s.want[:len(s.rows)]...), touched: map[int]bool{}, absent: -1}
	for _, k := range touched {
		p.touched[k] = true
	}
	return p
}

// refusedFor is a log that has no figures, and the reasons to say so.
func (p polluted) refusedFor(why ...error) polluted {
	p.want, p.right = nil, why
	return p
}

// orAsked is a log that may as well be asked about.
func (p polluted) orAsked(about string) polluted {
	p.about = about
	return p
}

func rowName(k int) string { return fmt.Sprintf("row %d", k+1) }

func cellName(k, c int) string { return fmt.Sprintf("row %d, column %d", k+1, c+1) }
