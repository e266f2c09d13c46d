package wire

// Publish is how a campaign is to be written, for "publish".
type Publish struct {
	// Format is "markdown", "bbcode", "html", "csv", "csv-comma", "tsv", "json" or
	// "report".
	Format  string `json:"format"`
	Title   string `json:"title,omitempty"`
	Private string `json:"private,omitempty"` // the person's own notes
	Day     string `json:"day,omitempty"`     // "2026-11-25"
	// Parts are keys of Published.Parts in their order; nil for the usual ones.
	Parts   []string  `json:"parts,omitempty"`
	Aligned bool      `json:"aligned,omitempty"` // tables as text in columns
	Brief   bool      `json:"brief,omitempty"`   // without notes among the findings
	Picture []Picture `json:"pictures,omitempty"`
}

// Picture is a chart drawn, for a report.
type Picture struct {
	SVG     string `json:"svg"`
	Caption string `json:"caption"`
	Alt     string `json:"alt"`
}

// Published answers "publish".
type Published struct {
	Name  string          `json:"name"` // of the file
	Type  string          `json:"type"`
	Text  string          `json:"text"`
	Parts []PublishedPart `json:"parts"` // all that there are
	Why   string          `json:"why,omitempty"`
}

// PublishedPart is a piece of a post that can be left out or moved.
type PublishedPart struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	Usual bool   `json:"usual,omitempty"`
	Only  string `json:"only,omitempty"` // the one format that has it
}
