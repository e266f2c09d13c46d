package engine

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"plateau/core/cell"
	"plateau/core/plan"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// mostCurrents is how many currents of a plan are taken.
const mostCurrents = 60

// setPlan takes how the runs are to be made.
func (e *Engine) setPlan(w *wire.Plan) {
	if w == nil {
		return
	}
	p := *w
	clip := func(s *string) { *s = clipTo(*s, 100) }
	p.Currents = slices.Clone(w.Currents[:min(len(w.Currents), mostCurrents)])
	for k := range p.Currents {
		clip(&p.Currents[k])
	}
	p.Without = slices.Clone(w.Without[:min(len(w.Without), mostCells)])
	for k := range p.Without {
		clip(&p.Without[k])
	}
	p.Days = slices.Clone(w.Days[:min(len(w.Days), 7)])
	for _, s := range []*string{&p.Start, &p.Repeats, &p.Rest, &p.RestDischarged, &p.HoursFrom, &p.HoursTo} {
		clip(s)
	}
	// No list and an empty one are the same.
	if len(p.Currents) == 0 {
		p.Currents = nil
	}
	if len(p.Without) == 0 {
		p.Without = nil
	}
	if len(p.Days) == 0 {
		p.Days = nil
	}
	e.plan = p
}

// planRequest reads the form. at[k] is which of the typed currents the request's
// k-th is.
func (e *Engine) planRequest(zone *time.Location) (r plan.Request, at []int, errs map[string]string) {
	w, t := e.plan, &form{}
	r = plan.Request{Tester: e.spec, Words: e.words}
	r.HighRate, r.Closing, r.Pretest, r.Unattended = w.HighRate, w.Closing, w.Pretest, w.Unattended
	for _, name := range e.cellOrder {
		if k := e.cells[name]; k != nil && !slices.Contains(w.Without, name) {
			r.Cells = append(r.Cells, k.forPlan())
		}
	}
	for k, s := range w.Currents {
		if c, ok := t.current(fmt.Sprintf("currents.%d", k), s); ok {
			r.Currents, at = append(r.Currents, c), append(at, k)
		}
	}
	if s := strings.TrimSpace(w.Start); s != "" {
		var ok bool
		if r.Start, ok = dayAndTime(s, zone); !ok {
			t.fault("start", say.With("“%s” is no day and time. Type one such as 2026-11-30 09:00.", clip(s)))
		}
	}
	if s := strings.TrimSpace(w.Repeats); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 {
			t.fault("repeats", say.With("“%s” is no number of runs. Type one such as 3.", clip(s)))
		} else {
			r.Repeats = min(n, 1000)
		}
	}
	rest := func(field, s string) time.Duration {
		return time.Duration(t.number(field, s, quantity.Time, "h", 60, 7*24*3600)) * time.Second
	}
	r.RestCharged, r.RestDischarged = rest("rest", w.Rest), rest("restDischarged", w.RestDischarged)
	if w.Hours {
		h := plan.Hours{From: t.clock("hoursFrom", w.HoursFrom, 8*time.Hour), To: t.clock("hoursTo", w.HoursTo, 17*time.Hour), Days: [7]bool{false, true, true, true, true, true, false}}
		if len(w.Days) > 0 {
			h.Days = [7]bool{}
			for _, d := range w.Days {
				if d >= 0 && d < 7 {
					h.Days[d] = true
				}
			}
		}
		r.Options.Hours = &h
	}
	return r, at, t.errors
}

// forPlan is a cell with the cut-off as typed: one that cannot be is said where
// it is planned with.
func (k *known) forPlan() cell.Cell {
	c := k.whole
	if c.Cutoff == 0 {
		c.Cutoff = (&form{}).number("cutoff", k.typed.Cutoff, quantity.Voltage, "V", 0.5, 5)
	}
	return c
}

// current reads one current to run at: in A, or as a multiple of It.
func (t *form) current(field, text string) (plan.Current, bool) {
	s := strings.TrimSpace(text)
	if s == "" {
		return plan.Current{}, false
	}
	for _, unit := range []string{"It", "it", "IT", "C", "c"} {
		if x, ok := plainNumber(strings.TrimSuffix(s, unit)); ok && strings.HasSuffix(s, unit) {
			return plan.Current{Value: x, OfIt: true}, true
		}
	}
	x := t.number(field, s, quantity.Current, "A", 1e-6, 1e4)
	return plan.Current{Value: x}, x > 0
}

// clock reads a time of the day.
func (t *form) clock(field, text string, usual time.Duration) time.Duration {
	s := strings.TrimSpace(text)
	if s == "" {
		return usual
	}
	at, ok := minuteOfDay(s)
	if !ok {
		t.fault(field, say.With("“%s” is no time of the day. Type one such as 08:00.", clip(s)))
		return usual
	}
	return time.Duration(at) * time.Minute
}

// dayAndTime reads "2026-11-30T09:00", with a blank for the T, with seconds, or
// the day alone. The time package's reader would cost the program 40 kB.
func dayAndTime(s string, zone *time.Location) (time.Time, bool) {
	const day = len("2026-11-30")
	if len(s) < day || !isDay(s[:day]) {
		return time.Time{}, false
	}
	at := 0
	if rest := s[day:]; rest != "" {
		var ok bool
		if at, ok = minuteOfDay(rest[1:]); !ok || rest[0] != 'T' && rest[0] != ' ' {
			return time.Time{}, false
		}
	}
	number := func(s string) int { n, _ := strconv.Atoi(s); return n }
	return time.Date(number(s[:4]), time.Month(number(s[5:7])), number(s[8:day]), 0, at, 0, 0, zone), true
}

// minuteOfDay reads "9:30", "09:30" or "09:30:00"; "24:00" is the day's end.
func minuteOfDay(s string) (int, bool) {
	parts := strings.Split(s, ":")
	if len(parts) != 2 && len(parts) != 3 {
		return 0, false
	}
	var n [3]int
	for k, p := range parts {
		x, err := strconv.ParseUint(p, 10, 8)
		if err != nil || len(p) > 2 || k > 0 && (len(p) != 2 || x > 59) {
			return 0, false
		}
		n[k] = int(x)
	}
	at := 60*n[0] + n[1]
	return at, at < 24*60 || at == 24*60 && n[2] == 0
}

// planned makes the plan and ticks off what is done of it.
func (e *Engine) planned(offsets []wire.Offset) *wire.Planned {
	zone, _ := zoneOf(offsets)
	r, at, errs := e.planRequest(zone)
	out := &wire.Planned{Plan: e.plan, Errors: errs, Cells: []wire.PlanCell{}, Findings: []wire.PlanFinding{}, Runs: []wire.PlannedRun{}, Left: []wire.PlanLeft{},
		Off: []wire.PlanOff{}, Channels: []wire.PlanChannel{}, Tasks: []wire.PlanTask{}}
	for _, name := range e.cellOrder {
		if e.cells[name] != nil {
			out.Cells = append(out.Cells, wire.PlanCell{Cell: name, In: !slices.Contains(e.plan.Without, name)})
		}
	}
	if len(r.Cells) == 0 {
		out.Why = say.Text("Enter a cell with its rated capacity, cut-off and permitted current, and its plan is here.")
		if len(out.Cells) > 0 {
			out.Why = say.Text("No cell is chosen to plan for.")
		}
		return out
	}
	p := e.makePlan(r)
	out.Summary, out.Dated, out.Cautions, out.Assumed = p.Summary(), p.Dated, p.Cautions, p.Assumed
	for _, f := range p.Findings {
		x := wire.PlanFinding{Check: wire.Check{Severity: f.Severity.String(), Text: f.Text, Do: f.Do, Rule: f.Says, Source: f.Source, Safety: f.Safety}, Field: f.Field, Current: -1, Cells: f.Cells}
		if f.Current >= 0 {
			x.Current = at[f.Current]
		}
		// Currents that cannot be read stand between those of the request.
		if strings.HasPrefix(f.Field, "currents.") && f.Current >= 0 {
			x.Field = fmt.Sprintf("currents.%d", x.Current)
		}
		out.Findings = append(out.Findings, x)
	}
	for k := range p.Left {
		l := &p.Left[k]
		x := wire.PlanLeft{Cell: l.Cell, Current: p.Wish(l), Field: l.Field, Why: l.Why}
		if strings.HasPrefix(l.Field, "currents.") {
			x.Field = fmt.Sprintf("currents.%d", at[l.Current])
		}
		out.Left = append(out.Left, x)
	}
	e.ticked(out, &p)
	return out
}

// made are discharges as far as a plan is ticked off by them.
func (e *Engine) made(list []entry) []plan.Done {
	done := make([]plan.Done, len(list))
	for k, x := range list {
		done[k] = plan.Done{Cell: x.cell, Amps: x.amps, Void: x.void}
		if x.void == "" {
			done[k].Void = x.noAttempt
		}
		if x.run != nil {
			done[k].End = x.run.whole.res.Lowest
		} else {
			c := e.cellNamed(x.cell)
			done[k].End = x.typed.cutoff(c) * c.Cells()
		}
	}
	return done
}

// ticked fills in the runs, and which of them are done.
func (e *Engine) ticked(out *wire.Planned, p *plan.Plan) {
	list := e.entries()
	t := plan.Tick(*p, e.made(list))
	out.Done, out.Missing = t.Count, t.Missing
	for k := range p.Runs {
		run := p.Row(k)
		row := wire.PlannedRun{Cell: run.Cell, Run: run.Run, Channel: run.Channel, Set: run.Set, Rate: run.Rate, Off: run.Off, Cutoff: run.Cutoff, SetCutoff: run.SetCutoff, Charge: run.Charge,
			Charges: run.Charges, Discharges: run.Discharges, Ends: run.Ends, ChargeTime: run.ChargeTime, RestTime: run.RestTime, DischargeTime: run.DischargeTime, Log: run.Log, State: "missing"}
		if n := t.Done[k]; n >= 0 {
			row.State, row.Done, row.DoneName = "done", list[n].id, list[n].name
		} else if k == t.Next {
			row.State = "next"
			out.Next = say.With("Next: %s at %s to %s, on channel %d.", run.Cell, run.Set, run.SetCutoff, run.Channel)
		}
		out.Runs = append(out.Runs, row)
	}
	if t.Next < 0 && len(p.Runs) > 0 {
		out.Next = say.Text("All of the plan is done.")
	}
	for _, o := range t.Off {
		x := list[o.Done]
		out.Off = append(out.Off, wire.PlanOff{Run: x.id, Name: x.name, Cell: x.cell, Why: o.Why})
	}
	for k, c := range p.Channels {
		x := wire.PlanChannel{Channel: c.Number, Cells: c.Cells, Hours: e.words.Fixed(c.Hours, 1) + " h", From: plan.When(c.Start), To: plan.When(c.End)}
		if n := t.NextOn[k]; n >= 0 {
			x.Next = say.With("%s at %s", p.Runs[n].Cell, p.Row(n).Set)
		}
		out.Channels = append(out.Channels, x)
	}
	for _, x := range p.Checklist {
		out.Tasks = append(out.Tasks, wire.PlanTask{When: plan.When(x.When), Text: x.Text, Done: x.Run >= 0 && t.Fulfilled(x.Run)})
	}
}

// planFile writes the plan in a format to keep.
func (e *Engine) planFile(format string, offsets []wire.Offset) wire.Reply {
	zone, known := zoneOf(offsets)
	r, _, _ := e.planRequest(zone)
	p := e.makePlan(r)
	t := plan.Tick(p, e.made(e.entries()))
	name, kind, write := "plan.md", "text/markdown;charset=utf-8", plan.Markdown
	switch format {
	case "markdown":
	case "csv":
		name, kind, write = "plan.csv", "text/csv;charset=utf-8", plan.CSV
	case "calendar":
		name, kind, write = "plan.ics", "text/calendar;charset=utf-8", func(w io.Writer, p plan.Plan, _ plan.Ticked) error {
			return plan.ICalendar(w, p, plan.CalendarOptions{Stamp: now(), Floating: !known})
		}
	default:
		return wire.Reply{Error: say.With("A plan cannot be written as %s.", clip(format))}
	}
	var b bytes.Buffer
	if err := write(&b, p, t); err != nil {
		if errors.Is(err, plan.ErrNoEvents) {
			return wire.Reply{Error: sentence(err.Error())}
		}
		return wire.Reply{Error: err.Error()}
	}
	return wire.Reply{Download: &wire.Download{Name: name, Type: kind, Text: b.String()}}
}
