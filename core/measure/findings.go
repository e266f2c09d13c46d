package measure

import (
	"math"
	"sort"

	"plateau/core/cell"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/tester"
	"plateau/core/trace"
)

// Severity is how much a finding matters.
type Severity uint8

// The severities: worth knowing; the figures may mislead; the figures are not
// those of a whole discharge.
const (
	Note Severity = iota
	Caution
	Fault
)

// String is the word on screen in English, which styles and links know it by.
func (s Severity) String() string {
	return [...]string{say.Later("note"), say.Later("caution"), say.Later("fault")}[s]
}

// Bearing is what a finding means for the figures as evidence of what the cell
// can do.
type Bearing uint8

// The bearings: none; the cell gave less than it can, or more, under the
// conditions of a claim; the run is no attempt at all, since the procedure was
// not kept.
const (
	NoBearing Bearing = iota
	Lowers
	Raises
	NoAttempt
)

// Finding is a remark on a run.
type Finding struct {
	Severity Severity
	Bearing  Bearing
	// Because is the bearing's reason in a few words: "it was not full".
	Because string
	// Text is what was seen, with the numbers that made it; Do what to do.
	Text, Do string
	Rule
	// Safety: people can come to harm.
	Safety bool
	// At is the place on the curve, in s since the load came on; NaN for none.
	At float64
}

// Rule is what a finding is judged by, and where that is from: in a finding as it
// is read, elsewhere in English.
type Rule struct{ Says, Source string }

// Where rules are from.
const (
	practice      = say.Later("common practice, no source")
	datasheet     = say.Later("the cell’s datasheet, as entered")
	specification = say.Later("the tester’s specification, as entered")
	clauseStart   = say.Later("IEC 61960-3 clause 7.3.1")
	clauseRest    = say.Later("IEC 61960-3 clause 7.3.1 (read in QCVN 101:2016 clause 2.8.1.2)")
)

// Qualified, through say.Text, is added to every finding that is about safety.
const Qualified = say.Later(" Follow the datasheet and the rules that hold where you are, and ask a qualified person.")

// Facts are a run, its results and what is known of how it was made.
type Facts struct {
	Run     *trace.Run
	Results Results
	Cutoff  float64 // V, asked for; 0 for none
	Cell    cell.Cell
	Tester  tester.Spec
	Words   quantity.Words
	// Charge is the one before the run, nil where the log has none.
	Charge *Charge
	// What the reader noticed of the log's clock.
	WentBack, WentBackLine, Restarts, RestartLine int
}

// finder gathers the findings of one run.
type finder struct {
	Facts
	out []Finding
}

// Findings looks at a run: what is about safety first, then by severity.
func Findings(f Facts) []Finding {
	x := &finder{Facts: f}
	x.start()
	x.fullyCharged()
	x.rest()
	x.ambient()
	x.load()
	x.limits()
	x.log()
	x.counters()
	x.end()
	x.plausible()
	sort.SliceStable(x.out, func(i, j int) bool {
		if a, b := &x.out[i], &x.out[j]; a.Safety == b.Safety {
			return a.Severity > b.Severity
		}
		return x.out[i].Safety
	})
	return x.out
}

// say adds a finding and returns it, for what few have. What to do is given in
// English, and what was seen as it is read.
func (x *finder) say(s Severity, r Rule, do, text string) *Finding {
	x.out = append(x.out, Finding{Severity: s, Text: text, Do: say.Text(do), Rule: Rule{say.Text(r.Says), say.Text(r.Source)}, At: math.NaN()})
	return &x.out[len(x.out)-1]
}

// bears says what the finding means for the figures as evidence.
func (f *Finding) bears(b Bearing, because string) *Finding {
	f.Bearing, f.Because = b, say.Text(because)
	return f
}

// danger adds a finding about safety.
func (x *finder) danger(r Rule, do, text string) *Finding {
	f := x.say(Caution, r, do, text)
	f.Do += say.Text(Qualified)
	f.Safety = true
	return f
}

func (x *finder) volts(v float64) string   { return x.Words.Fixed(v, 3) + " V" }
func (x *finder) amps(a float64) string    { return x.Words.Fixed(a, quantity.Decimals(a, 4)) + " A" }
func (x *finder) celsius(c float64) string { return x.Words.Fixed(c, 1) + " °C" }
func (x *finder) percent(p float64) string { return x.Words.Fixed(100*p, 1) + " %" }

// whole is a voltage of one cell as that of the cells in series.
func (x *finder) whole(v float64) float64 { return v * x.Cell.Cells() }

// each is a voltage, and what it is for each cell where several are in series.
func (x *finder) each(v float64) string {
	if x.Cell.Series > 1 {
		return say.With("%s (%s a cell)", x.volts(v), x.volts(v/x.Cell.Cells()))
	}
	return x.volts(v)
}
