package link

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"plateau/core/cell"
	"plateau/core/claim"
	"plateau/core/compare"
	"plateau/core/demo"
	"plateau/core/logfile"
	"plateau/core/measure"
	"plateau/core/publish"
	"plateau/core/quantity"
	"plateau/core/trace"
)

// A campaign made of the demo's logs by the core's own arithmetic, in the words
// of its own verdicts and findings, with every sample of its curves.
var campaign = sync.OnceValue(func() publish.Post {
	p := publish.Post{Title: "Four cells at 0.2 It to 18 A", Private: "Do not buy from the stall again.", Day: "2026-11-25", Program: "Plateau 0.3",
		Conditions: []publish.Line{{Head: "Ambient", Text: "22 °C to 24 °C"}, {Head: "Connection", Text: "four wires, holder with large contacts"},
			{Head: "Rest after the charge", Text: "1 h, but for one run"}, {Head: "Cut-off", Text: "each datasheet’s own"}},
		Tester: publish.Tester{Name: demo.Tester().Name, Known: true, Words: []string{"Voltage ± (0.05 % + 2 mV), resolution 1 mV.",
			"Current ± (0.1 % + 5 mA), resolution 10 mA.", "Time base 0.01 %, temperature ± 1 °C."}}}
	sheets := map[string]cell.Cell{}
	for _, c := range demo.Cells() {
		sheets[c.Name] = c
		x := publish.Cell{Name: c.Name, Model: c.Model, Sample: c.Sample, Chemistry: "lithium ion", Size: c.Size, Marking: c.Marking, Mass: c.Mass, Price: c.Price, Currency: c.Currency,
			Cutoff: c.Cutoff, ChargeVoltage: c.ChargeVoltage, ChargeCurrent: c.ChargeCurrent, ChargeEnd: c.ChargeEnd, MaxCurrent: c.MaxCurrent,
			Bought: c.Bought, Lot: c.Lot, DateCode: c.DateCode, Wrapper: c.Wrapper}
		for _, l := range c.Claims() {
			x.Claims = append(x.Claims, publish.Claim{What: l.Kind.String(), Capacity: l.Capacity, Current: l.Current, Cutoff: l.Cutoff})
		}
		p.Cells = append(p.Cells, x)
	}
	attempts := map[string][]claim.Run{}
	rates := map[float64][]compare.Contender{}
	var w quantity.Words
	for _, l := range demo.Logs() {
		var b bytes.Buffer
		if _, err := l.WriteTo(&b); err != nil {
			panic(err)
		}
		p.Logs = append(p.Logs, publish.Log{Name: l.Name, Bytes: int64(b.Len()), SHA256: fmt.Sprintf("%x", sha256.Sum256(b.Bytes()))})
		log, err := logfile.Read(l.Name, &b)
		if err != nil {
			panic(err)
		}
		name, _, _ := strings.Cut(l.Name, " ")
		c := sheets[name]
		for _, s := range log.Trace.Steps() {
			if s.Kind != trace.Discharge || s.To-s.From < 20 {
				continue
			}
			r := trace.NewRun(log.Trace, s)
			res, err := measure.Discharge(r, c.Cutoff)
			if err != nil {
				panic(err)
			}
			budgets, use := measure.Uncertainty(r, res, demo.Tester())
			num := func(q measure.Quantity) publish.Number {
				return publish.Number{Value: q.Of(res), U: budgets[q].Expanded()}
			}
			run := publish.Run{Cell: name, Name: strings.TrimSuffix(l.Name, ".csv"), Log: len(p.Logs) - 1, Current: res.Current, Rate: c.Rate(res.Current), Cutoff: c.Cutoff,
				Over: res.Current > c.MaxCurrent, Capacity: num(measure.Capacity), Energy: num(measure.Energy), Average: num(measure.Average), MidPoint: num(measure.MidPoint),
				Duration: num(measure.Duration), Start: num(measure.Start), End: num(measure.End), TempMax: num(measure.TempMax), TempRise: num(measure.TempRise)}
			run.Resistance = publish.Number{Value: math.NaN(), Why: "The log has no rest before the load."}
			if steps, _ := measure.StepResistance(r, []float64{10}); len(steps) > 0 {
				run.Resistance = publish.Number{Value: steps[0].Ohm, U: measure.ResistanceBudget(r, steps[0], use).Expanded()}
				run.ResistanceAt = steps[0].Time
			}
			for _, f := range measure.Findings(measure.Facts{Run: r, Results: res, Cutoff: c.Cutoff, Cell: c, Tester: demo.Tester()}) {
				run.Checks = append(run.Checks, publish.Check{Severity: f.Severity.String(), Text: f.Text, Safety: f.Safety})
			}
			p.Curves = append(p.Curves, curveOf(r, len(p.Runs)))
			p.Runs = append(p.Runs, run)
			attempts[name] = append(attempts[name], claim.Run{Name: run.Name, Current: res.Current, Reached: c.Cutoff, Capacity: res.Capacity, Budget: budgets[measure.Capacity], Relative: 0.003, DF: 8})
			rate := math.Round(res.Current)
			rates[rate] = append(rates[rate], compare.Contender{Cell: name, Mean: res.Capacity, N: 1, Budget: budgets[measure.Capacity]})
		}
	}
	for _, c := range demo.Cells() {
		for _, l := range c.Claims() {
			v := claim.Judge(claim.Claim{Kind: claim.Kind(l.Kind), Capacity: l.Capacity, Current: l.Current, Cutoff: l.Cutoff}, attempts[c.Name], w)
			p.Verdicts = append(p.Verdicts, publish.Verdict{Cell: c.Name, Claim: fmt.Sprintf("%s %.3f Ah at %.2f A, %.1fC (%.1f It), down to %.2f V", l.Kind, l.Capacity, l.Current, c.Rate(l.Current), c.Rate(l.Current), l.Cutoff),
				Grade: grades[v.Grade], Word: v.Grade.String(), Sentence: v.Sentence, BestOf: v.BestOf, Best: publish.Number{Value: v.Best, U: v.U}, Margin: publish.Number{Value: v.Margin, U: v.U}, Chance: publish.Number{Value: v.Chance}})
		}
	}
	p.Method = claim.Rule(w)
	for _, figure := range ranked {
		for _, rate := range []float64{1, 3, 6, 12, 18} {
			o := compare.Rank(rates[rate], 0.05, true)
			k := publish.Ranking{Figure: figure, Unit: "Ah", Rate: fmt.Sprintf("%.2f A", rate), Basis: []string{"All figures go down to 2.80 V, the highest cut-off that the discharges have in common."}}
			for place, i := range o.Ranked {
				x := rates[rate][i]
				k.Places = append(k.Places, publish.Place{Cell: x.Cell, Mean: publish.Number{Value: x.Mean, U: x.Budget.Expanded()}, N: 1, Letters: o.Letters[place]})
				if place > 0 {
					g := o.Pair(place-1, place)
					say := fmt.Sprintf("%s leads %s by %.3f Ah, more than the %.4f Ah that this set-up can tell apart.", rates[rate][o.Ranked[place-1]].Cell, x.Cell, g.Gap, g.Least)
					if !g.Told {
						say = fmt.Sprintf("%s and %s are not told apart: %.3f Ah lie between them, and this set-up can tell %.4f Ah.", rates[rate][o.Ranked[place-1]].Cell, x.Cell, g.Gap, g.Least)
					}
					k.Gaps = append(k.Gaps, say)
				}
			}
			p.Rankings = append(p.Rankings, k)
		}
	}
	return p
})

// curveOf is every sample of a run, the voltage at rest first.
func curveOf(r *trace.Run, run int) publish.Curve {
	c := publish.Curve{Run: run}
	if r.Before.Rest {
		c.Q, c.V, c.Temp = append(c.Q, 0), append(c.V, r.Before.V), append(c.Temp, math.NaN())
	}
	for x := range r.Points(r.From) {
		c.Q, c.V, c.Temp = append(c.Q, x.Q), append(c.V, x.V), append(c.Temp, x.Temp)
	}
	return c
}

// What the demo takes, with every sample of its seventeen curves thinned.
func TestSizeOfTheDemo(t *testing.T) {
	p := campaign()
	w := NewWriter(p)
	names := Verdicts | Ranking | Findings | Logs | Method | Cells
	for _, c := range []struct {
		what string
		Options
		most int // characters
	}{
		{"all at 2 mV", Options{}, 5200},
		{"all at 5 mV", Options{Tolerance: 5e-3}, 4800},
		{"all at 10 mV", Options{Tolerance: 10e-3}, 4600},
		{"all but curves", Options{Out: Curves}, 3900},
		{"all but logs", Options{Out: Logs}, 4300},
		{"figures alone", Options{Out: names | Curves}, 1520},
		{"figures, curves at 2 mV", Options{Out: names}, 2860},
		{"names, curves at 2 mV", Options{Out: names | Figures | Temperatures}, 1620},
		{"names, curves at 5 mV", Options{Out: names | Figures | Temperatures, Tolerance: 5e-3}, 1300},
		{"names, curves at 10 mV", Options{Out: names | Figures | Temperatures, Tolerance: 10e-3}, 1150},
	} {
		text, err := w.Encode(c.Options)
		if err != nil {
			t.Fatal(err)
		}
		size, err := w.Size(c.Options)
		if err != nil || size.Total != len(text) {
			t.Errorf("%s: size %d of %d characters, %v", c.what, size.Total, len(text), err)
		}
		t.Logf("%s: %d characters, %d points", c.what, len(text), size.Points)
		if len(text) > c.most {
			t.Errorf("%s: more than %d characters", c.what, c.most)
		}
		for _, part := range size.Parts {
			if part.Chars < 0 || part.In != c.has(part.Part) {
				t.Errorf("%s: %+v", c.what, part)
			}
			if c.what == "all at 2 mV" {
				t.Logf("  %s: %d", part.Name, part.Chars)
			}
			other, err := w.Encode(c.with(part.Part, !part.In))
			if change := len(text) - len(other); err != nil || change != part.Chars && change != -part.Chars {
				t.Errorf("%s: %s is said to take %d and takes %d", c.what, part.Name, part.Chars, change)
			}
		}
	}
}

// A link is made to fit by coarser curves, then without parts, and says so.
func TestFit(t *testing.T) {
	p := campaign()
	w := NewWriter(p)
	for _, c := range []struct {
		limit int
		Options
		tolerance float64
		out       Part
	}{
		{32_000, Options{}, 2e-3, 0},
		{8000, Options{}, 2e-3, 0},
		{32_000, Options{Out: Logs, Private: true, Tolerance: 1e-3}, 1e-3, Logs},
		{5000, Options{}, 3e-3, 0},
		{2000, Options{}, 0, Curves | Logs},
		{700, Options{}, 0, Figures},
	} {
		f, err := w.Fit(c.limit, c.Options)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%d: %d characters, %v", c.limit, len(f.Text), f.Did)
		got, err := Decode(f.Text)
		if err != nil || len(f.Text) > c.limit || len(got.Runs) != 17 {
			t.Errorf("%d: %d characters, %v", c.limit, len(f.Text), err)
		}
		if c.tolerance > 0 && f.Tolerance != c.tolerance || f.Out&c.out != c.out || c.out == 0 && f.Out != 0 {
			t.Errorf("%d: %+v", c.limit, f.Options)
		}
		changed := f.Out != c.Out || f.has(Curves) && f.Tolerance > max(c.Tolerance, DefaultTolerance)
		if (len(f.Did) > 0) != changed {
			t.Errorf("%d: %+v, said %q", c.limit, f.Options, f.Did)
		}
		// What was left out would not have fitted.
		for _, part := range Parts {
			if f.Out&^c.Out&part.Part != 0 {
				if n, err := w.length(f.with(part.Part, true)); err != nil || n <= c.limit {
					t.Errorf("%d: %s is left out, and would have made %d", c.limit, part.Name, n)
				}
			}
		}
	}
	// Curves of too many points at any tolerance are left out.
	q, v := make([]float64, mostPoints+1000), make([]float64, mostPoints+1000)
	for k := range q {
		q[k], v[k] = float64(k), float64(k%2)
	}
	noise := publish.Post{Runs: []publish.Run{{Name: "Alder", Log: -1}}, Curves: []publish.Curve{{Q: q, V: v}}}
	if f, err := Fit(noise, 8000, Options{}); err != nil || f.has(Curves) || len(f.Did) != 1 {
		t.Error("noise:", err, f.Did)
	}
	var broken *Broken
	if _, err := w.Fit(100, Options{}); !errors.As(err, &broken) {
		t.Error("fits in 100 characters:", err)
	}
}
