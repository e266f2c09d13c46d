package engine

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"plateau/wasm/app/wire"
)

// discharge is a log of a cell that falls in a straight line from 4.1 V, less
// 30 mΩ times the current, by 1 V over so many Ah, and is stopped at a voltage.
func discharge(ah, amps, stop float64) string {
	var b strings.Builder
	b.WriteString("t/s,U/V,I/A,T/°C\n")
	step := ah / amps * 3600 / 400
	for k := -5; k < 3000; k++ {
		t, v, i := float64(k)*step, 4.15, 0.0
		if k >= 0 {
			i, v = amps, 4.1-0.03*amps-float64(k)/400
		}
		fmt.Fprintf(&b, "%.2f,%.4f,%.3f,22\n", t+1000, v, i)
		if k >= 0 && v <= stop {
			break
		}
	}
	return b.String()
}

// Elm holds what its datasheet says, Fir less, at three rates each.
func twoCells(t *testing.T) *Engine {
	t.Helper()
	e := &Engine{}
	id := 0
	for _, c := range []struct {
		name string
		ah   float64
	}{{"Elm", 3.0}, {"Fir", 2.3}} {
		name, ah := c.name, c.ah
		e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: name, Rated: "2.8", Typical: "2.9", Cutoff: "3.0", ChargeVoltage: "4.2", MaxCurrent: "5", Mass: "50", Size: "18650", Price: "4"}})
		for _, amps := range []float64{0.56, 2, 4} {
			id++
			drop(e, id, fmt.Sprintf("%s %g A.csv", name, amps), discharge(ah, amps, 2.9))
		}
	}
	return e
}

func verdicts(t *testing.T, e *Engine, name string) map[string]wire.Verdict {
	t.Helper()
	reply, _ := e.Do(wire.Command{Do: "judge"})
	out := map[string]wire.Verdict{}
	for _, c := range reply.Judged.Cells {
		for _, v := range c.Verdicts {
			if c.Cell == name {
				out[strings.ToLower(strings.Fields(v.Claim)[0])] = v
			}
		}
	}
	return out
}

// The straight line gives (4.1 − 0.03·I − 3.0)·Q down to 3.0 V.
func TestJudge(t *testing.T) {
	e := twoCells(t)
	elm, fir := verdicts(t, e, "Elm"), verdicts(t, e, "Fir")
	// (4.1 − 0.0168 − 3.0)·3.0 = 3.2496 Ah.
	if v := elm["rated"]; v.Grade != "pass" || !strings.HasPrefix(v.Best.Value, "3.25") || !strings.HasPrefix(v.Margin.Value, "+0.45") {
		t.Errorf("Elm: %+v", v)
	}
	// (4.1 − 0.0168 − 3.0)·2.3 = 2.491 Ah.
	if v := fir["rated"]; v.Grade != "below" || !strings.HasPrefix(v.Best.Value, "2.49") || v.Chance.Value == "" {
		t.Errorf("Fir: %+v", v)
	}
	if v := fir["typical"]; v.Grade != "under" || v.Chance.Value != "" || v.Chance.Why == "" {
		t.Errorf("Fir, typical: %+v", v)
	}
	for _, ev := range fir["rated"].Evidence {
		want := "both"
		if !strings.Contains(ev.Name, "0.56") {
			want = "pass" // a higher current can prove that it is met alone
		}
		if ev.Side != want || ev.Says == "" {
			t.Errorf("%+v, want side %s", ev, want)
		}
	}
	// Without the slow run nothing can tell that it is missed.
	for _, ev := range fir["rated"].Evidence {
		if strings.Contains(ev.Name, "0.56") {
			e.Do(wire.Command{Do: "void", Run: ev.Run, Text: "the clip slipped"})
		}
	}
	v := verdicts(t, e, "Fir")["rated"]
	if v.Grade != "open" {
		t.Errorf("with its run void: %+v", v)
	}
	found := false
	for _, ev := range v.Evidence {
		found = found || ev.Side == "void" && strings.Contains(ev.Says, "the clip slipped")
	}
	if !found {
		t.Errorf("the void run is not listed: %+v", v.Evidence)
	}
}

func TestModelsShareADatasheet(t *testing.T) {
	e := twoCells(t)
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Fir", Model: "Elm", Sample: "2"}})
	v := verdicts(t, e, "Fir")["rated"]
	if v.Grade != "below" {
		t.Errorf("the datasheet of its model is not taken: %+v", v)
	}
	reply, _ := e.Do(wire.Command{Do: "judge"})
	if b := reply.Judged.Cells[0].Behind; !strings.Contains(b, "2 samples") {
		t.Errorf("behind: %q", b)
	}
	view, _ := e.Do(wire.Command{Do: "view"})
	for _, c := range view.View.Cells {
		if c.Name == "Fir" && c.From != "Elm" {
			t.Errorf("%+v does not say where its datasheet is from", c)
		}
	}
}

func TestRank(t *testing.T) {
	e := twoCells(t)
	reply, _ := e.Do(wire.Command{Do: "rank", Figure: "capacity"})
	r := reply.Ranked
	if len(r.Rates) != 3 || len(r.Basis) == 0 || len(r.Overall) != 3 {
		t.Fatalf("%+v", r)
	}
	for _, rate := range r.Rates {
		if len(rate.Cells) != 2 || rate.Cells[0].Cell != "Elm" || rate.Cells[0].Letters != "a" || rate.Cells[1].Letters != "b" ||
			!strings.Contains(rate.Gaps[0], "Elm leads Fir by 0.") {
			t.Errorf("%+v", rate)
		}
	}
	if !strings.Contains(strings.Join(r.Sums, " "), "Elm leads at") {
		t.Errorf("%q", r.Sums)
	}
	// Two logs of one truth are not told apart.
	same := &Engine{}
	drop(same, 1, "Elm 2 A.csv", discharge(3, 2, 2.9))
	drop(same, 2, "Fir 2 A.csv", discharge(3.003, 2, 2.9))
	reply, _ = same.Do(wire.Command{Do: "rank", Figure: "energy"})
	if rate := reply.Ranked.Rates[0]; rate.Cells[0].Letters != "a" || rate.Cells[1].Letters != "a" || !strings.Contains(rate.Gaps[0], "not told apart") {
		t.Errorf("%+v", rate)
	}
	// What is over the permitted current is marked and left out, unless asked.
	over := twoCells(t)
	over.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Fir", Rated: "2.8", Cutoff: "3.0", MaxCurrent: "3"}})
	last := func(all bool) wire.RankedRate {
		reply, _ := over.Do(wire.Command{Do: "rank", Figure: "capacity", Over: all})
		if !reply.Ranked.Over {
			t.Error("it does not say that there are such runs")
		}
		return reply.Ranked.Rates[2]
	}
	if rate := last(false); len(rate.Cells) != 1 || len(rate.Out) != 1 || rate.Why == "" || !strings.Contains(rate.Out[0].Why, "over") {
		t.Errorf("left out: %+v", rate)
	}
	if rate := last(true); len(rate.Cells) != 2 || rate.Cells[1].Mark == "" {
		t.Errorf("asked for: %+v", rate)
	}
	// A run that was cut short gives at least its figures and has no rank.
	drop(e, 20, "Elm 2 A short.csv", discharge(3, 2, 3.8))
	drop(e, 21, "Gum 2 A.csv", discharge(3, 2, 3.8))
	reply, _ = e.Do(wire.Command{Do: "rank", Figure: "capacity"})
	for _, rate := range reply.Ranked.Rates {
		if strings.HasPrefix(rate.Rate, "2.00") {
			if len(rate.Cells) != 2 || len(rate.Out) != 2 || !rate.Out[0].AtLeast || !rate.Out[1].AtLeast {
				t.Errorf("cut short: %+v", rate)
			}
		}
	}
}

// Of the straight line down to 2.9 V, where all end: the capacity at 4 A is
// (1.2 − 0.12)/(1.2 − 0.0168) of that at 0.2 It, to what 400 samples and the tester's limits let be.
func TestCompare(t *testing.T) {
	e := twoCells(t)
	reply, data := e.Do(wire.Command{Do: "compare", Figure: "capacity"})
	c := reply.Compared
	if len(c.Series) != 2 || len(data) != 2 || len(data[0]) != 9 || len(c.Table.Rows) != 6 || len(c.Summary.Rows) != 2 {
		t.Fatalf("%+v %v", c, data)
	}
	for _, row := range c.Table.Rows {
		if !strings.HasPrefix(row.Head, "4.00 A") {
			continue
		}
		var share float64
		fmt.Sscan(row.Fields[1].Value, &share)
		if want := 100 * (1.2 - 0.12) / (1.2 - 0.0168); math.Abs(share-want) > 0.3 || row.Fields[1].U == "" {
			t.Errorf("%+v, want %.2f %%", row, want)
		}
	}
	for _, what := range []string{"energy", "average", "mass", "volume", "price", "ragone"} {
		for _, axis := range []string{"amps", "rate"} {
			reply, data := e.Do(wire.Command{Do: "compare", Figure: what, Axis: axis})
			if c := reply.Compared; c.Why != "" || len(c.Series) != len(data) || len(data) != 2 || c.Title == "" || c.YLabel == "" || c.Note == "" || len(c.Table.Heads) != len(c.Table.Rows[0].Fields)+1 {
				t.Errorf("%s over %s: %+v", what, axis, c)
			}
		}
	}
	// Wh/kg of 50 g: 20 times the Wh.
	wh, _ := e.Do(wire.Command{Do: "compare", Figure: "energy"})
	perKg, _ := e.Do(wire.Command{Do: "compare", Figure: "mass"})
	var a, b float64
	fmt.Sscan(wh.Compared.Table.Rows[0].Fields[0].Value, &a)
	fmt.Sscan(perKg.Compared.Table.Rows[0].Fields[0].Value, &b)
	if math.Abs(b/a-20) > 0.1 {
		t.Errorf("%g Wh are %g Wh/kg", a, b)
	}
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm"}})
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Fir"}})
	if reply, _ := e.Do(wire.Command{Do: "compare", Figure: "mass"}); reply.Compared.Why == "" {
		t.Error("without a mass nothing is said")
	}
}

// The straight line at 3 A lasts (4.1 − 0.09 − 3.0)·3.0/3 h = 1.01 h.
func TestLoad(t *testing.T) {
	e := twoCells(t)
	ask := func(l wire.Load) *wire.Answered {
		reply, _ := e.Do(wire.Command{Do: "load", Load: &l})
		return reply.Answered
	}
	a := ask(wire.Load{Amount: "3", Cutoff: "3"})
	if len(a.Cells) != 2 || a.Cells[0].Cell != "Elm" || !strings.HasPrefix(a.Cells[0].Runtime.Value, "1:00:") || a.Cells[0].Runtime.U == "" ||
		!strings.Contains(a.Best, "Elm lasts longest") || a.Cells[0].Letters != "a" || a.Cells[1].Letters != "b" {
		t.Errorf("%+v", a)
	}
	pack := ask(wire.Load{Amount: "6", Cutoff: "12", Series: "4", Parallel: "2"})
	if len(pack.Cells) != 2 || pack.Cells[0].Runtime != a.Cells[0].Runtime || !strings.Contains(pack.Asked, "4 in series") {
		t.Errorf("of a pack: %+v, of one cell %+v", pack.Cells, a.Cells)
	}
	for _, l := range []wire.Load{{Amount: "30", Cutoff: "3"}, {Amount: "0.1", Cutoff: "3"}, {Amount: "3", Cutoff: "2.6"}, {Kind: "power", Amount: "500", Cutoff: "3"}} {
		a := ask(l)
		for _, c := range a.Cells {
			if c.Runtime.Value != "" || c.Runtime.Why == "" {
				t.Errorf("outside what was measured %+v has %+v", l, c)
			}
		}
	}
	for field, l := range map[string]wire.Load{"amount": {Amount: "much", Cutoff: "3"}, "cutoff": {Amount: "3", Cutoff: "-1"}, "series": {Amount: "3", Cutoff: "3", Series: "x"}, "parallel": {Amount: "1", Cutoff: "3", Parallel: "0"}} {
		if a := ask(l); a.Load.Errors[field] == "" || a.Why == "" || len(a.Cells) > 0 {
			t.Errorf("%s: %+v", field, a)
		}
	}
}

func TestTypedRuns(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "cells", Cells: []wire.Cell{{Name: "Elm", Rated: "4.9", Cutoff: "2,5"}, {Name: "Fir", Rated: "4.9", Cutoff: "2.5"}}})
	reply, _ := e.Do(wire.Command{Do: "typed", Typed: []wire.TypedRun{
		{Cell: "Elm", Current: "1", Capacity: "5,002", Energy: "17,96", Cutoff: "2,5"},
		{Cell: "Elm", Current: "3", Capacity: "4.951", Energy: "12.76", Cutoff: "2.5"},
		{Cell: "Elm", Current: "6", Capacity: "4894 mAh", Energy: "16.44", Cutoff: "2.5"},
		{Cell: "Elm", Current: "12", Capacity: "4.828", Energy: "15.43", Cutoff: "2.5"},
		{Cell: "Fir", Current: "1", Capacity: "4.5", Energy: "16.1", Cutoff: "2.5"},
		{Cell: "", Current: "x", Capacity: "", Energy: "-3"}, {}}})
	rows := reply.View.Typed
	if len(rows) != 7 || rows[0].Average != "3.591" || len(rows[0].Errors)+len(rows[0].Checks) > 0 {
		t.Fatalf("%+v", rows)
	}
	found := false
	for _, o := range rows[1].Offers {
		found = found || o.Field == "energy" && o.Text == "17.26"
	}
	if !found || rows[1].Energy != "12.76" {
		t.Errorf("the slip has no offer, or one was taken: %+v", rows[1])
	}
	if bad := rows[5]; bad.Errors["cell"] == "" || bad.Errors["current"] == "" || bad.Errors["capacity"] == "" || bad.Errors["energy"] == "" {
		t.Errorf("%+v", bad)
	}
	if len(rows[6].Errors) > 0 {
		t.Errorf("an empty row has %+v", rows[6].Errors)
	}
	if v := verdicts(t, e, "Elm")["rated"]; v.Grade != "pass" {
		t.Errorf("typed runs: %+v", v)
	}
	if v := verdicts(t, e, "Fir")["rated"]; v.Grade != "below" {
		t.Errorf("typed runs: %+v", v)
	}
	ranked, _ := e.Do(wire.Command{Do: "rank", Figure: "capacity"})
	if r := ranked.Ranked.Rates[0]; len(r.Cells) != 2 || r.Cells[0].Cell != "Elm" || r.Cells[0].Letters == r.Cells[1].Letters {
		t.Errorf("%+v", r)
	}
	answer, _ := e.Do(wire.Command{Do: "load", Load: &wire.Load{Amount: "2", Cutoff: "3"}})
	for _, c := range answer.Answered.Cells {
		if c.Runtime.Value != "" || c.Runtime.Why == "" {
			t.Errorf("typed figures have no curve, and yet %+v", c)
		}
	}
}

// Bad input gets a word at its field, and nothing else breaks.
func TestBadCells(t *testing.T) {
	e := twoCells(t)
	view := func(c wire.Command) *wire.View {
		reply, _ := e.Do(c)
		if reply.Error != "" {
			t.Fatal(reply.Error)
		}
		return reply.View
	}
	cellIn := func(v *wire.View, name string) wire.Cell {
		for _, c := range v.Cells {
			if c.Name == name {
				return c
			}
		}
		return wire.Cell{}
	}
	for field, c := range map[string]wire.Cell{
		"minimum":       {Minimum: "3", Typical: "2.9"},
		"cutoff":        {Cutoff: "4.3", ChargeVoltage: "4.2"},
		"mass":          {Mass: "-45"},
		"price":         {Price: "cheap"},
		"size":          {Size: "large"},
		"chemistry":     {Chemistry: "magic"},
		"ratedCutoff":   {Rated: "2.8", RatedCutoff: "4.5", ChargeVoltage: "4.2"},
		"series":        {Series: "0"},
		"minTemp":       {MinTemp: "cold"},
		"chargeVoltage": {Chemistry: "phosphate", ChargeVoltage: "4.2"},
	} {
		c.Name = "Elm"
		got := cellIn(view(wire.Command{Do: "cell", Cell: &c}), "Elm")
		if got.Errors[field] == "" {
			t.Errorf("%s: %+v", field, got.Errors)
		}
		if fir := cellIn(view(wire.Command{Do: "view"}), "Fir"); len(fir.Errors) > 0 || fir.Runs != 3 {
			t.Errorf("%s: the other cell has %+v", field, fir)
		}
	}
	// Two cells of one name: the second keeps its own, and is told so.
	v := view(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Fir", Was: "Elm", Rated: "9"}})
	if elm, fir := cellIn(v, "Elm"), cellIn(v, "Fir"); elm.Errors["name"] == "" || fir.Rated != "2.8" || elm.Runs != 3 || fir.Runs != 3 {
		t.Errorf("%+v %+v", elm, fir)
	}
	// So it is where the other is known by its runs alone.
	drop(e, 30, "Oak 2 A.csv", discharge(3, 2, 2.9))
	v = view(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Oak", Was: "Elm", Rated: "9"}})
	if elm, oak := cellIn(v, "Elm"), cellIn(v, "Oak"); elm.Errors["name"] == "" || elm.Runs != 3 || oak.Runs != 1 || oak.Rated != "" {
		t.Errorf("%+v %+v", elm, oak)
	}
	// A cell without runs stays until it is dropped, and is judged in words.
	v = view(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Gum", Rated: "3"}})
	if gum := cellIn(v, "Gum"); gum.Runs != 0 || gum.Name == "" {
		t.Errorf("%+v", gum)
	}
	reply, _ := e.Do(wire.Command{Do: "judge"})
	for _, c := range reply.Judged.Cells {
		if c.Cell == "Gum" && c.Why == "" {
			t.Errorf("%+v", c)
		}
	}
	if v = view(wire.Command{Do: "drop", Text: "Gum"}); cellIn(v, "Gum").Name != "" {
		t.Error("it is still there")
	}
	// Renamed, its runs come with it.
	v = view(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Yew", Was: "Fir", Rated: "2.8", Cutoff: "3.0"}})
	if yew := cellIn(v, "Yew"); yew.Runs != 3 || cellIn(v, "Fir").Name != "" {
		t.Errorf("%+v", v.Cells)
	}
	guessed := &Engine{} // both known by their runs alone
	drop(guessed, 1, "Elm 2 A.csv", discharge(3, 2, 2.9))
	drop(guessed, 2, "Fir 2 A.csv", discharge(3, 2, 2.9))
	if reply, _ := guessed.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Fir", Was: "Elm"}}); reply.Error != "" || cellIn(reply.View, "Elm").Errors["name"] == "" {
		t.Errorf("%+v", reply)
	}
	for _, do := range []string{"judge", "rank", "compare", "load"} {
		empty := &Engine{}
		reply, _ := empty.Do(wire.Command{Do: do})
		if reply.Error != "" {
			t.Errorf("%s with nothing there: %s", do, reply.Error)
		}
	}
}

func TestPaste(t *testing.T) {
	e := &Engine{}
	reply, _ := e.Do(wire.Command{Do: "paste", Show: "cells", Text: "Cell\tCapacity (mAh)\tChemistry\tMass\nElm\t3350\tNMC\t-3\n\t2\t\t\n"})
	p := reply.Pasted
	if len(p.Cells) != 1 || p.Cells[0].Rated != "3350 mAh" || p.Cells[0].Chemistry != "ion" || p.Cells[0].Errors["mass"] == "" || len(p.Problems) != 1 || len(p.Read) == 0 {
		t.Errorf("%+v", p)
	}
	reply, _ = e.Do(wire.Command{Do: "paste", Show: "typed", Text: "Elm;1;3,3;12,1;2,5"})
	if p := reply.Pasted; len(p.Typed) != 1 || p.Typed[0].Energy != "12,1" {
		t.Errorf("%+v", p)
	}
	reply, _ = e.Do(wire.Command{Do: "paste", Show: "cells", Text: " "})
	if reply.Pasted.Why == "" {
		t.Errorf("%+v", reply.Pasted)
	}
	if v, _ := e.Do(wire.Command{Do: "view"}); len(v.View.Cells)+len(v.View.Typed) > 0 {
		t.Error("looking at a table has changed something")
	}
}
