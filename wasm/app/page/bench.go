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

// load takes nothing on trust, as that of memory does.
func (b bench) load() benchKept {
	var all benchKept
	if text := b.store.Call("read").String(); len(text) > mostBytes || plain.Unmarshal([]byte(text), &all) != nil {
		return benchKept{}
	}
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

// cell is what was said of a cell of that name.
func (b bench) cell(name string) (wire.Cell, bool) {
	for _, c := range b.load().Cells {
		if c.Name == name && hasFigures(c) {
			return c, true
		}
	}
	return wire.Cell{}, false
}

// keepCell remembers a cell, or forgets it where nothing is said of it.
func (b bench) keepCell(c wire.Cell) {
	all := b.load()
	all.Cells = slices.DeleteFunc(all.Cells, func(old wire.Cell) bool { return old.Name == c.Name })
	if hasFigures(c) {
		all.Cells = append(all.Cells, c)
	}
	b.save(all)
}

// retell tells an engine, which may be a new one, of the tester, and has it told
// again of what was settled of runs once these are there.
func (p *page) retell() {
	if t := p.bench.load().Tester; t != nil {
		makeRanges("voltage", len(t.Voltage))
		makeRanges("current", len(t.Current))
		p.set(wire.Command{Do: "tester", Tester: t}, noErrors)
	}
	clear(p.recalledCells)
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
		p.command(c, nil)
	}
}
