// Package plan makes a test plan of what datasheets claim, of what a tester can
// do and of the currents chosen: which runs, in which order, at which set-points,
// how long they take, what stands against them; and ticks off the runs that are
// done.
//
// Where a limit stands against a run, the run is left out and the reason is said
// at the field that it comes from; the rest of the plan stands. Nothing in a
// request can bring a plan down, and none holds more than [MostRuns] runs.
package plan

import (
	"time"

	"plateau/core/cell"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/tester"
)

// Request is what a plan is made of.
type Request struct {
	// Cells are samples, each with the figures of its model's datasheet (see
	// [cell.Cell.Inherit]) and with a name of its own.
	Cells    []cell.Cell
	Tester   tester.Spec
	Currents []Current // to run beside 0.2 It, in any order
	// Start is when the work begins; working hours and days are those of its
	// location.
	Start time.Time
	Options
	Words quantity.Words
}

// Current is a discharge current as chosen.
type Current struct {
	Value float64 // A, or a multiple of It
	OfIt  bool
}

// Options are how the work is to be done.
type Options struct {
	// HighRate adds a run at 1 It, the high rate of IEC 61960-3 7.3.3. Closing
	// repeats the run at 0.2 It at the end, so that ageing shows.
	HighRate, Closing bool
	// Pretest empties a cell at 0.2 It before its first charge, and before each
	// run of the standard's that follows on another current: IEC 61960-3 7.2.
	Pretest bool
	Repeats int // runs at each current; 0 and 1 are one
	// Unattended: the tester goes on from charge to rest to discharge by itself.
	// Else each of them is started by hand.
	Unattended bool
	// Rests after the charge and after the discharge; 0 for 1 h, and for 30 min
	// after the charge of a cell that is judged by its datasheet's rest.
	RestCharged, RestDischarged time.Duration
	// Hours are those in which somebody is there; nil for at any time.
	Hours *Hours
}

// Hours are working hours: what needs a hand is done within them, what runs goes
// on outside them.
type Hours struct {
	From, To time.Duration // since midnight on the clock: 8 h, 17 h
	Days     [7]bool       // by [time.Weekday]
}

// Basis is why a run is in a plan.
type Basis uint8

// The bases.
const (
	Chosen   Basis = iota
	Rated          // 0.2 It: IEC 61960-3 7.3.1
	HighRate       // 1 It: IEC 61960-3 7.3.3
	Closing        // 0.2 It once more
)

var bases = [...]string{say.Later("chosen current"), say.Later("rated capacity"), say.Later("high rate"), say.Later("closing run")}

// String is the word on screen, in English.
func (b Basis) String() string {
	if int(b) < len(bases) {
		return bases[b]
	}
	return ""
}

// Kind is what a step does.
type Kind uint8

// The kinds.
const (
	Empty Kind = iota // discharge at 0.2 It before the charge
	Charge
	Rest
	Discharge
)

var kinds = [...]string{"empty", "charge", "rest", "discharge"}

// String is a word for machines.
func (k Kind) String() string {
	if int(k) < len(kinds) {
		return kinds[k]
	}
	return ""
}

// Step is one thing that happens to a cell in a run.
type Step struct {
	Kind       Kind
	Start, End time.Time     // zero in a plan without dates
	Lasts      time.Duration // as expected; of a rest, until the next step starts
	Amps       float64       // set-point of a discharge; 0 of others
	Volts      float64       // cut-off to set at the tester; 0 of others
	Hand       bool          // somebody has to start it
	Outside    bool          // that is outside the working hours
	Night      bool          // it goes on outside the working hours
}

// Run is one discharge to make, and what leads up to it.
type Run struct {
	Cell         string
	Channel      int // from 1
	Basis        Basis
	Current      int     // in the request's Currents, −1 where the standard asks for it
	Attempt, Of  int     // 1 of 3
	Asked, Set   float64 // A; the set-point is in steps of the tester
	AskedIt      float64 // where a multiple of It was asked for; else 0
	Rate         float64 // of the set-point, as a multiple of It; 0 where It is not known
	Deviation    float64 // Set/Asked − 1
	SetStep      float64 // A, of the tester's set-point; 0 where not known
	Cutoff       float64 // V, of the cells in series together
	SetCutoff    float64 // V, to set at the tester: lower where two leads take some of it
	Drop         float64 // V, lost in the leads
	ChargeTo     float64 // V, of the cells in series; 0 where not entered
	ChargeAmps   float64 // A; 0 where not entered
	ChargeEnd    float64 // A; 0 where not entered
	Steps        []Step
	First        bool // of its cell: the cell is put in before it
	Last         bool // of its cell
	EmptyFirst   bool // a step empties the cell before its charge
	AssumedTimes bool // the charge's hours stand on assumed values
}

// Discharges is the step in which the run is measured.
func (r *Run) Discharges() Step { return r.step(Discharge) }

// Charges is the step in which the cell is charged.
func (r *Run) Charges() Step { return r.step(Charge) }

func (r *Run) step(k Kind) Step {
	for _, s := range r.Steps {
		if s.Kind == k {
			return s
		}
	}
	return Step{}
}

// Hours is how long all of the run takes, rests that wait for somebody included.
func (r *Run) Hours() float64 {
	var sum time.Duration
	for _, s := range r.Steps {
		sum += s.Lasts
	}
	return sum.Hours()
}

// LeftOut is a run that is not in the plan.
type LeftOut struct {
	Cell    string
	Current int // as in [Run]
	Basis   Basis
	Asked   float64 // A; 0 where it is not known
	AskedIt float64
	Field   string // as in [Finding]
	Why     string // a sentence
}

// Finding is a remark on the plan, at the field that it comes from.
type Finding struct {
	Severity measure.Severity
	// Field is a figure of the cells' datasheets ("maxCurrent"), of the tester
	// ("tester.maxPower"), of the currents ("currents.2"), or of the rest
	// ("start", "hours", "rest", "repeats", "cells").
	Field   string
	Current int      // the one chosen current that it is about; −1 for none
	Cells   []string // that it is about; none where it is about all
	Text    string   // what is wrong, with its numbers
	Do      string   // what to do
	measure.Rule
	Safety bool // people can come to harm
}

// Channel is one place of the tester, with the cells that it tests one after the
// other.
type Channel struct {
	Number     int
	Cells      []string
	Hours      float64   // in which something goes on there, rests included
	Start, End time.Time // zero in a plan without dates
}

// Task is one line of the checklist.
type Task struct {
	Channel int       // 0 for what is of none
	Run     int       // in the plan's Runs; −1 for none
	When    time.Time // zero for before and after the work, and without dates
	Text    string
}

// Plan is what is to be done.
type Plan struct {
	Runs      []Run // in the order in which their discharges start
	Left      []LeftOut
	Channels  []Channel
	Findings  []Finding // what is about safety first, then by severity
	Assumed   []string  // what the hours rest on, and where it is from
	Cautions  []string
	Checklist []Task
	// Dated: the start could be used, and the steps have times.
	Dated      bool
	Start, End time.Time
	Hours      float64 // of all channels together

	words quantity.Words
	hours *Hours
}

// Bounds of a plan.
const (
	MostRuns     = 2000
	mostCells    = 1000
	mostFindings = 500
	mostCurrents = 50
	mostRepeats  = 20
	least        = 1e-6    // that a figure may be, in its unit
	mostHours    = 30 * 24 // of one step; longer is a slip of the finger
	earliest     = 2000    // years that a start may lie in
	latest       = 2200
)

// Make makes the plan.
func Make(r Request) Plan {
	p := &planner{Request: r, refused: map[int]bool{}, said: map[string]int{}, names: map[string]bool{}}
	p.words = r.Words
	p.checkRequest()
	p.checkTester()
	for k := range p.Cells {
		p.plan(k)
	}
	if len(p.Cells) == 0 {
		p.say(measure.Note, "cells", ruleOurs, say.Later("Enter a cell with its rated capacity, cut-off and permitted current."), say.Later("There is no cell to plan for."))
	}
	p.schedule()
	p.finish()
	return p.Plan
}

// planner is a plan in the making.
type planner struct {
	Request
	Plan
	work     []work       // one for each cell that has runs
	refused  map[int]bool // currents that are no currents
	names    map[string]bool
	said     map[string]int // findings by what they say
	unsaid   int
	total    int    // runs so far
	unlisted int    // runs left out that are not listed
	of       string // cell that is looked at
	current  int    // chosen current that is looked at, from 1; 0 for none
}

// work is all there is to do with one cell.
type work struct {
	runs    []Run
	channel int
	busy    time.Duration
	rest    window // after the charge
}
