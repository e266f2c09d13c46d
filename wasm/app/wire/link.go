package wire

// Link is what goes into a link, for "link".
type Link struct {
	Day string   `json:"day,omitempty"`
	Out []string `json:"out,omitempty"` // keys of LinkPart that are left out
	// Private has the notes and where cells are from go in.
	Private   bool   `json:"private,omitempty"`
	Tolerance string `json:"tolerance,omitempty"` // mV, as typed; empty for the default
	// Fit is how many characters it may have at most; 0 for as many as it takes.
	Fit int `json:"fit,omitempty"`
	// Preview has other parts than curves left out first, to fit.
	Preview bool `json:"preview,omitempty"`
}

// LinkMade answers "link".
type LinkMade struct {
	Text  string     `json:"text"` // what comes behind the address and "#"
	Total int        `json:"total"`
	Parts []LinkPart `json:"parts"`
	// Curves says how exact the curves are, in words; Did what was done to have it
	// fit; Why what is wrong.
	Curves         string   `json:"curves,omitempty"`
	Did            []string `json:"did,omitempty"`
	Why            string   `json:"why,omitempty"`
	ToleranceError string   `json:"toleranceError,omitempty"`
}

// LinkPart is what one part of a link takes, in characters.
type LinkPart struct {
	Key   string `json:"key"` // its name as well
	Chars int    `json:"chars"`
	In    bool   `json:"in"`
}

// Linked answers "unlink": what a link holds. Beside the reply come the arrays of
// Curves.
type Linked struct {
	Title  string        `json:"title"`
	Made   string        `json:"made"` // day and program
	Lines  []LinkedLine  `json:"lines,omitempty"`
	Tables []LinkedTable `json:"tables,omitempty"`
	Notes  []string      `json:"notes,omitempty"`
	Curves *Curves       `json:"curves,omitempty"`
	// Takes says what "Compare with mine" would add, in words.
	Takes string `json:"takes,omitempty"`
	Why   string `json:"why,omitempty"`
}

// LinkedLine is a head and what stands beside it.
type LinkedLine struct {
	Head string `json:"head"`
	Text string `json:"text"`
}

// LinkedTable is a table with its title.
type LinkedTable struct {
	Title string `json:"title"`
	Table Table  `json:"table"`
}
