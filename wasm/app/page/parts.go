//go:build js && wasm

package page

import (
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// section is one of the page's that is asked for by itself after each view: what
// it shows takes longer to work out than the rest.
type section struct {
	element dom.Element
	always  bool   // even where there is no discharge
	near    bool   // in view, or nearly
	due     bool   // what it shows may be out of date
	asking  bool   // one question at a time
	text    string // of the last reply
	command func() wire.Command
	render  func(wire.Reply, js.Value)
}

const (
	nearness  = "600px 0px"
	idleMS    = 1200 // after the last view
	paintMS   = 20   // in which the view itself is painted first
	readingMS = 500  // between questions while logs are being read
)

func (p *page) listenParts() {
	p.offCells = map[string]bool{}
	p.partsSoon = newTimer(func() {
		p.partsIdle = true
		p.askParts()
	})
	p.partsNow = newTimer(p.askParts)
	p.showSoon = newTimer(p.showView)
	p.restNow = newTimer(func() { p.command(wire.Command{Do: "rest"}, nil) })
	p.partsNext = newTimer(func() {
		p.partsHeld = false
		p.askParts()
	})
	add := func(id string, command func() wire.Command, render func(wire.Reply, js.Value)) *section {
		one := &section{element: byID(id), command: command, render: render}
		p.parts = append(p.parts, one)
		return one
	}
	p.listenPlan(add("plan", p.planCommand, p.renderPlanned))
	add("datasheet", func() wire.Command { return wire.Command{Do: "judge"} }, p.renderJudged)
	p.listenDatasheet()
	p.listenCompare(add("compare", p.compareCommand, p.renderCompared))
	p.listenRanking(add("ranking", p.rankCommand, p.renderRanked))
	p.listenLoad(add("load", p.loadCommand, p.renderAnswered))
	p.listenPublish(add("publish", p.publishCommand, p.renderPublished))

	observer := js.Global().Get("IntersectionObserver").New(callback(func(args []js.Value) {
		for k := range args[0].Length() {
			entry := args[0].Index(k)
			for _, one := range p.parts {
				if one.element.Underlying().Equal(entry.Get("target")) {
					one.near = entry.Get("isIntersecting").Bool()
					p.askPart(one)
				}
			}
		}
	}), map[string]any{"rootMargin": nearness})
	for _, one := range p.parts {
		observer.Call("observe", one.element.Underlying())
	}
}

// partsDue has every part asked for again: at once where it is near, the rest
// once nothing has happened for a while.
func (p *page) partsDue() {
	there := p.anyRun()
	for _, one := range p.parts {
		one.due = there || one.always
		showSection(one.element, one.due)
	}
	p.partsIdle = false
	p.partsSoon.set(idleMS)
	if p.view.More { // the rest comes as a view of its own
		p.restNow.set(paintMS)
	} else if len(p.waiting) == 0 {
		p.partsNow.set(paintMS)
	} else if !p.partsHeld {
		p.partsHeld = true
		p.partsNext.set(readingMS)
	}
}

// anyRun tells whether there is a discharge, measured or typed.
func (p *page) anyRun() bool {
	for _, t := range p.view.Typed {
		if len(t.Errors) == 0 && t.Cell != "" && t.Capacity+t.Energy != "" {
			return true
		}
	}
	return len(p.runs()) > 0
}

// timer does something in a while, and once however often it was set.
type timer struct {
	work js.Func
	id   js.Value
}

func newTimer(work func()) *timer {
	return &timer{work: callback(func([]js.Value) { work() })}
}

func (t *timer) set(ms int) {
	t.stop()
	t.id = js.Global().Call("setTimeout", t.work, ms)
}

func (t *timer) stop() {
	if t.id.Truthy() {
		js.Global().Call("clearTimeout", t.id)
	}
}

func (p *page) askParts() {
	for _, one := range p.parts {
		p.askPart(one)
	}
}

// askAgain asks for a part of which the user wants to see something else.
func (p *page) askAgain(one *section) {
	one.due, one.near = p.anyRun() || one.always, true
	p.askPart(one)
}

// askPart asks for a part where that is due; once the answer is there, again if
// there was a newer view meanwhile. It is rendered only where it differs from
// what is shown.
func (p *page) askPart(one *section) {
	if !one.due || one.asking || !one.near && !p.partsIdle {
		return
	}
	one.due, one.asking = false, true
	p.sendText("command", one.command(), func(text string, buffers js.Value) {
		one.asking = false
		if text != one.text && !one.due {
			one.text = text
			one.render(readReply(text), buffers)
		}
		p.askPart(one)
	})
}
