package logfile

import (
	"strings"
	"unicode"

	"plateau/core/quantity"
)

// Column is one column of a log's table and what it was taken for.
type Column struct {
	Index int    // from 0
	Head  string // as written, without its unit
	Kind  Kind
	Unit  quantity.Unit
	// Stated says that the unit stands in the header; else it is assumed.
	Stated bool
	score  int  // how well the header fits the kind
	ruled  bool // a person says so
	why    string
	sure   Sure
}

// headReplacer brings the full-width forms of Chinese and Japanese tables, and
// the characters that join words, to plain ones.
var headReplacer = strings.NewReplacer("（", "(", "）", ")", "［", "[", "］", "]", "／", "/", "：", ":", "，", ",",
	"\u00a0", " ", "\u202f", " ", "\ufeff", "", "\"", "", "\t", " ")

// readHead works out what one header cell, with the cell of a units row where
// there is one, says of its column.
func readHead(cell, unitCell string) Column {
	// A byte that is not UTF-8 in a header is most often the degree sign.
	cell, unitCell = strings.ToValidUTF8(cell, "°"), strings.ToValidUTF8(unitCell, "°")
	cell = unquote(headReplacer.Replace(cell))
	if bare := strings.TrimLeft(cell, "#%/ "); bare != "" {
		cell = bare // the header of a log of numbers is often a comment
	}
	unitCell = strings.Trim(unquote(headReplacer.Replace(unitCell)), "[]()")
	name, unit := splitUnit(cell)
	if unitCell != "" && len(quantity.Units(unitCell)) > 0 {
		unit = unitCell
	}
	c := Column{Head: name}
	kind, score := readName(name)
	if unit == "" && isUnit(name) {
		unit = name // the whole head is a unit: "mV"
	}
	for _, u := range quantity.Units(unit) {
		if kind != Unknown && kind.of() == u.Kind {
			c.Unit, c.Stated = u, true
			score += 5
			break
		}
	}
	if !c.Stated {
		if us := quantity.Units(unit); len(us) > 0 && unit != "" {
			// The unit speaks where the words are silent or say otherwise.
			if k := kindOf(us[0].Kind); kind == Unknown || (kind.of() != quantity.None && k != kind) {
				kind, score = k, 5
				c.Unit, c.Stated = us[0], true
			}
		}
	}
	if kind != Unknown {
		score += qualify(name)
	}
	c.Kind, c.score = kind, score
	if !c.Stated && kind != Unknown {
		c.Unit = baseUnit(kind)
	}
	return c
}

func kindOf(q quantity.Kind) Kind {
	for k := Time; k <= Resistance; k++ {
		if k.of() == q {
			return k
		}
	}
	return Unknown
}

func baseUnit(k Kind) quantity.Unit {
	symbol := map[Kind]string{Time: "s", Voltage: "V", Current: "A", Temperature: "°C", Power: "W",
		Charge: "Ah", Energy: "Wh", Resistance: "Ω"}[k]
	u, ok := quantity.UnitOf(symbol, k.of())
	if !ok {
		return quantity.Unit{Factor: 1}
	}
	return u
}

// splitUnit parts a header cell into words and unit: "Voltage / V", "U [mV]",
// "I(A)", "Strom in mA", "Напряжение, В", "cell_voltage_V", "Volts".
func splitUnit(s string) (name, unit string) {
	for _, pair := range []string{"()", "[]", "{}", "<>"} {
		open, end := strings.LastIndexByte(s, pair[0]), strings.LastIndexByte(s, pair[1])
		if open >= 0 && end > open+1 {
			if u := strings.TrimSpace(s[open+1 : end]); isUnit(u) {
				return strings.TrimSpace(s[:open] + " " + s[end+1:]), u
			}
		}
	}
	for _, sep := range []string{"/", " in ", ",", " en ", " w ", ":", "_", " ", ".", "-"} {
		if at := strings.LastIndex(s, sep); at > 0 {
			if u := strings.TrimSpace(s[at+len(sep):]); isUnit(u) {
				return strings.TrimSpace(s[:at]), u
			}
		}
	}
	return s, ""
}

func isUnit(s string) bool { return len(quantity.Units(s)) > 0 }

// term is a word of the vocabulary, made ready for matching.
type term struct {
	kind         Kind
	text, padded string // padded with a blank on either side
	wordless     bool
}

var vocabulary = func() (all []term) {
	for k := Time; k <= Record; k++ {
		for _, w := range words[k] {
			all = append(all, term{k, w, " " + w + " ", wordless(w)})
		}
	}
	return all
}()

// readName matches the words of a header against the vocabulary. A higher
// score is a better match; 0 with Unknown is none.
func readName(name string) (Kind, int) {
	if k, ok := symbols[strings.TrimSpace(name)]; ok {
		return k, 5
	}
	phrase := phrase(name)
	if phrase == "" {
		return Unknown, 0
	}
	best, score, length := Unknown, 0, 0
	padded := " " + phrase + " "
	for _, w := range vocabulary {
		s := 0
		switch {
		case w.text == phrase:
			s = 10
		case strings.Contains(padded, w.padded):
			s = 6
		case w.wordless && strings.Contains(phrase, w.text):
			s = 6
		}
		// The longest match wins: "step time" is a time, not a step.
		if n := len(w.text); s > 0 && (n > length || n == length && s > score) {
			best, score, length = w.kind, s, n
		}
	}
	if best == Unknown {
		if us := quantity.Units(name); len(us) > 0 {
			return kindOf(us[0].Kind), 4
		}
	}
	return best, score
}

// wordless scripts set no blanks between words.
func wordless(w string) bool {
	for _, r := range w {
		return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana)
	}
	return false
}

// phrase is a header as lower-case words with single blanks: "testTime_total"
// is "test time total".
func phrase(s string) string {
	var b strings.Builder
	prev := rune(0)
	for _, r := range s {
		switch {
		case unicode.IsLetter(r) || r == '#' || r == '\'':
			if unicode.IsUpper(r) && unicode.IsLower(prev) {
				b.WriteByte(' ')
			}
			b.WriteRune(unicode.ToLower(r))
		case unicode.IsDigit(r):
		default:
			b.WriteByte(' ')
		}
		prev = r
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

func qualify(name string) int {
	n := 0
	for _, w := range strings.Fields(phrase(name)) {
		n += qualifiers[w]
	}
	return n
}
