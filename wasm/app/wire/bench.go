package wire

// Check is a remark on a run.
type Check struct {
	// Severity is "note", "caution" or "fault".
	Severity string `json:"severity"`
	// Text is what was seen, with its numbers; Do what to do about it.
	Text string `json:"text"`
	Do   string `json:"do,omitempty"`
	// Rule is what it is judged by; Source where that is from: a standard's
	// clause, the datasheet, or "common practice, no source".
	Rule   string `json:"rule,omitempty"`
	Source string `json:"source,omitempty"`
	// Safety says that people can come to harm: to be shown first and to stand
	// out.
	Safety bool `json:"safety,omitempty"`
	// Marked says that the place is marked on the curve.
	Marked bool `json:"marked,omitempty"`
}

// Tester is a tester's specification as typed. All of it is optional; a tester
// of which nothing is said is taken by the tolerances of IEC 61960-3.
type Tester struct {
	Name string `json:"name,omitempty"`
	// Basis is what gains and offsets mean: "limits" (the maker's limits of
	// error, or empty) or "calibration" (expanded uncertainties, k = 2, of a
	// calibration certificate).
	Basis   string  `json:"basis,omitempty"`
	Voltage []Range `json:"voltage,omitempty"` // V, mV
	Current []Range `json:"current,omitempty"` // A, mA
	// TimeBase is the clock's error in %; Temperature the sensor's in °C.
	TimeBase    string `json:"timeBase,omitempty"`
	Temperature string `json:"temperature,omitempty"`
	// Wires is "4" (or empty) or "2"; Lead the resistance in mΩ of both leads
	// and contacts together, LeadError how far that can be off, in mΩ.
	Wires     string `json:"wires,omitempty"`
	Lead      string `json:"lead,omitempty"`
	LeadError string `json:"leadError,omitempty"`
	// MaxCurrent in A and MaxPower in W are what the tester can take.
	MaxCurrent string `json:"maxCurrent,omitempty"`
	MaxPower   string `json:"maxPower,omitempty"`
	// Step in mA is one step of the set current, empty for that of the readings;
	// Channels how many cells it takes at a time, empty for one.
	Step     string `json:"step,omitempty"`
	Channels string `json:"channels,omitempty"`
	// Checked is the day of the last check or calibration (2026-11-25), Means
	// what it was checked against.
	Checked string `json:"checked,omitempty"`
	Means   string `json:"means,omitempty"`

	// Errors says what is wrong with what was typed, by field: "name",
	// "voltage.0.gain", "timeBase". What is wrong is not taken.
	Errors map[string]string `json:"errors,omitempty"`
	// Known says that the figures' uncertainties come from this specification;
	// Assumed lists what had to be assumed, each a sentence.
	Known   bool     `json:"known"`
	Assumed []string `json:"assumed,omitempty"`
}

// Range is one measuring range of a tester, as typed.
type Range struct {
	UpTo       string `json:"upTo,omitempty"`       // V or A; empty: for all readings
	Gain       string `json:"gain,omitempty"`       // % of reading
	Offset     string `json:"offset,omitempty"`     // mV or mA
	Resolution string `json:"resolution,omitempty"` // mV or mA
}

// Cutoffs is the table of figures at the cut-offs of all cells and the user's.
type Cutoffs struct {
	Columns []CutoffColumn `json:"columns"`
	Rows    []CutoffRow    `json:"rows"`
	Note    string         `json:"note"`
}

// CutoffColumn is one cut-off.
type CutoffColumn struct {
	Voltage string `json:"voltage"` // "2.500 V"
	From    string `json:"from"`    // whose it is: "Alder’s datasheet, yours"
	Common  bool   `json:"common"`  // the highest common one
}

// CutoffRow is one run's figures, a field for each column.
type CutoffRow struct {
	Run    string        `json:"run"`
	Same   bool          `json:"same,omitempty"` // as in the view before: see [Slimmer]
	Late   bool          `json:"-"`
	Fields []CutoffField `json:"fields"`
}

// CutoffField is a run's figures at one cut-off.
type CutoffField struct {
	Capacity Figure `json:"capacity"` // Ah
	Energy   Figure `json:"energy"`   // Wh
	AtLeast  bool   `json:"atLeast,omitempty"`
}

// Repeats tells of runs of one cell at one rate.
type Repeats struct {
	Groups []Repeat `json:"groups"`
	// Pooled is the spread over all groups, a sentence with its degrees of
	// freedom.
	Pooled string `json:"pooled"`
}

// Repeat is one cell at one rate.
type Repeat struct {
	Cell string `json:"cell"`
	Rate string `json:"rate"` // "0.2C (0.2 It)" or "1.00 A"
	// Runs are all attempts in order, void ones too.
	Runs   []string `json:"runs"`
	N      int      `json:"n"`      // those that count
	Mean   Figure   `json:"mean"`   // Ah
	Spread string   `json:"spread"` // Ah, the sample standard deviation
	Best   Figure   `json:"best"`   // Ah, of up to five attempts
	Trend  string   `json:"trend"`  // "−0.012 Ah a run (± 0.004)", or why there is none
	Checks []Check  `json:"checks,omitempty"`
}

// Details is all there is to say of one run.
type Details struct {
	Run     string `json:"run"`
	Name    string `json:"name"`
	Source  string `json:"source"`
	Cell    string `json:"cell"`
	Guessed bool   `json:"guessed,omitempty"`
	Void    string `json:"void,omitempty"`
	// Conditions are how the run was made: lines of "Set-up", "Rest before", …
	Conditions []Line `json:"conditions"`
	// Figures are the results, each with its uncertainty budget.
	Figures []Budgeted `json:"figures"`
	// Resistances are d.c. resistances in mΩ; ResistanceWhy says what kind of
	// them is missing, and why.
	Resistances   []Line   `json:"resistances"`
	ResistanceWhy []string `json:"resistanceWhy,omitempty"`
	// Charge is the charge before it and the efficiencies; ChargeWhy says why
	// there is none.
	Charge    []Line `json:"charge"`
	ChargeWhy string `json:"chargeWhy,omitempty"`
	// Counters set the log's own counts against ours; CountersWhy says why not.
	Counters    []CounterLine `json:"counters"`
	CountersWhy string        `json:"countersWhy,omitempty"`
	Checks      []Check       `json:"checks"`
	// Method are sentences on how all of this was worked out.
	Method []string `json:"method"`
}

// Line is a labelled figure: "R at 10 s after the step" / 21.4 ± 0.6 mΩ.
type Line struct {
	Label  string `json:"label"`
	Figure Figure `json:"figure"`
	Unit   string `json:"unit,omitempty"`
	Note   string `json:"note,omitempty"`
}

// Budgeted is a figure with its uncertainty budget.
type Budgeted struct {
	Label  string `json:"label"`
	Unit   string `json:"unit"`
	Figure Figure `json:"figure"`
	// Standard is the combined standard uncertainty, K the coverage factor and
	// what it rests on ("k = 2"). Standard has its unit with it.
	Standard string `json:"standard"`
	K        string `json:"k"`
	Terms    []Term `json:"terms"`
}

// Term is one contribution to an uncertainty, the largest first.
type Term struct {
	Name  string `json:"name"`  // "current gain"
	Input string `json:"input"` // "±1 %, by IEC 61960-3; rectangular"
	U     string `json:"u"`     // standard contribution, with its unit
	Share string `json:"share"` // of the variance: "87 %"
}

// CounterLine is one count of the log.
type CounterLine struct {
	Label      string `json:"label"` // "Charge / Ah"
	Log        string `json:"log"`
	Ours       string `json:"ours"`
	Difference string `json:"difference"` // "+0.12 %"
}
