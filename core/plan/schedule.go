package plan

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"plateau/core/measure"
	"plateau/core/say"
)

// sound tells working hours in which somebody is there.
func (h *Hours) sound() bool {
	return h.From >= 0 && h.From < h.To && h.To <= 24*time.Hour && slices.Contains(h.Days[:], true)
}

// of are a day's hours, on the clock of t's location: 8:00 is 8:00 on the days
// on which the clock changes too.
func (h *Hours) of(t time.Time) (from, to time.Time, ok bool) {
	y, m, d := t.Date()
	at := func(x time.Duration) time.Time {
		return time.Date(y, m, d, 0, int(x/time.Minute), 0, 0, t.Location())
	}
	return at(h.From), at(h.To), h.Days[t.Weekday()]
}

// next is the first moment from t on at which somebody is there.
func (h *Hours) next(t time.Time) time.Time {
	if h == nil {
		return t
	}
	for day := range 9 {
		y, m, d := t.Date()
		from, to, ok := h.of(time.Date(y, m, d+day, 12, 0, 0, 0, t.Location()))
		if !ok || !t.Before(to) {
			continue
		}
		if t.Before(from) {
			return from
		}
		return t
	}
	return t
}

// within tells whether somebody is there all the time from a to b.
func (h *Hours) within(a, b time.Time) bool {
	if h == nil {
		return true
	}
	from, to, ok := h.of(a)
	return ok && !a.Before(from) && !b.After(to)
}

// schedule spreads the cells over the channels and gives each step its time.
//
// The cell with the most hours comes first, each to the channel that is free
// first (longest processing time first: R. L. Graham, "Bounds on multiprocessing
// timing anomalies", SIAM J. Appl. Math. 17, 1969, no worse than 4/3 of the
// best; paper cited from memory). A cell stays on one channel, since another one
// has other errors. What a hand does is taken to take no time.
func (p *planner) schedule() {
	order := make([]int, len(p.work))
	for k := range order {
		order[k] = k
	}
	sort.SliceStable(order, func(i, j int) bool { return p.work[order[i]].busy > p.work[order[j]].busy })
	free := make([]time.Duration, min(p.Tester.Channels, max(len(p.work), 1)))
	for _, k := range order {
		least := 0
		for n := range free {
			if free[n] < free[least] {
				least = n
			}
		}
		free[least] += p.work[k].busy
		p.work[k].channel = least + 1
	}
	for n := range free {
		ch := Channel{Number: n + 1}
		t := p.Request.Start
		for k := range p.work {
			w := &p.work[k]
			if w.channel != n+1 {
				continue
			}
			ch.Cells = append(ch.Cells, w.runs[0].Cell)
			for r := range w.runs {
				w.runs[r].Channel = ch.Number
				t = p.place(&w.runs[r], t, w.rest)
				if first := w.runs[r].Steps[0].Start; len(ch.Cells) == 1 && r == 0 {
					ch.Start = first
				}
				ch.Hours += w.runs[r].Hours()
			}
			ch.End = t
			p.Runs = append(p.Runs, w.runs...)
		}
		if len(ch.Cells) > 0 {
			p.Channels = append(p.Channels, ch)
			p.Plan.Hours += ch.Hours
		}
	}
	sort.SliceStable(p.Runs, func(i, j int) bool {
		a, b := p.Runs[i].Discharges().Start, p.Runs[j].Discharges().Start
		return cmp.Or(a.Compare(b), cmp.Compare(p.Runs[i].Channel, p.Runs[j].Channel)) < 0
	})
}

// place gives a run's steps their times, from t on, and returns when the channel
// is free again.
func (p *planner) place(r *Run, t time.Time, rest window) time.Time {
	h := p.hours
	steps := r.Steps
	fix := func(k int, at time.Time, hand bool) time.Time {
		s := &steps[k]
		s.Start, s.End, s.Hand = at, at.Add(s.Lasts), hand
		if hand && !h.within(at, at) {
			s.Outside = true
		}
		s.Night = s.Kind != Rest && !h.within(s.Start, s.End)
		return s.End
	}
	// stretch has the rest before step k last until that starts.
	stretch := func(k int, until time.Time) {
		steps[k-1].End, steps[k-1].Lasts = until, until.Sub(steps[k-1].Start)
	}
	k, hand := 0, true // the first step is started by hand in any case
	if r.EmptyFirst {
		t = fix(0, h.next(t), true)
		t = fix(1, t, false)
		k, hand = 2, !p.Unattended
	}
	charge, discharge := steps[k].Lasts, t
	switch {
	case hand && !p.Unattended:
		t, discharge = p.meet(r, h.next(t), charge, rest)
	case hand:
		t = h.next(t)
		discharge = t.Add(charge + rest.least)
	default:
		discharge = t.Add(charge + rest.least)
	}
	if k > 0 {
		stretch(k, t)
	}
	fix(k+1, fix(k, t, hand), false)
	stretch(k+2, discharge)
	return fix(k+3, fix(k+2, discharge, !p.Unattended), false)
}

// meet looks for a start of the charge, from t on, and one of the discharge, both
// in working hours, with a rest between them that is neither too short nor too
// long. Where there is none within some weeks, the discharge starts after the
// shortest rest, and that is said.
func (p *planner) meet(r *Run, t time.Time, charge time.Duration, rest window) (start, discharge time.Time) {
	h, at := p.hours, t
	for range 60 {
		full := at.Add(charge)
		discharge = h.next(full.Add(rest.least))
		late := discharge.Sub(full.Add(rest.most))
		if late <= 0 {
			return at, discharge
		}
		at = h.next(at.Add(late))
	}
	p.of = r.Cell
	p.say(measure.Caution, "hours", ruleRest, say.Later("Widen the hours, have the tester go on by itself, or start it outside them."),
		say.Later("No charge and discharge can both be started within the working hours with the right rest between them: discharges start outside them."))
	p.of = ""
	return t, t.Add(charge + rest.least)
}
