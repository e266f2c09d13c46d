package engine

import (
	"fmt"
	"strings"
	"testing"

	"plateau/core/logfile"
	"plateau/wasm/app/wire"
)

func dropBy(e *Engine, id int, name, text string, rules *wire.Rules) *wire.View {
	e.Do(wire.Command{Do: "open", File: id, Name: name, Rules: rules})
	for len(text) > 0 {
		n := copy(e.Chunk(min(100, len(text))), text)
		if !e.Feed(n) {
			break
		}
		text = text[n:]
	}
	reply, _ := e.Do(wire.Command{Do: "close", File: id})
	return reply.View
}

// A log without current waits for it; with the answer it has figures: 4 V to
// 3 V in an hour at 1.5 A is 1.5 Ah and 5.25 Wh.
func TestQuestionAndAnswer(t *testing.T) {
	var b strings.Builder
	b.WriteString("time_s,voltage_V\n")
	for k := range 61 {
		fmt.Fprintf(&b, "%d,%.5f\n", 60*k, 4-float64(k)/60)
	}
	e := &Engine{}
	v := dropBy(e, 1, "volts.csv", b.String(), nil)
	if f := v.Files[0]; f.State != "asks" || !strings.Contains(f.Question, "Which current was set?") || len(v.Runs) != 0 {
		t.Fatalf("file %+v, runs %v", f, v.Runs)
	}
	reply, _ := e.Do(wire.Command{Do: "look", File: 1})
	if l := reply.Look; l == nil || l.About != "current" || len(l.Rows) != 10 || l.Rows[1][0] != "60" || l.Columns[1].Kind != "voltage" || l.Columns[1].Unit != "V" {
		t.Fatalf("look %+v", reply.Look)
	}
	reply, _ = e.Do(wire.Command{Do: "look", File: 1, Rules: &wire.Rules{Current: "lots"}})
	if l := reply.Look; l == nil || !strings.Contains(l.Fault, "no current") {
		t.Errorf("a current that is none: %+v", reply.Look)
	}
	v = dropBy(e, 1, "volts.csv", b.String(), &wire.Rules{Current: "1500 mA"})
	if f := v.Files[0]; f.State != "read" || !f.Ruled || len(v.Runs) != 1 || v.Runs[0].Capacity.Value != "1.500" || v.Runs[0].Energy.Value != "5.250" {
		t.Errorf("file %+v, runs %+v", f, v.Runs)
	}
}

// A rule outranks the guess: the other of two columns, another unit and sign.
func TestRulesOutrankGuesses(t *testing.T) {
	text := "t/s,U measured/V,U load/V,I/A\n0,4.2,4.1,2\n1800,4.0,3.9,2\n3600,3.8,3.5,2\n"
	e := &Engine{}
	if v := dropBy(e, 1, "a.csv", text, nil); v.Runs[0].End.Value != "3.800" {
		t.Fatalf("unaided: %+v", v.Runs)
	}
	rules := &wire.Rules{Columns: []wire.ColumnRule{{Index: 1, Kind: "ignore"}, {Index: 2, Kind: "voltage", Unit: "V"}, {Index: 3, Kind: "current", Unit: "mA"}}}
	v := dropBy(e, 1, "a.csv", text, rules)
	if r := v.Runs[0]; r.End.Value != "3.500" || r.Capacity.Value != "0.002000" {
		t.Errorf("by rules: %+v", r)
	}
	key := v.Files[0].Key
	if v := dropBy(e, 2, "b.csv", text, nil); v.Files[1].Key != key || v.Files[1].Ruled {
		t.Errorf("the key is %q, was %q", v.Files[1].Key, key)
	}
	reply, _ := e.Do(wire.Command{Do: "open", File: 3, Rules: &wire.Rules{Interval: "soon"}})
	if reply.Error == "" {
		t.Error("an interval that is none must be an error")
	}
}

// comma_twice: asked about the delimiter; the answer pairs the fields.
func TestCommaTwice(t *testing.T) {
	text := "t,U,I\n0,0,4,150,1,000\n1800,0,4,120,1,000\n3600,0,4,101,1,000\n"
	e := &Engine{}
	v := dropBy(e, 1, "twice.csv", text, nil)
	if f := v.Files[0]; f.State != "asks" || !strings.Contains(f.Question, "both delimiter and decimal mark") {
		t.Fatalf("file %+v", f)
	}
	v = dropBy(e, 1, "twice.csv", text, &wire.Rules{Delimiter: ",", Decimal: ","})
	if len(v.Runs) != 1 || v.Runs[0].Capacity.Value != "1.000" || v.Runs[0].End.Value != "4.101" {
		t.Errorf("files %+v, runs %+v", v.Files, v.Runs)
	}
}

// A wrong mapping by the user does not become figures in silence.
func TestWrongMappingIsSaid(t *testing.T) {
	e := &Engine{}
	rules := &wire.Rules{Columns: []wire.ColumnRule{{Index: 0, Kind: "voltage", Unit: "V"}, {Index: 1, Kind: "time", Unit: "s"}}}
	v := dropBy(e, 1, "swapped.csv", line(two), rules)
	if f := v.Files[0]; f.State == "read" && len(v.Runs) > 0 && f.Left == 0 && len(v.Runs[0].Checks) == 0 {
		t.Errorf("time taken as voltage gives figures: %+v %+v", f, v.Runs)
	}
}

// A report holds no digit of the log.
func TestReportIsMasked(t *testing.T) {
	e := &Engine{}
	dropBy(e, 1, "cell 47.csv", "Client 4711;secret 99\nt/s;U/V;I/A\n0;4,15;2\n10;4,05;2\n20;3,95;2\n30;x;2\n", nil)
	reply, _ := e.Do(wire.Command{Do: "report", File: 1, Text: "Browser 1.0"})
	if reply.Report == nil {
		t.Fatalf("reply %+v", reply)
	}
	text := reply.Report.Text
	for _, digits := range []string{"47", "4711", "99", "4,15", "3,95"} {
		if strings.Contains(text, digits) {
			t.Errorf("the report holds %q:\n%s", digits, text)
		}
	}
	for _, part := range []string{"Browser 1.0", "Client ####", "#,##;#", "semicolon", "voltage", "1 row left out"} {
		if !strings.Contains(text, part) {
			t.Errorf("the report lacks %q:\n%s", part, text)
		}
	}
}

// One run in three files, split by size: whatever the order of dropping it is
// one discharge with the charge of all; taken apart it is not.
func TestSplitLogIsJoined(t *testing.T) {
	head := "t/s,U/V,I/A\n"
	var part [3]strings.Builder
	for k := range 300 {
		if k%100 == 0 {
			part[k/100].WriteString(head)
		}
		fmt.Fprintf(&part[k/100], "%d,%.4f,2\n", 1000+10*k, 4.1-float64(k)/300)
	}
	want := fmt.Sprintf("%.3f", 2*2990/3600.0)
	for _, order := range [][]int{{0, 1, 2}, {2, 1, 0}, {2, 0, 1}, {1, 2, 0}} {
		e := &Engine{}
		var v *wire.View
		for _, k := range order {
			v = dropBy(e, k+1, fmt.Sprintf("part %d.csv", k+1), part[k].String(), nil)
		}
		if len(v.Runs) != 1 || v.Runs[0].Capacity.Value != want || v.Runs[0].File != 1 {
			t.Fatalf("order %v: runs %+v, want one of %s Ah", order, v.Runs, want)
		}
		if notes := strings.Join(v.Files[0].Notes, " "); !strings.Contains(notes, "goes on in “part 2.csv”") {
			t.Errorf("order %v: notes %q", order, notes)
		}
		reply, _ := e.Do(wire.Command{Do: "remove", File: 2})
		if v := reply.View; len(v.Runs) != 2 || v.Runs[0].Colour == v.Runs[1].Colour {
			t.Errorf("order %v, middle part removed: runs %+v", order, v.Runs)
		}
	}
	// The same parts of another run, at another voltage, stay apart.
	e := &Engine{}
	dropBy(e, 1, "a.csv", part[0].String(), nil)
	v := dropBy(e, 2, "b.csv", strings.ReplaceAll(part[1].String(), ",2\n", ",5\n"), nil)
	if len(v.Runs) != 2 {
		t.Errorf("another current: runs %+v", v.Runs)
	}
}

// What is saved as BDF is read again with the same figures.
func TestBDF(t *testing.T) {
	e := &Engine{}
	v := dropBy(e, 1, "Alder.csv", line(two), nil)
	reply, _ := e.Do(wire.Command{Do: "bdf", File: 1})
	d := reply.Download
	if d == nil || d.Name != "Alder.bdf.csv" {
		t.Fatalf("reply %+v", reply)
	}
	again := dropBy(e, 2, d.Name, d.Text, nil)
	if a, b := v.Runs[0], again.Runs[1]; a.Capacity != b.Capacity || a.Energy != b.Energy || a.TempMax != b.TempMax {
		t.Errorf("%+v, then %+v", a, b)
	}
	if reply, _ := e.Do(wire.Command{Do: "bdf", File: 9}); reply.Error == "" {
		t.Error("no such log must be an error")
	}
}

func TestKindsHaveUnits(t *testing.T) {
	for _, k := range kindChoices {
		if len(logfile.UnitsOf(k)) == 0 {
			t.Errorf("%s has no unit to choose", k)
		}
	}
}

func TestStem(t *testing.T) {
	for name, want := range map[string]string{
		"Alder 1.00 A.csv": "Alder 1.00 A", "none": "none", "book.xlsx › Sheet 1.5 A": "book › Sheet 1.5 A",
		"logs.zip › a.csv": "logs › a", "all.zip › b.ods › Birch": "all › b › Birch",
	} {
		if got := stem(name); got != want {
			t.Errorf("stem(%q) = %q, want %q", name, got, want)
		}
	}
}
