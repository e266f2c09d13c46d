package unpack

import "strings"

// format is what a number format makes of a number.
type format uint8

const (
	plain    format = iota
	elapsed         // [h]:mm:ss, hours running on
	dateOnly        // no time of day shown
	stamp           // a date-time, or a time of day
)

// builtIn are the formats that have a number only (ECMA-376 Part 1, 18.8.30;
// 27 to 36 and 50 to 58 are those of East Asian languages).
func builtIn(id int) format {
	switch {
	case id >= 14 && id <= 17, id >= 27 && id <= 31, id == 36, id >= 50 && id <= 54, id == 57, id == 58:
		return dateOnly
	case id >= 18 && id <= 22, id >= 32 && id <= 35, id == 45, id == 47, id == 55, id == 56:
		return stamp
	case id == 46:
		return elapsed
	}
	return plain
}

// formatOf reads a format code (ECMA-376 Part 1, 18.8.31): only its first
// section, which is that of positive numbers.
func formatOf(code string) format {
	if c := strings.ToLower(code); strings.HasPrefix(c, "general") || strings.HasPrefix(c, "standard") {
		return plain
	}
	var date, clock, fraction bool
	for k := 0; k < len(code); k++ {
		switch c := code[k]; c {
		case ';':
			k = len(code)
		case '"':
			k = after(code, k+1, '"')
		case '\\', '_', '*':
			k++ // the next character is shown, left as room, or repeated
		case '[':
			end := after(code, k, ']')
			if inside := strings.ToLower(code[k+1 : end]); inside != "" && strings.Trim(inside, inside[:1]) == "" && strings.Contains("hms", inside[:1]) {
				return elapsed
			}
			k = end
		case 'y', 'Y', 'd', 'D':
			date, fraction = true, false
		case 'h', 'H', 's', 'S':
			clock, fraction = true, false
		case 'm', 'M':
			fraction = false
			// A month, unless hours or seconds are beside it; either way it is
			// a date-time.
			if !date && !clock && !strings.ContainsAny(code[k:], "hHsS") {
				date = true
			}
		case '.', ',':
			fraction = clock
		case '0':
			if !fraction {
				return plain // a number, with a letter out of place in it
			}
		case '#', '?', '%':
			return plain
		case 'E', 'e':
			if k+1 < len(code) && (code[k+1] == '+' || code[k+1] == '-') {
				return plain
			}
		case 'A', 'a':
			if upper := strings.ToUpper(code[k:]); strings.HasPrefix(upper, "AM/PM") {
				k += len("AM/PM") - 1
			}
		}
	}
	switch {
	case clock:
		return stamp
	case date:
		return dateOnly
	}
	return plain
}

// after is the place of the next c, or the end.
func after(s string, from int, c byte) int {
	if n := strings.IndexByte(s[min(from, len(s)):], c); n >= 0 {
		return from + n
	}
	return len(s)
}
