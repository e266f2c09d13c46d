package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"plateau/core/cell"
)

func TestTick(t *testing.T) {
	other := small()
	other.Name = "Hazel 2"
	r := Request{Cells: []cell.Cell{small(), other}, Tester: bench, Currents: currents(3, 8), Start: monday, Options: Options{Closing: true}}
	r.Tester.Channels = 2
	p := Make(r)
	// In time: 0.5 A, 3 A, 8 A, 0.5 A of each cell.
	var planned []string
	for _, r := range p.Runs {
		planned = append(planned, fmt.Sprint(r.Cell, " ", r.Set))
	}
	if got := strings.Join(planned, ", "); got != "Hazel 1 0.5, Hazel 2 0.5, Hazel 1 3, Hazel 2 3, Hazel 1 8, Hazel 2 8, Hazel 1 0.5, Hazel 2 0.5" {
		t.Fatal(got)
	}
	for _, tt := range []struct {
		name string
		done []Done
		want []int // runs that fulfil the planned ones
		off  []string
		next int
	}{
		{"none", nil, []int{-1, -1, -1, -1, -1, -1, -1, -1}, nil, 0},
		{"one", []Done{{Cell: "Hazel 1", Amps: 0.4985, End: 2.5}}, []int{0, -1, -1, -1, -1, -1, -1, -1}, nil, 1},
		{"closing too", []Done{{"Hazel 1", 0.5, 2.5, ""}, {"Hazel 1", 0.5, 2.49, ""}}, []int{0, -1, -1, -1, -1, -1, 1, -1}, nil, 1},
		{"third", []Done{{"Hazel 1", 0.5, 2.5, ""}, {"Hazel 1", 0.5, 2.5, ""}, {"Hazel 1", 0.5, 2.5, ""}}, []int{0, -1, -1, -1, -1, -1, 1, -1}, []string{"2 All planned runs at 0.5 A are done already."}, 1},
		// 3 % of the larger: 3/0.97 = 3.0928, 3·0.97 = 2.91.
		{"within 3 %", []Done{{"Hazel 1", 3.0927, 0, ""}, {"Hazel 2", 2.9101, math.NaN(), ""}}, []int{-1, -1, 0, 1, -1, -1, -1, -1}, nil, 0},
		{"not within", []Done{{"Hazel 1", 3.0929, 0, ""}, {"Hazel 2", 2.9099, 0, ""}}, []int{-1, -1, -1, -1, -1, -1, -1, -1},
			[]string{"0 No run at 3.0929 A is planned; the nearest is at 3 A.", "1 No run at 2.9099 A is planned; the nearest is at 3 A."}, 0},
		// 1 % of 2.5 V: 2.525 V.
		{"its end", []Done{{"Hazel 1", 8, 2.5249, ""}, {"Hazel 2", 8, 2.5251, ""}}, []int{-1, -1, -1, -1, 0, -1, -1, -1}, []string{"1 It ended at 2.525 V, above the cut-off of 2.50 V."}, 0},
		{"others", []Done{{"Rowan", 8, 2.5, ""}, {"Hazel 1", 8, 2.5, "the lead fell off."}, {"Hazel 1", math.Inf(1), 2.5, ""}, {" Hazel 2 ", 8, 2.5, ""}}, []int{-1, -1, -1, -1, -1, 3, -1, -1},
			[]string{"0 No run of this cell is planned.", "1 It does not count: the lead fell off.", "2 Its current is not known."}, 0},
	} {
		got := Tick(p, tt.done)
		var off []string
		for _, o := range got.Off {
			off = append(off, fmt.Sprint(o.Done, " ", o.Why))
		}
		if !slices.Equal(got.Done, tt.want) || !slices.Equal(off, tt.off) || got.Next != tt.next {
			t.Errorf("%s: %+v", tt.name, got)
		}
		if got.Count+got.Missing != len(p.Runs) || got.Count+len(got.Off) != len(tt.done) {
			t.Errorf("%s: %d done, %d missing, %d off", tt.name, got.Count, got.Missing, len(got.Off))
		}
	}
	got := Tick(p, []Done{{"Hazel 1", 0.5, 2.5, ""}, {"Hazel 1", 3, 2.5, ""}})
	if !slices.Equal(got.NextOn, []int{4, 1}) {
		t.Errorf("next on the channels: %v", got.NextOn)
	}
	var all []Done
	for _, r := range p.Runs {
		all = append(all, Done{r.Cell, r.Set, r.Cutoff, ""})
	}
	if got := Tick(p, all); got.Missing != 0 || got.Next != -1 || !slices.Equal(got.NextOn, []int{-1, -1}) || len(got.Off) != 0 {
		t.Errorf("all done: %+v", got)
	}
	if got := Tick(Plan{}, all); got.Next != -1 || len(got.Off) != len(all) {
		t.Errorf("no plan: %+v", got)
	}
}

// With steps as coarse as the current, a run a step beside it is meant.
func TestTickByStep(t *testing.T) {
	r := Request{Cells: []cell.Cell{small()}, Tester: bench, Start: monday}
	r.Tester.SetStep = 0.1
	if got := Tick(Make(r), []Done{{"Hazel 1", 0.41, 2.5, ""}}); got.Count != 1 {
		t.Errorf("within a step: %+v", got)
	}
	if got := Tick(Make(r), []Done{{"Hazel 1", 0.39, 2.5, ""}}); got.Count != 0 {
		t.Errorf("not within a step: %+v", got)
	}
}
