package plan

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"plateau/core/measure"
	"plateau/core/say"
)

const fewer = say.Later("Plan for fewer cells at a time.")

// finish adds up, and says what there is to say of the whole plan.
func (p *planner) finish() {
	if p.unlisted > 0 {
		p.say(measure.Fault, "cells", ruleOurs, fewer, say.Later("Runs that are left out and not listed here: %d."), p.unlisted)
	}
	if p.unsaid > 0 {
		p.Findings = append(p.Findings, Finding{Severity: measure.Fault, Field: "cells", Current: -1, Rule: spoken(ruleOurs),
			Text: say.With("Findings that are not listed here: %d.", p.unsaid), Do: say.Text(fewer)})
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
	p.say(measure.Caution, "tester.lead", ruleLeads, say.Later("Set the lower cut-offs that the plan has, or connect with four wires."),
		say.Later("At %s the leads take %s: a tester set to %s would stop with the cell at %s. Set to %s, the cell itself comes to %s or a little above, never below, if the leads are as stated."),
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
	add := func(text string) { p.Assumed = append(p.Assumed, text) }
	add(say.Text("A discharge is taken to give the most that the datasheet claims: at high currents it ends sooner."))
	add(say.With("A charge is taken to fill an empty cell: constant current, then constant voltage while the current falls as exp(−t/τ) to its end, t = (Q − Iτ)/I + τ ln(I/end), τ = %s h (common practice, no source). A cell that was emptied at a high current takes less.", plain(p.words, tailTime, 2)))
	if p.any(func(r *Run) bool { return r.AssumedTimes }) {
		add(say.Text("Where the datasheet’s charge is not entered, the hours are those of 0.5 It down to 0.05 It (common practice, no source); what to set is not assumed."))
	}
	if p.any(func(r *Run) bool { return r.EmptyFirst }) {
		add(say.Text("Before its first charge a cell is taken to be full, and to give a fifth of its capacity at 0.2 It after another current (no source); IEC 61960-3 clause 7.2 has it emptied so (cited from memory)."))
	}
	add(say.Text("Rests are those planned: IEC 61960-3 clause 7.3.1 has 1 h to 4 h after the charge (read in QCVN 101:2016 clause 2.8.1.2); the rest after a discharge is common practice, no source."))
	if len(p.Channels) > 1 {
		add(say.Text("Each cell stays on one channel. The cells with the most hours come first, each to the channel that is free first. Cells on different channels are read by different circuits: an error of these is in the difference between the cells."))
	}
	add(say.Text("Changing a cell and starting a step are taken to take no time."))
}

func (p *planner) caution() {
	add := func(text string) { p.Cautions = append(p.Cautions, text) }
	add(say.Text("Set no discharge over the current that the datasheet permits, and no cut-off below the datasheet’s."))
	add(say.Text("Charge to the datasheet’s voltage and not above it, at its temperatures. Do not charge a cell that is swollen, dented, wet or leaking, or that came far below its cut-off."))
	hot := 60.0
	for k := range p.Cells {
		if t := p.Cells[k].MaxTemp; t > 0 {
			hot = min(hot, t)
		}
	}
	add(say.With("Watch the temperature at high currents: stop a run when the cell passes %s °C, or what its datasheet permits if that is less, and let it cool where it can do no harm.", plain(p.words, hot, 1)))
	alone := ""
	switch n := p.nights(); {
	case n == 1:
		alone = say.Text("One charge or discharge goes on outside the working hours.")
	case n > 1:
		alone = say.With("%d charges and discharges go on outside the working hours.", n)
	case p.hours == nil:
		alone = say.Text("The plan goes on day and night.")
	}
	if alone != "" {
		add(alone + " " + say.Text("Let cells be charged and discharged unattended only where one that burns harms nobody and nothing, and with the tester’s own limits of voltage, time and temperature set."))
	}
	add(say.Text(governs) + say.Text(measure.Qualified))
}

const governs = say.Later("The datasheet governs, not this plan.")

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
		return say.With("%s closing", name)
	case r.Of > 1:
		return say.With("%s run %d", name, r.Attempt)
	}
	return name
}

// setting is a discharge as it is set: "0.98 A to 2.50 V".
func (p *Plan) setting(s Step) string { return say.With("%s to %s", p.amps(s.Amps), p.volts(s.Volts)) }

// charging is a charge as it is set.
func (p *Plan) charging(r *Run) string {
	amps, volts, end := p.amps(r.ChargeAmps), p.volts(r.ChargeTo), p.amps(r.ChargeEnd)
	if r.ChargeAmps > 0 && r.ChargeTo > 0 && r.ChargeEnd > 0 {
		return say.With("at %s to %s until %s", amps, volts, end)
	}
	var s []string
	if r.ChargeAmps > 0 {
		s = append(s, say.With("at %s", amps))
	}
	if r.ChargeTo > 0 {
		s = append(s, say.With("to %s", volts))
	}
	if r.ChargeEnd > 0 {
		s = append(s, say.With("until %s", end))
	}
	s = append(s, say.Text("by its datasheet"))
	return strings.Join(s, " ")
}

// checklist writes what there is to do, in the order of work.
func (p *planner) checklist() {
	if len(p.Runs) == 0 {
		return
	}
	add := func(list *[]Task, t Task, text string) {
		t.Text = text
		*list = append(*list, t)
	}
	var head, work, tail []Task
	none := Task{Run: -1}
	add(&head, none, say.Text("Read each cell’s datasheet: charge, cut-off, permitted current, temperatures."))
	add(&head, none, say.Text("Look at each cell: put aside any that is swollen, dented, wet or leaking."))
	add(&head, none, say.Text("Weigh and measure each cell; write down its open-circuit voltage."))
	add(&head, none, say.Text("See that the room is at 20 °C ± 5 °C, and the cells as warm as the room."))
	if p.Tester.TwoWire {
		add(&head, none, say.Text("Measure the resistance of leads and contacts, and enter it."))
	} else {
		add(&head, none, say.Text("Connect with four wires, close to the cell’s ends."))
	}
	add(&head, none, say.Text("Set the tester’s limits of voltage, time and temperature, and the log to a row a second."))
	for k := range p.Runs {
		r := &p.Runs[k]
		for j, s := range r.Steps {
			at := Task{Channel: r.Channel, Run: k, When: s.Start}
			if j == 0 && r.First {
				add(&work, at, say.With("Put %s into channel %d.", r.Cell, r.Channel))
			}
			switch s.Kind {
			case Empty:
				add(&work, at, say.With("Empty %s at %s. This charge is not added to any run.", r.Cell, p.setting(s)))
			case Charge:
				add(&work, at, say.With("Charge %s %s.", r.Cell, p.charging(r)))
			case Rest:
				if j+1 < len(r.Steps) && r.Steps[j+1].Kind == Discharge {
					add(&work, at, say.With("Rest %s for %s.", r.Cell, p.lasts(s.Lasts)))
				}
			case Discharge:
				add(&work, at, say.With("Discharge %s at %s; log the rest before it and after it.", r.Cell, p.setting(s)))
				saved := at
				saved.When = p.hours.next(r.Steps[j+1].End)
				add(&work, saved, say.With("Save the log as “%s”.", p.LogName(r)))
				if r.Last {
					add(&work, saved, say.With("Take %s out of channel %d.", r.Cell, r.Channel))
				}
			}
		}
	}
	sort.SliceStable(work, func(i, j int) bool {
		return cmp.Or(work[i].When.Compare(work[j].When), cmp.Compare(work[i].Channel, work[j].Channel)) < 0
	})
	add(&tail, none, say.Text("Drop the logs on the page: they tick off this plan, and what is missing is named."))
	add(&tail, none, say.Text("Store the cells cool and partly charged, their ends covered."))
	p.Checklist = slices.Concat(head, work, tail)
}

var days = [...]string{say.Later("Sun"), say.Later("Mon"), say.Later("Tue"), say.Later("Wed"), say.Later("Thu"), say.Later("Fri"), say.Later("Sat")}

// When is a moment as it stands in a plan: "Mon 2026-11-30 09:00"; empty for
// none.
func When(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return say.Text(days[t.Weekday()]) + t.Format(" 2006-01-02 15:04")
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
