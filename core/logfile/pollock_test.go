package logfile_test

import (
	"fmt"
	"strings"

	"plateau/core/logfile"
)

// fileKinds does things to the whole file: to its tables, header and dialect.
func fileKinds(c *clean) []polluted {
	var all []polluted
	add := func(p polluted) { all = append(all, p) }

	add(polluted{kind: "empty file"}.refusedFor(logfile.ErrEmpty))
	s := c.sheet()
	s.noLast = true
	add(s.polluted("no last line end", ""))
	for _, n := range []int{1, 2, 5} {
		s := c.sheet()
		s.below = make([]string, n)
		add(s.polluted("more last line ends", fmt.Sprint(n+1)))
	}

	s = c.sheet()
	s.heads = nil
	add(s.polluted("no header", "").orAsked("columns"))
	for _, n := range []int{2, 3} {
		s := c.sheet()
		for range n - 1 {
			s.heads = append(s.heads, c.head)
		}
		add(s.polluted("several header rows", fmt.Sprint(n)))
	}
	for n, lines := range preambles(c.delimiter) {
		s := c.sheet()
		s.above = lines
		add(s.polluted("preamble rows", fmt.Sprint(n)))
	}
	for n, heads := range multirow(c.head) {
		s := c.sheet()
		s.heads = heads
		add(s.polluted("header over several rows", fmt.Sprint(n)))
	}
	all = append(all, severalTables(c)...)
	s = c.sheet()
	s.rows = nil
	add(s.polluted("header only", "").refusedFor(logfile.ErrNoRows))
	for _, k := range []int{0, 10, 39} {
		s := c.sheet()
		s.rows = s.rows[k : k+1]
		add(s.polluted("one record", rowName(k)).refusedFor(logfile.ErrTimeStuck, logfile.ErrNoRows))
	}
	if c.delimiter != "," { // with its decimal commas it has a dialect of its own
		return all
	}
	return append(all, dialectKinds(c)...)
}

func preambles(delimiter string) [][]string {
	return [][]string{
		{"Discharge log"},
		{"Cell: Alder 3", ""},
		{"Cell,Alder 3", "Nominal,5000,mAh", "Cut-off,3.0,V", ""},
		{"# made by hand", "# on 2026-02-14 at 08:00:00", "#"},
		{"Alder 3;3;5000;4.2;3.0;x", "20,4.2,3,25", "2026-02-14", "", ""},
		{"sep=" + delimiter},
		{`"Cell","Alder 3"`, `"Current","3 A"`, `"Time","30 s"`},
	}
}

// multirow spreads the header over two and three rows.
func multirow(head []string) [][][]string {
	var words, units, groups, first, second []string
	for _, h := range head {
		word, unit, _ := strings.Cut(strings.NewReplacer(" / ", "|", " in ", "|", " (", "|", ")", "").Replace(h), "|")
		words, units, groups = append(words, word), append(units, unit), append(groups, "Channel 1")
		a, b, _ := strings.Cut(word, " ")
		first, second = append(first, a), append(second, b)
	}
	var bracketed []string
	for _, u := range units {
		if u != "" {
			u = "[" + u + "]"
		}
		bracketed = append(bracketed, u)
	}
	return [][][]string{{words, units}, {words, bracketed}, {groups, head}, {groups, words, units}, {first, second, units}}
}

// severalTables puts another table behind the log: with fewer columns, with
// more, with as many, and with the log's own columns in another order. Nothing
// of it may come in among the samples.
func severalTables(c *clean) []polluted {
	var all []polluted
	for _, t := range []struct{ what, table string }{
		{"fewer columns", "Cycle,Capacity / Ah\n1,0.79\n2,0.78\n3,0.77"},
		{"more columns", "Cycle,a,b,c,d,e,f,g\n1,2,3,4,5,6,7,8\n2,3,4,5,6,7,8,9"},
		{"as many", "Cycle,Capacity / Ah,Energy / Wh,Start / V,End / V,Rise / K\n1500,0.79,2.9,4.1,3.0,4\n1600,0.78,2.8,4.1,3.0,5\n1700,0.77,2.8,4.1,3.0,6"},
	} {
		s := c.sheet()
		s.below = append([]string{""}, strings.Split(t.table, "\n")...)
		all = append(all, s.polluted("several tables", t.what+", behind"))
		s = c.sheet()
		s.above = append(strings.Split(t.table, "\n"), "")
		all = append(all, s.polluted("several tables", t.what+", in front").orAsked("table columns"))
	}
	swapped := c.sheet()
	a, b := c.col[1], c.col[3] // voltage and temperature
	head := append([]string(nil), c.head...)
	head[a], head[b] = head[b], head[a]
	from := c.lead + 20
	swapped.before[from] = []string{"", swapped.join(head)}
	touched := make([]int, 20)
	for k := range touched {
		touched[k] = from + k
		r := swapped.rows[from+k]
		r[a], r[b] = r[b], r[a]
	}
	return append(all, swapped.polluted("several tables", "columns change places half-way", touched...).orAsked("table columns"))
}

// dialectKinds writes the log with other delimiters, quotes, escapes, ends.
func dialectKinds(c *clean) []polluted {
	var all []polluted
	add := func(p polluted) { all = append(all, p) }
	for _, d := range []struct{ what, delimiter string }{{"semicolon", ";"}, {"tab", "\t"}, {"bar", "|"},
		{"comma and blank", ", "}, {"semicolon and blank", "; "}, {"comma and tab", ",\t"}, {"blank", " "}, {"four blanks", "    "}} {
		s := c.sheet()
		s.delimiter = d.delimiter
		add(unseen(s.polluted("delimiter", d.what)))
	}
	s := c.sheet() // columns in line, as a table for the eye
	s.delimiter = " "
	for j := range c.head {
		wide := 0
		s.heads[0] = append([]string(nil), s.heads[0]...)
		s.heads[0][j] = strings.NewReplacer(" / ", "/", " (", "(", "Test ", "").Replace(c.head[j])
		for _, r := range append(s.rows, s.heads[0]) {
			r[j] = strings.ReplaceAll(r[j], `on, "held"`, "on")
			wide = max(wide, len(r[j]))
		}
		for _, r := range append(s.rows, s.heads[0]) {
			r[j] = strings.Repeat(" ", wide-len(r[j])) + r[j]
		}
	}
	s.quote = ""
	add(unseen(s.polluted("delimiter", "columns in line by blanks")))

	for _, q := range []struct {
		what, quote, escape string
		everywhere          bool
	}{{"around every cell", `"`, `"`, true}, {"apostrophe", `'`, `'`, false}, {"apostrophe around every cell", `'`, `'`, true}} {
		s := c.sheet()
		s.quote, s.escape, s.everywhere = q.quote, q.escape, q.everywhere
		add(s.polluted("quote", q.what))
	}
	for _, e := range []struct{ what, escape string }{{"backslash", `\`}, {"none", ""}} {
		for _, everywhere := range []bool{false, true} {
			s := c.sheet()
			s.escape, s.everywhere = e.escape, everywhere
			var touched []int
			for k, r := range s.rows {
				if strings.Contains(r[len(r)-1], `"`) {
					touched = append(touched, k) // these rows hold a quote
				}
			}
			add(s.polluted("escape", e.what, touched...))
		}
	}
	for what, end := range map[string]string{"CR": "\r", "CRLF": "\r\n", "LF": "\n", "CRCRLF": "\r\r\n"} {
		s := c.sheet()
		s.end = func(int) string { return end }
		p := s.polluted("line end", what)
		if what == "CRCRLF" { // editors differ on what a line is here
			for k := range p.at {
				p.at[k] = [2]int{k + 2, k + 2}
			}
		}
		add(p)
	}
	return all
}

// unseen: where runs of blanks part the columns, a blank one cannot be seen, and
// header and rows differ in width.
func unseen(p polluted) polluted {
	if strings.Contains(p.what, "blank") && strings.Contains(string(p.text), "Remark") {
		p.right, p.about = []error{logfile.ErrHeader}, "columns"
	}
	return p
}

// rowKinds does one thing to one row or cell, for every one of them.
func rowKinds(c *clean) []polluted {
	var all []polluted
	for _, k := range c.try {
		r := c.rows[k]
		s := c.sheet()
		cells := make([]string, len(r))
		for j := range r {
			cells[j] = s.join(r[j : j+1])
		}
		raw := func(kind, what, line string) {
			s := c.sheet()
			s.raw[k] = line
			all = append(all, s.polluted(kind, what, k))
		}
		for j := 1; j < len(cells); j++ {
			raw("a delimiter missing", cellName(k, j), strings.Join(cells[:j], c.delimiter)+strings.Join(cells[j:], c.delimiter))
		}
		for j := 0; j <= len(cells); j++ {
			parts := append(append(append([]string(nil), cells[:j]...), ""), cells[j:]...)
			raw("a delimiter more", cellName(k, j), strings.Join(parts, c.delimiter))
		}
		for j := range r {
			for _, stray := range []string{`"` + r[j], r[j] + `"`, r[j][:len(r[j])/2] + `"` + r[j][len(r[j])/2:]} {
				parts := append([]string(nil), cells...)
				parts[j] = stray
				raw("a stray quote", cellName(k, j), strings.Join(parts, c.delimiter))
			}
		}
		for _, d := range []string{";", ",", " ", "\t", "|"} {
			if d == c.delimiter {
				continue
			}
			raw("a row with another delimiter", fmt.Sprintf("%s, %q", rowName(k), d), strings.Join(cells, d))
		}
		raw("a row cut short", rowName(k), strings.Join(cells, c.delimiter)[:9])
		for _, line := range []string{"", ",,,,,", "  ", `"","","","","",""`} {
			line = strings.ReplaceAll(line, ",", c.delimiter)
			raw("an empty row", fmt.Sprintf("%s, %q", rowName(k), line), line)
			all[len(all)-1].absent = k
		}
	}
	return all
}
