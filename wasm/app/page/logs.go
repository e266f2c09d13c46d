//go:build js && wasm

package page

import (
	"fmt"
	"strconv"
	"strings"

	"honnef.co/go/js/dom/v2"

	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// renderLogs lists what wants attention in the open: logs that wait, that ask,
// that are refused, that had rows left out or were read by remembered rules.
// The others are folded away below.
func (p *page) renderLogs() {
	p.logsDue = false
	if len(p.waiting) > 0 {
		find("body").SetAttribute("data-state", "loaded")
	}
	back := whereabouts()
	var open, folded []dom.Node
	only := ""
	for _, f := range p.view.Files {
		switch {
		case p.isWaiting(f.ID): // it is read again, and listed below
		case f.State == "read" && f.Left == 0 && !p.recalled[f.ID]:
			folded = append(folded, p.logItemOf(f))
			only = f.Name
		default:
			open = append(open, p.logItemOf(f))
		}
	}
	for _, w := range p.waiting {
		open = append(open, el("li", with("class=log waiting", "data-id="+strconv.Itoa(w.ID)),
			el("div", with("class=log-head"),
				el("strong", with("class=log-name"), w.Name),
				act("cancel", w.ID, say.Text("Stop"), say.With("Stop reading %s", w.Name))),
			el("progress", with("aria-label="+say.With("Reading %s", w.Name), "max=1", "value=0")),
			el("p", with("class=log-summary"), say.Text("waiting to be read"))))
	}
	refillWith(byID("logs-list"), open)
	refillWith(byID("logs-read"), folded)
	show(closest(byID("logs-read"), "details"), len(folded) > 0)
	title := say.With("%d logs read", len(folded))
	if len(folded) == 1 {
		title = say.With("1 log read: %s", only)
	}
	byID("logs-read-title").SetTextContent(title)
	for _, w := range p.waiting {
		p.renderProgress(w)
	}
	back()
}

// logKept is a log's item in the list, and what it was made for.
type logKept struct {
	made string
	item dom.Element
}

// logItemOf is a log's item, the one there is where nothing of it has changed.
func (p *page) logItemOf(f wire.File) dom.Element {
	made := fmt.Sprint(f.Name, f.State, f.Question, f.About, f.Column, f.Key, f.Ruled, f.Summary, f.Guess, f.Notes, f.Left, len(f.LeftOut), f.Fault, f.Hint,
		p.recalled[f.ID], p.lookable[f.ID], p.keys[f.ID])
	if was, ok := p.logItems[f.ID]; ok && was.made == made {
		return was.item
	}
	item := p.logItem(f)
	p.logItems[f.ID] = logKept{made, item}
	return item
}

// whereabouts notes what is unfolded in the list of logs and where the focus
// is; the list is made anew, and what is returned puts both back.
func whereabouts() (back func()) {
	var selectors []string
	for _, d := range findAll("#logs li details[open]") {
		if li := closest(d, "li[data-id]"); li != nil {
			selectors = append(selectors, fmt.Sprintf(`#logs li[data-id="%s"] details[data-part="%s"]`,
				li.GetAttribute("data-id"), d.GetAttribute("data-part")))
		}
	}
	held := ""
	active := wrap(doc.Underlying().Get("activeElement"))
	if active != nil {
		if li := closest(active, "#logs li[data-id]"); li != nil {
			held = fmt.Sprintf(`#logs li[data-id="%s"] `, li.GetAttribute("data-id"))
			if d := closest(active, "details"); d != nil && active.TagName() == "SUMMARY" {
				held += fmt.Sprintf(`details[data-part="%s"] summary`, d.GetAttribute("data-part"))
			} else {
				held += fmt.Sprintf(`button[data-act="%s"]`, active.GetAttribute("data-act"))
			}
		}
	}
	return func() {
		for _, s := range selectors {
			if d := find(s); d != nil {
				d.Underlying().Set("open", true)
			}
		}
		if held == "" {
			return
		}
		if e := find(held); e != nil {
			focus(e)
		} else {
			focus(byID("logs-title"))
		}
	}
}

func (p *page) renderProgress(w *waiting) {
	item := find(fmt.Sprintf(`#logs-list li[data-id="%d"]`, w.ID))
	if item == nil || w.Total == 0 {
		return
	}
	bar := findIn(item, "progress").Underlying()
	bar.Set("max", w.Total)
	bar.Set("value", w.Bytes)
	words := quantity.Words{}
	findIn(item, ".log-summary").SetTextContent(say.With("%s of %s, %s rows, %s/s",
		words.Bytes(w.Bytes), words.Bytes(w.Total), words.Count(w.Rows), words.Bytes(int64(w.Rate))))
}

// act is a button that does something to a log. Its name for those who do not
// see the page has the log's in it.
func act(do string, file int, text, label string) dom.Element {
	class := "class=quiet"
	if do == "answer" {
		class = "class=primary"
	}
	return el("button", with("type=button", class, "data-act="+do, "data-file="+strconv.Itoa(file), "aria-label="+label), text)
}

func (p *page) logItem(f wire.File) dom.Element {
	item := el("li", with("class=log "+f.State, "data-id="+strconv.Itoa(f.ID)),
		el("div", with("class=log-head"),
			el("strong", with("class=log-name"), f.Name),
			act("remove", f.ID, say.Text("Remove"), say.With("Remove %s", f.Name))))
	line := func(class, text string) {
		if text != "" {
			item.AppendChild(el("p", with("class="+class), text))
		}
	}
	if f.State == "asks" {
		item.AppendChild(el("p", with("class=log-question"),
			el("strong", nil, f.Question), " ", say.Text("No figures are given until it is answered.")))
	}
	if f.Fault != "" && f.State != "asks" {
		line("log-fault", strings.TrimSuffix(f.Fault, ".")+".")
	}
	line("log-hint", f.Hint)
	if f.State == "asks" && p.canReopen(f.ID) {
		item.AppendChild(act("answer", f.ID, say.Text("Answer"), say.With("Answer the question about %s", f.Name)))
	}
	line("log-summary", f.Summary)
	for _, n := range f.Notes {
		line("log-note", n)
	}
	p.ruled(f, item)
	if f.Left > 0 {
		item.AppendChild(leftOut(f))
	}
	item.AppendChild(p.acts(f))
	return item
}

// ruled says whose rules a log was read by, where not by the reader's guess.
func (p *page) ruled(f wire.File, item dom.Element) {
	if !f.Ruled {
		return
	}
	text := say.Text("Read the way you set.")
	if p.recalled[f.ID] {
		text = say.Text("Read by the rules you set for an earlier log with the same header, which were remembered. Look whether they fit this one too.")
	}
	note := el("p", with("class=log-note log-ruled"), text)
	if p.canReopen(f.ID) {
		note.AppendChild(act("reset", f.ID, say.Text("Reset"), say.With("Reset: read %s by Plateau’s own guess", f.Name)))
	}
	item.AppendChild(note)
}

// acts are how a log was read, and what can be done with it besides taking it
// out.
func (p *page) acts(f wire.File) dom.Element {
	box := el("div", with("class=log-acts"))
	if f.Guess != "" {
		box.AppendChild(el("details", with("class=log-guess", "data-part=guess"),
			el("summary", nil, say.Text("How it was read")), el("p", nil, f.Guess+".")))
	}
	if p.canReopen(f.ID) && (f.State == "read" || p.lookable[f.ID]) {
		box.AppendChild(act("map", f.ID, say.Text("Change how it is read"), say.With("Change how it is read: %s", f.Name)))
	}
	if f.State == "read" {
		box.AppendChild(act("bdf", f.ID, say.Text("Save trace as BDF CSV"), say.With("Save trace as BDF CSV: %s", f.Name)))
	}
	box.AppendChild(act("report", f.ID, say.Text("Copy diagnostics"), say.With("Copy diagnostics of %s", f.Name)))
	return box
}

func leftOut(f wire.File) dom.Element {
	list := el("ul", with("class=left-out"))
	for _, x := range f.LeftOut {
		list.AppendChild(el("li", nil, say.With("line %d: %s", x.Line, x.Reason)))
	}
	if more := f.Left - len(f.LeftOut); more > 0 {
		list.AppendChild(el("li", nil, say.With("and %d more", more)))
	}
	title := counted(f.Left, say.Later("1 row left out"), say.Later("%d rows left out"))
	return el("details", with("class=log-left", "data-part=left"), el("summary", nil, title), list)
}
