package engine

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"plateau/core/link"
	"plateau/core/logfile"
	"plateau/core/publish"
	"plateau/core/quantity"
	"plateau/core/say"
	"plateau/wasm/app/wire"
)

// mostLinked is of how many discharges a link has the curves.
const mostLinked = 32

// linked is the writer of the last link, which keeps curves that were thinned.
type linked struct {
	of     string
	writer *link.Writer
}

// link makes a link of the campaign.
func (e *Engine) link(w *wire.Link) *wire.LinkMade {
	out := &wire.LinkMade{Parts: []wire.LinkPart{}}
	if w == nil {
		w = &wire.Link{}
	}
	if len(e.entries()) == 0 {
		out.Why = say.Text("There is no discharge to link to. Drop a log, or type its figures.")
		return out
	}
	o := link.Options{Private: w.Private}
	for _, p := range link.Parts {
		for _, key := range w.Out {
			if key == p.Name {
				o.Out |= p.Part
			}
		}
	}
	if s := strings.TrimSpace(w.Tolerance); s != "" {
		t, err := quantity.Parse(s, quantity.Voltage)
		if bare, ok := plainNumber(s); ok {
			t, err = bare/1000, nil
		}
		if err != nil || !(t >= 1e-4 && t <= 0.1) {
			out.ToleranceError = say.With("“%s” is no error of a curve in mV: type one from 0.1 to 100, such as 2.", clip(s))
		} else {
			o.Tolerance = t
		}
	}
	if of := fmt.Sprint(e.changes, e.words.Comma, w.Day); e.linked.of != of || e.linked.writer == nil {
		e.linked = linked{of, link.NewWriter(e.post(&wire.Publish{Day: w.Day}, true))}
	}
	fail := func(err error) *wire.LinkMade {
		out.Why = err.Error()
		return out
	}
	if w.Fit > 0 {
		fit := e.linked.writer.Fit
		if w.Preview {
			fit = e.previewed
		}
		fitted, err := fit(w.Fit, o)
		if err != nil {
			return fail(err)
		}
		o, out.Did, out.Text = fitted.Options, fitted.Did, fitted.Text
	}
	size, err := e.linked.writer.Size(o)
	if err != nil {
		return fail(err)
	}
	if out.Text == "" {
		if out.Text, err = e.linked.writer.Encode(o); err != nil {
			return fail(err)
		}
	}
	out.Total = len(out.Text)
	for _, p := range size.Parts {
		out.Parts = append(out.Parts, wire.LinkPart{Key: p.Name, Chars: p.Chars, In: p.In})
	}
	if size.Points > 0 {
		out.Curves = say.With("%d points; no sample lies farther than %s mV from the curve.", size.Points, e.significant(1000*size.Tolerance, 2))
	}
	return out
}

// beside are parts that a preview does without, one after the other, before it
// does without curves; without the first it always does, since they are for
// those who open the whole page.
var beside = []link.Part{link.Logs | link.Temperatures | link.Notes, link.Ranking, link.Cells, link.Method, link.Findings}

// previewed makes a link fit that has its curves, where it can, or else its
// verdicts.
func (e *Engine) previewed(limit int, o link.Options) (link.Fitted, error) {
	o.Private = false
	asked := o.Out
	for _, want := range []link.Part{link.Curves | link.Figures | link.Verdicts, link.Figures | link.Verdicts, 0} {
		o.Out = asked
		for _, part := range beside {
			o.Out |= part
			f, err := e.linked.writer.Fit(limit, o)
			if err != nil || f.Out&want&^asked == 0 {
				if f.Out != o.Out && len(f.Did) > 0 { // the last says what of o it had to leave out
					f.Did = f.Did[:len(f.Did)-1]
				}
				return told(f, asked), err
			}
		}
	}
	return link.Fitted{}, nil
}

// told has a link that was made to fit say all that is not in it.
func told(f link.Fitted, asked link.Part) link.Fitted {
	var names []string
	for _, p := range link.Parts {
		if f.Out&^asked&p.Part != 0 && p.Part != link.Notes {
			names = append(names, say.Text(p.Name))
		}
	}
	if names != nil {
		f.Did = append(f.Did, say.With("Left out: %s.", strings.Join(names, ", ")))
	}
	return f
}

// unlink shows what a link holds.
func (e *Engine) unlink(text string) (*wire.Linked, [][]float64) {
	p, err := link.Decode(text)
	if err != nil {
		return &wire.Linked{Why: err.Error()}, nil
	}
	out := &wire.Linked{Title: p.Title, Made: strings.TrimSpace(p.Day + " " + p.Program)}
	if out.Title == "" {
		out.Title = say.Text("A campaign")
	}
	colours := map[string]int{}
	for k, c := range p.Cells {
		colours[c.Name] = k
	}
	for _, l := range append(p.Conditions, p.Leaders...) {
		out.Lines = append(out.Lines, wire.LinkedLine{Head: say.Text(l.Head), Text: say.Text(l.Text)})
	}
	if p.Private != "" {
		out.Lines = append(out.Lines, wire.LinkedLine{Head: say.Text("Notes"), Text: p.Private})
	}
	out.Tables = e.linkedTables(p, colours)
	for _, r := range p.Runs {
		for _, c := range r.Checks {
			out.Notes = append(out.Notes, r.Name+": "+say.Text(c.Severity)+": "+c.Text)
		}
	}
	with := 0
	var data [][]float64
	if len(p.Curves) > 0 {
		out.Curves = &wire.Curves{Axis: "charge", XLabel: say.Text("Discharged charge / Ah"), YLabel: say.Text("Voltage / V"), TLabel: say.Text("Temperature / °C")}
		for k, c := range p.Curves {
			r := p.Runs[c.Run]
			points := make([]float64, 0, 2*len(c.Q))
			for j := range c.Q {
				points = append(points, c.Q[j], c.V[j])
				out.Curves.XMax = max(out.Curves.XMax, c.Q[j])
			}
			out.Curves.Series = append(out.Curves.Series, wire.Series{Run: strconv.Itoa(k), Name: r.Name, Colour: k})
			data = append(data, points)
			with++
		}
		if p.Tolerance > 0 {
			out.Curves.Note = say.With("No sample lies farther than %s mV from its curve.", e.significant(1000*p.Tolerance, 2))
		}
	}
	out.Takes = say.With("Discharges with a curve come as logs made of it: %d; others as typed figures: %d; cells that are not there yet come with their datasheets.", with, len(p.Runs)-with)
	return out, data
}

// linkedTables are the figures, the verdicts and the ranking of a post.
func (e *Engine) linkedTables(p publish.Post, colours map[string]int) []wire.LinkedTable {
	figure := func(n publish.Number, decimals int) wire.Figure {
		if math.IsNaN(n.Value) {
			return wire.Figure{Why: say.Text(n.Why)}
		}
		value := e.words.Fixed(n.Value, decimals)
		if n.AtLeast {
			value = "≥ " + value
		}
		return wire.Figure{Value: value, U: e.uncertain(n.U, decimals)}
	}
	var tables []wire.LinkedTable
	runs := wire.Table{Heads: []string{say.Text("Discharge"), say.Text("Current / A"), say.Text("Capacity / Ah"), say.Text("Energy / Wh"), say.Text("Average voltage / V"), say.Text("Max. temperature / °C")}}
	for _, r := range p.Runs {
		mark := ""
		if r.Over {
			mark = say.Text("over the permitted current")
		}
		note := r.Cell
		if r.Void != "" {
			note = say.With("%s: does not count: %s", note, r.Void)
		}
		runs.Rows = append(runs.Rows, wire.TableRow{Cell: r.Cell, Colour: colours[r.Cell], Head: r.Name, Note: note, Mark: mark,
			Fields: []wire.Figure{{Value: e.words.Fixed(r.Current, 2)}, figure(r.Capacity, 3), figure(r.Energy, 2), figure(r.Average, 3), figure(r.TempMax, 1)}})
	}
	if len(runs.Rows) > 0 {
		tables = append(tables, wire.LinkedTable{Title: say.Text("Figures"), Table: runs})
	}
	verdicts := wire.Table{Heads: []string{say.Text("Cell"), say.Text("Claim"), say.Text("Verdict"), say.Text("Best / Ah"), say.Text("Margin / Ah")}}
	for _, v := range p.Verdicts {
		verdicts.Rows = append(verdicts.Rows, wire.TableRow{Cell: v.Cell, Colour: colours[v.Cell], Head: v.Cell,
			Fields: []wire.Figure{{Value: v.Claim}, {Value: say.Text(v.Word)}, figure(v.Best, 3), figure(v.Margin, 3)}})
	}
	if len(verdicts.Rows) > 0 {
		tables = append(tables, wire.LinkedTable{Title: say.Text("Verdicts on the datasheet"), Table: verdicts})
	}
	for _, r := range p.Rankings {
		head, title := r.Figure, say.Later("Ranking at %s")
		for _, f := range rankedBy {
			if f.key == r.Figure {
				head, title = say.Text(f.name), f.ranking
			}
		}
		t := wire.Table{Heads: []string{say.Text("Cell"), head + " / " + r.Unit, say.Text("Letters")}}
		for _, c := range r.Places {
			t.Rows = append(t.Rows, wire.TableRow{Cell: c.Cell, Colour: colours[c.Cell], Head: c.Cell, Mark: c.Mark, Fields: []wire.Figure{figure(c.Mean, 3), {Value: c.Letters}}})
		}
		if len(t.Rows) > 0 {
			tables = append(tables, wire.LinkedTable{Title: say.With(title, r.Rate), Table: t})
		}
	}
	return tables
}

// takeLink adds what a link holds to the logs and cells: a curve as the log of a
// discharge at its mean current, other figures as typed ones.
func (e *Engine) takeLink(text string, id int) {
	p, err := link.Decode(text)
	if err != nil {
		return
	}
	for k := range p.Cells {
		c := p.Cells[k]
		if c.Name != "" && e.cells[c.Name] == nil {
			w := e.linkedCell(c)
			e.setCell(&w)
		}
	}
	curves := map[int]publish.Curve{}
	for _, c := range p.Curves {
		curves[c.Run] = c
	}
	rows := []wire.TypedRun{}
	for _, t := range e.typedRuns {
		rows = append(rows, t.TypedRun)
	}
	for k, r := range p.Runs {
		c, ok := curves[k]
		if !ok || !(r.Current > 0) || len(c.Q) < 3 {
			of := func(n publish.Number) string {
				if math.IsNaN(n.Value) {
					return ""
				}
				return e.typed(n.Value, 1)
			}
			rows = append(rows, wire.TypedRun{Cell: r.Cell, Current: e.typed(r.Current, 1), Capacity: of(r.Capacity), Energy: of(r.Energy), Cutoff: e.typed(r.Cutoff, 1), Void: r.Void})
			continue
		}
		name := say.With("%s (from a link).csv", r.Name)
		log, err := logfile.Read(name, strings.NewReader(linkedLog(r, c)))
		f := e.file(id, name, log, err)
		f.head = []byte(linkedLog(r, c))
		f.head = f.head[:min(len(f.head), keptHead)]
		if log != nil {
			log.Notes = append(log.Notes, say.Later("This log is made of a curve in a link: its time is charge over the mean current."))
		}
		e.put(f)
		for _, run := range f.runs {
			e.assign(run.id, r.Cell)
			e.setVoid(run.id, r.Void)
			e.measureRun(f, run)
		}
		id++
	}
	e.setTyped(rows)
}

// restBefore in s is how long before the load the voltage at rest is put: not so
// long that what half of it holds counts.
const restBefore = 0.01

// linkedLog is a log made of a curve.
func linkedLog(r publish.Run, c publish.Curve) string {
	var b bytes.Buffer
	b.WriteString("Time / s,Voltage / V,Current / A\n")
	last := -1.0
	for k := range c.Q {
		t := 3600 * c.Q[k] / r.Current
		amps := r.Current
		if k == 0 && len(c.Q) > 1 && c.Q[1] == c.Q[0] { // at rest, before the load
			t, amps = -restBefore, 0
		}
		if t <= last && k > 0 {
			t = last + 1e-3
		}
		last = t
		fmt.Fprintf(&b, "%.4f,%.5f,%.5f\n", t+restBefore, c.V[k], amps)
	}
	return b.String()
}

// linkedCell is a cell of a post as typed.
func (e *Engine) linkedCell(c publish.Cell) wire.Cell {
	of := func(x float64) string { return e.typed(x, 1) }
	w := wire.Cell{Name: c.Name, Model: c.Model, Sample: c.Sample, Size: c.Size, Marking: c.Marking, Mass: of(c.Mass), Price: of(c.Price), Currency: c.Currency,
		Cutoff: of(c.Cutoff), ChargeVoltage: of(c.ChargeVoltage), ChargeCurrent: of(c.ChargeCurrent), ChargeEnd: of(c.ChargeEnd), MaxCurrent: of(c.MaxCurrent),
		Notes: c.Notes, Bought: c.Bought, Lot: c.Lot, DateCode: c.DateCode, Wrapper: c.Wrapper}
	for kind, word := range chemistries {
		if word == c.Chemistry {
			w.Chemistry = string(kind)
		}
	}
	if c.Series > 1 {
		w.Series = of(float64(c.Series))
	}
	for _, x := range c.Claims {
		switch x.What {
		case "rated":
			w.Rated, w.RatedCurrent, w.RatedCutoff = of(x.Capacity), of(x.Current), of(x.Cutoff)
		case "minimum":
			w.Minimum, w.MinimumCurrent, w.MinimumCutoff = of(x.Capacity), of(x.Current), of(x.Cutoff)
		case "typical":
			w.Typical, w.TypicalCurrent, w.TypicalCutoff = of(x.Capacity), of(x.Current), of(x.Cutoff)
		}
	}
	return w
}
