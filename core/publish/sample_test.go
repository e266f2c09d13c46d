package publish

import (
	"fmt"
	"math"
	"strings"

	"plateau/core/cell"
)

func none(why string) Number { return Number{Value: math.NaN(), Why: why} }

// sample is a campaign as a bench would have it: four invented cells, five rates.
func sample() Post {
	p := Post{
		Title:   "Four cells for the gauges",
		Private: "Birch cost too much.",
		Day:     "2026-11-25",
		Program: "Plateau 0.3",
		Conditions: []Line{{"Ambient", "21.8 °C to 23.4 °C"}, {"Charge", "0.5 It to 4.20 V (iron phosphate: 3.65 V), ending at 0.05 It"},
			{"Rest before discharge", "at least 1 h, but for one run"}, {"Connection", "four wires, holder with large contacts"},
			{"Figures down to", "each cell’s datasheet cut-off"}},
		Method: []string{"Charge and energy are added up by the trapezoidal rule over the log’s own samples, to the point where the voltage crosses the cut-off for good.",
			"The average voltage is energy over charge.", "Uncertainties are combined by the GUM from the tester’s errors, the resolution, the time base and the cut-off."},
		Tester: Tester{"Bench tester, 20 A", false, []string{"Its errors are not known: assumed are the tolerances of IEC 61960-3, 1 % of current and of voltage, 0.1 % of time.",
			"Steps of 1 mV and 0.01 A."}},
		Tolerance: 0.002,
	}
	names := []string{"Alder", "Birch", "Cedar", "Dogwood"}
	ah := []float64{4.983, 4.021, 4.612, 6.034}
	volts := []float64{3.652, 3.641, 3.648, 3.214}
	most := []float64{10, 30, 12, 18}
	kind := []string{"lithium ion", "lithium ion", "lithium ion", "lithium iron phosphate"}
	for c, name := range names {
		rated := []float64{4.9, 4.0, 4.8, 6.0}[c]
		p.Cells = append(p.Cells, Cell{Name: name, Model: name + " " + []string{"50E", "40P", "48X", "60F"}[c], Sample: "1 of 1", Chemistry: kind[c], Size: []string{"21700", "21700", "21700", "32700"}[c],
			Mass: []float64{69.4, 67.1, 66.8, 141.2}[c], Price: 3.5 + float64(c), Currency: "EUR", Cutoff: []float64{2.5, 2.5, 2.5, 2.0}[c], ChargeVoltage: []float64{4.2, 4.2, 4.2, 3.65}[c],
			ChargeCurrent: rated / 2, ChargeEnd: rated / 20, MaxCurrent: most[c], Series: 1,
			Claims: []Claim{{"rated", rated, rated / 5, []float64{2.5, 2.5, 2.5, 2.0}[c]}}, Lot: "lot " + name, Bought: "a shop"})
		for k, amps := range []float64{rated / 5, 3, 6, 12, 18} {
			drop := 0.012 * float64(k) * float64(k)
			q := ah[c] * (1 - drop/2)
			v := volts[c] - 0.018*amps
			p.Logs = append(p.Logs, Log{fmt.Sprintf("%s_%05.2fA.csv", strings.ToLower(name), amps), 3_412_345 / int64(1+k), strings.Repeat(fmt.Sprintf("%x%x9c3e57a1b2d4f608", c, k), 4)[:64]})
			r := Run{Cell: name, Name: fmt.Sprintf("%s %.2f A", name, amps), Log: 5*c + k, Current: amps * 1.0003, Rate: amps / rated, Cutoff: p.Cells[c].Cutoff, Over: amps > most[c],
				Capacity: Number{Value: q, U: q * 0.0104}, Energy: Number{Value: q * v, U: q * v * 0.0147}, Average: Number{Value: v, U: 0.0367}, MidPoint: Number{Value: v + 0.021, U: 0.037},
				Duration: Number{Value: 3600 * q / amps, U: 1.7}, Start: Number{Value: 4.183, U: 0.042}, End: Number{Value: p.Cells[c].Cutoff, U: 0.025},
				TempMax: Number{Value: 23.1 + 1.4*amps, U: 2}, TempRise: Number{Value: 1.4*amps + 0.6, U: 0.5},
				Resistance: Number{Value: 0.0213 + 0.004*float64(c), U: 0.0006}, ResistanceAt: 10}
			if r.Over {
				r.Checks = append(r.Checks, Check{"caution", fmt.Sprintf("The current, %.2f A, is over the %.0f A that the cell may give.", amps, most[c]), true})
			}
			if r.TempMax.Value > 45 && !r.Over {
				r.Checks = append(r.Checks, Check{"caution", fmt.Sprintf("The cell got as hot as %.1f °C.", r.TempMax.Value), true})
			}
			p.Runs = append(p.Runs, r)
		}
		grade, word := "pass-within", "pass, within uncertainty"
		if name == "Cedar" {
			grade, word = "below", "below"
		}
		q := p.Runs[5*c].Capacity
		p.Verdicts = append(p.Verdicts, Verdict{Cell: name, Claim: fmt.Sprintf("Rated %.3f Ah at %.2f A (0.2 It) to %.3f V", rated, rated/5, p.Cells[c].Cutoff), Grade: grade, Word: word,
			Sentence: fmt.Sprintf("The best of one attempt at the claim’s own current, to its cut-off, gave %.2f Ah, and %.3f Ah is claimed: the difference is set against the expanded uncertainty of one run’s measurement.", q.Value, rated),
			Best:     q, BestOf: 1, Margin: Number{Value: q.Value - rated, U: q.U}, Chance: Number{Value: []float64{0.943, 0.661, 0.0001, 0.71}[c]}})
	}
	p.Runs[2].Void, p.Runs[2].Checks = "the rest before it was 4 min", append(p.Runs[2].Checks, Check{"fault", "The rest between charge and load was 4 min, not the hour that it takes.", false})
	p.Runs[7].Capacity.AtLeast, p.Runs[7].Energy.AtLeast = true, true
	p.Runs[7].Checks = append(p.Runs[7].Checks, Check{"fault", "The discharge ended at 2.81 V, above the cut-off of 2.50 V: the cell gives at least these figures.", false})
	p.Runs[11].TempMax, p.Runs[11].TempRise = none("The log has no temperature."), none("The log has no temperature.")
	p.Runs[13].MidPoint = none("Half the capacity lies before the log’s first sample.")
	p.Runs[18].Typed, p.Runs[18].Log = true, -1
	p.Runs[18].Resistance, p.Runs[18].Start = none("A display does not tell it."), none("A display does not tell it.")
	for f, figure := range []string{"capacity", "energy"} {
		for k, rate := range []string{"0.2C (0.2 It)", "3.0 A", "6.0 A", "12.0 A", "18.0 A"} {
			r := Ranking{Figure: figure, Unit: []string{"Ah", "Wh"}[f], Rate: rate, Basis: []string{"Each chemistry goes to its own highest common cut-off: lithium ion down to 2.50 V and iron phosphate down to 2.00 V.",
				"Too few repeats for a spread of their own: 0.3 % at 0.2 It, 0.5 % at 1 It, 1 % at higher rates is assumed (common practice, no source)."}}
			for n, c := range []int{3, 0, 2, 1} {
				run := p.Runs[5*c+k]
				m := []Number{run.Capacity, run.Energy}[f]
				m.AtLeast = false
				if run.Over || run.Void != "" {
					r.Out = append(r.Out, run.Name+": over the permitted current, or void.")
					continue
				}
				r.Places = append(r.Places, Place{Cell: names[c], Mean: m, N: 1 + k/4, Letters: string(rune('a' + n - n/3))})
			}
			r.Gaps = []string{"Dogwood leads Alder by 1.05 Ah, more than the 0.05 Ah that this set-up can tell apart."}
			p.Rankings = append(p.Rankings, r)
		}
	}
	p.Leaders = []Line{{"0.2C (0.2 It)", "Dogwood leads"}, {"3.0 A", "Dogwood leads"}, {"6.0 A", "Dogwood leads"}, {"12.0 A", "Dogwood leads"}, {"18.0 A", "Birch and Dogwood, not told apart"}}
	for k := range p.Runs {
		p.Curves = append(p.Curves, Curve{Run: k, Q: []float64{0, 1.5, p.Runs[k].Capacity.Value}, V: []float64{4.1, 3.6, 2.5}})
	}
	p.Cells[0].Inspection = Inspection{Day: "2026-11-20", Remark: "a dent", Arrived: cell.Arrived{HasVoltage: true, Voltage: 3.552, Diameter: 21.2, Length: 70.1, Resistance: 0.0184}}
	p.Cells[2].Inspection = Inspection{Arrived: cell.Arrived{Length: 70.1}, Checks: []Check{{"caution", "It weighs 66.8 g, which is 4.6 % less than the 70.0 g of its datasheet.", false}, {"note", "It arrived at 3.100 V, nearly empty.", false}}}
	p.Curves[0].Temp = []float64{22, math.NaN(), 24.1}
	return p
}

// nasty are texts that break out of one format or another.
var nasty = []string{
	"<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "[url=javascript:alert(1)]x[/url]", "[/code][b]bold[/b]", "[*]item", "[/td][/tr][/table]",
	"a|b", `a\|b`, `a\\|b`, "`code`", "```", "````", "**bold** _it_ ~~gone~~", "[link](javascript:alert(1))", "![i](x)", "<javascript:alert(1)>", "[ref]: x",
	"# head", "- item", "+ item", "1. item", "12) item", "=====", "-----", "> quote", "line\nnew", "two\r\n\r\n# head", "tab\tbed", "&lt;b&gt; &amp; &#60;", "\"quoted\"", `"`, "'", "a,b;c",
	"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =1", "\u200b=1", "＝1", "'=1", "\u202eright\u202c", "\u2067iso", "nul\x00bell\x07", "bad\xff\xfeutf", "\u2028sep\u2029", "nel\u0085x",
	"http://evil.example/x", "www.evil.example", "me@evil.example", "</style></title><script>", "]]>", "-->", "\\", "$x^2$", "\u00a0nbsp\u00a0", ":-- | :--:", "שלום 12", "", "*", "a*", "{x}", "trailing\\",
}

// hostile is a post whose every text is one of nasty, in turn.
func hostile() Post {
	n := 0
	next := func() string { n++; return nasty[n%len(nasty)] }
	num := func() Number {
		n++
		return []Number{{Value: math.NaN(), Why: next()}, {Value: math.Inf(1), U: math.Inf(1), Why: next()}, {Value: 1e300, U: 1e-300}, {Value: -0.5, U: math.NaN()}, {Value: 0, U: -1}, {Value: 4.2, U: 0.1, AtLeast: true}}[n%6]
	}
	lines := func() []Line { return []Line{{next(), next()}, {"", next()}, {next(), ""}, {}} }
	p := Post{Title: next(), Private: next(), Day: next(), Program: next(), Conditions: lines(), Leaders: lines(), Tester: Tester{next(), true, []string{next()}}, Tolerance: math.Inf(1)}
	for k, s := range nasty {
		p.Method = append(p.Method, s)
		p.Conditions = append(p.Conditions, Line{s, next()})
		p.Logs = append(p.Logs, Log{s, int64(k) - 3, next()})
		p.Cells = append(p.Cells, Cell{Name: s, Model: next(), Sample: next(), Chemistry: next(), Size: next(), Marking: next(), Mass: math.NaN(), Price: math.Inf(1), Currency: next(),
			Inspection: Inspection{Day: next(), Remark: next(), Checks: []Check{{"fault", next(), true}}, Arrived: cell.Arrived{HasVoltage: true, Voltage: math.NaN(), Diameter: 1e300, Length: -1, Resistance: math.Inf(1)}},
			Claims:     []Claim{{next(), math.Inf(1), -1, 1e300}}, Cutoff: 1e-300, Series: -4, Notes: next(), Lot: next()})
		p.Runs = append(p.Runs, Run{Cell: s, Name: next(), Log: k*100 - 300, Current: math.NaN(), Rate: math.Inf(1), Cutoff: 1e300, Over: k%3 == 0, Typed: k%2 == 0, Void: next(), Capacity: num(), Energy: num(), Average: num(), MidPoint: num(),
			Duration: num(), Start: num(), End: num(), TempMax: num(), TempRise: num(), Resistance: num(), Checks: []Check{{"note", s, true}, {"fault", next(), false}}})
		p.Verdicts = append(p.Verdicts, Verdict{Cell: s, Claim: next(), Grade: "open", Word: next(), Sentence: next(), Best: num(), Margin: num(), Chance: num()})
		p.Rankings = append(p.Rankings, Ranking{Figure: "capacity", Unit: next(), Rate: s, Basis: []string{next()}, Places: []Place{{Cell: next(), Mean: num(), N: k, Letters: next(), Mark: next()}}, Gaps: []string{next()}, Out: []string{next()}, Why: next()})
		p.Curves = append(p.Curves, Curve{Run: k, Q: []float64{math.NaN()}, V: []float64{math.Inf(-1)}})
	}
	return p
}
