// Package cell holds what a datasheet says of a cell, as far as a run is judged
// by it, and takes a cell's name from that of a file.
package cell

import (
	"strconv"
	"strings"
	"unicode"
)

// Cell is one sample of a kind of cell, with what its datasheet says. Zero
// stands for what is not known; voltages are those of a single cell.
type Cell struct {
	Name      string // of the sample, by which runs are of it
	Model     string // what samples of one kind share; empty for the name
	Sample    string // "1", "B"
	Chemistry Chemistry
	Size      string  // "21700" or "INR19/66"
	Mass      float64 // g, as weighed
	Marking   string
	Price     float64 // of one cell, in Currency
	Currency  string
	Notes     string

	Rated            float64 // Ah, C5: at 0.2 It
	Minimum, Typical float64 // Ah
	// At which the claims are made.
	RatedAt, MinimumAt, TypicalAt Condition

	Cutoff           float64 // V, end-of-discharge voltage
	ChargeVoltage    float64 // V
	ChargeCurrent    float64 // A, of the standard charge
	MaxCharge        float64 // A
	ChargeEnd        float64 // A, at which the charge ends
	MaxCurrent       float64 // A, continuous discharge
	MinTemp, MaxTemp float64 // °C, on discharge; MinTemp counts where HasMinTemp
	HasMinTemp       bool
	Nominal          float64 // V
	SheetMass        float64 // g, by the datasheet
	MaxResistance    float64 // Ω, a.c. at 1 kHz
	Series           int     // cells in series; 0 and 1 are a single one
	// RestByDatasheet: the rest after the charge is to be an hour at most, as
	// datasheets have it, and not 1 h to 4 h, as IEC 61960-3 has it.
	RestByDatasheet bool

	// Where the sample is from.
	Bought, Lot, DateCode, Wrapper string
}

// Chemistry is a kind of lithium cell; empty where it is not stated.
type Chemistry string

// The chemistries that differ in their voltages.
const (
	Ion       Chemistry = "ion"       // oxides of cobalt, nickel, manganese
	Phosphate Chemistry = "phosphate" // iron phosphate
	Titanate  Chemistry = "titanate"  // lithium titanate on the negative side
)

// Condition is what a claim of capacity is made at. Zeros stand for 0.2 It, and
// for the cell's cut-off.
type Condition struct {
	Current float64 // A
	Cutoff  float64 // V
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

// Volume is the cell's volume in l, from its size; 0 where that tells none. Of a
// battery it is that of the cells in parallel, which the capacity is shared by.
func (c Cell) Volume() float64 {
	d, err := ParseDesignation(c.Size)
	if err != nil {
		return 0
	}
	return d.Volume() * float64(d.Parallel)
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
