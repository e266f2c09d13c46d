// Package claim judges one sample of a cell by its runs against one claim of its
// datasheet: a capacity at a current, down to a cut-off.
//
// The decision rule is the non-binary one of ILAC-G8:09/2019 4.2.3 with a guard
// band as wide as the expanded uncertainty U, after JCGM 106:2012. For a
// measured capacity Q and a claim T, a lower limit:
//
//	pass                        Q ≥ T + U
//	pass, within uncertainty    T ≤ Q < T + U
//	below, within uncertainty   T − U < Q < T
//	below                       Q ≤ T − U
//
// U is that of one run's measurement, without the repeatability of the cell: the
// attempt is what is judged. The best attempt of the first five decides (IEC
// 61960-3 clause 7.3.1, whose procedure may be repeated up to four times, as
// QCVN 101:2016 carries it); a void run is none. What differs from attempt to
// attempt makes the best of several too high: a cell that gives exactly its claim
// gets a pass from one run in 2.3 % of cases, from the best of five in up to
// 11 %, the nearer to that the less of U the runs share. So the chance that the
// sample meets the claim comes from the mean.
//
// Evidence has a side. What makes a cell give less than under the claim's
// conditions leaves a run able to show that the claim is met, and nothing else;
// what makes it give more, that it is missed. Mixed evidence is combined so:
//
//  1. The runs that count both ways are the attempts, and decide.
//  2. Where runs that can only show a pass have a better grade than those, or
//     there are no attempts, and they are not below the claim, they decide.
//  3. Only where nothing has decided so far, runs that can only show that the
//     claim is missed decide, if they are below it. Else the verdict is open.
//     Ones that are below by more than U, beside a pass, are mentioned with it.
//
// One-sided runs are taken together by their current, five of each at most, of
// which the best counts; of several currents the one that shows most.
//
// A typical value is a centre, not a limit: the sample is above or below it, and
// never fails. There the mean is set against it, with the mean's uncertainty,
// since the best of several is no estimate of the cell; and runs that count both
// ways are never overruled, others that differ by more than U are mentioned.
package claim

import (
	"math"
	"strings"

	"plateau/core/gum"
	"plateau/core/quantity"
	"plateau/core/say"
)

// Kind is a kind of claim.
type Kind uint8

// The kinds: limits that every cell is to reach, and a centre.
const (
	Rated Kind = iota
	Minimum
	Typical
)

// String is the word on screen in English, which other code knows it by.
func (k Kind) String() string {
	return [...]string{say.Later("rated"), say.Later("minimum"), say.Later("typical")}[min(k, Typical)]
}

// Claim is a capacity in Ah at a current in A down to a cut-off in V. What is
// not above zero is not known, and no run can be set against it.
type Claim struct {
	Kind                      Kind
	Capacity, Current, Cutoff float64
}

// Run is one discharge as evidence. Voltages are on the claim's footing: of one
// cell, or of the pack, both alike.
type Run struct {
	Name    string
	Current float64 // A, mean
	// Reached is the voltage in V at which its figure ends: the claim's cut-off
	// where the figure was levelled up to it.
	Reached  float64
	Capacity float64    // Ah down to the claim's cut-off, or to Reached where that is higher
	Budget   gum.Budget // of Capacity, one run's measurement, in Ah
	// Relative is the repeatability of one run, a standard deviation as a share
	// of its capacity, with DF degrees of freedom (0: infinitely many).
	Relative, DF float64
	// Void is why it is no attempt: a person's reason, or a fault of procedure
	// such as a short rest. Empty where it is one.
	Void string
	// Lower and Higher are other reasons than current and cut-off why the cell
	// gave less, or more, than under the claim's conditions, as clauses: "it was
	// not full".
	Lower, Higher []string
}

// Side is what a run can show.
type Side uint8

// The sides.
const (
	Both     Side = iota // that the claim is met, and that it is missed
	PassOnly             // that it is met
	FailOnly             // that it is missed
	Neither
	Void // no attempt
)

// Grade is what became of a claim.
type Grade uint8

// The grades. Above and Under are those of a typical value; Open is where no run
// can tell.
const (
	Pass Grade = iota
	PassWithin
	BelowWithin
	Below
	Above
	Under
	Open
)

// String is the word on screen in English, which links hold it by.
func (g Grade) String() string {
	return [...]string{say.Later("pass"), say.Later("pass, within uncertainty"), say.Later("below, within uncertainty"), say.Later("below"),
		say.Later("above the typical value"), say.Later("below the typical value"), say.Later("open")}[min(g, Open)]
}

// Evidence is one run as far as it bears on the claim.
type Evidence struct {
	Run  int // its index
	Side Side
	Says string // why, in sentences
}

// Verdict is what the runs say of the claim. Numbers are NaN where there are
// none.
type Verdict struct {
	Grade    Grade
	Evidence []Evidence // one for each run, in their order
	// Best is the capacity in Ah of run BestRun (an index, -1 for none), the best
	// of BestOf: of the runs that decide, or where the verdict is open of those
	// that come nearest to telling. One that passes is better than one that does
	// not; else the higher one is. U is its expanded uncertainty in Ah.
	Best    float64
	BestOf  int
	BestRun int
	U       float64
	// Mean in Ah is that of the N runs that count both ways, those beyond the
	// fifth attempt too; where there are none, of the ones that Best is of. MeanU
	// is its expanded uncertainty in Ah, repeatability included.
	Mean  float64
	N     int
	MeanU float64
	// Margin in Ah is what was decided by, Best or for a typical value the mean,
	// less the claim; NaN where the verdict is open.
	Margin float64
	// Chance, 0 to 1, that the sample meets the claim, from the mean of the runs
	// that count both ways; NaN without one and for a typical value.
	Chance   float64
	Sentence string
}

const (
	attempts = 5
	// Currents that differ by no more than this share are the same: set-points
	// bend to the tester's steps. Common practice, no source.
	sameCurrent = 0.03
	// An end within this many V of the cut-off is at it: half a step of a display
	// with two decimals, which is all that many a cut-off has. About a cut-off a
	// cell gives some 10 % of its capacity a volt, so that it makes 0.05 %, less
	// than runs differ by anyhow. No source.
	sameCutoff = 0.005
	// So that limits hold in decimals, not in what doubles make of them.
	hair = 1e-9
)

// same tells whether a current counts as the other, both in A.
func same(current, as float64) bool {
	return math.Abs(current-as) <= float64(sameCurrent*as)+hair
}

// positive tells a number that is known.
func positive(x float64) bool { return x > 0 && !math.IsInf(x, 0) }

// unknown says what the claim lacks; empty where nothing.
func (c Claim) unknown() string {
	switch {
	case !positive(c.Capacity):
		return say.Text("No capacity is claimed.")
	case !positive(c.Current):
		return say.Text("The current of the claim is not known: enter it.")
	case !positive(c.Cutoff):
		return say.Text("The cut-off of the claim is not known, so that no run can be set against it: enter it.")
	}
	return ""
}

// side tells what a run can show, and why it is not more: the reasons why the
// cell gave less, and more, than under the claim's conditions.
func (c Claim) side(r Run, w quantity.Words) (s Side, lower, higher []string, says string) {
	if r.Void != "" {
		return Void, nil, nil, say.With("No attempt: %s.", strings.TrimRight(r.Void, ". "))
	}
	for _, x := range [...]struct {
		known bool
		says  string
	}{
		{c.unknown() == "", say.Later("Proves nothing: what is claimed is not known.")},
		{positive(r.Capacity), say.Later("Proves nothing: its capacity is not known.")},
		{positive(r.Budget.Expanded()), say.Later("Proves nothing: its uncertainty is not known.")},
		{positive(r.Current), say.Later("Proves nothing: its current is not known.")},
		{positive(r.Reached), say.Later("Proves nothing: the voltage that it ended at is not known.")},
	} {
		if !x.known {
			return Neither, nil, nil, say.Text(x.says)
		}
	}
	switch ran, claimed := amps(w, r.Current), amps(w, c.Current); {
	case same(r.Current, c.Current):
	case r.Current > c.Current:
		lower = append(lower, say.With("it ran at %s, above the claim’s %s", ran, claimed))
	default:
		higher = append(higher, say.With("it ran at %s, below the claim’s %s", ran, claimed))
	}
	switch ended, claimed := volts(w, r.Reached), volts(w, c.Cutoff); {
	case r.Reached > c.Cutoff+sameCutoff+hair:
		lower = append(lower, say.With("its figure ends at %s, above the claim’s %s", ended, claimed))
	case r.Reached < c.Cutoff-sameCutoff-hair:
		higher = append(higher, say.With("its figure ends at %s, below the claim’s %s", ended, claimed))
	}
	lower, higher = append(lower, r.Lower...), append(higher, r.Higher...)
	switch less, more := strings.Join(lower, "; "), strings.Join(higher, "; "); {
	case less != "" && more != "":
		return Neither, lower, higher, say.With("Proves nothing: the cell gave less (%s), but also more (%s).", less, more)
	case less != "":
		return PassOnly, lower, higher, say.With("Counts only where it reaches the claim, since the cell gave less: %s.", less)
	case more != "":
		return FailOnly, lower, higher, say.With("Counts only where it stays below the claim, since the cell gave more: %s.", more)
	}
	return Both, nil, nil, say.Text("Counts both ways: at the claim’s current, to its cut-off.")
}
