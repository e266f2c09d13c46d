package engine

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"plateau/wasm/app/wire"
)

// drop reads a log as the worker does, in pieces.
func drop(e *Engine, id int, name, text string) wire.Reply {
	e.Do(wire.Command{Do: "open", File: id, Name: name, Size: int64(len(text))})
	for len(text) > 0 {
		n := copy(e.Chunk(min(100, len(text))), text)
		if !e.Feed(n) {
			break
		}
		text = text[n:]
	}
	reply, _ := e.Do(wire.Command{Do: "close", File: id})
	return reply
}

// A discharge of 2 A from 4 V to 3 V in one hour: 2 Ah, 7 Wh, 3.5 V.
func line(currentAt func(k int) float64) string {
	var b strings.Builder
	b.WriteString("t/s,U/V,I/A,T/°C\n")
	for k := range 61 {
		fmt.Fprintf(&b, "%d,%.4f,%g,%d\n", 60*k, 4-float64(k)/60, currentAt(k), 20+k/10)
	}
	return b.String()
}

func two(int) float64 { return 2 }

func TestDropGivesFiguresAndCurve(t *testing.T) {
	e := &Engine{}
	v := drop(e, 1, "Alder.csv", line(two)).View
	if v == nil || len(v.Runs) != 1 || v.Files[0].State != "read" {
		t.Fatalf("view %+v", v)
	}
	r := v.Runs[0]
	if r.Name != "Alder" || r.Capacity.Value != "2.000" || r.Energy.Value != "7.000" || r.Average.Value != "3.500" || r.MidPoint.Value != "3.500" ||
		r.Duration.Value != "1:00:00" || r.Current.Value != "2.000" || r.Start.Value != "4.000" || r.End.Value != "3.000" || r.TempMax.Value != "26.0" || r.TempRise.Value != "6.0" {
		t.Errorf("run %+v", r)
	}
	for axis, last := range map[string]float64{"charge": 2, "energy": 7, "time": 60} {
		reply, data := e.Do(wire.Command{Do: "curves", Axis: axis, Width: 800})
		c := reply.Curves
		if c == nil || len(c.Series) != 1 || !c.Series[0].Temperature || len(data) != 2 {
			t.Fatalf("%s: reply %+v with %d curves", axis, reply, len(data))
		}
		if math.Abs(c.XMax-last) > 1e-3 || len(data[0]) != 2*61 || math.Abs(data[0][120]-last) > 1e-3 || data[0][121] != 3 {
			t.Errorf("%s: to %g, %d numbers, end %g, %g", axis, c.XMax, len(data[0]), data[0][120], data[0][121])
		}
	}
	reply, _ := e.Do(wire.Command{Do: "readout", Axis: "charge", X: 1})
	if got := reply.Readout.Runs[0]; strings.Join(got.Values, " ") != "3.500 1.000 3.750 0:30:00 23.0" {
		t.Errorf("readout %+v", got)
	}
	reply, _ = e.Do(wire.Command{Do: "readout", Axis: "charge", X: 2.5})
	if got := reply.Readout.Runs[0]; strings.Join(got.Values, "") != "" {
		t.Errorf("readout past the end %+v", got)
	}
}

func TestCutoff(t *testing.T) {
	e := &Engine{}
	drop(e, 1, "a.csv", line(two))
	set := func(s string) *wire.View {
		reply, _ := e.Do(wire.Command{Do: "cutoff", Text: s})
		return reply.View
	}
	if v := set("3,5 V"); v.Runs[0].Capacity.Value != "1.000" || v.Runs[0].End.Value != "3.500" || v.CutoffError != "" {
		t.Errorf("at 3.5 V: %+v", v)
	}
	if v := set("abc"); v.CutoffError == "" || v.Runs[0].Capacity.Value != "1.000" {
		t.Errorf("a cut-off that is none must be said and change nothing: %+v", v)
	}
	if v := set("2.0"); v.Runs[0].Capacity.Value != "2.000" || !v.Runs[0].AtLeast || !strings.Contains(fmt.Sprint(v.Runs[0].Checks), "above the cut-off") {
		t.Errorf("at 2.0 V: %+v", v)
	}
	if v := set("4.5"); v.Runs[0].Capacity.Value != "" {
		t.Errorf("at 4.5 V there are no figures: %+v", v)
	}
	if v := set(""); v.Runs[0].Capacity.Value != "2.000" || v.Cutoff != "" {
		t.Errorf("without: %+v", v)
	}
}

// A bad file never takes down the others, and leaves no trace in them.
func TestBadFileAmongGood(t *testing.T) {
	e := &Engine{}
	drop(e, 1, "good.csv", line(two))
	v := drop(e, 2, "bad.csv", "no numbers here\n").View
	if len(v.Files) != 2 || v.Files[1].State != "refused" || v.Files[1].Hint == "" || !strings.HasPrefix(v.Files[1].Fault, "bad.csv, line 1") {
		t.Fatalf("files %+v", v.Files)
	}
	v = drop(e, 3, "rest only.csv", line(func(int) float64 { return 0 })).View
	if v.Files[2].State != "refused" || !strings.Contains(v.Files[2].Fault, "no discharge") {
		t.Errorf("a log without discharge: %+v", v.Files[2])
	}
	v = drop(e, 4, "again.csv", line(two)).View
	if len(v.Runs) != 2 || v.Runs[0].Capacity.Value != "2.000" || v.Runs[1].Capacity.Value != "2.000" || v.Runs[0].Colour == v.Runs[1].Colour {
		t.Errorf("runs %+v", v.Runs)
	}
	reply, _ := e.Do(wire.Command{Do: "remove", File: 1})
	if v := reply.View; len(v.Files) != 3 || len(v.Runs) != 1 || v.Runs[0].ID != "4.1" {
		t.Errorf("after removal: %+v", v)
	}
}

func TestWarmLeavesNothing(t *testing.T) {
	e := &Engine{}
	e.Warm()
	if v, _ := e.Do(wire.Command{Do: "view"}); len(v.View.Files) != 0 || e.reading != nil {
		t.Errorf("after warming up: %+v", v.View)
	}
}

func TestCancelForgets(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "open", File: 7, Name: "long.csv"})
	e.Feed(copy(e.Chunk(20), "t/s,U/V,I/A\n0,4.1,2\n"))
	reply, _ := e.Do(wire.Command{Do: "cancel", File: 7})
	if len(reply.View.Files) != 0 || e.Chunk(10) != nil || e.Feed(0) {
		t.Errorf("after cancel: %+v", reply.View)
	}
}

// Several discharges in one log are several runs; test pulses are none.
func TestSeveralDischarges(t *testing.T) {
	var b strings.Builder
	b.WriteString("t/s,U/V,I/A\n")
	at := 0
	step := func(n int, i, v0, v1 float64) {
		for k := range n {
			fmt.Fprintf(&b, "%d,%.4f,%g\n", at, v0+(v1-v0)*float64(k)/float64(n), i)
			at += 10
		}
	}
	step(10, 0, 4.1, 4.1)
	step(3, -2, 4, 3.99)
	step(10, 0, 4.1, 4.1)
	step(400, -2, 4, 3)
	step(10, 0, 3.2, 3.2)
	step(500, 1, 3.3, 4.1)
	step(10, 0, 4.1, 4.1)
	step(200, -4, 4, 3)
	e := &Engine{}
	v := drop(e, 3, "two.csv", b.String()).View
	if len(v.Runs) != 2 || v.Runs[0].ID != "3.1" || v.Runs[1].Name != "two · 2" {
		t.Fatalf("runs %+v", v.Runs)
	}
	notes := strings.Join(v.Files[0].Notes, " ")
	if !strings.Contains(notes, "1 short pulse below 1 %") {
		t.Errorf("notes %q", notes)
	}
	reply, _ := e.Do(wire.Command{Do: "results"})
	if d := reply.Download; d == nil || strings.Count(d.Text, "\r\n") != 3 || !strings.Contains(d.Text, "two · 2,two.csv,") {
		t.Errorf("download %+v", d)
	}
}

func TestDemo(t *testing.T) {
	e := &Engine{}
	reply, _ := e.Do(wire.Command{Do: "demo", File: 5})
	v := reply.View
	if v == nil || len(v.Runs) < 12 || len(v.Files) < 12 || v.Files[0].ID != 5 {
		t.Fatalf("%d files, %d runs", len(v.Files), len(v.Runs))
	}
	checks := ""
	for k, f := range v.Files {
		if f.State != "read" || f.Left != 0 {
			t.Errorf("file %+v", f)
		}
		for _, c := range v.Runs[k].Checks {
			checks += c.Text
		}
	}
	if !strings.Contains(checks, "begins under load") {
		t.Errorf("the late start is not found: %q", checks)
	}
}

func TestUnknownCommandAndNothingToDownload(t *testing.T) {
	e := &Engine{}
	for _, do := range []string{"nonsense", "results"} {
		if reply, _ := e.Do(wire.Command{Do: do}); reply.Error == "" {
			t.Errorf("%s: %+v, want an error", do, reply)
		}
	}
}
