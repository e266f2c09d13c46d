package wire

import (
	"reflect"
	"testing"

	"plateau/wasm/app/plain"
)

// What is slimmed, sent as text and filled again is what it was, and only what
// changed goes.
func TestSlim(t *testing.T) {
	var s Slimmer
	page := View{}
	views := []func() View{
		func() View {
			return View{Files: []File{{ID: 1, Name: "a"}, {ID: 2, Name: "a"}}, Runs: []Run{{ID: "1.1", Cell: "Elm"}, {ID: "2.1"}},
				Cutoffs: &Cutoffs{Columns: []CutoffColumn{{}}, Rows: []CutoffRow{{Run: "1.1", Fields: []CutoffField{{AtLeast: true}}}}}, Cells: []Cell{}, Typed: []TypedRun{}}
		},
		func() View {
			return View{Files: []File{{ID: 1, Name: "a"}, {ID: 2, Name: "b"}}, Runs: []Run{{ID: "1.1", Cell: "Fir"}, {ID: "2.1"}},
				Cutoffs: &Cutoffs{Columns: []CutoffColumn{{}}, Rows: []CutoffRow{{Run: "1.1", Fields: []CutoffField{{AtLeast: true}}}}}, Cells: []Cell{}, Typed: []TypedRun{}}
		},
		func() View {
			return View{Files: []File{}, Runs: []Run{{ID: "2.1"}}, Cells: []Cell{}, Typed: []TypedRun{}}
		},
	}
	same := []int{0, 3, 1} // file 1, run 2.1 and the row; then run 2.1
	for k, make := range views {
		want, sent := make(), make()
		want.CellsSame = k > 0
		s.Slim(&sent, false)
		n := 0
		for _, f := range sent.Files {
			n += map[bool]int{true: 1}[f.Same]
		}
		for _, r := range sent.Runs {
			n += map[bool]int{true: 1}[r.Same]
		}
		if sent.Cutoffs != nil {
			for _, r := range sent.Cutoffs.Rows {
				n += map[bool]int{true: 1}[r.Same]
			}
		}
		if n != same[k] {
			t.Errorf("view %d: %d are the same, want %d", k, n, same[k])
		}
		text, err := plain.Marshal(sent)
		var got View
		if err != nil || plain.Unmarshal(text, &got) != nil || !got.Fill(&page) || !reflect.DeepEqual(got, want) {
			t.Errorf("view %d: %v, got %+v, want %+v", k, err, got, want)
		}
		page = got
	}
	s.Reset()
	whole := views[1]()
	if s.Slim(&whole, false); whole.Runs[0].Same || whole.Files[0].Same {
		t.Error("after a reset something is left out")
	}
	if lost := views[1](); func() bool { s.Slim(&lost, false); return lost.Fill(&View{}) }() {
		t.Error("what the page never had is not missed")
	}
}

// What is not in view comes when the rest is asked for, once; the page has the
// rows of before until then.
func TestFarRowsComeLater(t *testing.T) {
	var s Slimmer
	page := View{}
	view := func(cell string) View {
		row := func(run string) CutoffRow {
			return CutoffRow{Run: run, Fields: []CutoffField{{Capacity: Figure{Value: cell}}}}
		}
		return View{Files: []File{}, Typed: []TypedRun{}, Runs: []Run{{ID: "1.1", Cell: cell}, {ID: "2.1", Cell: cell}},
			Cells:   []Cell{{Name: cell}},
			Cutoffs: &Cutoffs{Columns: []CutoffColumn{{}}, Rows: []CutoffRow{row("1.1"), row("2.1")}}}
	}
	send := func(v View, whole bool) {
		t.Helper()
		s.Slim(&v, whole)
		text, err := plain.Marshal(v)
		var got View
		if err != nil || plain.Unmarshal(text, &got) != nil || !got.Fill(&page) {
			t.Fatal("not sent")
		}
		page = got
	}
	s.Far([]string{"2.1"})
	send(view("Elm"), false)
	if page.More || page.Runs[1].Cell != "Elm" {
		t.Errorf("what the page never had is late: %+v", page)
	}
	send(view("Fir"), false)
	if !page.More || page.Runs[0].Cell != "Fir" || page.Runs[1].Cell != "Elm" || page.Cutoffs.Rows[1].Fields[0].Capacity.Value != "Elm" || page.Cells[0].Name != "Fir" {
		t.Errorf("far rows are not late: %+v", page)
	}
	send(view("Fir"), true)
	if want := view("Fir"); page.More || !reflect.DeepEqual(page.Runs, want.Runs) || !reflect.DeepEqual(page.Cutoffs, want.Cutoffs) {
		t.Errorf("the rest is not there: %+v", page)
	}
	if again := view("Fir"); func() bool { s.Slim(&again, true); return !again.Runs[1].Same || !again.CellsSame }() {
		t.Error("the rest came twice")
	}
}
