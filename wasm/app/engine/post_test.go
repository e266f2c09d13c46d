package engine

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"plateau/wasm/app/wire"
)

func published(t *testing.T, e *Engine, w wire.Publish) string {
	t.Helper()
	reply, _ := e.Do(wire.Command{Do: "publish", Publish: &w})
	if reply.Published == nil || reply.Published.Why != "" || reply.Published.Text == "" {
		t.Fatalf("%s: %+v", w.Format, reply)
	}
	return reply.Published.Text
}

// What is published are the figures that the page shows, in every format.
func TestPublishedFiguresAreThoseShown(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "demo", File: 1})
	e.Do(wire.Command{Do: "typed", Typed: []wire.TypedRun{{Cell: "Alder", Current: "2", Capacity: "4.91", Energy: "17.6"}}})
	reply, _ := e.Do(wire.Command{Do: "void", Run: "2.1", Text: "the clip slipped"})
	view := reply.View
	rows, err := csv.NewReader(strings.NewReader(published(t, e, wire.Publish{Format: "csv"}))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+len(view.Runs)+1 {
		t.Fatalf("%d rows for %d discharges and a typed one", len(rows)-1, len(view.Runs))
	}
	column := func(name string) int {
		for k, head := range rows[0] {
			if strings.HasPrefix(head, name) {
				return k
			}
		}
		t.Fatalf("no column %s in %q", name, rows[0])
		return 0
	}
	ah, wh := column("capacity_Ah"), column("energy_Wh")
	for k, r := range view.Runs {
		for _, x := range []struct {
			at   int
			want wire.Figure
		}{{ah, r.Capacity}, {wh, r.Energy}} {
			got, err := strconv.ParseFloat(strings.TrimPrefix(rows[k+1][x.at], "at least "), 64)
			shown, _ := strconv.ParseFloat(x.want.Value, 64)
			if err != nil || math.Abs(got-shown) > 0.02*shown {
				t.Errorf("%s: %q published, %q shown", r.Name, rows[k+1][x.at], x.want.Value)
			}
		}
	}
	markdown := published(t, e, wire.Publish{Format: "markdown", Title: "Four | cells", Private: "a secret"})
	for _, want := range []string{"Four", "the clip slipped", "Cedar", "below", "IEC 61960-3", "at least"} {
		if !strings.Contains(markdown, want) {
			t.Errorf("the post says nothing of %q", want)
		}
	}
	if strings.Contains(markdown, "secret") {
		t.Error("private notes are published unasked")
	}
	if !strings.Contains(published(t, e, wire.Publish{Format: "markdown", Private: "a secret", Parts: []string{"notes"}}), "secret") {
		t.Error("notes that were asked for are not there")
	}
	for _, format := range []string{"bbcode", "html", "csv-comma", "tsv", "report"} {
		if text := published(t, e, wire.Publish{Format: format}); !strings.Contains(text, "Cedar") {
			t.Errorf("%s: no Cedar in it", format)
		}
	}
	var all struct {
		Runs []struct {
			Cell     string
			Capacity struct{ Value float64 } `json:"capacity_Ah"`
		}
		Curves []struct{ Q, V []float64 }
	}
	text := published(t, e, wire.Publish{Format: "json", Parts: []string{"figures", "curves"}})
	if err := json.Unmarshal([]byte(text), &all); err != nil || len(all.Runs) != len(view.Runs)+1 {
		t.Errorf("JSON: %v, %d runs in %.300s", err, len(all.Runs), text)
	}
}

// Nothing to publish, or nothing known to write it by, is said.
func TestPublishRefuses(t *testing.T) {
	e := &Engine{}
	for _, w := range []*wire.Publish{nil, {Format: "markdown"}, {Format: "stone"}} {
		if reply, _ := e.Do(wire.Command{Do: "publish", Publish: w}); reply.Published == nil || reply.Published.Why == "" || len(reply.Published.Parts) == 0 {
			t.Errorf("%+v: %+v", w, reply)
		}
	}
	e.Do(wire.Command{Do: "demo", File: 1})
	bad := wire.Publish{Format: "report", Picture: []wire.Picture{{SVG: "<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", Caption: "x", Alt: "y"}}}
	if reply, _ := e.Do(wire.Command{Do: "publish", Publish: &bad}); reply.Published.Why == "" {
		t.Error("a picture with a script is taken")
	}
}

// A report leaves out of the method which run can prove what, and nothing else.
func TestReportShortensTheMethod(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "demo", File: 1})
	whole := e.post(&wire.Publish{Format: "markdown"}, false).Method
	short := e.post(&wire.Publish{Format: "report"}, false).Method
	var left []string
	for _, s := range whole {
		if !slices.Contains(short, s) {
			left = append(left, s)
		}
	}
	if len(left) != sidesMany || len(short)+sidesMany != len(whole) {
		t.Fatalf("left out: %q", left)
	}
	for k, begins := range []string{"A run at a higher current", "A run that went below", "Currents within"} {
		if !strings.HasPrefix(left[k], begins) {
			t.Errorf("left out: %q", left[k])
		}
	}
}
