package wire

// Plan is how the runs are to be made, as typed. All of it is optional.
type Plan struct {
	// Currents are those to run at beside 0.2 It: "3", "3 A", "500 mA", "1 It",
	// "1C". An empty one is left out.
	Currents []string `json:"currents,omitempty"`
	// Without names cells that were entered and are not to be planned for.
	Without []string `json:"without,omitempty"`
	// Start is the day and the time by the clock on the wall: "2026-11-30T09:00".
	Start string `json:"start,omitempty"`
	// HighRate adds a run at 1 It; Closing one at 0.2 It at the end; Pretest
	// empties each cell at 0.2 It before the standard's runs.
	HighRate bool `json:"highRate,omitempty"`
	Closing  bool `json:"closing,omitempty"`
	Pretest  bool `json:"pretest,omitempty"`
	// Unattended: the tester goes on from charge to rest to discharge by itself.
	Unattended     bool   `json:"unattended,omitempty"`
	Repeats        string `json:"repeats,omitempty"`        // runs at each current, empty for one
	Rest           string `json:"rest,omitempty"`           // after the charge, in h; empty for the usual
	RestDischarged string `json:"restDischarged,omitempty"` // after the discharge, in h
	// Hours: hands are needed from HoursFrom to HoursTo ("08:00", "17:00", empty
	// for these) on Days (0 is Sunday; none for Monday to Friday) alone.
	Hours     bool   `json:"hours,omitempty"`
	HoursFrom string `json:"hoursFrom,omitempty"`
	HoursTo   string `json:"hoursTo,omitempty"`
	Days      []int  `json:"days,omitempty"`
}

// Offset is by how many minutes the clock on the wall is ahead of UTC from a
// moment on, in seconds since 1970 began in UTC.
type Offset struct {
	From    int64 `json:"from"`
	Minutes int   `json:"minutes"`
}

// Planned answers "plan" and "planned".
type Planned struct {
	Plan Plan `json:"plan"` // as typed
	// Errors says what of it cannot be read, by field: "start", "currents.1".
	Errors map[string]string `json:"errors,omitempty"`
	// Cells are those that can be planned for, and whether they are.
	Cells    []PlanCell    `json:"cells"`
	Findings []PlanFinding `json:"findings"` // what is about safety first
	Runs     []PlannedRun  `json:"runs"`     // in the order in which they start
	Left     []PlanLeft    `json:"left"`     // runs that cannot be made
	Off      []PlanOff     `json:"off"`      // discharges that are not in the plan
	Channels []PlanChannel `json:"channels"`
	Tasks    []PlanTask    `json:"tasks"` // the checklist
	Cautions []string      `json:"cautions"`
	Assumed  []string      `json:"assumed"` // what the hours rest on
	// Summary is the plan in a sentence or two, Next what to do next; Why says why
	// there is nothing.
	Summary string `json:"summary,omitempty"`
	Next    string `json:"next,omitempty"`
	Why     string `json:"why,omitempty"`
	Done    int    `json:"done"`
	Missing int    `json:"missing"`
	// Dated: the steps have times, and there is a calendar.
	Dated bool `json:"dated"`
}

// PlanCell is a cell that can be planned for.
type PlanCell struct {
	Cell string `json:"cell"`
	In   bool   `json:"in"`
}

// PlanFinding is a check at the field that it comes from: one of a cell's form
// ("maxCurrent"), of the tester's ("tester.maxPower"), or of the plan's
// ("currents.2", "start", "hours", "rest", "restDischarged", "repeats",
// "cells").
type PlanFinding struct {
	Check   Check    `json:"check"`
	Field   string   `json:"field"`
	Current int      `json:"current"` // in Plan.Currents, −1 for none
	Cells   []string `json:"cells,omitempty"`
}

// PlannedRun is one discharge to make. Voltages, currents and hours are words
// with their units.
type PlannedRun struct {
	Cell      string `json:"cell"`
	Run       string `json:"run"` // why: "rated capacity, 1 of 2"
	Channel   int    `json:"channel"`
	Set       string `json:"set"`       // "0.98 A"
	Rate      string `json:"rate"`      // "0.2C (0.2 It)", or empty
	Off       string `json:"off"`       // "+1.30 %"
	Cutoff    string `json:"cutoff"`    // of the cell
	SetCutoff string `json:"setCutoff"` // at the tester
	Charge    string `json:"charge"`    // "at 2.5 A to 4.20 V until 0.25 A"
	// Charges, Discharges and Ends are when ("Mon 2026-11-30 09:00"), empty
	// without dates. The others say how long.
	Charges       string `json:"charges,omitempty"`
	Discharges    string `json:"discharges,omitempty"`
	Ends          string `json:"ends,omitempty"`
	ChargeTime    string `json:"chargeTime"`
	RestTime      string `json:"restTime"`
	DischargeTime string `json:"dischargeTime"`
	Log           string `json:"log"` // a name for its log
	// State is "done" (by Done, a run's id, DoneName), "next" or "missing".
	State    string `json:"state"`
	Done     string `json:"done,omitempty"`
	DoneName string `json:"doneName,omitempty"`
}

// PlanLeft is a run that is not in the plan.
type PlanLeft struct {
	Cell    string `json:"cell"`
	Current string `json:"current"` // "12 A"
	Field   string `json:"field"`   // as in [PlanFinding]
	Why     string `json:"why"`
}

// PlanOff is a discharge that is not in the plan, or does not fulfil it.
type PlanOff struct {
	Run  string `json:"run"`
	Name string `json:"name"`
	Cell string `json:"cell"`
	Why  string `json:"why"`
}

// PlanChannel is one place of the tester.
type PlanChannel struct {
	Channel int      `json:"channel"`
	Cells   []string `json:"cells"`
	Hours   string   `json:"hours"` // "210.2 h"
	From    string   `json:"from,omitempty"`
	To      string   `json:"to,omitempty"`
	Next    string   `json:"next,omitempty"` // "Alder at 3 A"
}

// PlanTask is a line of the checklist.
type PlanTask struct {
	When string `json:"when,omitempty"`
	Text string `json:"text"`
	Done bool   `json:"done,omitempty"` // its discharge is there
}
