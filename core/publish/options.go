package publish

import (
	"io"

	"plateau/core/quantity"
)

// Options are how a post is written.
type Options struct {
	// Parts are keys of [Parts] in the order in which they come; nil is the usual
	// ones. Unknown keys are passed over, a key that comes again as well.
	Parts []string
	// Words has the decimal mark. The sentences of a Post are taken as they are:
	// they are to be made with the same mark.
	Words quantity.Words
	// Aligned writes tables as columns of text in a code block, for forums that
	// know no tables; [Markdown] and [BBCode] alone heed it.
	Aligned bool
	// Brief leaves out findings of severity "note".
	Brief bool

	pictures []block
}

// Part is a piece of a post that can be left out or moved.
type Part struct {
	Key, Title string
	Usual      bool   // in, where nothing else is asked for
	Only       string // the one format that has it; empty for all
}

// Keys of parts.
const (
	Conditions = "conditions"
	Pictures   = "pictures"
	Figures    = "figures"
	Details    = "details"
	Verdicts   = "verdicts"
	Standing   = "ranking"
	Gaps       = "gaps"
	Leaders    = "leaders"
	Findings   = "findings"
	Incoming   = "inspection"
	Datasheets = "cells"
	Instrument = "tester"
	Working    = "method"
	Logs       = "logs"
	Notes      = "notes"
	Curves     = "curves"
)

// Parts lists the parts that there are, in their usual order.
func Parts() []Part {
	return []Part{
		{Conditions, "Conditions", true, ""},
		{Leaders, "Leaders at each rate", true, ""},
		{Pictures, "Pictures", true, "report"},
		{Figures, "Figures", true, ""},
		{Details, "Voltages, duration and resistance", true, ""},
		{Verdicts, "Verdicts on the datasheet", true, ""},
		{Standing, "Ranking", true, ""},
		{Gaps, "Gaps between neighbours in the ranking", false, ""},
		{Findings, "Findings", true, ""},
		{Incoming, "Incoming inspection", true, ""},
		{Datasheets, "Cells and datasheets", true, ""},
		{Instrument, "Tester", true, ""},
		{Working, "Method", true, ""},
		{Logs, "Logs", true, ""},
		{Notes, "Private notes", false, ""},
		{Curves, "Curves as points", true, "json"},
	}
}

// chosen are the parts asked for, in order.
func (o *Options) chosen() []Part {
	all := Parts()
	var out []Part
	if o.Parts == nil {
		for _, p := range all {
			if p.Usual {
				out = append(out, p)
			}
		}
		return out
	}
	for _, key := range o.Parts {
		for k := range all {
			if all[k].Key == key && key != "" {
				out = append(out, all[k])
				all[k].Key = "" // once
			}
		}
	}
	return out
}

// has tells whether a part is asked for.
func (o *Options) has(key string) bool {
	for _, p := range o.chosen() {
		if p.Key == key {
			return true
		}
	}
	return false
}

// put writes a text whole.
func put(w io.Writer, text string) error {
	_, err := io.WriteString(w, text)
	return err
}
