//go:build js && wasm

// Package page renders the engine's views into the static page and sends the
// user's acts back as commands. It computes nothing.
package page

import (
	"encoding/json"
	"strconv"
	"strings"
	"syscall/js"

	"honnef.co/go/js/dom/v2"

	"plateau/wasm/app/wire"
)

// page is what the window remembers: the last view and the user's choices of
// what to look at.
type page struct {
	host    js.Value // window.plateau, the loader
	view    wire.View
	waiting []*waiting
	known   map[int]bool // files whose outcome was announced

	cells    map[string]*[readings]cell // the legend's, by run
	axis     string
	hidden   map[string]bool
	from, to *float64
	width    int
	hoverX   *float64

	asking      bool // a readout is on its way
	curvesAsked int
}

// waiting is a log that is queued or being read.
type waiting struct {
	ID    int     `json:"id"`
	Name  string  `json:"name"`
	Size  int64   `json:"size"`
	Bytes int64   `json:"bytes"`
	Total int64   `json:"total"`
	Rows  int     `json:"rows"`
	Rate  float64 `json:"rate"`
}

// Start brings the page to life.
func Start() {
	doc = dom.GetWindow().Document()
	p := &page{host: js.Global().Get("plateau"), axis: "charge", hidden: map[string]bool{}, known: map[int]bool{}, width: 800}
	p.mountChart()
	p.listen()
	p.host.Call("subscribe", callback(func(args []js.Value) { p.event(args[0].String(), args[1].String()) }))
	p.askView()
}

// command sends a command; then gets the engine's reply, with the buffers of
// curves, unless the engine refused.
func (p *page) command(c wire.Command, then func(wire.Reply, js.Value)) {
	text, err := json.Marshal(c)
	if err != nil {
		alarm(err.Error())
		return
	}
	var once js.Func
	once = callback(func(args []js.Value) {
		once.Release()
		var r wire.Reply
		if err := json.Unmarshal([]byte(args[0].String()), &r); err != nil {
			alarm("The engine's answer cannot be read: " + err.Error())
			return
		}
		if r.Error != "" {
			alarm(r.Error)
		}
		if r.View != nil {
			p.render(r.View)
		}
		if then != nil {
			then(r, args[1])
		}
	})
	p.host.Call("command", string(text), once)
}

func (p *page) askView() {
	number := js.Global().Get("Intl").Get("NumberFormat").New().Call("format", 1.5).String()
	p.command(wire.Command{Do: "view", DecimalComma: strings.Contains(number, ",")}, nil)
}

// event takes what the loader reports.
func (p *page) event(kind, text string) {
	switch kind {
	case "queued":
		w := &waiting{}
		if json.Unmarshal([]byte(text), w) == nil {
			if !p.knows(w.ID) { // not one that a new engine reads again
				alarm("")
			}
			p.forget(w.ID)
			p.waiting = append(p.waiting, w)
			p.renderLogs()
		}
	case "progress":
		var now waiting
		if json.Unmarshal([]byte(text), &now) == nil {
			for _, w := range p.waiting {
				if w.ID == now.ID {
					w.Bytes, w.Total, w.Rows, w.Rate = now.Bytes, now.Total, now.Rows, now.Rate
					p.renderProgress(w)
				}
			}
		}
	case "view":
		v := &wire.View{}
		if err := json.Unmarshal([]byte(text), v); err != nil {
			alarm("The engine's view cannot be read: " + err.Error())
			return
		}
		p.render(v)
	case "lost":
		var lost struct {
			ID        int
			Name, Why string
		}
		if json.Unmarshal([]byte(text), &lost) == nil {
			p.forget(lost.ID)
			alarm(lost.Name + ": " + lost.Why)
			p.renderLogs()
		}
	case "stopped":
		var stopped struct{ Why string }
		if json.Unmarshal([]byte(text), &stopped) == nil {
			alarm(stopped.Why)
		}
	case "ready": // a new engine, perhaps, that has not heard of the cut-off
		p.askView()
		if typed := byID("cutoff").Underlying().Get("value").String(); typed != "" {
			p.command(wire.Command{Do: "cutoff", Text: typed}, nil)
		}
	}
}

// knows tells whether a log was on the page before.
func (p *page) knows(id int) bool {
	for _, w := range p.waiting {
		if w.ID == id {
			return true
		}
	}
	return p.known[id]
}

// forget takes a log off the list of those waiting.
func (p *page) forget(id int) {
	kept := p.waiting[:0]
	for _, w := range p.waiting {
		if w.ID != id {
			kept = append(kept, w)
		}
	}
	p.waiting = kept
}

// listen ties the controls of the static page to commands.
func (p *page) listen() {
	on(byID("curves"), "change", func(t dom.Element) {
		switch {
		case t.GetAttribute("name") == "axis":
			p.axis = t.Underlying().Get("value").String()
			p.from, p.to, p.hoverX = nil, nil, nil
			p.host.Get("chart").Call("resetZoom")
			p.draw()
			p.readout()
		case t.ID() == "temperature":
			p.draw()
		case t.HasAttribute("data-run"):
			run := t.GetAttribute("data-run")
			p.hidden[run] = !t.Underlying().Get("checked").Bool()
			p.draw()
			p.readout()
		}
	})
	on(byID("cutoff"), "input", func(t dom.Element) {
		p.command(wire.Command{Do: "cutoff", Text: t.Underlying().Get("value").String()}, nil)
	})
	on(byID("reset-zoom"), "click", func(dom.Element) {
		p.from, p.to = nil, nil
		p.host.Get("chart").Call("resetZoom")
		p.draw()
	})
	on(byID("logs"), "click", func(t dom.Element) {
		button := t.Closest("button[data-file]")
		if button == nil {
			return
		}
		id, err := strconv.Atoi(button.GetAttribute("data-file"))
		if err != nil {
			return
		}
		p.host.Call(button.GetAttribute("data-act"), id)
		alarm("")
		if button.GetAttribute("data-act") == "cancel" {
			p.forget(id)
			p.renderLogs()
		}
		if h := doc.QuerySelector("#logs h2"); h != nil {
			h.Underlying().Call("focus")
		}
	})
	on(byID("download"), "click", func(dom.Element) {
		p.command(wire.Command{Do: "results"}, func(r wire.Reply, _ js.Value) {
			if r.Download != nil {
				save(r.Download)
			}
		})
	})
	on(byID("legend-rows"), "pointerover", func(t dom.Element) { p.highlight(t) })
	on(byID("results-rows"), "pointerover", func(t dom.Element) { p.highlight(t) })
	leave := func(dom.Element) { p.host.Get("chart").Call("highlight", nil) }
	on(byID("legend-rows"), "pointerleave", leave)
	on(byID("results-rows"), "pointerleave", leave)
}

// save hands the user a file; it is made here and goes nowhere else.
func save(d *wire.Download) {
	blob := js.Global().Get("Blob").New([]any{d.Text}, map[string]any{"type": d.Type})
	url := js.Global().Get("URL").Call("createObjectURL", blob)
	a := el("a", with("download="+d.Name, "href="+url.String()))
	a.Underlying().Call("click")
	js.Global().Get("URL").Call("revokeObjectURL", url)
	say(d.Name + " was saved.")
}
