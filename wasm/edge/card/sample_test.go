package card

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"plateau/core/link"
	"plateau/core/publish"
	"plateau/wasm/app/engine"
	"plateau/wasm/app/wire"
)

// Links that were passed on, as the page makes them: `go test -run TestSamples
// -update` makes them anew. The tests on the platform's runtime use them too.
var update = flag.Bool("update", false, "make the links in testdata anew")

var samples = map[string]func() string{
	"demo": func() string { // seventeen discharges, made to fit as the page does
		e := &engine.Engine{}
		e.Do(wire.Command{Do: "demo", File: 1})
		e.Do(wire.Command{Do: "publish", Publish: &wire.Publish{Format: "markdown", Title: "Four cells for the gauges"}})
		reply, _ := e.Do(wire.Command{Do: "link", Link: &wire.Link{Day: "2026-11-25", Fit: 1900}})
		return reply.LinkMade.Text
	},
	"whole": func() string { // the same with all that a link holds
		e := &engine.Engine{}
		e.Do(wire.Command{Do: "demo", File: 1})
		reply, _ := e.Do(wire.Command{Do: "link", Link: &wire.Link{Day: "2026-11-25"}})
		return reply.LinkMade.Text
	},
	"one":   func() string { return encoded(campaign(1, 1)) },
	"three": func() string { return encoded(campaign(1, 3)) },
	"many":  func() string { return encoded(campaign(40, 1)) },
	"none": func() string {
		p := campaign(2, 2)
		p.Curves = nil
		return encoded(p)
	},
	"names": func() string { // names of letters that no font has, long, and with markup
		p := campaign(4, 1)
		p.Title = `<script>alert(1)</script> "quoted" & 'so' 電池の放電 ` + strings.Repeat("long ", 30)
		for k, s := range []string{"電池 A", "סוללה", "<img src=x onerror=alert(1)>", strings.Repeat("Batterie für den Winter ", 6)} {
			p.Cells[k].Name, p.Runs[k].Cell, p.Verdicts[k].Cell = s, s, s
			p.Runs[k].Name = s + " 1.00 A"
		}
		return encoded(p)
	},
}

func encoded(p publish.Post) string {
	text, err := link.Encode(p, link.Options{})
	if err != nil {
		panic(err)
	}
	return text
}

// campaign is one of so many cells with so many discharges each; their figures
// come of a closed form: V = 4.1 V − 0.03 Ω·I − 0.25 V·x − 0.9 V·x⁸ at x of the
// charge, so that V averages 4.1 − 0.03·I − 0.125 − 0.1.
func campaign(cells, each int) publish.Post {
	p := publish.Post{Title: "Elm, a discharge test", Day: "2026-11-25", Program: "Plateau", Method: []string{"Charge is added up by the trapezoidal rule."},
		Tester: publish.Tester{Name: "Bench", Known: true, Words: []string{"Voltage ± (0.05 % + 2 mV)."}}}
	for c := range cells {
		name := "Elm"
		if cells > 1 {
			name = fmt.Sprintf("Elm %d", c+1)
		}
		p.Cells = append(p.Cells, publish.Cell{Name: name, Cutoff: 2.5})
		for k := range each {
			amps, ah := float64(1+2*k), 5-0.2*float64(k)-0.03*float64(c)
			v := 4.1 - 0.03*amps - 0.125 - 0.1
			r := publish.Run{Cell: name, Name: fmt.Sprintf("%s %.2f A", name, amps), Log: -1, Current: amps, Rate: amps / 5, Cutoff: 2.5,
				Capacity: publish.Number{Value: ah, U: 0.041}, Energy: publish.Number{Value: ah * v, U: 0.2}, Average: publish.Number{Value: v, U: 0.012},
				TempMax: publish.Number{Value: 24 + 2*amps, U: 1}, Resistance: publish.Number{Value: math.NaN(), Why: "The log has no rest."}}
			if k == 1 {
				r.Checks = []publish.Check{{Severity: "caution", Text: "The rest before it was 12 min."}, {Severity: "note", Text: "The log has one row in 10 s."}}
			}
			if k == 2 {
				r.Over, r.Checks = true, []publish.Check{{Severity: "fault", Text: "The current is over the 3 A that the cell may give.", Safety: true}}
			}
			curve := publish.Curve{Run: len(p.Runs)}
			for n := range 101 {
				x := float64(n) / 100
				curve.Q, curve.V = append(curve.Q, x*ah), append(curve.V, 4.1-0.03*amps-0.25*x-0.9*math.Pow(x, 8))
			}
			if len(p.Curves) < 32 {
				p.Curves = append(p.Curves, curve)
			}
			p.Runs = append(p.Runs, r)
		}
		p.Verdicts = append(p.Verdicts, publish.Verdict{Cell: name, Claim: "Rated 4.900 Ah at 0.98 A, 0.2C (0.2 It), down to 2.50 V", Grade: []string{"pass-within", "below"}[c%2], Word: []string{"pass, within uncertainty", "below"}[c%2],
			Sentence: "One attempt counts.", Best: p.Runs[len(p.Runs)-each].Capacity, BestOf: 1, Margin: publish.Number{Value: 0.1, U: 0.041}, Chance: publish.Number{Value: 0.98}})
	}
	return p
}

func sample(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name+".txt"))
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(text))
}

func TestSamples(t *testing.T) {
	for name, make := range samples {
		if *update {
			if err := os.WriteFile(filepath.Join("testdata", name+".txt"), []byte(make()+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		text := sample(t, name)
		if p, err := link.Decode(text); err != nil || len(p.Runs) == 0 || len(Prefix+text) > Longest {
			t.Errorf("%s: %d characters, %d runs, %v", name, len(text), len(p.Runs), err)
		}
	}
}
