package logfile

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// syntax is how a log writes numbers: the decimal mark, and the mark between
// thousands (0 for none, ' ' for any blank).
type syntax struct{ mark, group byte }

// syntaxes in order of preference where several fit equally well.
var syntaxes = []syntax{{'.', 0}, {',', 0}, {',', '.'}, {'.', ','}, {'.', '\''}, {',', '\''}, {'.', ' '}, {',', ' '}}

// clean takes off what loggers put around a value.
func clean(field string) string {
	s := unquote(field)
	if s != "" && (s[0] == '[' || s[len(s)-1] == ']') {
		s = strings.TrimSpace(strings.Trim(s, "[]"))
	}
	if s != "" && s[0] >= utf8.RuneSelf {
		for _, minus := range []string{"\u2212", "\ufe63", "\uff0d", "\u2013"} {
			if rest, ok := strings.CutPrefix(s, minus); ok {
				return "-" + rest
			}
		}
	}
	return s
}

// unquote takes off blanks, and apostrophes where a field is set in them.
func unquote(field string) string {
	s := strings.TrimSpace(field)
	if n := len(s); n > 1 && s[0] == '\'' && s[n-1] == '\'' {
		return strings.TrimSpace(s[1 : n-1])
	}
	return s
}

// number reads a field as a number, with the unit that may follow it. It is a
// number only if all of the field is used.
func (sx syntax) number(field string) (x float64, unit string, ok bool) {
	s := clean(field)
	var buf [40]byte
	b := buf[:0]
	digits, since, grouped, marked := 0, 0, false, false
	i := 0
scan:
	for i < len(s) && len(b) < len(buf)-4 {
		c := s[i]
		switch {
		case c >= '0' && c <= '9':
			b = append(b, c)
			digits++
			since++
			i++
		case (c == '-' || c == '+') && len(b) == 0:
			b = append(b, c)
			i++
		case c == sx.mark && !marked:
			if grouped && since != 3 {
				return 0, "", false
			}
			b = append(b, '.')
			marked = true
			i++
		case (c == 'e' || c == 'E') && digits > 0:
			n := exponent(s[i:])
			if n == 0 {
				break scan
			}
			b = append(b, s[i:i+n]...)
			i += n
			break scan
		default:
			n := sx.groupAt(s[i:])
			if n == 0 || marked || digits == 0 {
				break scan
			}
			// Three digits follow each mark; at most three go before the first.
			if i+n+3 > len(s) || !allDigits(s[i+n:i+n+3]) || grouped && since != 3 || since > 3 || !grouped && b[len(b)-since] == '0' {
				break scan
			}
			grouped, since = true, 0
			i += n
		}
	}
	if digits == 0 || grouped && !marked && since != 3 {
		return 0, "", false
	}
	unit = strings.TrimSpace(s[i:])
	if unit != "" && (len(unit) > 12 || !startsUnit(unit[0]) || !isUnit(unit)) {
		return 0, "", false
	}
	x, err := strconv.ParseFloat(string(b), 64)
	return x, unit, err == nil
}

// startsUnit: a letter, or a sign such as °.
func startsUnit(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' || c >= utf8.RuneSelf }

// groupAt is the length of a mark between thousands at the head of s.
func (sx syntax) groupAt(s string) int {
	switch sx.group {
	case 0:
		return 0
	case '\'':
		if strings.HasPrefix(s, "\u2019") {
			return len("\u2019")
		}
	case ' ':
		for _, blank := range []string{"\u00a0", "\u202f", "\u2009"} {
			if strings.HasPrefix(s, blank) {
				return len(blank)
			}
		}
	}
	if s[0] == sx.group {
		return 1
	}
	return 0
}

// exponent is the length of "e-05" at the head of s; 0 where it is none.
func exponent(s string) int {
	n := 1
	if n < len(s) && (s[n] == '-' || s[n] == '+') {
		n++
	}
	from := n
	for n < len(s) && s[n] >= '0' && s[n] <= '9' && n-from < 3 {
		n++
	}
	if n == from {
		return 0
	}
	return n
}

func allDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// placeholders stand where a logger had no value. Common practice, no source.
var placeholders = map[string]bool{"-": true, "--": true, "---": true, "----": true, "nan": true, "n/a": true,
	"na": true, "ol": true, "o.l": true, "null": true, "none": true, "#n/a": true, "inf": true, "-inf": true, "+inf": true,
	"overload": true, "ovld": true, "err": true, "error": true, "?": true, "*": true, "\u2014": true, "\u2013": true}

func isBlank(field string) bool {
	s := strings.TrimSpace(field)
	if s != "" && s[0] >= '0' && s[0] <= '9' {
		return false
	}
	return s == "" || len(s) < 12 && placeholders[strings.ToLower(s)]
}
