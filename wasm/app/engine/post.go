package engine

import (
	"bytes"
	"io"
	"math"
	"strings"

	"plateau/core/cell"
	"plateau/core/claim"
	"plateau/core/link"
	"plateau/core/measure"
	"plateau/core/publish"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// formats are the ways in which a post is written, with the name's ending and the
// type of what comes of them.
var formats = map[string]struct {
	ending, kind string
	write        func(io.Writer, publish.Post, publish.Options) error
}{
	"markdown":  {".md", "text/markdown;charset=utf-8", publish.Markdown},
	"bbcode":    {".txt", "text/plain;charset=utf-8", publish.BBCode},
	"html":      {".html", "text/html;charset=utf-8", publish.HTML},
	"csv":       {".csv", "text/csv;charset=utf-8", publish.CSV},
	"csv-comma": {".csv", "text/csv;charset=utf-8", publish.CSV},
	"tsv":       {".tsv", "text/tab-separated-values;charset=utf-8", publish.TSV},
	"json":      {".json", "application/json", publish.JSON},
	"report":    {".html", "text/html;charset=utf-8", nil},
}

// Of the sentences on the method, those that say which run can prove what begin at
// sidesFrom.
const (
	sidesFrom = 8
	sidesMany = 3
)

// entitle takes the title and the notes.
func (e *Engine) entitle(w *wire.Publish) {
	if w != nil {
		e.title, e.private = clipTo(strings.TrimSpace(w.Title), 200), clipTo(strings.TrimSpace(w.Private), 5000)
	}
}

// publish writes the campaign as a text to pass on.
func (e *Engine) publish(w *wire.Publish) *wire.Published {
	out := &wire.Published{Parts: []wire.PublishedPart{}}
	for _, p := range publish.Parts() {
		out.Parts = append(out.Parts, wire.PublishedPart{Key: p.Key, Title: p.Title, Usual: p.Usual, Only: p.Only})
	}
	if w == nil {
		w = &wire.Publish{Format: "markdown"}
	}
	f, ok := formats[w.Format]
	switch {
	case !ok:
		out.Why = say.With("There is no format “%s”.", clip(w.Format))
		return out
	case len(e.entries()) == 0:
		out.Why = say.Text("There is no discharge to publish. Drop a log, or type its figures.")
		return out
	}
	o := publish.Options{Parts: w.Parts, Words: e.words, Aligned: w.Aligned, Brief: w.Brief}
	if len(w.Parts) == 0 {
		o.Parts = nil
	}
	switch w.Format {
	case "csv":
		o.Words.Comma = false
	case "csv-comma":
		o.Words.Comma = true
	}
	post := e.post(w, w.Format == "json")
	for k := range post.Curves { // what it takes to draw them
		c := &post.Curves[k]
		c.Q, c.V = link.Thin(c.Q, c.V, link.DefaultTolerance)
		c.Temp, post.Tolerance = nil, link.DefaultTolerance
	}
	var b bytes.Buffer
	var err error
	if w.Format == "report" {
		var pictures []publish.Picture
		for _, p := range w.Picture {
			pictures = append(pictures, publish.Picture{SVG: p.SVG, Caption: p.Caption, Alternative: p.Alt})
		}
		err = publish.Report(&b, post, o, pictures)
	} else {
		err = f.write(&b, post, o)
	}
	if err != nil {
		out.Why = sentence(err.Error())
		return out
	}
	name := strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune("\"*/:<>?\\|", r) {
			return '-'
		}
		return r
	}, clipTo(e.title, 80))
	if name == "" {
		name = say.Text("discharge test")
	}
	out.Name, out.Type, out.Text = name+f.ending, f.kind, b.String()
	return out
}

// numberOf is a figure with its uncertainty.
func numberOf(x, u float64, why string) publish.Number {
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return publish.Number{Value: math.NaN(), Why: why}
	case !(u > 0) || math.IsInf(u, 0):
		u = 0
	}
	return publish.Number{Value: x, U: u}
}

// post is what the campaign comes to. Curves are as they were logged.
func (e *Engine) post(w *wire.Publish, curves bool) publish.Post {
	p := publish.Post{Title: e.title, Private: e.private, Day: w.Day, Program: Version}
	if p.Title == "" {
		p.Title = say.With("Discharge test of %s", join(e.cellNames()))
	}
	e.postRuns(&p, curves)
	for _, name := range e.cellNames() {
		p.Cells = append(p.Cells, e.postCell(name))
	}
	e.postInspected(p.Cells, w.Format == "report")
	tested := e.testerView()
	p.Tester = publish.Tester{Name: tested.Name, Known: tested.Known, Words: tested.Assumed}
	switch s := e.spec; {
	case s.Checked != "" && s.Means != "":
		p.Tester.Words = append(p.Tester.Words, say.With("Last checked on %s against %s.", s.Checked, s.Means))
	case s.Checked != "":
		p.Tester.Words = append(p.Tester.Words, say.With("Last checked on %s.", s.Checked))
	}
	judged := e.judge()
	for _, c := range judged.Cells {
		for _, v := range c.Verdicts {
			n := v.Numbers
			if w.Format == "report" && (v.Grade == "pass" || v.Grade == "above") {
				v.Sentence = "" // it says the row again
			}
			p.Verdicts = append(p.Verdicts, publish.Verdict{Cell: c.Cell, Claim: v.Posted.Claim, Grade: v.Grade, Word: v.Posted.Word, Sentence: v.Sentence, BestOf: v.BestOf,
				Best: numberOf(n.Best, n.BestU, cannotTell), Margin: numberOf(n.Margin, n.MarginU, cannotTell), Chance: numberOf(n.Chance, 0, v.Posted.Why)})
		}
	}
	for _, figure := range []string{"capacity", "energy"} {
		e.postRanking(&p, figure)
	}
	p.Conditions = e.postConditions()
	p.Method = append([]string{say.Later("Charge and energy are added up by the trapezoidal rule over the log’s own samples, from the moment the load comes on until the voltage crosses the cut-off for good; the average voltage is energy over charge."),
		say.Later("Uncertainties are expanded ones, k = 2, combined by the GUM (JCGM 100) from the tester’s errors, its resolution and clock, the sampling and the cut-off.")}, claim.Rule(e.words)...)
	if n := len(p.Method); w.Format == "report" && n > sidesFrom+sidesMany {
		// Two printed pages have no room for which run proves what.
		p.Method = append(p.Method[:sidesFrom:sidesFrom], p.Method[sidesFrom+sidesMany:]...)
	}
	return p
}

// postRuns puts the discharges into a post, with the logs that they are from.
func (e *Engine) postRuns(p *publish.Post, curves bool) {
	for _, f := range e.files {
		if f.log == nil {
			continue
		}
		at := len(p.Logs)
		p.Logs = append(p.Logs, publish.Log{Name: f.name, Bytes: f.source().Bytes, SHA256: f.sha})
		for _, r := range f.runs {
			run := e.postRun(entry{cell: r.cell, name: r.name, run: r, amps: r.whole.res.Current, void: r.void}, r.res, r.budgets, r.err)
			run.Log, run.Cutoff = at, e.cutoff
			if x, ok := r.stepResistance(); ok {
				run.Resistance, run.ResistanceAt = numberOf(x.Ohm, measure.ResistanceBudget(r.Run, x, r.use).Expanded(), ""), x.Time
			}
			for _, c := range checksOf(r) {
				run.Checks = append(run.Checks, publish.Check{Severity: c.Severity, Text: c.Text, Safety: c.Safety})
			}
			if curves && len(p.Curves) < mostLinked {
				c := publish.Curve{Run: len(p.Runs)}
				if r.Before.Rest { // the voltage before the load
					c.Q, c.V = append(c.Q, 0), append(c.V, r.Before.V)
					if r.Trace().HasTemperature() {
						c.Temp = append(c.Temp, r.Trace().Temperature(r.From-1))
					}
				}
				for point := range r.Points(r.From) {
					c.Q, c.V = append(c.Q, point.Q), append(c.V, point.V)
					if r.Trace().HasTemperature() {
						c.Temp = append(c.Temp, point.Temp)
					}
				}
				p.Curves = append(p.Curves, c)
			}
			p.Runs = append(p.Runs, run)
		}
	}
	for k := range e.typedRuns {
		if t := &e.typedRuns[k]; t.ok() {
			run := e.postRun(entry{cell: t.row.Cell, name: t.name, typed: t, amps: t.row.Current, void: t.Void}, t.level.res, t.level.budgets, nil)
			run.Typed, run.Log, run.Cutoff = true, -1, t.cutoff(e.cellNamed(t.row.Cell))
			for _, c := range t.Checks {
				run.Checks = append(run.Checks, publish.Check{Severity: c.Severity, Text: c.Text, Safety: c.Safety})
			}
			p.Runs = append(p.Runs, run)
		}
	}
}

// postRun is one discharge with its figures.
func (e *Engine) postRun(x entry, res measure.Results, budgets measure.Budgets, err error) publish.Run {
	out := publish.Run{Cell: x.cell, Name: x.name, Log: -1, Current: x.amps, Rate: e.rateOf(x), Over: e.over(x), Void: x.void,
		Resistance: publish.Number{Value: math.NaN()}}
	for q, to := range map[measure.Quantity]*publish.Number{measure.Capacity: &out.Capacity, measure.Energy: &out.Energy, measure.Average: &out.Average,
		measure.MidPoint: &out.MidPoint, measure.Duration: &out.Duration, measure.Start: &out.Start, measure.End: &out.End,
		measure.TempMax: &out.TempMax, measure.TempRise: &out.TempRise} {
		switch {
		case err != nil:
			*to = numberOf(math.NaN(), 0, sentence(err.Error()))
		case x.run != nil:
			*to = numberOf(q.Of(res), budgets[q].Expanded(), missing(x.run, q))
		default:
			*to = numberOf(q.Of(res), budgets[q].Expanded(), say.Later("The tester’s display does not tell it."))
		}
	}
	if res.Ending == measure.NotReached && err == nil {
		out.Capacity.AtLeast, out.Energy.AtLeast, out.Duration.AtLeast = true, true, true
	}
	return out
}

// What has no value in it is in English in a post, which puts it into the reader's
// language where it is shown: a link may be read in another.
var (
	chemistries = map[cell.Chemistry]string{cell.Ion: say.Later("lithium ion"), cell.Phosphate: say.Later("lithium iron phosphate"), cell.Titanate: say.Later("lithium titanate")}
	claimKinds  = map[cell.ClaimKind]string{cell.RatedCapacity: say.Later("rated"), cell.MinimumCapacity: say.Later("minimum"), cell.TypicalCapacity: say.Later("typical")}
)

// postCell is a cell with its datasheet.
func (e *Engine) postCell(name string) publish.Cell {
	c := e.cellNamed(name)
	out := publish.Cell{Name: name, Model: c.Model, Sample: c.Sample, Size: c.Size, Marking: c.Marking, Mass: c.Mass, Price: c.Price, Currency: c.Currency,
		Cutoff: c.Cutoff, ChargeVoltage: c.ChargeVoltage, ChargeCurrent: c.ChargeCurrent, ChargeEnd: c.ChargeEnd, MaxCurrent: c.MaxCurrent, Series: c.Series,
		Notes: c.Notes, Bought: c.Bought, Lot: c.Lot, DateCode: c.DateCode, Wrapper: c.Wrapper}
	out.Chemistry = chemistries[c.Chemistry]
	for _, cl := range c.Claims() {
		out.Claims = append(out.Claims, publish.Claim{What: claimKinds[cl.Kind], Capacity: cl.Capacity, Current: cl.Current, Cutoff: cl.Cutoff})
	}
	return out
}

// postRanking puts the order of the cells by one figure into a post.
func (e *Engine) postRanking(p *publish.Post, figure string) {
	r := e.rank(wire.Command{Figure: figure})
	if r.Why != "" {
		return
	}
	_, unit, _ := strings.Cut(r.Figure, " / ")
	for _, rate := range r.Rates {
		out := publish.Ranking{Figure: figure, Unit: unit, Rate: rate.Rate, Basis: r.Basis, Gaps: rate.Gaps, Why: rate.Why}
		for _, c := range rate.Cells {
			out.Places = append(out.Places, publish.Place{Cell: c.Cell, Mean: numberOf(c.Mean, c.U, ""), N: c.N, Letters: c.Letters, Mark: c.Mark})
		}
		for _, x := range rate.Out {
			out.Out = append(out.Out, x.Name+": "+x.Why)
		}
		p.Rankings = append(p.Rankings, out)
	}
	if figure == "energy" {
		for _, l := range r.Overall {
			p.Leaders = append(p.Leaders, publish.Line{Head: l.Rate, Text: l.Words})
		}
	}
}

// postConditions are those that all discharges were made under, as far as the logs
// tell.
func (e *Engine) postConditions() []publish.Line {
	var lines []publish.Line
	between := func(head string, write func(float64) string, of func(r *run) float64) {
		low, high := math.Inf(1), math.Inf(-1)
		known, all := 0, 0
		for _, r := range e.all(nil) {
			if r.void != "" {
				continue
			}
			all++
			if x := of(r); !math.IsNaN(x) {
				known++
				low, high = min(low, x), max(high, x)
			}
		}
		if known == 0 {
			return
		}
		text := write(low)
		if other := write(high); other != text {
			text = say.With("%s to %s", text, other)
		}
		if known < all {
			text += " " + say.With("(known of %d of %d discharges)", known, all)
		}
		lines = append(lines, publish.Line{Head: head, Text: text})
	}
	charged := func(of func(c *measure.Charge) float64) func(r *run) float64 {
		return func(r *run) float64 {
			if r.charge == nil {
				return math.NaN()
			}
			return of(r.charge)
		}
	}
	between(say.Later("Cell temperature when the load came on"), func(x float64) string { return e.words.Fixed(x, 1) + " °C" }, func(r *run) float64 { return r.res.TempStart })
	between(say.Later("Charged to"), func(x float64) string { return e.words.Fixed(x, 2) + " V" }, charged(func(c *measure.Charge) float64 { return c.Top }))
	between(say.Later("Rest between charge and discharge"), func(x float64) string { return quantity.Clock(x) + " h" }, charged(func(c *measure.Charge) float64 { return c.Rest }))
	cut := say.Later("each discharge’s own end")
	if e.cutoff > 0 {
		cut = e.words.Fixed(e.cutoff, 2) + " V"
	}
	lines = append(lines, publish.Line{Head: say.Later("Figures go down to"), Text: cut})
	wires := say.Later("four wires")
	if e.spec.TwoWire {
		wires = say.With("two wires; voltages are corrected for %s mΩ of leads and contacts", e.significant(1000*e.spec.Lead, 3))
	}
	if !testerEmpty(e.tester) {
		lines = append(lines, publish.Line{Head: say.Later("Connection"), Text: wires})
	}
	return lines
}
