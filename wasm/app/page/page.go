//go:build js && wasm

// Package page renders the engine's views into the static page and sends the
// user's acts back as commands. It computes nothing.
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

// page is what the window remembers: the last view and the user's choices of
// what to look at.
type page struct {
	host    js.Value // window.plateau, the loader
	view    wire.View
	waiting []*waiting
	known   map[int]bool // files whose outcome was announced

	memory   memory
	panel    *panel
	answered map[int]bool   // files that were read once
	keys     map[int]string // of their headers, as the reader by itself finds them
	recalled map[int]bool   // files read by remembered rules
	lookable map[int]bool   // refused files whose layout can be looked at all the same

	standing   workspaces
	posting    publishing
	plans      planning
	inspection inspection
	linking    linking
	narrow     narrow
	show       string // what is drawn, as Command.Show has it
	axis       string
	hidden     map[string]bool // curves, by run or cell
	columns    []string        // of the legend
	readings   map[string][]cell
	legendMade string        // what the legend was made for
	cellCurves []wire.Series // curves of resistance, those switched off too
	marks      []wire.Mark
	onDrawn    func() // once the curves that were asked for are there
	from, to   *float64
	width      int
	hoverX     *float64

	bench         bench
	recalledCells map[string]bool // told of as they were at an earlier visit
	setting       int             // commands of forms that are not answered yet
	cellRows      map[string]*cellRow
	cellOrder     []string
	cellsMade     int
	wantedCell    string // to be opened once it is there
	dragged       string // the run that is dragged to another cell
	grid          grid
	pasting       pasting
	detailed      string         // the run whose details were shown last
	settled, due  []wire.Command // of runs: all, and what a new engine has to be told

	parts      []*section // of the page, that are asked for by themselves
	partsIdle  bool       // those out of view may be asked for too
	partsHeld  bool       // while logs are being read
	partsSoon  *timer     // until they are
	versions   versions   // of runs and rows of the cut-offs
	kept       map[string]kept
	logItems   map[int]logKept
	showSoon   *timer // until a view is shown while many logs are read
	shownLater bool
	logsDue    bool // their lists are to be brought to the view
	cellsDue   bool
	restNow    *timer // until what is not in view is asked for
	far        string // the runs that are not, as told last
	drawnAs    string // View.Drawn of the curves drawn last
	partsNow   *timer // until the view has been painted
	partsNext  *timer // until the next question meanwhile
	verdicts   map[string]wire.Verdict
	compared   []wire.Series // by cell, those switched off too
	offCells   map[string]bool

	asking      bool // a readout is on its way
	curvesAsked int
	curvesDrawn int // the last question that was answered
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
	p := &page{
		host: js.Global().Get("plateau"), show: voltageCurves, axis: "charge", width: 800, recalledCells: map[string]bool{}, versions: versions{}, kept: map[string]kept{}, logItems: map[int]logKept{},
		hidden: map[string]bool{}, known: map[int]bool{},
		answered: map[int]bool{}, keys: map[int]string{}, recalled: map[int]bool{}, lookable: map[int]bool{},
	}
	p.memory, p.bench = memory{p.host.Get("store")}, bench{p.host.Get("bench")}
	p.panel = newPanel(p)
	p.mountChart()
	p.listen()
	p.host.Call("subscribe", callback(func(args []js.Value) { p.event(args[0].String(), args[1].String()) }))
	p.askView()
	p.openLink()
}

// command sends a command; then gets the engine's reply, with the buffers of
// curves. What the engine refuses is said on the page.
func (p *page) command(c wire.Command, then func(wire.Reply, js.Value)) {
	p.ask(c, func(r wire.Reply, buffers js.Value) {
		if r.Error != "" {
			alarm(r.Error)
		}
		if r.View != nil {
			p.render(r.View)
		}
		if then != nil {
			then(r, buffers)
		}
	})
}

// ask sends a command and leaves the reply, errors too, to then.
func (p *page) ask(c wire.Command, then func(wire.Reply, js.Value)) { p.send("command", c, then) }

// save has a file made that the user keeps.
func (p *page) save(c wire.Command) {
	p.send("save", c, func(r wire.Reply, _ js.Value) {
		if r.Error != "" {
			alarm(r.Error)
		} else if r.Download != nil {
			tell(say.With("%s was saved.", r.Download.Name))
		}
	})
}

func (p *page) send(by string, c wire.Command, then func(wire.Reply, js.Value)) {
	p.sendText(by, c, func(text string, buffers js.Value) { then(readReply(text), buffers) })
}

func readReply(text string) (r wire.Reply) {
	if err := plain.Unmarshal([]byte(text), &r); err != nil {
		r = wire.Reply{Error: say.With("The engine’s answer cannot be read: %s", err)}
	}
	return r
}

// sendText leaves the reply as it came.
func (p *page) sendText(by string, c wire.Command, then func(text string, buffers js.Value)) {
	text, err := plain.Marshal(c)
	if err != nil {
		alarm(err.Error())
		return
	}
	var once js.Func
	once = callback(func(args []js.Value) {
		once.Release()
		buffers := js.Undefined()
		if len(args) > 1 {
			buffers = args[1]
		}
		then(args[0].String(), buffers)
	})
	p.host.Call(by, string(text), once)
}

func (p *page) askView() {
	p.command(wire.Command{Do: "view", DecimalComma: decimalComma()}, nil)
}

// decimalComma tells whether the page's language, or where that is English the
// reader's locale, writes 3,7 for 3.7. The loader says which.
func decimalComma() bool {
	number := js.Global().Get("Intl").Get("NumberFormat").New(js.Global().Get("plateauLocale")).Call("format", 1.5).String()
	return strings.Contains(number, ",")
}

// event takes what the loader reports.
func (p *page) event(kind, text string) {
	switch kind {
	case "queued":
		w := &waiting{}
		if plain.Unmarshal([]byte(text), w) == nil {
			if !p.knows(w.ID) { // not one that a new engine reads again
				alarm("")
			}
			p.forget(w.ID)
			p.waiting = append(p.waiting, w)
			p.cellsDue = true
			if p.answered[w.ID] { // read again: its figures are held back
				p.refresh()
				p.draw()
			} else {
				p.renderLogs()
			}
		}
	case "progress":
		var now waiting
		if plain.Unmarshal([]byte(text), &now) == nil {
			for _, w := range p.waiting {
				if w.ID == now.ID {
					w.Bytes, w.Total, w.Rows, w.Rate = now.Bytes, now.Total, now.Rows, now.Rate
					p.renderProgress(w)
				}
			}
		}
	case "done":
		var done struct {
			ID int `json:"id"`
		}
		if plain.Unmarshal([]byte(text), &done) == nil {
			p.forget(done.ID)
		}
	case "view":
		v := &wire.View{}
		if err := plain.Unmarshal([]byte(text), v); err != nil {
			alarm(say.With("The engine’s view cannot be read: %s", err))
			return
		}
		p.render(v)
	case "lost":
		var lost struct {
			ID   int    `json:"id"`
			Name string `json:"name"`
			Why  string `json:"why"`
		}
		if plain.Unmarshal([]byte(text), &lost) == nil {
			p.forget(lost.ID)
			if p.recalled[lost.ID] { // it may have been for the remembered rules
				p.memory.forget(p.keys[lost.ID])
			}
			alarm(lost.Name + ": " + lost.Why)
			p.refresh()
			p.draw()
		}
	case "stopped":
		var stopped struct {
			Why string `json:"why"`
		}
		if plain.Unmarshal([]byte(text), &stopped) == nil {
			alarm(stopped.Why)
		}
	case "ready": // a new engine, perhaps, that has not heard of the cut-off and the like
		var ready struct {
			Restored bool `json:"restored"`
		}
		p.askView()
		if plain.Unmarshal([]byte(text), &ready) != nil || ready.Restored {
			break
		}
		p.retell()
		if typed := byID("cutoff").Underlying().Get("value").String(); typed != "" {
			p.command(wire.Command{Do: "cutoff", Text: typed, Quiet: true}, nil)
		}
	case "workspace":
		var w workspaces
		if plain.Unmarshal([]byte(text), &w) == nil {
			p.standing = w
			p.renderWorkspace()
		}
	case "fresh":
		p.takeFresh()
	}
}

// knows tells whether a log was on the page before.
func (p *page) knows(id int) bool { return p.known[id] || p.isWaiting(id) }

// isWaiting tells whether a log is queued or being read, perhaps again.
func (p *page) isWaiting(id int) bool {
	return slices.ContainsFunc(p.waiting, func(w *waiting) bool { return w.ID == id })
}

// forget takes a log off the list of those waiting.
func (p *page) forget(id int) {
	p.logsDue, p.cellsDue = true, true
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
	on(byID("cutoff"), "input", func(t dom.Element) {
		p.command(wire.Command{Do: "cutoff", Text: t.Underlying().Get("value").String()}, nil)
	})
	on(byID("logs"), "click", func(t dom.Element) {
		button := closest(t, "button[data-file]")
		if button == nil {
			return
		}
		id, err := strconv.Atoi(button.GetAttribute("data-file"))
		if err != nil {
			return
		}
		p.act(button.GetAttribute("data-act"), id)
	})
	on(byID("download"), "click", func(dom.Element) { p.save(wire.Command{Do: "results"}) })
	on(byID("results"), "click", func(t dom.Element) {
		if b := closest(t, "button[data-details]"); b != nil {
			p.openDetails(b.GetAttribute("data-details"))
		}
	})
	on(byID("cutoffs-by"), "change", func(dom.Element) { p.renderCutoffs() })
	p.listenCurves()
	p.listenNarrow()
	p.listenWorkspace()
	p.listenLink()
	p.listenTester()
	p.listenCells()
	p.listenDetails()
	p.listenParts()
	p.panel.listen()
	p.listenReport()
}

// act carries out what a log's button says.
func (p *page) act(do string, id int) {
	alarm("")
	f := p.file(id)
	switch do {
	case "cancel", "remove":
		p.host.Call(do, id)
		if do == "cancel" {
			p.forget(id)
			p.refresh()
			p.draw()
		}
		focus(byID("logs-title"))
	case "map", "answer":
		p.panel.open(f, do)
	case "reset":
		p.reset(f)
		focus(byID("logs-title"))
	case "bdf":
		tell(say.With("The trace of %s is being written.", f.Name))
		p.save(wire.Command{Do: "bdf", File: id})
	case "report":
		p.report(f)
	}
}

// file is what the last view says of a log.
func (p *page) file(id int) wire.File {
	for _, f := range p.view.Files {
		if f.ID == id {
			return f
		}
	}
	return wire.File{ID: id}
}
