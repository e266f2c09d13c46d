//go:build js && wasm

package page

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// At a field with so much said, in bytes, what else there is to say is not.
const muchSaid = 120

func (p *page) renderPlanned(r wire.Reply, _ js.Value) {
	g := &p.plans
	if r.Planned == nil || g.sent > 0 { // another answer is on its way
		g.one.text = ""
		return
	}
	g.last = *r.Planned
	a := &g.last
	there := len(a.Cells) > 0
	show(byID("plan-none"), !there)
	show(byID("plan-fold"), there)
	if there && !g.unfolds && len(p.view.Files)+len(p.waiting) == 0 {
		byID("plan-fold").Underlying().Set("open", true)
	}
	g.unfolds = g.unfolds || there
	p.fillPlan()
	p.sayAtFields()
	next := a.Next
	if next == "" {
		next = say.Text("What to discharge, and when")
	}
	setText(byID("plan-next"), next)
	state := ""
	if len(a.Runs) > 0 {
		state = say.With("%d of %d done", a.Done, len(a.Runs))
	}
	setText(byID("plan-state"), state)
	setWhy("plan-why", a.Why, "plan-made")
	setText(byID("plan-summary"), a.Summary)
	p.renderPlanRuns()
	byID("plan-calendar").Underlying().Set("disabled", !a.Dated || len(a.Runs) == 0)
	byID("plan-calendar").SetAttribute("title", map[bool]string{false: say.Text("Say when the work begins, and the plan has dates.")}[a.Dated])
	var left, off []string
	var of [][]string // cells, by what is said of them
	var runs []wire.PlanLeft
	for _, l := range a.Left {
		k := slices.IndexFunc(runs, func(r wire.PlanLeft) bool { return r.Current == l.Current && r.Why == l.Why })
		if k < 0 {
			k = len(runs)
			runs, of = append(runs, l), append(of, nil)
		}
		of[k] = append(of[k], l.Cell)
	}
	for k, r := range runs {
		what := few(of[k])
		if r.Current != "" {
			what = say.With("%s at %s", what, r.Current)
		}
		left = append(left, what+": "+r.Why)
	}
	for _, o := range a.Off {
		off = append(off, o.Name+": "+o.Why)
	}
	setList("plan-left-list", left)
	show(byID("plan-left"), len(left) > 0)
	setList("plan-off-list", off)
	show(byID("plan-off"), len(off) > 0)
	setText(byID("plan-off-count"), strconv.Itoa(len(off)))
	p.renderPlanFindings()
	done := 0
	for _, t := range a.Tasks {
		if t.Done {
			done++
		}
	}
	setText(byID("plan-tasks-count"), say.With("%d steps, %d done", len(a.Tasks), done))
	p.renderTasks()
	setList("plan-assumed", a.Assumed)
	setList("plan-cautions", a.Cautions)
}

// fillPlan shows the plan's form as the engine has it. What is being typed stays.
func (p *page) fillPlan() {
	a := &p.plans.last
	w := a.Plan
	for k, at := range planTexts(&w) {
		if e := byID("plan-" + planFields[k]); !hasFocus(e) {
			setValue(e, *at)
		}
	}
	for k, at := range planTicks(&w) {
		byID(planBoxes[k]).Underlying().Set("checked", *at)
	}
	show(byID("plan-working"), w.Hours)
	days := w.Days
	if len(days) == 0 {
		days = workdays
	}
	for day := range 7 {
		byID("plan-day-"+strconv.Itoa(day)).Underlying().Set("checked", slices.Contains(days, day))
	}
	var rows []markup
	for _, c := range a.Cells {
		rows = append(rows, mk("li", nil, mk("label", with("class=tick-box"), mk("input", with("type=checkbox", "data-plan-cell="+c.Cell)), c.Cell)))
	}
	putRows(byID("plan-cells"), rows)
	for k, e := range findAllIn(byID("plan-cells"), "input") {
		e.Underlying().Set("checked", k < len(a.Cells) && a.Cells[k].In)
	}
	makeCurrents(max(fewCurrents, len(w.Currents)+1))
	for k, e := range findAllIn(byID("plan-currents"), "input") {
		text := ""
		if k < len(w.Currents) {
			text = w.Currents[k]
		}
		if !hasFocus(e) {
			setValue(e, text)
		}
	}
	setText(findIn(byID("plan-tester"), "span"), testerLine(&p.view.Tester))
}

// testerLine is what the plan reckons with of a tester.
func testerLine(t *wire.Tester) string {
	known := func(text, unit, or string) string {
		if text == "" {
			return or
		}
		return withUnit(text, unit)
	}
	unknown := say.Text("(not entered)")
	wires := say.Text("four-wire")
	if t.Wires == "2" {
		wires = say.With("two-wire, leads and contacts %s", known(t.Lead, "mΩ", unknown))
	}
	return say.With("Tester: current up to %s · power up to %s · steps of the set current: %s · channels: %s · %s.",
		known(t.MaxCurrent, "A", unknown), known(t.MaxPower, "W", unknown), known(t.Step, "mA", say.Text("as fine as it reads")), known(t.Channels, "", "1"), wires)
}

// sayAtFields says what is wrong at the fields that it comes from: what is typed
// for the plan, and what the tester cannot do.
func (p *page) sayAtFields() {
	a := &p.plans.last
	said, wrong, tester := map[string]string{}, map[string]bool{}, map[string]string{}
	more := say.Text("There is more among the remarks.")
	for field, why := range a.Errors {
		said[field], wrong[field] = why, true
	}
	for _, f := range a.Findings {
		if f.Check.Severity == "note" {
			continue
		}
		text := f.Check.Text
		if n := len(f.Cells); n > 3 {
			text = cellsOf(n) + ": " + text
		} else if n > 0 {
			text = few(f.Cells) + ": " + text
		}
		field := f.Field
		if name, ok := strings.CutPrefix(field, "tester."); ok && f.Check.Severity == "fault" {
			tester[name] = say.With("For the plan: %s", text)
		}
		if f.Current >= 0 {
			field = "currents." + strconv.Itoa(f.Current)
		}
		wrong[field] = wrong[field] || f.Check.Severity == "fault"
		if !strings.HasSuffix(said[field], more) {
			if len(said[field]) > muchSaid {
				text = more
			}
			said[field] = strings.TrimSpace(said[field] + " " + text)
		}
	}
	said["hoursFrom"] = strings.TrimSpace(said["hoursFrom"] + " " + said["hours"])
	wrong["hoursFrom"] = wrong["hoursFrom"] || wrong["hours"]
	for _, e := range findAllIn(byID("plan-form"), "[data-field]") {
		field := e.GetAttribute("data-field")
		setWrong(e, said[field])
		e.SetAttribute("aria-invalid", strconv.FormatBool(wrong[field]))
	}
	setText(byID("plan-cells-said"), strings.TrimSpace(said["cells"]+" "+said["currents"]))
	if fmt.Sprint(tester) != fmt.Sprint(p.plans.tester) {
		p.plans.tester = tester
		p.renderTester()
	}
}

// Classes of the columns, after the first.
var (
	runClasses     = []string{"words", "", "", "", "", "left", "", "", "", "", "when", "when", "when"}
	channelClasses = []string{"words", "", "when", "when", "words"}
)

var planStates = map[string]string{"next": say.Later("next"), "missing": say.Later("missing")}

func (p *page) renderPlanRuns() {
	a := &p.plans.last
	setAttribute(byID("plan-made"), "data-dated", strconv.FormatBool(a.Dated))
	var rows, channels []markup
	cells := func(row markup, classes []string, texts ...string) markup {
		for k, text := range texts {
			row += mk("td", with("class="+classes[k]), text)
		}
		return row
	}
	for _, r := range a.Runs {
		state := say.Text(planStates[r.State])
		if r.State == "done" {
			state = say.With("✓ done: %s", r.DoneName)
		}
		cutoff := r.SetCutoff
		if r.Cutoff != cutoff {
			cutoff = say.With("%s for %s at the cell", cutoff, r.Cutoff)
		}
		rows = append(rows, mk("tr", with("class="+r.State), cells(mk("th", with("scope=row"), r.Cell+" ", mk("small", nil, r.Run)), runClasses,
			state, r.Set, r.Rate, r.Off, cutoff, r.Charge, r.ChargeTime, r.RestTime, r.DischargeTime, strconv.Itoa(r.Channel), r.Charges, r.Discharges, r.Ends)))
	}
	for _, c := range a.Channels {
		channels = append(channels, mk("tr", nil, cells(mk("th", with("scope=row"), strconv.Itoa(c.Channel)), channelClasses,
			few(c.Cells), c.Hours, c.From, c.To, c.Next)))
	}
	putRows(byID("plan-runs"), rows)
	show(closest(byID("plan-table"), ".scroll"), len(rows) > 0)
	putRows(byID("plan-channels"), channels)
	show(closest(byID("plan-channels"), ".scroll"), len(channels) > 0)
}

// few are names, as many as can be read in a line.
func few(names []string) string {
	const most = 6
	if more := len(names) - most; more > 1 {
		return say.With("%s and %d more", strings.Join(names[:most], ", "), more)
	}
	return strings.Join(names, ", ")
}

// renderPlanFindings lists all that is to be said of the plan; what is about
// safety stands before it.
func (p *page) renderPlanFindings() {
	var list []*danger
	for _, f := range p.plans.last.Findings {
		of, text := "", markup("")
		if len(f.Cells) > 0 {
			of = f.Cells[0]
			text = mk("strong", nil, few(f.Cells)+": ")
		}
		text += mkText(f.Check.Text + " ")
		if f.Field != "cells" && f.Field != "currents" {
			text += mk("button", with("type=button", "class=quiet", "data-field-of="+f.Field, "data-cell-of="+of, "aria-label="+say.With("Go to the field: %s", f.Check.Text)), say.Text("Go to the field"))
		}
		list = grouped(list, f.Check, mk("p", with("class=said"), text))
	}
	var dangers, rest []markup
	for _, d := range list {
		item := mkCheck(d.check, d.said)
		if d.check.Safety {
			dangers = append(dangers, item)
		} else {
			rest = append(rest, item)
		}
	}
	putRows(byID("plan-dangers"), dangers)
	putRows(byID("plan-findings-list"), rest)
	show(byID("plan-findings"), len(rest) > 0)
	setText(byID("plan-findings-count"), strconv.Itoa(len(rest)))
}

// renderTasks lists the checklist once it is unfolded: it is long.
func (p *page) renderTasks() {
	if !byID("plan-checklist").Underlying().Get("open").Bool() {
		return
	}
	var rows []markup
	for _, t := range p.plans.last.Tasks {
		box, class := "☐ ", ""
		if t.Done {
			box, class = "☑ ", "done"
		}
		words := mkText(t.Text)
		if t.Done {
			words += mk("span", with("class=unseen"), " ", say.Text("(done)"))
		}
		rows = append(rows, mk("li", with("class="+class), mk("span", with("aria-hidden=true"), box), mk("span", with("class=when"), t.When), mk("span", nil, words)))
	}
	putRows(byID("plan-tasks"), rows)
}
