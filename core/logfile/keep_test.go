package logfile

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"plateau/core/trace"
)

// throughJSON is what was kept, written and read by the standard library.
func throughJSON(t *testing.T, k Kept) Kept {
	t.Helper()
	b, err := json.Marshal(k)
	if err != nil {
		t.Fatal(err)
	}
	var back Kept
	in := json.NewDecoder(bytes.NewReader(b))
	in.DisallowUnknownFields()
	if err := in.Decode(&back); err != nil {
		t.Fatal(err)
	}
	return back
}

// bare is a layout without what only reading on needs.
func bare(lay *Layout) Layout {
	l := *lay
	l.rules, l.syntax, l.width, l.tail, l.pairs, l.forms, l.lines, l.first, l.shift = Rules{}, syntax{}, 0, 0, false, nil, nil, 0, 0
	for _, list := range []*[]Column{&l.Columns, &l.used} {
		var out []Column
		for _, c := range *list {
			c.score = 0
			out = append(out, c)
		}
		*list = out
	}
	return l
}

func keptWhole(t *testing.T, name string, log *Log) {
	t.Helper()
	back, err := throughJSON(t, log.Keep()).Log(log.Trace)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	a, b := *log, *back
	if x, y := bare(log.Layout), bare(back.Layout); !reflect.DeepEqual(x, y) {
		t.Errorf("%s: layout\n%+v is back as\n%+v", name, x, y)
	}
	if a.Words() != b.Words() || a.Layout.Key() != b.Layout.Key() {
		t.Errorf("%s: %q is back as %q", name, a.Words(), b.Words())
	}
	a.Layout, b.Layout = nil, nil
	if !reflect.DeepEqual(a, b) {
		t.Errorf("%s: log\n%+v is back as\n%+v", name, a, b)
	}
}

func TestKeep(t *testing.T) {
	n := 0
	for seed := range uint64(400) {
		d := newDialect(seed)
		b, ok := d.encode()
		if !ok {
			continue
		}
		if log, err := Read("log.csv", bytes.NewReader(b)); err == nil {
			keptWhole(t, d.String(), log)
			n++
		}
	}
	if n < 200 {
		t.Errorf("%d dialects only", n)
	}
	for name, text := range map[string]string{
		"left out":  "t/s,U/V,I/A\n0,4.1,0\n10,OL,2\n20,4,2\n15,3.95,2\n30,3.9,2\n",
		"anew":      "t/s,U/V,I/A\n0,4.1,0\n10,4.1,0\n0,4.0,2\n10,3.9,2\n20,3.8,2\n0,3.9,0\n10,3.95,0\n",
		"assumed":   "Time,Voltage,Current\n0,4100,0\n1800,4000,-2000\n3600,3900,-2000\n",
		"power":     "t/s,U/V,P/W\n0,4.1,0\n10,4.0,8\n20,3.9,7.8\n30,3.8,7.6\n",
		"names":     "Time / s,\"Voltage \"\"<script>\u2028|\u202e=1\"\" / V\",Current / A\n0,4.1,0\n10,4,2\n20,3.9,2\n",
		"no header": "[0:00:00] 4.1V 0A\n[0:00:10] 4000mV 2.0A\n[0:00:20] 3.9V 2.0A\n[0:00:30] 3.8V 2000mA\n",
		"counters":  "t/s,U/V,I/A,Q/mAh,E/Wh,T/K\n0,4.1,2,0,0,295\n10,4.0,2,5.6,0.02,295\n20,3.9,2,11.1,0.04,296\n",
		"date":      "Date,Voltage (V),Current (A)\n2026-02-28 23:59:50.0,4.1,0\n2026-03-01 00:00:00.0,4.0,2\n2026-03-01T00:00:10,3.9,2\n",
	} {
		keptWhole(t, name, read(t, text))
	}
	rules := Rules{Delimiter: ',', Header: NoHeader, Discharge: PositiveSign, Columns: []ColumnRule{{0, Time, "min"}, {1, Voltage, "mV"}, {2, Current, "A"}, {3, Unknown, ""}}}
	log, err := ReadBy("ruled.csv", strings.NewReader("0,4100,2,7\n1,4000,2,7\n2,3900,2,7\n"), rules)
	if err != nil {
		t.Fatal(err)
	}
	keptWhole(t, "ruled", log)
	if sure, why := log.Layout.Columns[0].Sure(); sure != Certain || why != "settled by you" {
		t.Errorf("the rule is not there to be kept: %v %s", sure, why)
	}
}

// What no log has is refused, so that nothing later meets it.
func TestKeepHostile(t *testing.T) {
	good := read(t, "t/s,U/V,I/A\n0,4.1,0\n10,OL,2\n20,4,2\n30,3.9,2\n")
	if _, err := good.Keep().Log(nil); err != nil {
		t.Errorf("without a trace: %v", err)
	}
	for name, spoil := range map[string]func(*Kept){
		"delimiter":    func(k *Kept) { k.Layout.Delimiter = "x" },
		"no delimiter": func(k *Kept) { k.Layout.Delimiter = "" },
		"decimal":      func(k *Kept) { k.Layout.Decimal = ";" },
		"header":       func(k *Kept) { k.Layout.Header = -1 },
		"kind":         func(k *Kept) { k.Layout.Columns[0].Kind = "tempo" },
		"unit of":      func(k *Kept) { k.Layout.Columns[0].UnitOf = "x" },
		"sure":         func(k *Kept) { k.Layout.Columns[0].Sure = "" },
		"factor":       func(k *Kept) { k.Layout.Columns[0].Factor = math.NaN() },
		"used":         func(k *Kept) { k.Layout.Used = []int{3} },
		"used below":   func(k *Kept) { k.Layout.Used = []int{-1} },
		"used often":   func(k *Kept) { k.Layout.Used = make([]int, 17) },
		"guess":        func(k *Kept) { k.Layout.Guesses[0].Sure = "?" },
		"columns":      func(k *Kept) { k.Layout.Columns = make([]KeptColumn, headBytes+1) },
		"rows":         func(k *Kept) { k.Rows = 4 },
		"rows below":   func(k *Kept) { k.Rows = -1 },
		"bytes":        func(k *Kept) { k.Bytes = -1 },
		"left":         func(k *Kept) { k.Left = 0 },
		"list":         func(k *Kept) { k.LeftOut, k.Left = make([]KeptLeftOut, 101), 101 },
		"origin":       func(k *Kept) { k.Origin = math.Inf(1) },
		"restarts":     func(k *Kept) { k.Restarts = -1 },
		"notes":        func(k *Kept) { k.Notes = make([]string, 301) },
	} {
		k := throughJSON(t, good.Keep())
		spoil(&k)
		if log, err := k.Log(good.Trace); err == nil {
			t.Errorf("%s: taken, %s", name, log.Words())
		} else if len(err.Error()) > 200 {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := (Kept{}).Log(trace.New(false)); err == nil {
		t.Error("nothing is taken for a log")
	}
}
