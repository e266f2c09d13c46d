//go:build js && wasm

package page

import (
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// planning is what the section for the plan remembers.
type planning struct {
	one     *section
	last    wire.Planned
	sent    int               // what was typed and is not answered yet
	tester  map[string]string // what the plan finds wrong at the tester's fields
	offsets []wire.Offset
	around  *string // the start that they are for
	unfolds bool    // it was unfolded by itself once
}

const fewCurrents = 4 // fields that there are at least

// planTexts are the fields of a plan that hold a text, in the order of planFields;
// planTicks the boxes, in that of their elements.
func planTexts(w *wire.Plan) [6]*string {
	return [...]*string{&w.Start, &w.Repeats, &w.Rest, &w.RestDischarged, &w.HoursFrom, &w.HoursTo}
}

func planTicks(w *wire.Plan) [5]*bool {
	return [...]*bool{&w.HighRate, &w.Closing, &w.Pretest, &w.Unattended, &w.Hours}
}

// planFields are the fields as the engine names them. Their elements have these
// names, too.
var (
	planFields = [...]string{"start", "repeats", "rest", "restDischarged", "hoursFrom", "hoursTo"}
	planBoxes  = [...]string{"plan-high", "plan-closing", "plan-pretest", "plan-alone", "plan-hours"}
)

func (p *page) listenPlan(one *section) {
	one.always, p.plans.one = true, one
	makeCurrents(fewCurrents)
	on(byID("plan-form"), "change", func(t dom.Element) {
		splitCurrents(t)
		p.commitPlan()
	})
	on(byID("plan"), "click", func(t dom.Element) {
		b := closest(t, "button")
		if b == nil {
			return
		}
		switch b.ID() {
		case "plan-add":
			if len(p.view.Cells) > 0 { // of which nothing is known yet
				p.goTo("rated", p.view.Cells[0].Name)
				return
			}
			p.addCell()
		case "inspect-open": // see listenInspect
		case "plan-more":
			p.addCell()
		case "plan-csv":
			p.planFile("save", "csv")
		case "plan-calendar":
			p.planFile("save", "calendar")
		case "plan-copy":
			p.planFile("command", "markdown")
		case "plan-print":
			p.printPlan()
		default:
			p.goTo(b.GetAttribute("data-field-of"), b.GetAttribute("data-cell-of"))
		}
	})
	on(byID("plan-checklist"), "toggle", func(dom.Element) { p.renderTasks() })
}

// planCommand asks for the plan as the engine has it.
func (p *page) planCommand() wire.Command {
	return wire.Command{Do: "planned", Offsets: p.planOffsets()}
}

func (p *page) planOffsets() []wire.Offset {
	g := &p.plans
	if start := value(byID("plan-start")); g.around == nil || *g.around != start {
		g.around, g.offsets = &start, clockOffsets(start)
	}
	return g.offsets
}

// typedPlan reads the form.
func (p *page) typedPlan() *wire.Plan {
	w := &wire.Plan{}
	for k, at := range planTexts(w) {
		*at = strings.TrimSpace(value(byID("plan-" + planFields[k])))
	}
	for k, at := range planTicks(w) {
		*at = checked(byID(planBoxes[k]))
	}
	for _, e := range findAllIn(byID("plan-currents"), "input") {
		w.Currents = append(w.Currents, strings.TrimSpace(value(e)))
	}
	for n := len(w.Currents); n > 0 && w.Currents[n-1] == ""; n-- {
		w.Currents = w.Currents[:n-1]
	}
	for _, name := range p.plans.last.Plan.Without {
		if !slices.ContainsFunc(p.plans.last.Cells, func(c wire.PlanCell) bool { return c.Cell == name }) {
			w.Without = append(w.Without, name)
		}
	}
	for _, e := range findAllIn(byID("plan-cells"), "input") {
		if !checked(e) {
			w.Without = append(w.Without, e.GetAttribute("data-plan-cell"))
		}
	}
	for day := range 7 {
		if checked(byID("plan-day-" + strconv.Itoa(day))) {
			w.Days = append(w.Days, day)
		}
	}
	switch {
	case slices.Equal(w.Days, workdays):
		w.Days = nil
	case len(w.Days) == 0:
		w.Days = []int{noDay}
	}
	return w
}

var workdays = []int{1, 2, 3, 4, 5} // what no list of days means

const noDay = -1 // in such a list: not even these

func (p *page) commitPlan() {
	p.plans.sent++
	p.ask(wire.Command{Do: "plan", Plan: p.typedPlan(), Offsets: p.planOffsets()}, func(r wire.Reply, _ js.Value) {
		p.plans.sent--
		if r.Error != "" {
			alarm(r.Error)
		}
		if r.Planned != nil {
			p.renderPlanned(r, js.Undefined())
			tell(p.plans.firstWrong())
		}
		p.plans.one.text = ""
		p.askView() // it can be undone now
	})
}

// firstWrong is the first thing that is wrong with a plan, or the plan in a line.
func (g *planning) firstWrong() string {
	for _, why := range g.last.Errors {
		return why
	}
	for _, f := range g.last.Findings {
		if f.Check.Severity == "fault" {
			return f.Check.Text
		}
	}
	return g.last.Summary + g.last.Why
}

// makeCurrents makes as many fields for currents as asked for.
func makeCurrents(n int) {
	row := byID("plan-currents")
	boxes := findAllIn(row, ".box")
	for k, box := range boxes {
		if k >= n && !hasFocus(findIn(box, "input")) {
			box.Underlying().Call("remove")
		}
	}
	for k := len(boxes); k < n; k++ {
		number := strconv.Itoa(k)
		row.AppendChild(el("div", with("class=box"), blank("plan-current-"+number, "currents."+number, "size=7", "maxlength=200", "aria-label="+say.With("Current %d", k+1))))
	}
}

// splitCurrents puts several currents typed into one field into one each.
func splitCurrents(at dom.Element) {
	field := at.GetAttribute("data-field")
	parts := strings.FieldsFunc(value(at), func(r rune) bool { return r == ';' || r == '\n' })
	if !strings.HasPrefix(field, "currents.") || len(parts) < 2 {
		return
	}
	var all []string
	for _, e := range findAllIn(byID("plan-currents"), "input") {
		if e.ID() == at.ID() {
			all = append(all, parts...)
		} else if text := value(e); strings.TrimSpace(text) != "" {
			all = append(all, text)
		}
	}
	makeCurrents(len(all) + 1)
	for k, e := range findAllIn(byID("plan-currents"), "input") {
		text := ""
		if k < len(all) {
			text = strings.TrimSpace(all[k])
		}
		setValue(e, text)
	}
}

// goTo brings the focus to the field that a finding is about: of the tester, of
// a cell or of the plan.
func (p *page) goTo(field, of string) {
	if name, ok := strings.CutPrefix(field, "tester."); ok {
		byID("tester").Underlying().Set("open", true)
		if name == "lead" && !checked(byID("tester-two-wire")) {
			name = "wires"
		}
		if e := findIn(byID("tester"), "[data-field='"+name+"']"); e != nil {
			focus(e)
		}
		return
	}
	if field == "hours" {
		field = "hoursFrom"
	}
	if e := findIn(byID("plan-form"), "[data-field='"+field+"']"); e != nil {
		focus(e)
		return
	}
	byID("cells-fold").Underlying().Set("open", true)
	if row := p.unfoldCell(of); row != nil {
		if e := findIn(row.item, "[data-field='"+field+"']"); e != nil {
			focus(e)
		}
	}
}

// planFile writes the plan, to be saved or to be copied.
func (p *page) planFile(by, format string) {
	c := p.planCommand()
	c.Text = format
	p.send(by, c, func(r wire.Reply, _ js.Value) {
		said := byID("plan-said")
		switch d := r.Download; {
		case d == nil:
			setText(said, r.Error)
		case by == "save":
			setText(said, say.With("%s was saved.", d.Name))
		default:
			text := byID("plan-text")
			setText(text, d.Text)
			show(text, true)
			p.copyText(d.Text, say.Text("The plan is copied as Markdown."), text, said)
		}
	})
}

// printPlan prints the plan and nothing else, with the checklist unfolded.
func (p *page) printPlan() {
	root := doc.Underlying().Get("documentElement")
	byID("plan-checklist").Underlying().Set("open", true)
	p.renderTasks()
	root.Call("setAttribute", "data-print-plan", "")
	var once js.Func
	once = callback(func([]js.Value) {
		once.Release()
		root.Call("removeAttribute", "data-print-plan")
	})
	js.Global().Call("addEventListener", "afterprint", once, map[string]any{"once": true})
	js.Global().Call("print")
}
