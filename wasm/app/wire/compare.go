package wire

// Compared answers "compare": figures of all cells over the current. Beside the
// reply comes one Float64Array for each entry of Series, of x, y, U triples; a U
// of 0 is not drawn.
type Compared struct {
	Title  string   `json:"title"`
	XLabel string   `json:"xLabel"`        // "Current / A"
	YLabel string   `json:"yLabel"`        // "Capacity / Ah"
	Log    bool     `json:"log,omitempty"` // both axes logarithmic
	Series []Series `json:"series"`        // by cell: Run is "cell " and its name
	Table  Table    `json:"table"`
	// Summary has a row for each cell.
	Summary Table  `json:"summary"`
	Note    string `json:"note,omitempty"`
	// Why says why there is nothing to draw ("No mass was entered.").
	Why string `json:"why,omitempty"`
}

// Table is a plain one. Heads are with units ("Capacity / Ah"); the first is
// that of the rows' heads.
type Table struct {
	Heads []string   `json:"heads"`
	Rows  []TableRow `json:"rows"`
}

// TableRow is one row of it.
type TableRow struct {
	Cell   string   `json:"cell"`
	Colour int      `json:"colour"`
	Head   string   `json:"head"`           // "Alder", "3.00 A, 0.61C (0.61 It)"
	Note   string   `json:"note,omitempty"` // below the head, small
	Fields []Figure `json:"fields"`
	// Mark says what is particular: "over the permitted current".
	Mark string `json:"mark,omitempty"`
}

// Ranked answers "rank".
type Ranked struct {
	Figure string `json:"figure"` // "Energy / Wh"
	// Basis says to which cut-off, and by which test cells are told apart.
	Basis []string     `json:"basis"`
	Rates []RankedRate `json:"rates"`
	// Overall says at each rate who leads: one row a rate.
	Overall []Leader `json:"overall"`
	// Sums are sentences on each cell over all rates: "Alder leads at 0.98 A and
	// 3 A".
	Sums []string `json:"sums"`
	// Over says that there are runs over a cell's permitted current.
	Over bool   `json:"over,omitempty"`
	Why  string `json:"why,omitempty"`
}

// Leader is who leads at a rate.
type Leader struct {
	Rate  string `json:"rate"`
	Words string `json:"words"` // "Alder", "Alder and Birch, not told apart"
}

// RankedRate is the order at one rate.
type RankedRate struct {
	Rate  string       `json:"rate"` // "3.00 A", "0.2C (0.2 It)"
	Cells []RankedCell `json:"cells"`
	// Gaps are sentences on neighbours: "Alder leads Birch by …".
	Gaps []string `json:"gaps"`
	// Out are runs that have no rank here, and why.
	Out []RankedOut `json:"out"`
	// Why says why there is no order ("Birch alone was run at this rate.").
	Why string `json:"why,omitempty"`
}

// RankedCell is one cell's place.
type RankedCell struct {
	Cell   string `json:"cell"`
	Colour int    `json:"colour"`
	Figure Figure `json:"figure"` // the mean
	N      int    `json:"n"`      // runs in it
	// Letters: cells that share one are not told apart.
	Letters string `json:"letters"`
	Mark    string `json:"mark,omitempty"` // "over the permitted current", "to 2.00 V"
	// The same as numbers, for a post.
	Mean, U float64 `json:"-"`
}

// RankedOut is a run without a rank.
type RankedOut struct {
	Name    string `json:"name"`
	Figure  Figure `json:"figure"`
	AtLeast bool   `json:"atLeast,omitempty"`
	Why     string `json:"why"`
}

// Load is what a device asks, as typed.
type Load struct {
	Kind   string `json:"kind,omitempty"`   // "current" (or empty) or "power"
	Amount string `json:"amount,omitempty"` // A or W, of the whole pack
	Cutoff string `json:"cutoff,omitempty"` // V, of the whole pack
	// Series and Parallel are how the pack is built, empty for one.
	Series   string            `json:"series,omitempty"`
	Parallel string            `json:"parallel,omitempty"`
	Errors   map[string]string `json:"errors,omitempty"`
}

// Answered answers "load": which cell lasts longest.
type Answered struct {
	Load Load `json:"load"`
	// Asked is the load in words, of one cell too where there are several.
	Asked string `json:"asked"`
	// Best is the answer in a sentence.
	Best  string         `json:"best"`
	Cells []AnsweredCell `json:"cells"`
	Notes []string       `json:"notes,omitempty"`
	// Cautions are about safety.
	Cautions []Check `json:"cautions,omitempty"`
	Why      string  `json:"why,omitempty"`
}

// AnsweredCell is what one cell, or a pack of it, does under the load.
type AnsweredCell struct {
	Cell    string `json:"cell"`
	Colour  int    `json:"colour"`
	Runtime Figure `json:"runtime"` // h:mm:ss, U in the same form
	Energy  Figure `json:"energy"`  // Wh
	Charge  Figure `json:"charge"`  // Ah
	EndTemp Figure `json:"endTemp"` // °C
	// Letters: cells that share one are not told apart by their runtime.
	Letters string `json:"letters,omitempty"`
	// Note says what the answer rests on ("between 3 A and 6 A").
	Note string `json:"note,omitempty"`
	// Shutdown says that the device would go off at the start, and why.
	Shutdown string `json:"shutdown,omitempty"`
}
