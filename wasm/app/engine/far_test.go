package engine

import (
	"reflect"
	"testing"

	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// Whatever is out of view and comes later: with the rest, the page shows what it
// would show if all came at once.
func TestRestMakesTheViewWhole(t *testing.T) {
	var slim, all wire.Slimmer
	var page, want wire.View
	send := func(s *wire.Slimmer, page *wire.View, v *wire.View, whole bool) {
		t.Helper()
		s.Slim(v, whole)
		text, err := plain.Marshal(v)
		var got wire.View
		if err != nil || plain.Unmarshal(text, &got) != nil || !got.Fill(page) {
			t.Fatal("a view cannot be filled")
		}
		*page = got
	}
	e, one := &Engine{}, &Engine{}
	each := func(c wire.Command) {
		t.Helper()
		reply, _ := e.Do(c)
		send(&slim, &page, reply.View, false)
		reply, _ = one.Do(c)
		send(&all, &want, reply.View, true)
	}
	each(wire.Command{Do: "demo", File: 1})
	var far []string
	for k, r := range page.Runs {
		if k%3 != 0 {
			far = append(far, r.ID)
		}
	}
	slim.Far(far)
	e.Do(wire.Command{Do: "far", Hidden: far})
	late := 0
	for k, c := range []wire.Command{
		{Do: "cutoff", Text: "2.9"}, {Do: "cutoff", Text: "3.1"},
		{Do: "tester", Tester: &wire.Tester{Current: []wire.Range{{Gain: "1"}}}},
		{Do: "tester", Tester: &wire.Tester{Wires: "2", Lead: "10"}},
		{Do: "void", Run: far[0], Text: "loose"}, {Do: "undo"}, {Do: "undo"}, {Do: "redo"}, {Do: "remove", File: 2},
		{Do: "assign", Run: far[5], Text: "Elm"}, {Do: "cell", Cell: &wire.Cell{Name: "Alder", Rated: "4.5"}}, {Do: "cutoff", Text: ""},
	} {
		each(c)
		for i, r := range page.Runs {
			if k < 4 && i%3 == 0 && !reflect.DeepEqual(r, want.Runs[i]) {
				t.Errorf("%s: %s is in view, and late", c.Do, r.ID)
			}
			if !reflect.DeepEqual(r, want.Runs[i]) {
				late++
			}
		}
		if !page.More {
			continue
		}
		reply, _ := e.Do(wire.Command{Do: "rest"})
		send(&slim, &page, reply.View, true)
		page.Drawn, want.Drawn, want.CellsSame, page.CellsSame = "", "", false, false
		if !reflect.DeepEqual(page, want) {
			for i := range page.Runs {
				if !reflect.DeepEqual(page.Runs[i], want.Runs[i]) {
					t.Errorf("act %d, %s: %+v for %+v", k, c.Do, page.Runs[i], want.Runs[i])
					break
				}
			}
			t.Fatalf("act %d, %s: the page differs with the rest", k, c.Do)
		}
	}
	if late < 40 {
		t.Errorf("%d rows were late: a weak test", late)
	}
}
