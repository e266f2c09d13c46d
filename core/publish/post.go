package publish

import "plateau/core/cell"

// Post is what a campaign comes to, as it is passed on: a forum post, a table,
// a link. Numbers are in the units said; those that are not known are 0, but
// for [Number]. What a person wrote for himself alone is in Private fields.
//
// Words that posts have in common are in English, and are put into the reader's
// language where they are shown, so that a link can be read in another language
// than it was made in: Severity, Word, What, Chemistry, Figure, and of
// Conditions, Method and Why what has no value in it. Other sentences are in the
// language of whoever made the post.
type Post struct {
	Title   string
	Private string // the person's own notes
	Day     string // on which it was made: "2026-11-25"
	Program string // "Plateau 0.3"
	// Conditions are lines such as "Ambient", "20 °C to 24 °C"; Method are
	// sentences on how the figures were worked out.
	Conditions []Line
	Method     []string
	Tester     Tester
	Cells      []Cell
	Runs       []Run
	Verdicts   []Verdict
	Rankings   []Ranking
	Leaders    []Line // "3.00 A", "Alder leads"
	Logs       []Log
	Curves     []Curve
	// Tolerance in V is how far the curves lie from the logs at most.
	Tolerance float64
}

// Line is a head and what stands beside it.
type Line struct{ Head, Text string }

// Number is a figure with its expanded uncertainty, k = 2, in one unit; U is 0
// where there is none. Value is NaN where there is no figure, and Why then says
// so in a sentence. AtLeast: the true figure is no smaller.
type Number struct {
	Value, U float64
	AtLeast  bool
	Why      string
}

// Tester is the instrument: its name, and in sentences its errors as stated or
// assumed.
type Tester struct {
	Name  string
	Known bool // stated, not assumed
	Words []string
}

// Cell is one sample.
type Cell struct {
	Name, Model, Sample, Chemistry, Size, Marking string

	Mass          float64 // g
	Price         float64 // of one, in Currency
	Currency      string
	Claims        []Claim
	Cutoff        float64 // V
	ChargeVoltage float64 // V
	ChargeCurrent float64 // A
	ChargeEnd     float64 // A
	MaxCurrent    float64 // A, continuous discharge
	Series        int
	Inspection    Inspection
	// Private: where it is from.
	Notes, Bought, Lot, DateCode, Wrapper string
}

// Inspection is what was measured of a sample before its first charge, beside its
// mass. Remark is private.
type Inspection struct {
	cell.Arrived
	Day, Remark string
	Checks      []Check
}

// Claim is a capacity that the datasheet states: What is "rated", "minimum" or
// "typical".
type Claim struct {
	What     string
	Capacity float64 // Ah
	Current  float64 // A
	Cutoff   float64 // V
}

// Run is one discharge.
type Run struct {
	Cell, Name string
	Typed      bool    // from the tester's display, not from a log
	Log        int     // index into Post.Logs; -1 for none
	Current    float64 // A, mean
	Rate       float64 // multiple of It; 0 where that is not known
	Cutoff     float64 // V, to which the figures are; 0 for the run's own end
	Over       bool    // over the cell's permitted current
	Void       string  // why it does not count; empty where it does

	Capacity     Number  // Ah
	Energy       Number  // Wh
	Average      Number  // V
	MidPoint     Number  // V
	Duration     Number  // s
	Start, End   Number  // V
	TempMax      Number  // °C
	TempRise     Number  // °C
	Resistance   Number  // Ω
	ResistanceAt float64 // s after the load step
	Checks       []Check
}

// Check is a remark on a run; Severity is "note", "caution" or "fault".
type Check struct {
	Severity, Text string
	Safety         bool
}

// Verdict is what became of one claim of one sample. Grade is "pass",
// "pass-within", "below-within", "below", "above", "under" or "open".
type Verdict struct {
	Cell, Claim    string // "Rated 4.900 Ah at 0.98 A (0.2 It) to 2.500 V"
	Grade          string
	Word, Sentence string
	Best           Number // Ah
	BestOf         int
	Margin         Number // Ah, measured less claimed
	Chance         Number // 0 to 1
}

// Ranking is the order of cells at one rate. Figure is "capacity", "energy",
// "average" or "temperature".
type Ranking struct {
	Figure, Unit, Rate string
	Basis              []string
	Places             []Place
	Gaps               []string
	Out                []string // runs without a rank, and why
	Why                string   // there is no order
}

// Place is one cell's. Cells that share a letter are not told apart.
type Place struct {
	Cell          string
	Mean          Number
	N             int
	Letters, Mark string
}

// Log is a file that the figures come from. SHA256 is in hexadecimal digits;
// empty where it is not known.
type Log struct {
	Name   string
	Bytes  int64
	SHA256 string
}

// Curve is one run's voltage against the charge taken out, thinned; Temp is nil
// or as long.
type Curve struct {
	Run  int       // index into Post.Runs
	Q    []float64 // Ah
	V    []float64 // V
	Temp []float64 // °C
}
