//go:build js && wasm

package page

import (
	"slices"
	"syscall/js"

	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

const mostCells = 200 // that are remembered

// bench keeps what a person has said of the tester and of cells from one visit
// to the next.
type bench struct{ store js.Value }

type benchKept struct {
	Tester *wire.Tester `json:"tester,omitempty"`
	Cells  []wire.Cell  `json:"cells,omitempty"` // the one used last stands last
}

// benchRead is what was read last, and the text that it was read from.
var benchRead struct {
	text string
	all  benchKept
}

// load takes nothing on trust, as that of memory does.
func (b bench) load() benchKept {
	if text := b.store.Call("read").String(); text != benchRead.text {
		var all benchKept
		if len(text) > mostBytes || plain.Unmarshal([]byte(text), &all) != nil {
			all = benchKept{}
		}
		benchRead.text, benchRead.all = text, all
	}
	all := benchRead.all
	all.Cells = slices.Clone(all.Cells)
	return all
}

func (b bench) save(all benchKept) {
	all.Cells = all.Cells[max(0, len(all.Cells)-mostCells):]
	text, err := plain.Marshal(all)
	if err != nil || len(text) > mostBytes {
		return
	}
	if string(text) == "{}" {
		text = nil
	}
	b.store.Call("write", string(text))
}

// keepTester remembers a tester, or forgets it for nil.
func (b bench) keepTester(t *wire.Tester) {
	all := b.load()
	all.Tester = t
	b.save(all)
}

// cells are those of which something was said, by name.
func (b bench) cells() map[string]wire.Cell {
	known := map[string]wire.Cell{}
	for _, c := range b.load().Cells {
		if isTold(&c) {
			known[c.Name] = c
		}
	}
	return known
}

// keepCells remembers cells, and forgets those of which nothing is said.
func (b bench) keepCells(cells ...wire.Cell) {
	all := b.load()
	for _, c := range cells {
		all.Cells = slices.DeleteFunc(all.Cells, func(old wire.Cell) bool { return old.Name == c.Name })
		if isTold(&c) {
			all.Cells = append(all.Cells, asTyped(c))
		}
	}
	b.save(all)
}

// retell tells an engine, which may be a new one, of the tester, and has it told
// again of what was settled of runs once these are there.
func (p *page) retell() {
	if t := p.bench.load().Tester; t != nil {
		makeRanges("voltage", len(t.Voltage))
		makeRanges("current", len(t.Current))
		p.set(wire.Command{Quiet: true, Do: "tester", Tester: t}, noErrors)
	}
	clear(p.recalledCells)
	p.retellCells()
	p.due = append(p.due[:0], p.settled...)
}

func (p *page) sendDue() {
	due := p.due
	p.due = nil
	for _, c := range due {
		if p.run(c.Run) == nil {
			p.due = append(p.due, c)
			continue
		}
		c.Quiet = true
		p.command(c, nil)
	}
}
