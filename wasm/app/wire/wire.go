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
	//	cancel   File: forget what was read of it; answers with a View, or, Quiet, with
	//	         nothing
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
	//	tester   Tester: its specification as typed, nil for unknown; answers with a View
	//	cell     Cell: a cell's datasheet figures as typed; answers with a View
	//	assign   Run, Text: the cell that the run is of; answers with a View
	//	void     Run, Text: why the run does not count, empty to have it count
	//	         again; answers with a View
	//	details  Run: answers with Details
	//	cells    Cells: several cells at once, others stay; answers with a View
	//	drop     Text: a cell's name; its figures are forgotten, and where no run
	//	         is of it the cell goes; answers with a View
	//	typed    Typed: all typed runs, in the order of the grid; answers with a View
	//	paste    Show "cells" or "typed", Text: a pasted table; answers with Pasted
	//	judge    answers with Judged
	//	compare  Figure "capacity", "energy", "average", "rise", "mass" (Wh/kg),
	//	         "volume" (Wh/l), "price" (Wh per unit of money) or "ragone"; Axis
	//	         "amps" or "rate"; Hidden: cells as "cell Alder"; answers with
	//	         Compared and buffers
	//	rank     Figure "capacity", "energy", "average" or "temperature"; Over;
	//	         answers with Ranked
	//	load     Load; answers with Answered
	//	undo     takes the last act back; redo does it again; both answer with a
	//	         View
	//	link     Link; answers with LinkMade
	//	unlink   Text: a link, or what comes behind its "#"; answers with
	//	         Linked and buffers; changes nothing
	//	take     Text: a link, File (first free id): what it holds is added to the
	//	         logs and cells; answers with a View
	//	publish  Publish; answers with Published
	//	plan     Plan, Offsets: how the runs are to be made, as typed; answers with
	//	         Planned
	//	planned  Offsets: answers with Planned; with Text "markdown", "csv" or
	//	         "calendar", with a Download; changes nothing
	//	far      Hidden: the runs whose rows are not in view; answers with nothing
	//	rest     answers with a View that has also what is not in view
	//	hash     File, Text: the SHA-256 of its file in hex; answers with nothing
	Do string `json:"do"`
	// Quiet says that the page does this of itself, such as telling a new engine
	// what it remembers: it cannot be undone apart.
	Quiet bool `json:"quiet,omitempty"`

	File int    `json:"file,omitempty"`
	Name string `json:"name,omitempty"`
	Size int64  `json:"size,omitempty"`
	Text string `json:"text,omitempty"`
	// Rules are a person's for "open" and "look"; nil for none.
	Rules *Rules `json:"rules,omitempty"`

	Tester *Tester `json:"tester,omitempty"`
	Cell   *Cell   `json:"cell,omitempty"`
	Run    string  `json:"run,omitempty"`
	Cells  []Cell  `json:"cells,omitempty"`

	Typed   []TypedRun `json:"typed,omitempty"`
	Load    *Load      `json:"load,omitempty"`
	Publish *Publish   `json:"publish,omitempty"`
	Plan    *Plan      `json:"plan,omitempty"`
	// Offsets are those of the reader's clock, from before a plan to after it;
	// none where they are not known.
	Offsets []Offset `json:"offsets,omitempty"`
	Link    *Link    `json:"link,omitempty"`
	// Figure is what cells are compared by. Over takes runs over a cell's
	// permitted current into the order too.
	Figure string `json:"figure,omitempty"`
	Over   bool   `json:"over,omitempty"`

	// Show is what is drawn: "voltage" (or empty), "incremental" (dQ/dV against
	// the voltage) or "resistance" (effective resistance and zero-current
	// voltage of each cell against Ah).
	Show string `json:"show,omitempty"`
	// Window is the smoothing window of dQ/dV as typed ("40", in mV); empty for
	// the default.
	Window string `json:"window,omitempty"`
	// Axis is the abscissa: "charge" (Ah), "energy" (Wh) or "time" (h or min,
	// as XLabel of the last Curves says). It counts for Show "voltage" alone.
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
	View      *View      `json:"view,omitempty"`
	Curves    *Curves    `json:"curves,omitempty"`
	Readout   *Readout   `json:"readout,omitempty"`
	Download  *Download  `json:"download,omitempty"`
	Look      *Look      `json:"look,omitempty"`
	Report    *Report    `json:"report,omitempty"`
	Details   *Details   `json:"details,omitempty"`
	Pasted    *Pasted    `json:"pasted,omitempty"`
	Judged    *Judged    `json:"judged,omitempty"`
	Compared  *Compared  `json:"compared,omitempty"`
	Ranked    *Ranked    `json:"ranked,omitempty"`
	Answered  *Answered  `json:"answered,omitempty"`
	Published *Published `json:"published,omitempty"`
	LinkMade  *LinkMade  `json:"linkMade,omitempty"`
	Linked    *Linked    `json:"linked,omitempty"`
	Planned   *Planned   `json:"planned,omitempty"`
	Error     string     `json:"error,omitempty"`
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

	Tester Tester `json:"tester"`
	Cells  []Cell `json:"cells"`
	// CellsSame says that they are as in the view before: see [Slimmer]. More
	// says that rows not in view have changed as well: "rest" gives them.
	CellsSame bool `json:"cellsSame,omitempty"`
	More      bool `json:"more,omitempty"`
	// Typed are the typed runs, as typed and with what is to be said of them.
	Typed []TypedRun `json:"typed"`
	// Cutoffs and Repeats are nil where there is nothing to show.
	Cutoffs *Cutoffs `json:"cutoffs,omitempty"`
	Repeats *Repeats `json:"repeats,omitempty"`
	// ResistanceWhy says why there is no curve of effective resistance; empty
	// where there is one.
	ResistanceWhy string `json:"resistanceWhy,omitempty"`
	// Undo and Redo are the acts that these would take back or do again, in words
	// ("the cut-off"); empty where there is none.
	Undo string `json:"undo,omitempty"`
	Redo string `json:"redo,omitempty"`
	// CutoffText is the cut-off as typed.
	CutoffText string `json:"cutoffText,omitempty"`
	// Title is that of what is published, Private the person's own notes.
	Title   string `json:"title,omitempty"`
	Private string `json:"private,omitempty"`
	// Changes counts the changes of state.
	Changes int `json:"changes,omitempty"`
	// Drawn is another text where curves are to be drawn anew.
	Drawn string `json:"drawn"`
}

// File is one log and what became of it.
type File struct {
	ID   int    `json:"id"`
	Same bool   `json:"same,omitempty"` // as in the view before: see [Slimmer]
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

// Figure is one number as words with sensible digits, and its expanded
// uncertainty (coverage factor k = 2 unless said) in the same unit. Where there
// is no number, Why says so in a sentence.
type Figure struct {
	Value string `json:"value,omitempty"`
	U     string `json:"u,omitempty"`
	Why   string `json:"why,omitempty"`
}

// Run is one discharge: a row of the table and a curve. The figures are in the
// units of the table's head.
type Run struct {
	ID     string `json:"id"`             // "3.1": file, discharge in it
	Same   bool   `json:"same,omitempty"` // as in the view before: see [Slimmer]
	Late   bool   `json:"-"`              // not worked out yet: see [Slimmer]
	File   int    `json:"file"`
	Name   string `json:"name"`
	Source string `json:"source"` // the file's name
	Colour int    `json:"colour"` // index into the palette, from 0
	// Cell is the name of the cell that the run is of; Guessed says that it was
	// taken from the file's name. Rate is "0.2C (0.2 It)", empty where the
	// cell's rated capacity is not known.
	Cell    string `json:"cell"`
	Guessed bool   `json:"guessed,omitempty"`
	Rate    string `json:"rate,omitempty"`
	// Void is why the run does not count; empty where it does.
	Void string `json:"void,omitempty"`
	// AtLeast says that the run ended above the cut-off: the cell gives at least
	// these figures.
	AtLeast bool `json:"atLeast,omitempty"`

	Capacity Figure `json:"capacity,omitzero"` // Ah
	Energy   Figure `json:"energy,omitzero"`   // Wh
	Average  Figure `json:"average,omitzero"`  // V
	MidPoint Figure `json:"midPoint,omitzero"` // V
	Duration Figure `json:"duration,omitzero"` // h:mm:ss, U in s
	Current  Figure `json:"current,omitzero"`  // A, mean
	Start    Figure `json:"start,omitzero"`    // V
	End      Figure `json:"end,omitzero"`      // V
	TempMax  Figure `json:"tempMax,omitzero"`  // °C
	TempRise Figure `json:"tempRise,omitzero"` // °C
	// Resistance is the d.c. resistance in mΩ from the load step, at
	// ResistanceAt after it ("10 s").
	Resistance   Figure `json:"resistance,omitzero"`
	ResistanceAt string `json:"resistanceAt,omitempty"`

	Checks []Check `json:"checks,omitempty"`
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
	// Extent of the abscissa over all visible curves.
	XMin float64 `json:"xMin"`
	XMax float64 `json:"xMax"`
	// Cutoff in V is drawn as a line; nil for none.
	Cutoff *float64 `json:"cutoff,omitempty"`
	// Columns are the heads of what a Readout gives for each curve, with units
	// ("Voltage / V").
	Columns []string `json:"columns"`
	// Marks are the places of checks on the curves.
	Marks []Mark `json:"marks,omitempty"`
	// Note is what is to be known of these curves, a sentence ("Savitzky-Golay,
	// window 41 mV, degree 2"); Why says why there is no curve at all.
	Note string `json:"note,omitempty"`
	Why  string `json:"why,omitempty"`
	// WindowError says why the typed window was not taken.
	WindowError string `json:"windowError,omitempty"`
}

// Mark is a check's place on a curve.
type Mark struct {
	Run      string  `json:"run"`
	X        float64 `json:"x"` // in the abscissa's unit
	Y        float64 `json:"y"` // V
	Severity string  `json:"severity"`
	Text     string  `json:"text"`
}

// Series is one curve. Of Show "resistance" Run is "cell " and the cell's name,
// and the second array of the series the zero-current voltage.
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

// ReadoutRun is one curve's reading: a word for each of Curves.Columns, all
// empty where the curve has ended.
type ReadoutRun struct {
	Run    string   `json:"run"`
	Values []string `json:"values"`
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
