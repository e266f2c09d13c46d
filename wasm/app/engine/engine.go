// Package engine owns the logs, their traces and their results. It takes
// commands and answers with views of plain data; it knows nothing of the
// browser, so that it runs natively too.
package engine

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/quantity"
	"plateau/core/tester"
	"plateau/core/trace"
	"plateau/wasm/app/guard"
	"plateau/wasm/app/wire"
)

// smallShare of a log's largest discharge is the least that counts as a run of
// its own; shorter ones are test pulses.
const smallShare = 0.01

// Engine is the state of one page.
type Engine struct {
	files  []*file
	cutoff float64 // V; 0 for none
	badCut string  // why the typed cut-off was not taken

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
	memo       map[string]remembered
	assigned   map[string]string // runs to cells, where a person said so
	void       map[string]string // runs to why they do not count
	words      quantity.Words

	reading *reading
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
	about    string
	question string       // what a person has to settle before there are figures
	key      string       // names its header
	demo     bool         // one of the demo's
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

// reading is the log whose bytes are coming in.
type reading struct {
	id    int
	name  string
	r     *logfile.Reader
	head  []byte
	chunk []byte // what was handed out last
	rules logfile.Rules
	ruled bool
}

// errOneSample is the fault of a log with one sample under load at a time.
var errOneSample = errors.New("the log has one sample under load only")

// errNoDischarge is the fault of a log that was read and holds no discharge.
var errNoDischarge = errors.New("the log holds no discharge")

// Do carries out one command. The numbers of curves come beside the reply, in
// the order of its series. A panic on the way becomes the reply's error.
func (e *Engine) Do(c wire.Command) (reply wire.Reply, curves [][]float64) {
	guard.Run(func() { reply, curves = e.do(c) }, func(what, stack string) {
		fmt.Println(stack)
		reply = wire.Reply{Error: "A fault in Plateau stopped this step (" + what + "). The logs are still there; try again, or leave out the log that leads to it."}
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
		return "log"
	}
	return e.reading.name
}

func internalFault(what string) *logfile.Fault {
	return &logfile.Fault{Err: errors.New("a fault in Plateau stopped the reading (" + what + ")"),
		Hint: "The other logs are not touched. Please report it with the first lines of this log."}
}

func (e *Engine) do(c wire.Command) (wire.Reply, [][]float64) {
	switch c.Do {
	case "open":
		rules, err := rulesOf(c.Rules)
		if err != nil {
			return wire.Reply{Error: err.Error()}, nil
		}
		e.reading = &reading{id: c.File, name: c.Name, r: logfile.NewReader(c.Name).Follow(rules), rules: rules, ruled: c.Rules != nil}
		return wire.Reply{}, nil
	case "close":
		e.close(c.File)
	case "cancel":
		if e.reading != nil && e.reading.id == c.File {
			e.reading = nil
		}
	case "remove":
		e.remove(c.File)
	case "demo":
		e.demo(c.File)
	case "cutoff":
		e.setCutoff(c.Text)
	case "view":
		if e.words.Comma != c.DecimalComma {
			e.words.Comma = c.DecimalComma
			e.measure()
			e.checkTyped()
		}
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
		return wire.Reply{Answered: e.answer(c.Load)}, nil
	case "assign":
		e.assign(c.Run, c.Text)
		if f, r := e.runNamed(c.Run); r != nil {
			e.measureRun(f, r)
		}
	case "void":
		e.setVoid(c.Run, c.Text)
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

// Chunk is room for the next n bytes of the log that is being read; nil where
// none is, or n is out of bounds.
func (e *Engine) Chunk(n int) []byte {
	const most = 64 << 20
	if e.reading == nil || n <= 0 || n > most {
		return nil
	}
	e.reading.chunk = e.reading.r.Reserve(n)
	return e.reading.chunk
}

// Feed reads the n bytes that were put there. False says that the log is
// refused and no more bytes are wanted; close tells why.
func (e *Engine) Feed(n int) (more bool) {
	if e.reading == nil {
		return false
	}
	id, name := e.reading.id, e.reading.name
	if r := e.reading; len(r.head) < keptHead && n <= len(r.chunk) {
		r.head = append(r.head, r.chunk[:min(n, keptHead-len(r.head))]...)
	}
	guard.Run(func() { more = e.reading.r.Commit(n) == nil }, func(what, stack string) {
		fmt.Println(stack)
		e.reading = nil
		e.put(&file{id: id, name: name, fault: internalFault(what)})
	})
	return more
}

// Rows is how many rows of the log being read were used so far.
func (e *Engine) Rows() int {
	if e.reading == nil {
		return 0
	}
	return e.reading.r.Rows()
}

// Warm reads a made-up log of 1 MB and forgets it, so that the browser has
// compiled the reader well by the time the first log comes. It does nothing
// once there is one.
func (e *Engine) Warm() {
	if e.reading != nil || len(e.files) > 0 {
		return
	}
	var b bytes.Buffer
	b.WriteString("Time / s,Voltage / V,Current / A,Temperature / °C\n")
	for k := range 35_000 {
		fmt.Fprintf(&b, "%d.000,%d.%04d,2.0000,2%d.0\n", 10_000+k, 4-k/17_500, k%10_000, k/4_000)
	}
	guard.Run(func() {
		log, err := logfile.Read("warm", &b)
		(&Engine{}).file(0, "warm", log, err)
	}, func(what, stack string) { fmt.Println(what, stack) })
}

func (e *Engine) close(id int) {
	if e.reading == nil || e.reading.id != id {
		return
	}
	r := e.reading
	log, err := r.r.Close()
	e.reading = nil
	f := e.file(id, r.name, log, err)
	f.head, f.rules, f.ruled = r.head, r.rules, r.ruled
	// The key is that of the log as it is, whatever a person has settled.
	if log != nil && !r.ruled {
		f.key = log.Layout.Key()
	} else if lay := logfile.LookAt(r.name, r.head, logfile.Rules{}).Layout; lay != nil {
		f.key = lay.Key()
	}
	e.put(f)
	e.join(f)
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
		f.fault = &logfile.Fault{File: name, Err: errOneSample, Hint: "Figures need two samples under load at least, and are worth little below a hundred: log more often."}
		return
	}
	if len(f.runs) == 0 {
		f.fault = &logfile.Fault{File: name, Err: errNoDischarge,
			Hint: "Plateau needs a stretch in which current flows out of the cell and its voltage falls. Look whether the column of current is the cell’s."}
	}
}

// measure works out every run's figures anew.
func (e *Engine) measure() {
	for _, f := range e.files {
		for _, r := range f.runs {
			e.measureRun(f, r)
		}
	}
}

// measureCells works out the runs of some cells anew.
func (e *Engine) measureCells(changed map[string]bool) {
	for _, f := range e.files {
		for _, r := range f.runs {
			if changed[r.cell] {
				e.measureRun(f, r)
			}
		}
	}
	e.checkTyped()
}

func (e *Engine) measureRun(f *file, r *run) {
	l := e.level(r, e.cutoff)
	r.whole = e.level(r, 0)
	r.res, r.err, r.budgets, r.use = l.res, l.err, l.budgets, l.use
	r.checks = measure.Findings(measure.Facts{Run: r.Run, Results: r.res, Cutoff: e.cutoff, Cell: e.cellNamed(r.cell), Tester: e.spec,
		Words: e.words, Charge: r.charge, WentBack: f.log.WentBack, WentBackLine: f.log.WentBackLine,
		Restarts: f.log.Restarts, RestartLine: f.log.RestartLine})
}

func (e *Engine) setCutoff(s string) {
	e.badCut = ""
	if strings.TrimSpace(s) == "" {
		e.cutoff = 0
	} else {
		v, err := quantity.Parse(s, quantity.Voltage)
		switch {
		case err != nil:
			e.badCut = fmt.Sprintf("%q is not a voltage. Type one such as 2.7, or leave it empty.", s)
		case v < 0.1 || v > 100:
			e.badCut = fmt.Sprintf("A cut-off of %s V is out of bounds. Type the voltage at which the discharge ends, such as 2.7.", e.words.Fixed(v, 2))
		default:
			e.cutoff = v
		}
	}
	e.measure()
}
