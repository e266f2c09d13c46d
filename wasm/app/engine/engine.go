// Package engine owns the logs, their traces and their results. It takes
// commands and answers with views of plain data; it knows nothing of the
// browser, so that it runs natively too.
package engine

import (
	"errors"
	"fmt"
	"strings"

	"plateau/core/link"
	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/core/tester"
	"plateau/core/trace"
	"plateau/core/workspace"
	"plateau/wasm/app/guard"
	"plateau/wasm/app/wire"
)

// smallShare of a log's largest discharge is the least that counts as a run of
// its own; shorter ones are test pulses.
const smallShare = 0.01

// Engine is the state of one page.
type Engine struct {
	files   []*file
	cutoff  float64 // V; 0 for none
	badCut  string  // why the typed cut-off was not taken
	cutText string  // as typed

	tester wire.Tester // as typed
	spec   tester.Spec
	specs  int // counts specifications
	// demoTester: the tester is the demo's, and not to be taken for that of
	// other logs.
	demoTester bool
	cells      map[string]*known
	cellOrder  []string // as they were entered
	typedRuns  []typedRun
	load       wire.Load
	plan       wire.Plan
	linked     linked
	title      string // of what is published
	private    string // notes that are not, unless asked for
	memo       map[string]remembered
	assigned   map[string]string // runs to cells, where a person said so
	void       map[string]string // runs to why they do not count
	words      quantity.Words

	far       map[string]bool // runs that are not in view
	late      bool            // some of them are
	repeated  *wire.Repeats   // of the last view
	reading   *reading
	restoring *restoring
	history   history
	changes   int
	seq       uint64 // of the slot that was written last
	packed    map[string]*workspace.Packed
}

// file is one log that was dropped, read or refused.
type file struct {
	id    int
	name  string
	log   *logfile.Log
	runs  []*run
	small int // pulses not listed
	fault *logfile.Fault

	head     []byte // its first bytes, to look at again
	rules    logfile.Rules
	ruled    bool
	asRuled  *wire.Rules // as a person gave them
	bytes    int64       // of the file, where there is no log
	sha      string      // SHA-256 of the file in hex; empty where it is not known
	kept     string      // the key under which it is kept; empty where it is to be packed anew
	about    string
	question string // what a person has to settle before there are figures
	key      string // names its header
	demo     bool   // one of the demo's
	said     string // how saidOf was read, in words
	saidOf   *logfile.Log
	joined   int          // the log that it goes on from; 0 for none
	own      *logfile.Log // as it was read, where it is part of several; else nil
}

// run is one discharge in it.
type run struct {
	id      string
	name    string
	stem    string // of the file's name
	colour  int
	cell    string
	guessed bool
	void    string
	late    bool // its figures are to be worked out anew
	*trace.Run
	res     measure.Results
	err     error
	budgets measure.Budgets
	use     tester.Use
	levels  map[float64]*level
	whole   *level // to its own end
	checks  []measure.Finding
	charge  *measure.Charge // before it; nil for none
	// chargeWhy is why there is none, or what is to be known of it.
	chargeWhy string
	step      []measure.Resistance
	stepWhy   string
	// ohms is the step's resistance as words, for a specification and a mark.
	ohms      wire.Figure
	ohmsSpec  int
	ohmsComma bool
}

// errOneSample is the fault of a log with one sample under load at a time.
var errOneSample = errors.New(say.Later("the log has one sample under load only"))

// errNoDischarge is the fault of a log that was read and holds no discharge.
var errNoDischarge = errors.New(say.Later("the log holds no discharge"))

// Do carries out one command. The numbers of curves come beside the reply, in
// the order of its series. A panic on the way becomes the reply's error.
func (e *Engine) Do(c wire.Command) (reply wire.Reply, curves [][]float64) {
	guard.Run(func() { reply, curves = e.do(c) }, func(what, stack string) {
		fmt.Println(stack)
		reply = wire.Reply{Error: say.With("A fault in Plateau stopped this step (%s). The logs are still there; try again, or leave out the log that leads to it.", what)}
		if c.Do == "close" {
			f := &file{id: c.File, name: e.readingName(), fault: internalFault(what)}
			e.reading = nil
			e.put(f)
			reply.View = e.view()
		}
	})
	return reply, curves
}

func (e *Engine) readingName() string {
	if e.reading == nil {
		return say.Text("log")
	}
	return e.reading.name
}

func internalFault(what string) *logfile.Fault {
	return &logfile.Fault{Err: say.Error("a fault in Plateau stopped the reading (%s)", what),
		Hint: say.Later("The other logs are not touched. Please report it with the first lines of this log.")}
}

func (e *Engine) do(c wire.Command) (wire.Reply, [][]float64) {
	e.settle()
	switch c.Do {
	case "open":
		rules, err := rulesOf(c.Rules)
		if err != nil {
			return wire.Reply{Error: err.Error()}, nil
		}
		e.reading = &reading{id: c.File, name: c.Name, size: c.Size, r: logfile.NewReader(c.Name).Follow(rules), rules: rules, asRuled: c.Rules}
		return wire.Reply{}, nil
	case "cancel":
		if e.reading != nil && e.reading.id == c.File {
			e.reading = nil
		}
		if c.Quiet {
			return wire.Reply{}, nil
		}
	case "close", "remove", "demo", "cutoff", "tester", "cell", "cells", "drop", "typed", "assign", "void":
		e.act(c, func() { e.change(c) })
	case "undo":
		e.undo()
	case "redo":
		e.redo()
	case "hash":
		e.hash(c.File, c.Text)
		return wire.Reply{}, nil // a view that is not shown would not be sent again
	case "view":
		if e.words.Comma != c.DecimalComma {
			e.words.Comma = c.DecimalComma
			e.measure()
			e.settle() // the whole view is wanted
			e.checkTyped()
		}
	case "rest":
	case "far":
		e.setFar(c.Hidden)
		return wire.Reply{}, nil
	case "curves":
		reply, data := e.curves(c)
		return wire.Reply{Curves: reply}, data
	case "readout":
		return wire.Reply{Readout: e.readout(c)}, nil
	case "look":
		return e.look(c), nil
	case "bdf":
		return e.bdf(c.File), nil
	case "report":
		return e.report(c), nil
	case "paste":
		return wire.Reply{Pasted: e.paste(c)}, nil
	case "judge":
		return wire.Reply{Judged: e.judge()}, nil
	case "compare":
		reply, data := e.compare(c)
		return wire.Reply{Compared: reply}, data
	case "rank":
		return wire.Reply{Ranked: e.rank(c)}, nil
	case "load":
		var a *wire.Answered
		e.act(c, func() { a = e.answer(c.Load) })
		return wire.Reply{Answered: a}, nil
	case "plan":
		var p *wire.Planned
		e.act(c, func() { e.setPlan(c.Plan); p = e.planned(c.Offsets) })
		return wire.Reply{Planned: p}, nil
	case "planned":
		if c.Text != "" {
			return e.planFile(c.Text, c.Offsets), nil
		}
		return wire.Reply{Planned: e.planned(c.Offsets)}, nil
	case "link":
		return wire.Reply{LinkMade: e.link(c.Link)}, nil
	case "unlink":
		linked, data := e.unlink(c.Text)
		return wire.Reply{Linked: linked}, data
	case "take":
		if _, err := link.Decode(c.Text); err != nil {
			return wire.Reply{Error: err.Error()}, nil
		}
		e.act(c, func() { e.takeLink(c.Text, c.File) })
	case "publish":
		e.act(c, func() { e.entitle(c.Publish) })
		return wire.Reply{Published: e.publish(c.Publish)}, nil
	case "details":
		return e.details(c.Run), nil
	case "results":
		d, err := e.download()
		if err != nil {
			return wire.Reply{Error: err.Error()}, nil
		}
		return wire.Reply{Download: d}, nil
	default:
		return wire.Reply{Error: "unknown command " + c.Do}, nil
	}
	return wire.Reply{View: e.view()}, nil
}

// change carries out an act on the state.
func (e *Engine) change(c wire.Command) {
	switch c.Do {
	case "close":
		e.close(c.File)
	case "remove":
		e.remove(c.File)
	case "demo":
		e.demo(c.File)
	case "cutoff":
		e.setCutoff(c.Text)
	case "tester":
		e.setTester(c.Tester)
	case "cell":
		e.setCell(c.Cell)
	case "cells":
		for k := range c.Cells[:min(len(c.Cells), mostCells)] {
			c.Cells[k].Was = ""
			e.setCell(&c.Cells[k])
		}
	case "drop":
		e.dropCell(c.Text)
	case "typed":
		e.setTyped(c.Typed)
	case "assign":
		e.assign(c.Run, c.Text)
		if f, r := e.runNamed(c.Run); r != nil {
			e.measureRun(f, r)
		}
	case "void":
		e.setVoid(c.Run, c.Text)
	}
}

// file takes what became of a log.
func (e *Engine) file(id int, name string, log *logfile.Log, err error) *file {
	f := &file{id: id, name: name}
	if err != nil {
		if !errors.As(err, &f.fault) {
			f.fault = &logfile.Fault{File: name, Err: err}
		}
		var q *logfile.Question
		if errors.As(err, &q) {
			f.question, f.about = q.Ask, q.About
		}
		return f
	}
	f.log = log
	e.findRuns(f)
	return f
}

// findRuns looks for the discharges in a file's log.
func (e *Engine) findRuns(f *file) {
	id, name, log := f.id, f.name, f.log
	log.Trace.SetLead(e.lead())
	f.runs, f.small = nil, 0
	var top float64
	var runs []*trace.Run
	var whole []measure.Results
	single := false
	for _, s := range log.Trace.Steps() {
		single = single || s.Kind != trace.Rest && s.To-s.From < 2
		if s.Kind != trace.Discharge || s.To-s.From < 2 {
			continue
		}
		r := trace.NewRun(log.Trace, s)
		res, err := measure.Discharge(r, 0)
		if err != nil {
			continue
		}
		top = max(top, res.Capacity)
		runs, whole = append(runs, r), append(whole, res)
	}
	for k, r := range runs {
		if whole[k].Capacity < smallShare*top {
			f.small++
			continue
		}
		f.runs = append(f.runs, &run{Run: r, res: whole[k]})
	}
	for k, r := range f.runs {
		r.id, r.name = fmt.Sprintf("%d.%d", id, k+1), stem(name)
		if len(f.runs) > 1 {
			r.name = fmt.Sprintf("%s · %d", r.name, k+1)
		}
		r.stem = stem(name)
		if c, why := measure.ChargeBefore(r.Run); c.To > c.From {
			r.charge, r.chargeWhy = &c, why
		} else {
			r.chargeWhy = why
		}
		r.step, r.stepWhy = measure.StepResistance(r.Run, nil)
		e.name(r)
		e.measureRun(f, r)
	}
	if len(f.runs) == 0 && single {
		f.fault = &logfile.Fault{File: name, Err: errOneSample, Hint: say.Later("Figures need two samples under load at least, and are worth little below a hundred: log more often.")}
		return
	}
	if len(f.runs) == 0 {
		f.fault = &logfile.Fault{File: name, Err: errNoDischarge,
			Hint: say.Later("Plateau needs a stretch in which current flows out of the cell and its voltage falls. Look whether the column of current is the cell’s.")}
	}
}

// Bounds of a cut-off in V.
const leastCutoff, mostCutoff = 0.1, 100

func (e *Engine) setCutoff(s string) {
	e.badCut, e.cutText = "", clipTo(strings.TrimSpace(s), 30)
	if strings.TrimSpace(s) == "" {
		e.cutoff = 0
	} else {
		v, err := quantity.Parse(s, quantity.Voltage)
		switch {
		case err != nil:
			e.badCut = say.With("“%s” is not a voltage. Type one such as 2.7, or leave it empty.", clip(s))
		case v < leastCutoff || v > mostCutoff:
			e.badCut = say.With("A cut-off of %s V is out of bounds. Type the voltage at which the discharge ends, such as 2.7.", e.words.Fixed(v, 2))
		default:
			e.cutoff = v
		}
	}
	e.measure()
}
