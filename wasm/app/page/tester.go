//go:build js && wasm

package page

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// kinds of a tester's ranges, with the units of what is typed.
var rangeKinds = []struct{ name, title, unit string }{{"voltage", say.Later("Voltage range"), "V"}, {"current", say.Later("Current range"), "A"}}

func (p *page) listenTester() {
	form := byID("tester")
	on(form, "change", func(dom.Element) { p.commitTester() })
	on(form, "click", func(t dom.Element) {
		b := closest(t, "button[data-range]")
		if b == nil {
			return
		}
		kind, act, _ := strings.Cut(b.GetAttribute("data-range"), " ")
		rows := len(findAllIn(byID(kind+"-ranges"), "tr"))
		if act == "add" {
			makeRanges(kind, rows+1)
			focus(findIn(byID(kind+"-ranges"), "tr:last-child input"))
			return
		}
		k, err := strconv.Atoi(act)
		t2, ok := p.typedTester()
		if err != nil || !ok {
			return
		}
		for _, list := range []*[]wire.Range{&t2.Voltage, &t2.Current} {
			if (list == &t2.Voltage) == (kind == "voltage") && k < len(*list) {
				*list = slices.Delete(*list, k, k+1)
			}
		}
		makeRanges(kind, rows-1)
		fillForm(form, &t2, nil) // the last row went; the values move up at once
		focus(byID(kind + "-add"))
		p.sendTester(&t2)
	})
	on(byID("tester-forget"), "click", func(dom.Element) {
		for _, k := range rangeKinds {
			makeRanges(k.name, 1)
		}
		p.sendTester(nil)
		fillForm(form, wire.Tester{}, nil)
		tell(say.Text("The tester’s specification is forgotten."))
	})
	on(byID("results-assumed"), "click", func(t dom.Element) {
		if closest(t, "button") != nil {
			byID("tester").Underlying().Set("open", true)
			focus(findIn(byID("tester"), "summary"))
			byID("cells").Underlying().Call("scrollIntoView")
		}
	})
	for _, k := range rangeKinds {
		makeRanges(k.name, 1)
	}
}

// makeRanges makes the rows of a table of ranges as many as asked for, one at
// least.
func makeRanges(kind string, n int) {
	body := byID(kind + "-ranges")
	rows := findAllIn(body, "tr")
	for _, row := range rows[min(len(rows), max(n, 1)):] {
		row.Underlying().Call("remove")
	}
	for _, k := range rangeKinds {
		for i := len(rows); k.name == kind && i < max(n, 1); i++ {
			title := say.Text(k.title) + " " + strconv.Itoa(i+1)
			tr := el("tr", nil)
			for _, f := range [][3]string{{"upTo", say.Text("up to") + " / " + k.unit, say.Text("all")}, {"gain", say.Text("gain") + " / %", ""},
				{"offset", say.Text("offset") + " / m" + k.unit, ""}, {"resolution", say.Text("resolution") + " / m" + k.unit, ""}} {
				field := kind + "." + strconv.Itoa(i) + "." + f[0]
				tr.AppendChild(el("td", with("class=box"),
					blank("tester-"+strings.ReplaceAll(field, ".", "-"), field, "inputmode=decimal", "placeholder="+f[2], "aria-label="+title+", "+f[1])))
			}
			tr.AppendChild(el("td", nil, el("button", with("type=button", "class=quiet", "data-range="+kind+" "+strconv.Itoa(i), "aria-label="+say.With("Remove %s", title)), say.Text("Remove"))))
			body.AppendChild(tr)
		}
	}
}

func (p *page) typedTester() (t wire.Tester, ok bool) {
	if err := readForm(byID("tester"), &t); err != nil {
		alarm(say.With("The tester’s specification cannot be taken: %s", err))
		return t, false
	}
	return t, true
}

func (p *page) commitTester() {
	if t, ok := p.typedTester(); ok {
		p.sendTester(&t)
	}
}

// sendTester tells the engine of the tester, nil for unknown, and keeps it for
// the next visit.
func (p *page) sendTester(t *wire.Tester) {
	p.bench.keepTester(t)
	p.set(wire.Command{Do: "tester", Tester: t}, func(v *wire.View) map[string]string { return v.Tester.Errors })
}

// set sends what was typed into a form. While an answer is on its way, forms are
// not filled from views that do not know of it yet. The first thing that is
// wrong is said.
func (p *page) set(c wire.Command, wrong func(*wire.View) map[string]string) {
	p.setting++
	p.ask(c, func(r wire.Reply, _ js.Value) {
		p.setting--
		if r.Error != "" {
			alarm(r.Error)
		}
		if r.View == nil {
			return
		}
		p.render(r.View)
		for _, why := range wrong(r.View) {
			tell(why)
			break
		}
	})
}

// hasSpecification tells whether anything is said of a tester that figures
// depend on.
func hasSpecification(t *wire.Tester) bool {
	return len(t.Voltage)+len(t.Current) > 0 || t.TimeBase+t.Temperature+t.Wires+t.Lead+t.LeadError != ""
}

func (p *page) renderTester() {
	if p.setting > 0 {
		return
	}
	t := &p.view.Tester
	state, assuming := t.Name, say.Text("The tester is described in part: for the rest, the tolerances that IEC 61960-3 allows are assumed.")
	if state == "" {
		state = say.Text("described")
	}
	if t.Checked != "" {
		state += ", " + say.With("checked %s", t.Checked)
	}
	switch {
	case t.Known:
	case hasSpecification(t):
		state += "; " + say.Text("what is not said of it is assumed, as IEC 61960-3 allows")
	default:
		state = say.Text("not described; the tolerances that IEC 61960-3 allows are assumed")
		assuming = say.Text("The tester is not described: the tolerances that IEC 61960-3 allows are assumed.")
	}
	setText(byID("tester-state"), state)
	setText(findIn(byID("results-assumed"), "span"), assuming)
	show(byID("results-assumed"), !t.Known)
	var assumed []dom.Node
	for _, a := range t.Assumed {
		assumed = append(assumed, el("li", nil, a))
	}
	fill(byID("tester-assumed"), assumed)
	for _, k := range rangeKinds {
		n := len(t.Voltage)
		if k.name == "current" {
			n = len(t.Current)
		}
		makeRanges(k.name, max(n, len(findAllIn(byID(k.name+"-ranges"), "tr"))))
	}
	wrong := map[string]string{}
	maps.Copy(wrong, p.plans.tester) // where the plan cannot be done with it
	maps.Copy(wrong, t.Errors)
	fillForm(byID("tester"), t, wrong)
	show(byID("tester-lead"), checked(byID("tester-two-wire")))
}
