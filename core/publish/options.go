package publish

import (
	"io"

	"plateau/core/quantity"
	"plateau/core/say"
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
	list := []Part{
		{Conditions, say.Later("Conditions"), true, ""},
		{Leaders, say.Later("Leaders at each rate"), true, ""},
		{Pictures, say.Later("Pictures"), true, "report"},
		{Figures, say.Later("Figures"), true, ""},
		{Details, say.Later("Voltages, duration and resistance"), true, ""},
		{Verdicts, say.Later("Verdicts on the datasheet"), true, ""},
		{Standing, say.Later("Ranking"), true, ""},
		{Gaps, say.Later("Gaps between neighbours in the ranking"), false, ""},
		{Findings, say.Later("Findings"), true, ""},
		{Incoming, say.Later("Incoming inspection"), true, ""},
		{Datasheets, say.Later("Cells and datasheets"), true, ""},
		{Instrument, say.Later("Tester"), true, ""},
		{Working, say.Later("Method"), true, ""},
		{Logs, say.Later("Logs"), true, ""},
		{Notes, say.Later("Private notes"), false, ""},
		{Curves, say.Later("Curves as points"), true, "json"},
	}
	for k := range list {
		list[k].Title = say.Text(list[k].Title)
	}
	return list
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
