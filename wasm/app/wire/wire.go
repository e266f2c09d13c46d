// Package wire is what page and engine say to each other: plain data, written
// as JSON, so that neither side can reach into the other. Numbers a person
// reads are already words here, since the page renders and computes nothing.
package wire

// Command is one act of the user, or one question of the page.
type Command struct {
	// Do is the verb:
	//
	//	open     File, Name, Size: bytes of a log follow through feed
	//	close    File: the bytes are complete; answers with a View
	//	cancel   File: forget what was read of it; answers with a View
	//	remove   File: take the log out; answers with a View
	//	view     answers with a View
	//	cutoff   Text: the cut-off as typed, empty for none; answers with a View
	//	curves   Axis, From, To, Width, Hidden: answers with Curves and buffers
	//	readout  Axis, X, Hidden: answers with a Readout
	//	results  answers with a Download
	//	demo     File (first free id): reads the demo logs; answers with a View
	//	look     File, Rules: answers with a Look; changes nothing
	//	bdf      File: answers with a Download of its whole trace
	//	report   File, Text (the browser): answers with a Report
	Do   string `json:"do"`
	File int    `json:"file,omitempty"`
	Name string `json:"name,omitempty"`
	Size int64  `json:"size,omitempty"`
	Text string `json:"text,omitempty"`
	// Rules are a person's for "open" and "look"; nil for none.
	Rules *Rules `json:"rules,omitempty"`

	// Axis is the abscissa: "charge" (Ah), "energy" (Wh) or "time" (h or min,
	// as XLabel of the last Curves says).
	Axis string `json:"axis,omitempty"`
	// From and To bound the visible part, in the axis's unit; both nil: all.
	From *float64 `json:"from,omitempty"`
	To   *float64 `json:"to,omitempty"`
	// Width is the plot's width in device pixels.
	Width int `json:"width,omitempty"`
	// X is the abscissa under the pointer.
	X float64 `json:"x,omitempty"`
	// Hidden names the runs that are switched off in the legend.
	Hidden []string `json:"hidden,omitempty"`
	// DecimalComma says that the reader's locale writes 3,7 for 3.7.
	DecimalComma bool `json:"decimalComma,omitempty"`
}

// Reply answers one Command. Exactly one of the pointers is set, or Error.
type Reply struct {
	View     *View     `json:"view,omitempty"`
	Curves   *Curves   `json:"curves,omitempty"`
	Readout  *Readout  `json:"readout,omitempty"`
	Download *Download `json:"download,omitempty"`
	Look     *Look     `json:"look,omitempty"`
	Report   *Report   `json:"report,omitempty"`
	Error    string    `json:"error,omitempty"`
}

// View is everything on the page but the curves.
type View struct {
	Files []File `json:"files"`
	Runs  []Run  `json:"runs"`
	// Cutoff is the cut-off in force, as words ("2.70 V"), or empty.
	Cutoff string `json:"cutoff"`
	// CutoffError says why the typed cut-off was not taken, or is empty.
	CutoffError string `json:"cutoffError,omitempty"`
	// Temperature says whether any run has a temperature to draw.
	Temperature bool `json:"temperature"`
}

// File is one log and what became of it.
type File struct {
	ID   int    `json:"id"`
	Name string `json:"name"`
	// State is "read", "refused", or "asks": it waits for the answer to
	// Question, and its figures with it.
	State    string `json:"state"`
	Question string `json:"question,omitempty"`
	// About names what Question is about, as Look.About does; Column is the
	// column in question, from 1, or 0.
	About  string `json:"about,omitempty"`
	Column int    `json:"column,omitempty"`
	// Key names the log's header: rules are remembered under it.
	Key string `json:"key,omitempty"`
	// Ruled says that a person's rules were followed.
	Ruled bool `json:"ruled,omitempty"`
	// Summary is one line: "4 321 rows, 2 discharges, 1.2 MB".
	Summary string `json:"summary,omitempty"`
	// Guess is how the log was read, in words.
	Guess string `json:"guess,omitempty"`
	// Notes are remarks on the whole log.
	Notes []string `json:"notes,omitempty"`
	// Left counts the rows left out; LeftOut lists the first hundred.
	Left    int       `json:"left,omitempty"`
	LeftOut []LeftOut `json:"leftOut,omitempty"`
	// Fault and Hint say what is wrong with a refused log, and what to do.
	Fault string `json:"fault,omitempty"`
	Hint  string `json:"hint,omitempty"`
}

// LeftOut is one row that was not used.
type LeftOut struct {
	Line   int    `json:"line"`
	Reason string `json:"reason"`
}

// Run is one discharge: a row of the table and a curve. The figures are words
// with sensible digits, in the order and units of the table's head.
type Run struct {
	ID     string `json:"id"` // "3.1": file, discharge in it
	File   int    `json:"file"`
	Name   string `json:"name"`
	Source string `json:"source"` // the file's name
	Colour int    `json:"colour"` // index into the palette, from 0

	Capacity string `json:"capacity"` // Ah
	Energy   string `json:"energy"`   // Wh
	Average  string `json:"average"`  // V
	MidPoint string `json:"midPoint"` // V
	Duration string `json:"duration"` // h:mm:ss
	Current  string `json:"current"`  // A, mean
	Start    string `json:"start"`    // V
	End      string `json:"end"`      // V
	TempMax  string `json:"tempMax"`  // °C, or empty
	TempRise string `json:"tempRise"` // °C, or empty

	Checks []Check `json:"checks,omitempty"`
}

// Check is a remark on a run.
type Check struct {
	// Severity is "note", "caution" or "fault".
	Severity string `json:"severity"`
	Text     string `json:"text"`
}

// Curves answers "curves". Each entry of Series has one Float64Array beside
// the reply, in the same order, of x, y pairs; a series with a temperature has
// a second one right after it.
type Curves struct {
	Axis   string   `json:"axis"`
	XLabel string   `json:"xLabel"` // "Discharged charge / Ah"
	YLabel string   `json:"yLabel"` // "Voltage / V"
	TLabel string   `json:"tLabel"` // "Temperature / °C"
	Series []Series `json:"series"`
	// Extent of the abscissa over all visible runs, from 0.
	XMax float64 `json:"xMax"`
	// Cutoff in V is drawn as a line; nil for none.
	Cutoff *float64 `json:"cutoff,omitempty"`
}

// Series is one curve.
type Series struct {
	Run         string `json:"run"`
	Name        string `json:"name"`
	Colour      int    `json:"colour"`
	Temperature bool   `json:"temperature"`
}

// Readout is what every visible curve shows at one abscissa.
type Readout struct {
	X    string       `json:"x"` // "1.234 Ah"
	Runs []ReadoutRun `json:"runs"`
}

// ReadoutRun is one curve's reading; empty words where the curve has ended.
type ReadoutRun struct {
	Run         string `json:"run"`
	Voltage     string `json:"voltage"`
	Charge      string `json:"charge"`
	Energy      string `json:"energy"`
	Time        string `json:"time"`
	Temperature string `json:"temperature"`
}

// Download is a file for the user to keep.
type Download struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Text string `json:"text"`
}

// Report is what a person can send to get help with a log: how it was read,
// with every digit masked. It is shown before it is copied.
type Report struct {
	Text string `json:"text"`
}
