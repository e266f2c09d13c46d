package engine

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// shown is all that the page shows of the state, as text: what hangs on the order
// of acts and on places in memory aside.
func shown(t *testing.T, e *Engine) string {
	t.Helper()
	v := e.view()
	v.Drawn, v.Undo, v.Redo, v.Changes = "", "", "", 0
	text, err := plain.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	judged, err := plain.Marshal(e.judge())
	if err != nil {
		t.Fatal(err)
	}
	ranked, err := plain.Marshal(e.rank(wire.Command{Figure: "energy"}))
	if err != nil {
		t.Fatal(err)
	}
	planned, err := plain.Marshal(e.planned(nil))
	if err != nil {
		t.Fatal(err)
	}
	return string(text) + "\n" + string(judged) + "\n" + string(ranked) + "\n" + string(planned)
}

// halves are a log and its other half, which goes on from it.
func halves() (a, b string) {
	lines := strings.Split(strings.TrimSpace(straight(2, 600)), "\n")
	head, rows := lines[0], lines[1:]
	return strings.Join(append([]string{head}, rows[:300]...), "\n"), strings.Join(append([]string{head}, rows[300:]...), "\n")
}

// straight is a log of rows samples at so many amperes.
func straight(amps float64, rows int) string {
	var b strings.Builder
	b.WriteString("Time / s,Voltage / V,Current / A,Temperature / °C\n")
	for k := range rows {
		v, i := 4.15, 0.0
		if k >= 3 && k < rows-3 {
			v, i = 4.1-1.1*float64(k-3)/float64(rows-7), amps
		}
		fmt.Fprintf(&b, "%d,%.4f,%g,%.1f\n", 10*k, v, i, 21+float64(k)/float64(rows))
	}
	return b.String()
}

// campaigned is an engine on which all kinds of acts were done; after each, told
// gets what it was.
func campaigned(t *testing.T, told func(e *Engine, act string)) *Engine {
	t.Helper()
	clock := time.Unix(0, 0)
	now = func() time.Time { clock = clock.Add(time.Minute); return clock }
	t.Cleanup(func() { now = time.Now })
	e := &Engine{}
	e.view()
	do := func(c wire.Command) {
		t.Helper()
		if reply, _ := e.Do(c); reply.Error != "" {
			t.Fatal(reply.Error)
		}
		told(e, c.Do)
	}
	log := func(id int, name, text string, rules *wire.Rules) {
		t.Helper()
		e.Do(wire.Command{Do: "open", File: id, Name: name, Size: int64(len(text)), Rules: rules})
		copy(e.Chunk(len(text)), text)
		e.Feed(len(text))
		do(wire.Command{Do: "close", File: id})
	}
	told(e, "nothing")
	do(wire.Command{Do: "demo", File: 1})
	log(200, "Elm 2 A.csv", straight(2, 600), nil)
	log(201, "broken.csv", "no log at all", nil)
	log(202, "Elm 3 A.csv", straight(3, 400), nil)
	a, b := halves()
	log(203, "Fir 2 A part1.csv", a, nil)
	log(204, "Fir 2 A part2.csv", b, nil)
	do(wire.Command{Do: "cutoff", Text: "3,1"})
	do(wire.Command{Do: "tester", Tester: &wire.Tester{Name: "Bench", Wires: "2", Lead: "12", Voltage: []wire.Range{{Gain: "0.1"}}}})
	do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm", Rated: "3.0", Cutoff: "3.0", ChargeVoltage: "4.2", MaxCurrent: "2"}})
	do(wire.Command{Do: "cells", Cells: []wire.Cell{{Name: "Gum", Rated: "x"}, {Name: "Hazel"}}})
	do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Oak", Was: "Elm", Rated: "3.2", Cutoff: "3.0"}})
	do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Oak", Rated: "3.2", Cutoff: "3.0", Mass: "47", SheetMass: "50", Arrived: wire.Arrived{Day: "2026-11-20", Voltage: "2.9", Length: "x"}}})
	do(wire.Command{Do: "typed", Typed: []wire.TypedRun{{Cell: "Oak", Current: "1", Capacity: "3.31", Energy: "11,9"}, {Cell: "Gum", Current: "2"}}})
	do(wire.Command{Do: "assign", Run: "200.1", Text: "Gum"})
	do(wire.Command{Do: "void", Run: "202.1", Text: "the holder was loose"})
	do(wire.Command{Do: "load", Load: &wire.Load{Amount: "2", Cutoff: "3.0"}})
	do(wire.Command{Do: "plan", Plan: &wire.Plan{Currents: []string{"2", "1 It"}, Start: "2026-11-30T09:00", Hours: true, Days: []int{1, 3}, Without: []string{"Gum"}}})
	do(wire.Command{Do: "drop", Text: "Hazel"})
	do(wire.Command{Do: "publish", Publish: &wire.Publish{Format: "csv", Title: "All of it", Private: "mine"}})
	made, _ := e.Do(wire.Command{Do: "link"})
	do(wire.Command{Do: "take", Text: made.LinkMade.Text, File: 900})
	do(wire.Command{Do: "remove", File: 2})
	do(wire.Command{Do: "remove", File: 203})
	do(wire.Command{Do: "cutoff", Text: "nonsense"})
	return e
}

// All acts can be taken back one by one to the empty page, and done again: at
// each step the page shows what it showed then.
func TestUndoAndRedoEveryAct(t *testing.T) {
	type seen struct{ act, page string }
	var pages []seen
	e := campaigned(t, func(e *Engine, act string) { pages = append(pages, seen{act, shown(t, e)}) })
	last := len(pages) - 1
	for k := 1; k <= last; k++ {
		if pages[k].page == pages[k-1].page && pages[k].act != "load" {
			t.Fatalf("act %d, %s, shows nothing: a weak test", k, pages[k].act)
		}
	}
	for round := range 2 {
		for k := last - 1; k >= 0; k-- {
			e.Do(wire.Command{Do: "undo"})
			if got := shown(t, e); got != pages[k].page {
				t.Fatalf("round %d: act %d, %s, taken back: %s", round, k+1, pages[k+1].act, differ(got, pages[k].page))
			}
		}
		if undo, _ := e.history.acts(); undo != "" {
			t.Errorf("there is more to undo: %q", undo)
		}
		for k := 1; k <= last; k++ {
			e.Do(wire.Command{Do: "redo"})
			if got := shown(t, e); got != pages[k].page {
				t.Fatalf("round %d: act %d, %s, done again: %s", round, k, pages[k].act, differ(got, pages[k].page))
			}
		}
	}
	// A new act ends what could be redone.
	e.Do(wire.Command{Do: "undo"})
	e.Do(wire.Command{Do: "cutoff", Text: "2.9"})
	if _, redo := e.history.acts(); redo != "" {
		t.Errorf("%q can be redone after another act", redo)
	}
}

func differ(a, b string) string {
	k := 0
	for k < len(a) && k < len(b) && a[k] == b[k] {
		k++
	}
	near := func(s string) string { return s[max(0, k-80):min(len(s), k+120)] }
	return fmt.Sprintf("at %d\n  %s\nfor\n  %s", k, near(a), near(b))
}

// Digits typed one after the other are one act; what the page does of itself is
// none.
func TestActsThatBelongTogether(t *testing.T) {
	e := &Engine{}
	for _, s := range []string{"2", "2.", "2.7"} {
		e.Do(wire.Command{Do: "cutoff", Text: s})
	}
	e.Do(wire.Command{Do: "cells", Quiet: true, Cells: []wire.Cell{{Name: "Elm", Rated: "3"}}})
	if n := len(e.history.past); n != 1 {
		t.Errorf("%d acts", n)
	}
	e.Do(wire.Command{Do: "undo"})
	if e.cutoff != 0 {
		t.Errorf("cut-off %g", e.cutoff)
	}
	e.Do(wire.Command{Do: "judge"})
	e.Do(wire.Command{Do: "cutoff", Text: ""})
	if n := len(e.history.past); n != 0 {
		t.Errorf("%d acts, though nothing was changed", n)
	}
}

// What is kept is taken over by another engine with nothing lost, and so is a
// saved file; taking that over can be undone.
func TestKeptAndSavedAreTheSame(t *testing.T) {
	e := campaigned(t, func(*Engine, string) {})
	e.Do(wire.Command{Do: "hash", File: 200, Text: strings.Repeat("ab", 32)})
	want := shown(t, e)
	slot, keys, err := e.Seal()
	if err != nil {
		t.Fatal(err)
	}
	again := &Engine{}
	which, wanted, notes, err := again.Kept(nil, slot)
	if err != nil || which != 1 || len(notes) != 0 || fmt.Sprint(wanted) != fmt.Sprint(keys) {
		t.Fatalf("slot %d, keys %d of %d, notes %q", which, len(wanted), len(keys), notes)
	}
	for _, key := range wanted {
		b, err := e.Blob(key)
		if err != nil {
			t.Fatal(err)
		}
		again.Give(key, b)
	}
	again.Restore()
	if got := shown(t, again); got != want {
		t.Errorf("kept: %s", differ(got, want))
	}
	if again.find(200).sha != strings.Repeat("ab", 32) {
		t.Error("the hash is lost")
	}
	// A log whose hash comes between the two is still there under its old key.
	f := again.find(202)
	f.kept = ""
	_, fresh, err := again.Seal()
	if err != nil {
		t.Fatal(err)
	}
	again.Do(wire.Command{Do: "hash", File: 202, Text: strings.Repeat("cd", 32)})
	for _, key := range fresh {
		if b, err := again.Blob(key); err != nil || len(b) == 0 {
			t.Errorf("log %s: %v", key, err)
		}
	}
	f.sha, f.kept = "", ""
	next, nextKeys, err := again.Seal()
	if err != nil || fmt.Sprint(nextKeys) != fmt.Sprint(keys) || string(next) == string(slot) {
		t.Errorf("sealed again: error %v, keys %v for %v", err, nextKeys, keys)
	}

	saved, err := again.SaveFile()
	if err != nil {
		t.Fatal(err)
	}
	third := &Engine{}
	third.Do(wire.Command{Do: "cutoff", Text: "2.5"})
	before := shown(t, third)
	if notes, err := third.OpenFile("campaign.plateau", saved); err != nil || len(notes) != 0 {
		t.Fatalf("error %v, notes %q", err, notes)
	}
	if got := shown(t, third); got != want {
		t.Errorf("saved: %s", differ(got, want))
	}
	third.Do(wire.Command{Do: "undo"})
	if got := shown(t, third); got != before {
		t.Errorf("opening undone: %s", differ(got, before))
	}
}

// A log whose samples are lost stays on the list and says so; the rest is there.
func TestKeptInPart(t *testing.T) {
	e := campaigned(t, func(*Engine, string) {})
	slot, keys, err := e.Seal()
	if err != nil {
		t.Fatal(err)
	}
	again := &Engine{}
	if _, _, _, err := again.Kept(slot, nil); err != nil {
		t.Fatal(err)
	}
	for _, key := range keys {
		if b, _ := e.Blob(key); e.find(200).kept != key {
			again.Give(key, b)
		}
	}
	again.Restore()
	f := again.find(200)
	if f == nil || f.fault == nil || f.name != "Elm 2 A.csv" || len(again.files) != len(e.files) || len(again.all(nil)) != len(e.all(nil))-1 {
		t.Errorf("file %+v, %d runs of %d", f, len(again.all(nil)), len(e.all(nil)))
	}
	if reply, _ := again.Do(wire.Command{Do: "view"}); reply.View == nil {
		t.Error("no view")
	}
}

// A log dropped twice is kept once, and comes back as two.
func TestTheSameLogTwice(t *testing.T) {
	e := &Engine{}
	for id := 1; id <= 2; id++ {
		drop(e, id, "Elm 2 A.csv", straight(2, 300))
	}
	want := shown(t, e)
	slot, keys, err := e.Seal()
	if err != nil || len(keys) != 2 || keys[0] != keys[1] {
		t.Fatalf("keys %q, error %v", keys, err)
	}
	again := &Engine{}
	if _, _, _, err := again.Kept(slot, nil); err != nil {
		t.Fatal(err)
	}
	b, err := e.Blob(keys[0])
	if err != nil {
		t.Fatal(err)
	}
	again.Give(keys[0], b)
	again.Restore()
	if got := shown(t, again); got != want {
		t.Errorf("kept: %s", differ(got, want))
	}
	saved, err := e.SaveFile()
	if err != nil {
		t.Fatal(err)
	}
	third := &Engine{}
	if notes, err := third.OpenFile("x.plateau", saved); err != nil || len(notes) > 0 {
		t.Fatalf("notes %q, error %v", notes, err)
	}
	if got := shown(t, third); got != want {
		t.Errorf("saved: %s", differ(got, want))
	}
}
