package engine

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"plateau/core/logfile"
	"plateau/core/trace"
	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// campaign is an engine with so many cells, each run so often, of so many
// samples: made up, with noise and in steps as testers read.
func campaign(cells, runs, samples int) *Engine {
	e := &Engine{}
	rng := rand.New(rand.NewPCG(320, 20000))
	id := 0
	layout := logfile.LookAt("a.csv", []byte("t/s,U/V,I/A\n0,4.1,2\n10,3.8,2\n20,3.5,2\n"), logfile.Rules{}).Layout
	for c := range cells {
		q := 4.5 + rng.Float64()
		name := fmt.Sprintf("Cell %02d", c)
		e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: name, Rated: "4.6", Minimum: "4.5", Cutoff: "2.5", ChargeVoltage: "4.2", MaxCurrent: "30", Mass: "68", Size: "21700", Price: "5"}})
		for r := range runs {
			amps := []float64{1, 2, 3, 5, 7, 10, 15, 20}[r%8]
			tr := trace.New(true)
			hours := q * (1 - 0.004*amps) / amps
			step := hours * 3600 / float64(samples-60)
			for k := range samples {
				t := float64(k-30) * step
				z := t / 3600 / hours
				i, v := amps, 4.19-0.9*z-0.4*math.Pow(max(z, 0), 20)-0.025*amps*(1-math.Exp(-max(t, 0)/200))-0.005*amps
				if k < 30 || z > 1 {
					i, v = 0, 4.19-0.7*min(max(z, 0), 1)
				}
				tr.Append(t+1e5, math.Round((v+0.0004*rng.NormFloat64())*1000)/1000, math.Round((i+0.002*rng.NormFloat64()*min(i, 1))*100)/100, 22+math.Round(10*max(z, 0)*amps/5)/10)
			}
			id++
			e.put(e.file(id, fmt.Sprintf("%s %g A.csv", name, amps), &logfile.Log{Trace: tr, Rows: samples, Layout: layout}, nil))
		}
	}
	return e
}

// A campaign of 40 cells, run eight times each with 20,000 samples: what a
// change costs, with its view and the answers that the page asks for after it, as
// text. The bar is 100 ms with the page's part.
func BenchmarkCampaign(b *testing.B) {
	e := campaign(40, 8, 20000)
	load := &wire.Load{Amount: "4", Cutoff: "3"}
	n := 0
	var slim wire.Slimmer
	acts := []struct {
		name string
		do   func() wire.Command
	}{
		{"view", func() wire.Command { return wire.Command{Do: "view"} }},
		{"cell", func() wire.Command {
			return wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Cell 07", Rated: fmt.Sprint(4.6 + float64(n%9)/100), Cutoff: "2.5", ChargeVoltage: "4.2"}}
		}},
		{"assign", func() wire.Command {
			return wire.Command{Do: "assign", Run: "9.1", Text: fmt.Sprintf("Cell %02d", n%2)}
		}},
		{"void", func() wire.Command { return wire.Command{Do: "void", Run: "9.1", Text: []string{"", "slipped"}[n%2]} }},
		{"cutoff, new", func() wire.Command {
			return wire.Command{Do: "cutoff", Text: fmt.Sprintf("%.4f", 2.6+float64(n%2000)/5000)}
		}},
		{"cutoff, again", func() wire.Command { return wire.Command{Do: "cutoff", Text: []string{"", "2.9"}[n%2]} }},
		{"tester", func() wire.Command {
			return wire.Command{Do: "tester", Tester: &wire.Tester{TimeBase: fmt.Sprint(0.01 * float64(1+n%9))}}
		}},
		{"curves", func() wire.Command { return wire.Command{Do: "curves", Axis: "charge", Width: 1200} }},
		{"judge", func() wire.Command { return wire.Command{Do: "judge"} }},
		{"rank", func() wire.Command { return wire.Command{Do: "rank", Figure: []string{"energy", "capacity"}[n%2]} }},
		{"compare", func() wire.Command { return wire.Command{Do: "compare", Figure: []string{"energy", "capacity"}[n%2]} }},
		{"load, same", func() wire.Command { return wire.Command{Do: "load", Load: load} }},
		{"load, new", func() wire.Command {
			return wire.Command{Do: "load", Load: &wire.Load{Amount: fmt.Sprintf("%.3f", 4+float64(n%1000)/1000), Cutoff: "3"}}
		}},
	}
	for _, act := range acts {
		b.Run(act.name, func(b *testing.B) {
			size := 0
			for range b.N {
				n++
				reply, _ := e.Do(act.do())
				if reply.Error != "" {
					b.Fatal(reply.Error)
				}
				if reply.View != nil {
					slim.Slim(reply.View, false)
				}
				text, err := plain.Marshal(reply)
				if err != nil {
					b.Fatal(err)
				}
				size = len(text)
			}
			b.ReportMetric(float64(size)/1000, "kB")
		})
	}
}
