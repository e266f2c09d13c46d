package wire

// Rules are what a person has settled about the layout of a log. What is empty
// is left to the reader.
type Rules struct {
	Encoding  string `json:"encoding,omitempty"`  // a Choice.Value of Look.Encodings
	Delimiter string `json:"delimiter,omitempty"` // of Look.Delimiters
	Decimal   string `json:"decimal,omitempty"`   // of Look.Decimals
	Header    string `json:"header,omitempty"`    // line of the header, "none" for no header
	Discharge string `json:"discharge,omitempty"` // "negative" or "positive" current
	// Interval is the time between two rows where the log has no time, as typed
	// ("10 s"); Current the current where it has none ("2 A").
	Interval string       `json:"interval,omitempty"`
	Current  string       `json:"current,omitempty"`
	Columns  []ColumnRule `json:"columns,omitempty"`
}

// ColumnRule says what one column holds.
type ColumnRule struct {
	Index int    `json:"index"`          // from 0
	Kind  string `json:"kind"`           // a Choice.Value of Look.Kinds; "ignore" for nothing
	Unit  string `json:"unit,omitempty"` // one of LookColumn.Units
}

// Look is how a log is laid out, for the panel in which a person checks and
// corrects the reader's guesses. It answers the command "look" (File, Rules):
// the first rows as they would be read under these rules. Nothing is changed by
// looking.
type Look struct {
	File int    `json:"file"`
	Name string `json:"name"`
	// Key names this header: rules are remembered under it.
	Key string `json:"key"`
	// Rules in force: the person's where settled, else the guesses.
	Rules Rules `json:"rules"`
	// Guesses say in words what was worked out, how surely, and why.
	Guesses []Guess      `json:"guesses"`
	Columns []LookColumn `json:"columns"`
	// Rows are the first ten rows as fields; Line is the line of the first.
	Rows [][]string `json:"rows"`
	Line int        `json:"line"`
	// Question is what has to be answered before there are figures; empty where
	// nothing has to. About names the control that answers it: "current",
	// "interval", "columns", "delimiter", "unit".
	Question string `json:"question,omitempty"`
	About    string `json:"about,omitempty"`
	// Fault says why nothing can be read under these rules.
	Fault string `json:"fault,omitempty"`

	Encodings  []Choice `json:"encodings"`
	Delimiters []Choice `json:"delimiters"`
	Decimals   []Choice `json:"decimals"`
	Kinds      []Choice `json:"kinds"`
}

// Choice is one value that a control can take.
type Choice struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

// Guess is one thing that the reader worked out.
type Guess struct {
	What  string `json:"what"`  // "delimiter"
	Value string `json:"value"` // "semicolon"
	// Sure is "certain", "likely" or "unsure"; a log with one that is unsure
	// waits for an answer.
	Sure string `json:"sure"`
	Why  string `json:"why"`
}

// LookColumn is one column of the preview.
type LookColumn struct {
	Head  string   `json:"head"` // as written
	Kind  string   `json:"kind"` // in force; "ignore" for none
	Unit  string   `json:"unit"`
	Units []string `json:"units"` // what its unit can be
	Sure  string   `json:"sure"`
	Why   string   `json:"why"`
}
