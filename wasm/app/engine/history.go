package engine

import (
	"reflect"
	"slices"
	"time"

	"plateau/core/say"
	"plateau/wasm/app/wire"
)

const (
	mostActs = 200
	// Acts of one kind on one thing that follow each other within this are one:
	// a number is typed digit by digit.
	oneAct = 1500 * time.Millisecond
)

// moment is the state before or after an act.
type moment struct {
	document document
	files    []*file
	act      string // in words: "the cut-off"
}

// history is what can be undone and redone.
type history struct {
	past, future []moment
	last         string // kind and thing of the last act
	at           time.Time
}

// now is the time, for acts that belong together. Tests set another.
var now = time.Now

// actOf is a command as an act that can be undone: what it is about, in words,
// and what tells it from others. Empty where it is none.
func (e *Engine) actOf(c wire.Command) (words, kind string) {
	of := func(what, name string) (string, string) { return say.With(what, clip(name)), c.Do + " " + name }
	switch c.Do {
	case "close":
		return of(say.Later("reading %s"), e.readingName())
	case "remove":
		if f := e.find(c.File); f != nil {
			return of(say.Later("removing %s"), f.name)
		}
	case "demo":
		return say.Text("the demo"), "demo"
	case "cutoff":
		return say.Text("the cut-off"), "cutoff"
	case "tester":
		return say.Text("what is said of the tester"), "tester"
	case "cell":
		if c.Cell != nil {
			return of(say.Later("what is said of %s"), c.Cell.Name)
		}
	case "cells":
		return say.Text("the cells entered"), "cells"
	case "drop":
		return of(say.Later("forgetting %s"), c.Text)
	case "typed":
		return say.Text("the typed discharges"), "typed"
	case "take":
		return say.Text("taking in a link"), "take"
	case "publish":
		return say.Text("the title and the notes"), "publish"
	case "load":
		return say.Text("the load"), "load"
	case "plan":
		return say.Text("the plan"), "plan"
	case "assign", "void":
		if _, r := e.runNamed(c.Run); r != nil {
			if c.Do == "void" {
				return of(say.Later("whether %s counts"), r.name)
			}
			return of(say.Later("the cell of %s"), r.name)
		}
	}
	return "", ""
}

// act carries out what changes the state, and remembers how it was before.
func (e *Engine) act(c wire.Command, do func()) {
	words, kind := e.actOf(c)
	if words == "" {
		do()
		return
	}
	before := moment{e.document(), slices.Clone(e.files), words}
	do()
	h := &e.history
	if after := e.document(); reflect.DeepEqual(before.document, after) && slices.Equal(before.files, e.files) {
		return
	}
	e.changes++
	joins := c.Quiet || kind == h.last && now().Sub(h.at) < oneAct
	h.at = now()
	if joins && len(h.past) > 0 && len(h.future) == 0 {
		return
	}
	if c.Quiet {
		return // nothing that a person did
	}
	h.last = kind
	h.past, h.future = append(h.past, before), nil
	if len(h.past) > mostActs {
		h.past = slices.Delete(h.past, 0, 1)
	}
}

// undo takes the last act back; redo does it again.
func (e *Engine) undo() { e.step(&e.history.past, &e.history.future) }
func (e *Engine) redo() { e.step(&e.history.future, &e.history.past) }

func (e *Engine) step(from, to *[]moment) {
	n := len(*from)
	if n == 0 {
		return
	}
	m := (*from)[n-1]
	*from = (*from)[:n-1]
	*to = append(*to, moment{e.document(), slices.Clone(e.files), m.act})
	e.take(m.document, m.files)
	e.history.last = ""
	e.changes++
}

// acts are what undo and redo would do, in words.
func (h history) acts() (undo, redo string) {
	if n := len(h.past); n > 0 {
		undo = h.past[n-1].act
	}
	if n := len(h.future); n > 0 {
		redo = h.future[n-1].act
	}
	return undo, redo
}
