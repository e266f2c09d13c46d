// Package cell holds what a datasheet says of a cell, as far as a run is judged
// by it, and takes a cell's name from that of a file.
package cell

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Cell is one kind of cell. Zero stands for what is not known; voltages are
// those of a single cell.
type Cell struct {
	Name          string
	Rated         float64 // Ah, C5: at 0.2 It
	Cutoff        float64 // V, end-of-discharge voltage
	ChargeVoltage float64 // V
	ChargeEnd     float64 // A, at which the charge ends
	MaxCurrent    float64 // A, continuous discharge
	MaxTemp       float64 // °C, on discharge
	Nominal       float64 // V
	Size          string  // "21700" or "INR19/66"
	Series        int     // cells in series; 0 and 1 are a single one
	// RestByDatasheet: the rest after the charge is to be an hour at most, as
	// datasheets have it, and not 1 h to 4 h, as IEC 61960-3 has it.
	RestByDatasheet bool
}

// Cells is the number of cells in series, at least one.
func (c Cell) Cells() float64 { return float64(max(c.Series, 1)) }

// Rate is a current in A as a multiple of the reference test current It, which
// is the rated capacity over 1 h (IEC 61434); 0 where it is not known.
func (c Cell) Rate(amps float64) float64 {
	if !(c.Rated > 0) {
		return 0
	}
	return amps / c.Rated
}

// Volume is the cell's volume in l, from its size; 0 where that tells none. It
// knows the trade's five digits (diameter in mm, length in tenths of mm) and the
// designation of IEC 61960-3 clause 5.1 (both in whole mm, rounded up: the
// volume is then the largest that it can be).
func (c Cell) Volume() float64 {
	s := strings.ToUpper(strings.TrimSpace(c.Size))
	d, h, slash := strings.Cut(strings.TrimLeftFunc(s, unicode.IsLetter), "/")
	prismatic := strings.HasPrefix(strings.TrimLeft(s, "ICNMVTFL"), "P")
	var diameter, height float64
	if slash {
		if prismatic || strings.Contains(h, "/") {
			w, rest, _ := strings.Cut(h, "/")
			return box(d, w, rest)
		}
		diameter, height = number(d), number(h)
	} else if len(d) == 5 {
		diameter, height = number(d[:2]), number(d[2:])/10
	}
	if !(diameter >= 5 && diameter <= 100 && height >= 10 && height <= 300) {
		return 0
	}
	return math.Pi / 4 * diameter * diameter * height * 1e-6
}

func box(thick, wide, high string) float64 {
	return number(thick) * number(wide) * number(high) * 1e-6
}

func number(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || !(x > 0) || x > 1000 {
		return 0
	}
	return x
}

// Guess is the cell's name in the name of a log without its ending: the words
// before the first that tells of the run ("Alder 3 A 25°C.2" is "Alder"), or all
// of it where that leaves nothing.
func Guess(stem string) string {
	r := []rune(stem)
	for k := 1; k+1 < len(r); k++ {
		if r[k] == ',' && unicode.IsDigit(r[k-1]) && unicode.IsDigit(r[k+1]) {
			r[k] = '.' // a decimal comma divides no words
		}
	}
	words := strings.FieldsFunc(string(r), func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("_,;()[]·›", r) })
	var kept []string
	for k, w := range words {
		if ofRun(w) || k > 0 && isNumber(w) && (k+1 == len(words) || isUnit(words[k+1])) {
			break
		}
		kept = append(kept, w)
	}
	if len(kept) == 0 {
		return strings.TrimSpace(stem)
	}
	return strings.Join(kept, " ")
}

// ofRun tells a word that is about the run: "3A", "0.2C", "2.5V", "run2",
// "discharge", "#3".
func ofRun(w string) bool {
	l := strings.ToLower(strings.Trim(w, "-–."))
	for _, word := range []string{"run", "test", "discharge", "dchg", "dis", "cycle", "cyc", "rep", "repeat", "attempt", "log", "entladung", "décharge", "descarga"} {
		if strings.HasPrefix(l, word) && isNumber("0"+strings.TrimLeft(l[len(word):], "-#")) {
			return true
		}
	}
	if strings.HasPrefix(l, "#") {
		return true
	}
	at := strings.LastIndexFunc(l, func(r rune) bool { return unicode.IsDigit(r) })
	return at >= 0 && isNumber(l[:at+1]) && isUnit(l[at+1:])
}

func isUnit(s string) bool {
	switch strings.ToLower(strings.Trim(s, "-–.")) {
	case "a", "ma", "c", "it", "v", "mv", "w", "ah", "mah", "wh", "h", "min", "s", "°c", "degc", "ohm", "ω":
		return true
	}
	return false
}

func isNumber(s string) bool {
	_, err := strconv.ParseFloat(s, 64)
	return err == nil && strings.IndexFunc(s, unicode.IsLetter) < 0
}
