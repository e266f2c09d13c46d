package wire

// Judged answers "judge": each cell against its datasheet.
type Judged struct {
	// Rule are sentences that say how it is judged, to be read before the
	// numbers.
	Rule  []string     `json:"rule"`
	Cells []JudgedCell `json:"cells"`
	// Why says why there is nothing to judge.
	Why string `json:"why,omitempty"`
}

// JudgedCell is one sample.
type JudgedCell struct {
	Cell   string `json:"cell"`
	Colour int    `json:"colour"`
	// Behind says how many samples of the model stand behind this, and what
	// that is worth.
	Behind   string    `json:"behind"`
	Verdicts []Verdict `json:"verdicts"`
	// Sample is where it is from, as far as that was typed.
	Sample []Line  `json:"sample,omitempty"`
	Checks []Check `json:"checks,omitempty"` // a claim that does not fit the size, doubts
	// Why says why there is no verdict at all.
	Why string `json:"why,omitempty"`
}

// Verdict is one claim and what became of it.
type Verdict struct {
	Claim string `json:"claim"` // "Rated 4.900 Ah at 0.98 A (0.2 It) to 2.500 V"
	// Grade is "pass", "pass-within", "below-within", "below", for a typical
	// value "above" or "under", or "open" where no run can tell.
	Grade string `json:"grade"`
	// Word is the verdict in words: "pass, within uncertainty".
	Word     string `json:"word"`
	Sentence string `json:"sentence"` // the numbers
	// Margin in Ah is what was measured less what is claimed.
	Margin Figure `json:"margin"`
	Share  string `json:"share,omitempty"` // of the claim: "+1.3 %"
	// Chance that the sample meets the claim: "99.8 %".
	Chance Figure `json:"chance"`
	// Best is the best of BestOf valid attempts; Mean their mean. In Ah.
	Best     Figure     `json:"best"`
	BestOf   int        `json:"bestOf"`
	Mean     Figure     `json:"mean"`
	Evidence []Evidence `json:"evidence"`
	// The same as numbers, and as a post has it.
	Numbers VerdictNumbers `json:"-"`
	Posted  VerdictPosted  `json:"-"`
}

// Evidence is one run as far as it bears on a claim.
type Evidence struct {
	Run    string `json:"run"`
	Name   string `json:"name"`
	Figure Figure `json:"figure"` // Ah at the claim's cut-off
	// AtLeast says that the cell gives at least this.
	AtLeast bool `json:"atLeast,omitempty"`
	// Side is "both", "pass" (can prove that alone), "below", "none" or "void".
	Side string `json:"side"`
	// Says why, a sentence.
	Says string `json:"says"`
}

// VerdictNumbers are the numbers of a verdict in Ah, and the chance from 0 to 1;
// NaN where there is none.
type VerdictNumbers struct{ Best, BestU, Margin, MarginU, Chance float64 }

// VerdictPosted is what a post says in other words than the page does: the claim
// without what was assumed of it, and in English the verdict's word and why there
// is no chance.
type VerdictPosted struct{ Claim, Word, Why string }
