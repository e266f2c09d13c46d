package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"plateau/core/measure"
)

// finish adds up, and says what there is to say of the whole plan.
func (p *planner) finish() {
	if p.unlisted > 0 {
		p.say(measure.Fault, "cells", ruleOurs, "Plan for fewer cells at a time.", "%d more runs are left out than are listed.", p.unlisted)
	}
	if p.unsaid > 0 {
		p.Findings = append(p.Findings, Finding{Severity: measure.Fault, Field: "cells", Current: -1, Rule: ruleOurs,
			Text: fmt.Sprintf("There are %d more findings than are listed.", p.unsaid), Do: "Plan for fewer cells at a time."})
	}
	p.leads()
	sorted(p.Findings)
	p.Plan.Start, p.End = p.Request.Start, p.Request.Start
	for k := range p.Channels {
		if e := p.Channels[k].End; e.After(p.End) {
			p.End = e
		}
	}
	p.assume()
	p.caution()
	p.checklist()
	if !p.Dated {
		p.undate()
	}
}

// leads says what two wires do to the cut-offs, by the run in which they take the
// most.
func (p *planner) leads() {
	var worst *Run
	for k := range p.Runs {
		if r := &p.Runs[k]; r.Drop >= dropSeen && (worst == nil || r.Drop > worst.Drop) {
			worst = r
		}
	}
	if worst == nil {
		return
	}
	p.say(measure.Caution, "tester.lead", ruleLeads, "Set the lower cut-offs that the plan has, or connect with four wires.",
		"At %s the leads take %s: a tester set to %s would stop with the cell at %s. Set to %s, the cell itself comes to %s or a little above, never below, if the leads are as stated.",
		p.amps(worst.Set), p.volts(worst.Drop), p.volts(worst.Cutoff), p.volts(worst.Cutoff+worst.Drop), p.volts(worst.SetCutoff), p.volts(worst.Cutoff))
}

// undate takes the times out of a plan that has no start.
func (p *planner) undate() {
	p.Plan.Start, p.End = time.Time{}, time.Time{}
	for k := range p.Channels {
		p.Channels[k].Start, p.Channels[k].End = time.Time{}, time.Time{}
	}
	for k := range p.Runs {
		for j := range p.Runs[k].Steps {
			p.Runs[k].Steps[j].Start, p.Runs[k].Steps[j].End = time.Time{}, time.Time{}
		}
	}
	for k := range p.Checklist {
		p.Checklist[k].When = time.Time{}
	}
}

// any tells whether a run is such.
func (p *Plan) any(is func(*Run) bool) bool {
	for k := range p.Runs {
		if is(&p.Runs[k]) {
			return true
		}
	}
	return false
}

func (p *planner) assume() {
	if len(p.Runs) == 0 {
		return
	}
	say := func(format string, args ...any) { p.Assumed = append(p.Assumed, fmt.Sprintf(format, args...)) }
	say("A discharge is taken to give the most that the datasheet claims: at high currents it ends sooner.")
	say("A charge is taken to fill an empty cell: constant current, then constant voltage while the current falls as exp(−t/τ) to its end, t = (Q − Iτ)/I + τ ln(I/end), τ = %s h (common practice, no source). A cell that was emptied at a high current takes less.", plain(p.words, tailTime, 2))
	if p.any(func(r *Run) bool { return r.AssumedTimes }) {
		say("Where the datasheet’s charge is not entered, the hours are those of 0.5 It down to 0.05 It (common practice, no source); what to set is not assumed.")
	}
	if p.any(func(r *Run) bool { return r.EmptyFirst }) {
		say("Before its first charge a cell is taken to be full, and to give a fifth of its capacity at 0.2 It after another current (no source); IEC 61960-3 clause 7.2 has it emptied so (cited from memory).")
	}
	say("Rests are those planned: IEC 61960-3 clause 7.3.1 has 1 h to 4 h after the charge (read in QCVN 101:2016 clause 2.8.1.2); the rest after a discharge is common practice, no source.")
	if len(p.Channels) > 1 {
		say("Each cell stays on one channel. The cells with the most hours come first, each to the channel that is free first. Cells on different channels are read by different circuits: an error of these is in the difference between the cells.")
	}
	say("Changing a cell and starting a step are taken to take no time.")
}

func (p *planner) caution() {
	say := func(format string, args ...any) { p.Cautions = append(p.Cautions, fmt.Sprintf(format, args...)) }
	say("Set no discharge over the current that the datasheet permits, and no cut-off below the datasheet’s.")
	say("Charge to the datasheet’s voltage and not above it, at its temperatures. Do not charge a cell that is swollen, dented, wet or leaking, or that came far below its cut-off.")
	hot := 60.0
	for k := range p.Cells {
		if t := p.Cells[k].MaxTemp; t > 0 {
			hot = min(hot, t)
		}
	}
	say("Watch the temperature at high currents: stop a run when the cell passes %s °C, or what its datasheet permits if that is less, and let it cool where it can do no harm.", plain(p.words, hot, 1))
	if n := p.nights(); n > 0 {
		say("%d charges and discharges go on outside the working hours. Let them only where a cell that burns harms nobody and nothing, and with the tester’s own limits of voltage, time and temperature set.", n)
	} else if p.hours == nil {
		say("The plan goes on day and night. Let cells be charged and discharged unattended only where one that burns harms nobody and nothing, and with the tester’s own limits of voltage, time and temperature set.")
	}
	say("The datasheet governs, not this plan.%s", measure.Qualified)
}

// nights counts charges and discharges that go on while nobody is there.
func (p *Plan) nights() (n int) {
	for _, r := range p.Runs {
		for _, s := range r.Steps {
			if s.Night {
				n++
			}
		}
	}
	return n
}

// LogName is a name for a run's log by which it finds its cell and its place.
func (p *Plan) LogName(r *Run) string {
	name := r.Cell + " " + p.amps(r.Set)
	switch {
	case r.Basis == Closing:
		name += " closing"
	case r.Of > 1:
		name += fmt.Sprintf(" run %d", r.Attempt)
	}
	return name
}

// setting is a discharge as it is set: "0.98 A to 2.50 V".
func (p *Plan) setting(s Step) string { return p.amps(s.Amps) + " to " + p.volts(s.Volts) }

// charging is a charge as it is set.
func (p *Plan) charging(r *Run) string {
	var s []string
	if r.ChargeAmps > 0 {
		s = append(s, "at "+p.amps(r.ChargeAmps))
	}
	if r.ChargeTo > 0 {
		s = append(s, "to "+p.volts(r.ChargeTo))
	}
	if r.ChargeEnd > 0 {
		s = append(s, "until "+p.amps(r.ChargeEnd))
	}
	if len(s) < 3 {
		s = append(s, "by its datasheet")
	}
	return strings.Join(s, " ")
}

// checklist writes what there is to do, in the order of work.
func (p *planner) checklist() {
	if len(p.Runs) == 0 {
		return
	}
	say := func(list *[]Task, t Task, format string, args ...any) {
		t.Text = fmt.Sprintf(format, args...)
		*list = append(*list, t)
	}
	var head, work, tail []Task
	none := Task{Run: -1}
	say(&head, none, "Read each cell’s datasheet: charge, cut-off, permitted current, temperatures.")
	say(&head, none, "Look at each cell: put aside any that is swollen, dented, wet or leaking.")
	say(&head, none, "Weigh and measure each cell; write down its open-circuit voltage.")
	say(&head, none, "See that the room is at 20 °C ± 5 °C, and the cells as warm as the room.")
	if p.Tester.TwoWire {
		say(&head, none, "Measure the resistance of leads and contacts, and enter it.")
	} else {
		say(&head, none, "Connect with four wires, close to the cell’s ends.")
	}
	say(&head, none, "Set the tester’s limits of voltage, time and temperature, and the log to a row a second.")
	for k := range p.Runs {
		r := &p.Runs[k]
		for j, s := range r.Steps {
			at := Task{Channel: r.Channel, Run: k, When: s.Start}
			if j == 0 && r.First {
				say(&work, at, "Put %s into channel %d.", r.Cell, r.Channel)
			}
			next := "the next step"
			if j+1 < len(r.Steps) {
				next = r.Steps[j+1].Kind.String()
			}
			switch s.Kind {
			case Empty:
				say(&work, at, "Empty %s at %s. This charge is not added to any run.", r.Cell, p.setting(s))
			case Charge:
				say(&work, at, "Charge %s %s.", r.Cell, p.charging(r))
			case Rest:
				if next == "discharge" {
					say(&work, at, "Rest %s for %s.", r.Cell, p.lasts(s.Lasts))
				}
			case Discharge:
				say(&work, at, "Discharge %s at %s; log the rest before it and after it.", r.Cell, p.setting(s))
				saved := at
				saved.When = p.hours.next(r.Steps[j+1].End)
				say(&work, saved, "Save the log as “%s”.", p.LogName(r))
				if r.Last {
					say(&work, saved, "Take %s out of channel %d.", r.Cell, r.Channel)
				}
			}
		}
	}
	sort.SliceStable(work, func(i, j int) bool {
		return cmp.Or(work[i].When.Compare(work[j].When), cmp.Compare(work[i].Channel, work[j].Channel)) < 0
	})
	say(&tail, none, "Drop the logs on the page: they tick off this plan, and what is missing is named.")
	say(&tail, none, "Store the cells cool and partly charged, their ends covered.")
	p.Checklist = slices.Concat(head, work, tail)
}

// When is a moment as it stands in a plan: "Mon 2026-11-30 09:00"; empty for
// none.
func When(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("Mon 2006-01-02 15:04")
}

// Row is a run in words. Times are empty in a plan without dates.
type Row struct {
	Cell, Run                           string
	Channel                             int
	Set, Rate, Off, Cutoff, SetCutoff   string
	Charge                              string
	Charges, Discharges, Ends           string // when
	ChargeTime, RestTime, DischargeTime string // how long
	Log                                 string
}

// Row is the k-th run in words.
func (p *Plan) Row(k int) Row {
	r := &p.Runs[k]
	c, d := r.Charges(), r.Discharges()
	return Row{Cell: r.Cell, Run: r.Words(), Channel: r.Channel, Set: p.amps(r.Set), Rate: p.rate(r.Rate), Off: p.percent(r.Deviation), Cutoff: p.volts(r.Cutoff), SetCutoff: p.volts(r.SetCutoff),
		Charge: p.charging(r), Charges: When(c.Start), Discharges: When(d.Start), Ends: When(d.End),
		ChargeTime: p.lasts(c.Lasts), RestTime: p.lasts(r.rested()), DischargeTime: p.lasts(d.Lasts), Log: p.LogName(r)}
}

// rate is a multiple of It: "0.2C (0.2 It)".
func (p *Plan) rate(x float64) string {
	if !(x > 0) || math.IsInf(x, 0) {
		return ""
	}
	s := plain(p.words, x, 3)
	return s + "C (" + s + " It)"
}
