package plan

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"plateau/core/cell"
	"plateau/core/tester"
)

// everything writes a plan in all formats.
func everything(t *testing.T, p Plan) (texts map[string]string) {
	t.Helper()
	texts = map[string]string{}
	for name, write := range map[string]func(io.Writer, Plan) error{
		"plan.md":  func(w io.Writer, p Plan) error { return Markdown(w, p, Ticked{}) },
		"plan.csv": func(w io.Writer, p Plan) error { return CSV(w, p, Ticked{}) },
		"plan.ics": func(w io.Writer, p Plan) error { return ICalendar(w, p, CalendarOptions{Stamp: monday}) }} {
		var b bytes.Buffer
		err := write(&b, p)
		if err == ErrNoEvents && name == "plan.ics" && (len(p.Runs) == 0 || !p.Dated) {
			continue
		}
		if err != nil {
			t.Fatal(name, err)
		}
		texts[name] = b.String()
	}
	return texts
}

func TestNothing(t *testing.T) {
	for _, r := range []Request{{}, {Start: monday}, {Currents: currents(3), Tester: bench}} {
		p := Make(r)
		if len(p.Runs) != 0 || at(p, "cells") == "" || p.Summary() != "There is nothing to run." {
			t.Errorf("of nothing: %d runs, %v", len(p.Runs), p.Findings)
		}
		if texts := everything(t, p); texts["plan.ics"] != "" || texts["plan.md"] == "" {
			t.Errorf("texts of nothing: %v", texts)
		}
	}
}

// Forty samples on eight channels.
func TestForty(t *testing.T) {
	r := Request{Tester: bench, Currents: currents(3, 6, 8), Start: monday, Options: Options{Pretest: true, Closing: true, Repeats: 3, Hours: day}}
	r.Tester.Channels = 8
	for k := range 40 {
		c := small()
		c.Name = fmt.Sprint("Hazel ", k+1)
		r.Cells = append(r.Cells, c)
	}
	p := Make(r)
	if len(p.Runs) != 40*13 || len(p.Channels) != 8 || len(p.Left) != 0 || len(p.Findings) != 0 {
		t.Errorf("%d runs on %d channels, %d left out, findings %v", len(p.Runs), len(p.Channels), len(p.Left), p.Findings)
	}
	for _, c := range p.Channels {
		if len(c.Cells) != 5 {
			t.Errorf("channel %d has %d cells", c.Number, len(c.Cells))
		}
	}
	everything(t, p)
}

// A plan is bounded, and says what it leaves out; it does so soon.
func TestBounds(t *testing.T) {
	r := Request{Tester: bench, Start: monday, Options: Options{Repeats: 20, Closing: true}}
	for k := range 1500 {
		c := small()
		c.Name, c.MaxCurrent = fmt.Sprint("Hazel ", k), 5+float64(k)*1e-3
		r.Cells = append(r.Cells, c)
	}
	for k := range 80 {
		r.Currents = append(r.Currents, Current{Value: float64(k+1) / 8})
	}
	began := time.Now()
	p := Make(r)
	everything(t, p)
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("took %v", took)
	}
	if len(p.Runs) != MostRuns || len(p.Left) > MostRuns || len(p.Findings) > mostFindings+1 || at(p, "cells") == "" || at(p, "currents") == "" {
		t.Errorf("%d runs, %d left out, %d findings", len(p.Runs), len(p.Left), len(p.Findings))
	}
}

// strange are numbers that nobody means.
var strange = []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, math.Copysign(0, -1), 0, 5e-324, 1e-300, 1e-9, 0.5, 3, 1e5, 1e6, 1e9, 1e300, math.MaxFloat64}

// spoil sets some of the numbers of a struct to strange ones.
func spoil(random *rand.Rand, v reflect.Value, share float64) {
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return
		}
		for k := range v.NumField() {
			spoil(random, v.Field(k), share)
		}
	case reflect.Float64:
		if random.Float64() < share {
			v.SetFloat(strange[random.IntN(len(strange))])
		}
	case reflect.Int, reflect.Int64:
		if random.Float64() < share/4 {
			v.SetInt([]int64{math.MinInt64, -1, 0, 1, 7, math.MaxInt64, int64(time.Hour), int64(100 * time.Hour)}[random.IntN(8)])
		}
	case reflect.Bool:
		if random.Float64() < share {
			v.SetBool(random.IntN(2) == 0)
		}
	}
}

// Whatever the numbers, there is a plan, with nothing in it that is no number,
// no step that takes no or endless time, and no run over a limit.
func TestStrangeNumbers(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	made := 0
	for n := range 4000 {
		share := []float64{0.03, 0.1, 0.5}[n%3]
		r := Request{Tester: bench, Currents: currents(3, 8), Start: monday}
		r.Currents[1].OfIt = random.IntN(2) == 0
		r.Tester.Voltage, r.Tester.Current = []tester.Range{{UpTo: 5, Gain: 1e-3, Resolution: 1e-3}}, []tester.Range{{UpTo: 20, Resolution: 0.01}}
		if random.IntN(3) == 0 {
			r.Tester.TwoWire, r.Tester.Lead = true, 0.01
		}
		for range 1 + random.IntN(3) {
			c := small()
			c.Name = []string{"", "Hazel", "=1+1", "a\nb", "\xff\xfe"}[random.IntN(5)]
			spoil(random, reflect.ValueOf(&c).Elem(), share)
			r.Cells = append(r.Cells, c)
		}
		spoil(random, reflect.ValueOf(&r.Tester).Elem(), share)
		spoil(random, reflect.ValueOf(&r.Tester.Current[0]).Elem(), share)
		spoil(random, reflect.ValueOf(&r.Tester.Voltage[0]).Elem(), share)
		spoil(random, reflect.ValueOf(&r.Options).Elem(), share)
		for k := range r.Currents {
			spoil(random, reflect.ValueOf(&r.Currents[k]).Elem(), share)
		}
		if random.IntN(3) == 0 {
			h := *day
			spoil(random, reflect.ValueOf(&h).Elem(), share)
			r.Options.Hours = &h
		}
		if random.IntN(4) == 0 {
			r.Start = []time.Time{{}, time.Unix(math.MaxInt64, 0), time.Unix(math.MinInt64, 0), time.Unix(1<<33, 0), time.Date(2200, 12, 31, 23, 59, 0, 0, time.UTC)}[random.IntN(5)]
		}
		p := Make(r)
		made += len(p.Runs)
		for _, run := range p.Runs {
			for _, x := range []float64{run.Asked, run.Set, run.Deviation, run.Cutoff, run.SetCutoff, run.Drop, run.ChargeTo, run.ChargeAmps, run.ChargeEnd, run.Rate, run.AskedIt} {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("plan %d: %+v of %+v", n, run, r)
				}
			}
			if !(run.Set > 0) || !(run.SetCutoff > 0) || run.SetCutoff > run.Cutoff+1e-9 {
				t.Fatalf("plan %d: %+v", n, run)
			}
			if top := r.Tester.MaxCurrent; top >= least && top <= 1e5 && run.Set > top*(1+1e-6) {
				t.Fatalf("plan %d: %g A over the tester’s %g A", n, run.Set, top)
			}
			for _, s := range run.Steps {
				if s.Lasts < 0 || s.Lasts > 31*24*time.Hour || p.Dated && (s.Start.IsZero() || s.End.Before(s.Start)) || !p.Dated && !s.Start.IsZero() {
					t.Fatalf("plan %d: step %+v", n, s)
				}
			}
		}
		everything(t, p)
		Tick(p, []Done{{"Hazel", strange[random.IntN(len(strange))], strange[random.IntN(len(strange))], ""}})
	}
	t.Logf("%d runs in 4000 plans", made)
	if made < 1000 {
		t.Error("nearly all was refused")
	}
}

// The cells of a request stay as they are.
func TestRequestUntouched(t *testing.T) {
	c := small()
	c.Name, c.Nominal = "  Hazel  ", math.Inf(1)
	r := Request{Cells: []cell.Cell{c}, Tester: bench, Start: monday}
	Make(r)
	if r.Cells[0] != c {
		t.Errorf("changed: %+v", r.Cells[0])
	}
}
