//go:build js && wasm

package page

import (
	"slices"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/core/say"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

const (
	// A link's text begins with its version, and is longer than the name of any
	// section.
	linkBegins  = "#1"
	shortest    = 30
	mostTakenIn = 64 // logs that a link can come to
)

// linking is what the page remembers of the link that it makes, and of the one
// that it was opened by.
type linking struct {
	out     map[string]bool // parts that are left out
	private bool
	fit     int
	made    wire.LinkMade
	opened  string
}

func (p *page) listenLink() {
	p.linking.out = map[string]bool{}
	ask := func() { p.askLink() }
	on(byID("link-fold"), "toggle", func(dom.Element) { ask() })
	on(byID("link-parts"), "change", func(t dom.Element) {
		for _, part := range p.linking.made.Parts { // what was left out to fit stays out
			p.linking.out[part.Key] = !part.In && part.Key != "private notes"
		}
		key := t.GetAttribute("data-part-of")
		if key == "private notes" {
			p.linking.private = checked(t)
		} else {
			p.linking.out[key] = !checked(t)
		}
		p.linking.fit = 0
		ask()
	})
	on(byID("link-tolerance"), "input", func(dom.Element) { ask() })
	on(byID("link-fit"), "click", func(t dom.Element) {
		if b := closest(t, "button[data-fit]"); b != nil {
			p.linking.fit, _ = strconv.Atoi(b.GetAttribute("data-fit"))
			ask()
		}
	})
	on(byID("link-copy"), "click", func(dom.Element) {
		address := js.Global().Get("location").Get("href").String()
		address, _, _ = strings.Cut(address, "#")
		said := say.With("The link is copied: %d characters behind the address.", p.linking.made.Total)
		if strings.HasPrefix(address, "file:") {
			said += " " + say.Text("It leads to this file, on this machine alone. For others, put what stands from # on behind the address of a Plateau on the web.")
		}
		p.copyText(address+"#"+p.linking.made.Text, said, byID("link-text"), byID("link-said"))
	})
	p.listenCard()
	on(byID("linked-close"), "click", func(dom.Element) { p.closeLinked() })
	on(byID("linked-take"), "click", func(dom.Element) {
		first := p.host.Call("reserve", mostTakenIn).Int()
		p.command(wire.Command{Do: "take", Text: p.linking.opened, File: first}, func(r wire.Reply, _ js.Value) {
			if r.View != nil {
				p.closeLinked()
				tell(say.Text("What the link holds is among your logs and cells. Undo takes it out again."))
			}
		})
	})
	js.Global().Call("addEventListener", "hashchange", callback(func([]js.Value) { p.openLink() }))
}

// askLink has a link made while its part of the page is unfolded.
func (p *page) askLink() {
	if !byID("link-fold").Underlying().Get("open").Bool() {
		return
	}
	p.ask(wire.Command{Do: "link", Link: p.linkAsked()}, func(r wire.Reply, _ js.Value) {
		m := r.LinkMade
		if m == nil {
			m = &wire.LinkMade{Why: r.Error}
		}
		p.renderLink(m)
	})
}

// linkAsked is the link as its options are set.
func (p *page) linkAsked() *wire.Link {
	w := &wire.Link{Private: p.linking.private, Tolerance: value(byID("link-tolerance")), Fit: p.linking.fit, Day: today()}
	for key, out := range p.linking.out {
		if out {
			w.Out = append(w.Out, key)
		}
	}
	slices.Sort(w.Out)
	return w
}

func (p *page) renderLink(m *wire.LinkMade) {
	p.linking.made = *m
	setWhy("link-why", m.Why)
	var rows []markup
	for _, part := range m.Parts {
		box := with("type=checkbox", "data-part-of="+part.Key)
		if part.In {
			box = append(box, "checked")
		}
		size := strconv.Itoa(part.Chars)
		if !part.In {
			size = say.With("would take %s", size)
		}
		rows = append(rows, mk("li", nil, mk("label", nil, mk("input", box), say.Text(part.Key)), " ", mk("span", with("class=hint"), size)))
	}
	putRows(byID("link-parts"), rows)
	said := ""
	if m.Text != "" {
		switch {
		case m.Total <= 2000:
			said = say.Later("%d characters: fits where an address may have 2,000.")
		case m.Total <= 8000:
			said = say.Later("%d characters: too long for 2,000; fits where an address may have 8,000.")
		case m.Total <= 32000:
			said = say.Later("%d characters: too long for 8,000; fits where an address may have 32,000.")
		default:
			said = say.Later("%d characters: longer than 32,000, and many programs will cut it off.")
		}
		said = say.With(said, m.Total)
	}
	setText(byID("link-size"), said)
	setText(byID("link-curves"), m.Curves)
	setWrong(byID("link-tolerance"), m.ToleranceError)
	setList("link-did", m.Did)
	setValue(byID("link-text"), m.Text)
	byID("link-copy").Underlying().Set("disabled", m.Text == "")
}

// openLink shows what the link holds by which the page was opened.
func (p *page) openLink() {
	hash := js.Global().Get("location").Get("hash").String()
	if !strings.HasPrefix(hash, linkBegins) || len(hash) < shortest || hash == "#"+p.linking.opened {
		return
	}
	p.linking.opened = hash[1:]
	p.ask(wire.Command{Do: "unlink", Text: p.linking.opened}, func(r wire.Reply, buffers js.Value) {
		if r.Linked != nil {
			p.renderLinked(r.Linked, buffers)
		}
	})
}

func (p *page) closeLinked() {
	p.linking.opened = ""
	show(byID("linked"), false)
	js.Global().Get("history").Call("replaceState", nil, "", js.Global().Get("location").Get("pathname"))
	focus(byID("logs-title"))
}

func (p *page) renderLinked(l *wire.Linked, buffers js.Value) {
	show(byID("linked"), true)
	setText(byID("linked-title"), say.With("From a link: %s", l.Title))
	setWhy("linked-why", l.Why)
	setText(byID("linked-made"), l.Made)
	setText(byID("linked-takes"), l.Takes)
	show(byID("linked-take"), l.Why == "")
	var lines markup
	for _, line := range l.Lines {
		lines += mk("div", nil, mk("dt", nil, line.Head), mk("dd", nil, line.Text))
	}
	put(byID("linked-lines"), lines)
	var tables markup
	for _, t := range l.Tables {
		tables += mk("h3", nil, t.Title) + mk("div", with("class=scroll", "tabindex=0", "role=region", "aria-label="+t.Title), table(t.Table, t.Title))
	}
	put(byID("linked-tables"), tables)
	setList("linked-notes", l.Notes)
	picture := byID("linked-picture")
	show(picture, l.Curves != nil)
	if l.Curves == nil {
		return
	}
	text, err := plain.Marshal(l.Curves)
	if err != nil {
		return
	}
	var names []string
	for _, s := range l.Curves.Series {
		names = append(names, s.Name)
	}
	setAttribute(picture, "alt", say.With("Voltage over charge of %s. The figures are in the table below.", strings.Join(names, ", ")))
	p.host.Call("showPicture", picture.Underlying(), js.Global().Get("JSON").Call("parse", string(text)), buffers, l.Title)
}

// today is the day by the reader's clock: "2026-11-25".
func today() string {
	day := js.Global().Get("Date").New()
	iso := js.Global().Get("Date").New(day.Call("getTime").Float() - 60_000*day.Call("getTimezoneOffset").Float()).Call("toISOString").String()
	return iso[:min(len(iso), 10)]
}
