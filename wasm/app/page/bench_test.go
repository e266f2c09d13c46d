//go:build js && wasm

package page

import (
	"fmt"
	"testing"

	"plateau/wasm/app/wire"
)

func TestRemembersTheBench(t *testing.T) {
	m, kept := shelf(t, "")
	b := bench(m)
	b.keepTester(&wire.Tester{Name: "one"})
	b.keepCells(wire.Cell{Name: "Alder", Rated: "5"})
	b.keepCells(wire.Cell{Name: "Alder", Rated: "4.9"})
	b.keepCells(wire.Cell{Name: "Birch"}) // nothing is said of it
	if c, ok := b.cells()["Alder"]; !ok || c.Rated != "4.9" {
		t.Errorf("Alder: %+v, %v", c, ok)
	}
	if n := len(b.load().Cells); n != 1 {
		t.Errorf("%d cells are kept", n)
	}
	for k := range mostCells + 5 {
		b.keepCells(wire.Cell{Name: fmt.Sprint(k), Cutoff: "2.5"})
	}
	if _, ok := b.cells()["Alder"]; ok || len(b.load().Cells) != mostCells {
		t.Errorf("the oldest is kept beside %d", len(b.load().Cells))
	}
	for k := range mostCells + 5 {
		b.keepCells(wire.Cell{Name: fmt.Sprint(k)})
	}
	b.keepTester(nil)
	if *kept != "" {
		t.Errorf("all is forgotten, and %q is kept", *kept)
	}
}

func TestTakesNoBenchOnTrust(t *testing.T) {
	for _, text := range []string{"{", "[]", `{"cells":5}`, `{"cells":[{"name":5}]}`, `{"tester":"x"}`} {
		m, _ := shelf(t, text)
		if all := (bench(m)).load(); all.Tester != nil || len(all.Cells) > 0 {
			t.Errorf("%s gives %+v", text, all)
		}
	}
}
