//go:build js && wasm

package page

import (
	"syscall/js"

	"plateau/core/say"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// canReopen tells whether a log's file is at hand, to be read again.
func (p *page) canReopen(id int) bool { return !p.host.Call("rulesOf", id).IsNull() }

// rulesOf are a person's rules that a log is read by.
func (p *page) rulesOf(id int) wire.Rules {
	var r wire.Rules
	if text := p.host.Call("rulesOf", id); !text.IsNull() && text.String() != "" {
		if plain.Unmarshal([]byte(text.String()), &r) != nil {
			return wire.Rules{}
		}
	}
	return r
}

// keyOf is what rules for a log are remembered under: the header as the reader
// finds it by itself, so that a later log is known by it before any rules.
func (p *page) keyOf(f wire.File) string {
	if key := p.keys[f.ID]; key != "" {
		return key
	}
	return f.Key
}

// reopen has a log read again by rules. Until it is, it waits like a new one.
func (p *page) reopen(f wire.File, r wire.Rules) bool {
	if !p.host.Call("reopen", f.ID, rulesText(r)).Bool() {
		return false
	}
	delete(p.known, f.ID)
	p.waiting = append(p.waiting, &waiting{ID: f.ID, Name: f.Name})
	return true
}

// firstAnswer looks at what became of a log. One that is new and whose header
// is known is read once more, by the rules remembered for it.
func (p *page) firstAnswer(f wire.File) {
	if p.isWaiting(f.ID) {
		return
	}
	if !f.Ruled && f.Key != "" {
		p.keys[f.ID] = f.Key
	}
	if p.answered[f.ID] {
		return
	}
	p.answered[f.ID] = true
	if h, ok := p.memory.recall(f.Key); ok && !f.Ruled && !isEmpty(h.ofItself()) && p.reopen(f, h.ofItself()) {
		p.recalled[f.ID] = true
		return
	}
	if f.State == "refused" && p.canReopen(f.ID) {
		p.ask(wire.Command{Do: "look", File: f.ID}, func(r wire.Reply, _ js.Value) {
			if r.Look != nil {
				p.lookable[f.ID] = true
				p.renderLogs()
			}
		})
	}
}

// settle has a log read by the rules a person settled for it, and remembers
// them.
func (p *page) settle(f wire.File, r wire.Rules, nameless bool) {
	p.memory.remember(header{p.keyOf(f), r, nameless})
	delete(p.recalled, f.ID)
	p.readAgain(f, r)
}

// reset drops the rules for a log's header and leaves the log to the reader.
func (p *page) reset(f wire.File) {
	p.memory.forget(p.keyOf(f))
	delete(p.recalled, f.ID)
	p.readAgain(f, wire.Rules{})
}

func (p *page) readAgain(f wire.File, r wire.Rules) {
	if !p.reopen(f, r) {
		alarm(say.With("%s cannot be read again, since its file is not at hand any more. Drop it once more.", f.Name))
	}
}
