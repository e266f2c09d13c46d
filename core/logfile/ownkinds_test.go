package logfile_test

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf16"

	"plateau/core/logfile"
)

// ownKinds are the faults that logs have besides.
func ownKinds(c *clean) []polluted {
	var all []polluted
	add := func(p polluted) { all = append(all, p) }
	for _, k := range c.try {
		r := c.rows[k]
		s := c.sheet()
		s.raw[k] = strings.Repeat("\x00", len(s.join(r)))
		p := s.polluted("NUL bytes", rowName(k), k)
		p.absent = k
		add(p)
		for _, j := range c.col {
			s := c.sheet()
			s.rows[k][j] += "\x00\x00"
			add(s.polluted("NUL bytes", cellName(k, j), k))
		}
		s = c.sheet()
		s.raw[k] = "\ufeff" + s.join(r)
		add(s.polluted("byte order mark in the middle", rowName(k), k))
		for _, end := range []string{"\n", "\r\n"} {
			s := c.sheet()
			s.rows[k] = append(s.rows[k][:len(r)-1:len(r)-1], "so\n and"+end+"so")
			if c.head[len(r)-1] == "Note" {
				add(s.polluted("quoted line end", fmt.Sprintf("%s, %q", rowName(k), end), k))
			}
		}
		if k%20 == 5 || k == c.lead+20 {
			for _, junk := range []string{"x", "1,"} {
				s := c.sheet()
				s.before[k] = []string{strings.Repeat(junk, 1_000_000/len(junk))}
				add(s.polluted("a line of 1 MB", fmt.Sprintf("of %q, before %s", junk, rowName(k))))
			}
		}
	}
	s := c.sheet()
	s.below = []string{strings.Repeat("\x00", 8192)}
	s.noLast = true
	add(s.polluted("NUL bytes", "to the end of a block"))
	for what, text := range map[string]string{"1 MB of digits": strings.Repeat("1234567890", 100_000), "1 MB of cells": strings.Repeat("4.1,", 250_000),
		"100 kB of blanks": strings.Repeat(" ", 100_000) + "x", "2 MB of digits": strings.Repeat("1234567890", 200_000), "2 MB of cells": strings.Repeat("4.1,", 500_000),
		"2 MB of blanks": strings.Repeat(" ", 2_000_000) + "x"} {
		add(polluted{kind: "a line of 1 MB", what: "the whole file: " + what, text: []byte(text)}.refusedFor(logfile.ErrLongLine, logfile.ErrNoTable, logfile.ErrEmpty))
	}
	s = c.sheet()
	s.end = func(int) string { return "," }
	add(s.polluted("a line of 1 MB", "all rows in one line").refusedFor(logfile.ErrNoTable, logfile.ErrNoRows, logfile.ErrNoHeader).orAsked("columns"))

	all = append(all, utf16Kinds(c)...)
	for what, ends := range map[string][]string{"CRLF and LF": {"\r\n", "\n"}, "CR and LF": {"\r", "\n"}, "all three": {"\r\n", "\n", "\r"}} {
		s := c.sheet()
		s.end = func(line int) string { return ends[line*7%5%len(ends)] }
		add(s.polluted("mixed line ends", what))
	}
	if c.delimiter == "," {
		all = append(all, commaKinds(c)...)
	}
	all = append(all, blockKinds(c)...)
	for _, word := range []string{"inf", "-inf", "Infinity", "nan", "NaN", "---", "--", "-", "OL", "-OL", "+OVER", "1.#INF", "1e999", "#N/A", "N/A", "null", "?", "*", ""} {
		for _, k := range c.try {
			for _, j := range c.col {
				s := c.sheet()
				s.rows[k][j] = word
				add(s.polluted("no number in a cell", cellName(k, j)+" "+word, k))
			}
		}
		s := c.sheet() // a column that does not count
		for k := range s.rows {
			s.rows[k][slices.Index(c.head, extra(c))] = word
		}
		add(s.polluted("no number in a column", extra(c)+" "+word))
	}
	return all
}

// extra is the header of a column that is not needed.
func extra(c *clean) string {
	for _, h := range c.head {
		if h == "Step" || h == "Schritt" {
			return h
		}
	}
	return "Note"
}

func utf16Kinds(c *clean) []polluted {
	var all []polluted
	for _, big := range []bool{false, true} {
		for _, mark := range []bool{false, true} {
			p := c.sheet().polluted("UTF-16", fmt.Sprintf("big end first: %v, byte order mark: %v", big, mark))
			units := utf16.Encode([]rune(string(p.text)))
			if mark {
				units = append([]uint16{0xfeff}, units...)
			}
			p.text = nil
			for _, u := range units {
				lo, hi := byte(u), byte(u>>8)
				if big {
					lo, hi = hi, lo
				}
				p.text = append(p.text, lo, hi)
			}
			all = append(all, p)
			p.what += ", cut in the middle of a character"
			p.text = slices.Concat(p.text, p.text[len(p.text)-2:][:1])
			all = append(all, p)
		}
	}
	return all
}

// commaKinds writes decimal commas where the delimiter is a comma as well.
func commaKinds(c *clean) []polluted {
	comma := func(s *sheet) {
		for _, r := range s.rows {
			for j := range r {
				if c.head[j] != "Note" {
					r[j] = strings.ReplaceAll(r[j], ".", ",")
				}
			}
		}
	}
	quoted := c.sheet()
	comma(quoted)
	everywhere := c.sheet()
	everywhere.everywhere = true
	comma(everywhere)
	bare := c.sheet()
	comma(bare)
	for k, r := range bare.rows {
		bare.raw[k] = strings.Join(r[:len(r)-1], ",") + ",1"
	}
	p := bare.polluted("decimal comma, comma between", "bare")
	for k := range p.at {
		p.touched[k] = true
	}
	return []polluted{
		quoted.polluted("decimal comma, comma between", "quoted where it must be"),
		everywhere.polluted("decimal comma, comma between", "every cell quoted"),
		p.refusedFor(logfile.ErrHeader).orAsked("delimiter decimal columns"),
	}
}

// blockKinds have lines between the rows and after them.
func blockKinds(c *clean) []polluted {
	var all []polluted
	head := c.sheet().join(c.head)
	units := strings.Repeat(c.delimiter, len(c.head)-1)
	for what, lines := range map[string][]string{"header": {head}, "blank line, header": {"", head},
		"title, header": {"Step", head}, "title with a number, header, blank units": {"Step 2", head, units},
		"ruled off": {"----------", head}, "title as a cell": {"Step,2,,,,", head}} {
		for _, at := range [][]int{{4, 36}, {4}, {20}, {1, 2, 3, 38, 39}} {
			s := c.sheet()
			for _, k := range at {
				s.before[c.lead+k] = lines
			}
			all = append(all, s.polluted("header again", fmt.Sprintf("%s, before rows %v", what, at)))
		}
	}
	for what, lines := range map[string][]string{
		"word and number": {"Total,0.79,Ah"}, "text": {"Capacity: 0.79 Ah", "Energy: 2.9 Wh"}, "blank, text": {"", "End of test"},
		"cells": {"", "Average,3.7,3.0,24,,", "Sum,,,,0.79,"}, "time": {"End,2026-02-14 09:00:00,,,,"}, "empty cells": {",,,,,"},
		"cut short": {"12"}, "comment": {"# stopped at 3.0 V, 1170, 3.1"}, "quoted": {`"Total","0.79"`}, "SUB": {"\x1a"},
	} {
		s := c.sheet()
		s.below = lines
		all = append(all, s.polluted("trailing summary lines", what))
		s = c.sheet()
		s.below, s.noLast = lines, true
		all = append(all, s.polluted("trailing summary lines", what+", no last line end"))
	}
	return all
}

// timeKinds writes the time in other forms, beyond 24 h among them.
func timeKinds(c *clean) []polluted {
	const start = 86400 - 600 // so that the log runs past 24 h
	var all []polluted
	for what, form := range map[string]func(s int) string{
		"h:mm:ss.s beyond 24 h": func(s int) string { return fmt.Sprintf("%02d:%02d:%02d.0", s/3600, s/60%60, s%60) },
		"h:mm:ss beyond 24 h":   func(s int) string { return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60) },
		"1d 02:03:04":           func(s int) string { return fmt.Sprintf("%dd %02d:%02d:%02d", s/86400, s/3600%24, s/60%60, s%60) },
		"1d 02:03:04.500":       func(s int) string { return fmt.Sprintf("%dd %02d:%02d:%02d.500", s/86400, s/3600%24, s/60%60, s%60) },
		"d:hh:mm:ss":            func(s int) string { return fmt.Sprintf("%d:%02d:%02d:%02d", s/86400, s/3600%24, s/60%60, s%60) },
		"past midnight":         func(s int) string { return fmt.Sprintf("%02d:%02d:%02d", s/3600%24, s/60%60, s%60) },
		"mmm:ss":                func(s int) string { return fmt.Sprintf("%d:%02d", s/60, s%60) },
		"date and time": func(s int) string {
			return fmt.Sprintf("2026-02-%02d %02d:%02d:%02d", 14+s/86400, s/3600%24, s/60%60, s%60)
		},
		"1 day, 2:03:04": func(s int) string {
			days := []string{"", "1 day, ", "2 days, "}[s/86400]
			return fmt.Sprintf("%s%d:%02d:%02d", days, s/3600%24, s/60%60, s%60)
		},
	} {
		for _, head := range []string{"Time", "Time / s"} {
			s := c.sheet()
			s.heads[0] = append([]string(nil), c.head...)
			s.heads[0][c.col[0]] = head
			for k, r := range s.rows {
				r[c.col[0]] = form(start + 30*k)
			}
			p := s.polluted("time beyond a day", what+", header "+head)
			p.about = "time unit columns" // never a guess
			all = append(all, p)
		}
	}
	return all
}
