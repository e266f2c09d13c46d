package engine

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"plateau/core/link"
	"plateau/wasm/app/wire"
)

// A link holds what the page shows, and taken in gives the same figures within
// the error of its curves.
func TestLinkThereAndBack(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "demo", File: 1})
	e.Do(wire.Command{Do: "typed", Typed: []wire.TypedRun{{Cell: "Alder", Current: "2", Capacity: "4.91", Energy: "17.6"}}})
	e.Do(wire.Command{Do: "void", Run: "2.1", Text: "the clip slipped"})
	e.Do(wire.Command{Do: "publish", Publish: &wire.Publish{Format: "markdown", Title: "Four cells", Private: "a secret"}})
	reply, _ := e.Do(wire.Command{Do: "link", Link: &wire.Link{Day: "2026-11-25"}})
	m := reply.LinkMade
	if m == nil || m.Why != "" || m.Total != len(m.Text) || m.Total < 2000 || len(m.Parts) != len(link.Parts) || m.Curves == "" {
		t.Fatalf("made: %+v", m)
	}
	t.Logf("%d characters, %s", m.Total, m.Curves)
	view, _ := e.Do(wire.Command{Do: "view"})

	other := &Engine{}
	reply, data := other.Do(wire.Command{Do: "unlink", Text: "https://example.org/#" + m.Text})
	l := reply.Linked
	if l == nil || l.Why != "" || l.Title != "Four cells" || l.Curves == nil || len(data) != len(l.Curves.Series) || len(l.Tables) < 4 {
		t.Fatalf("unlinked: %+v with %d curves", l, len(data))
	}
	for _, line := range l.Lines {
		if strings.Contains(line.Text, "secret") {
			t.Error("private notes are in a link unasked")
		}
	}
	if len(l.Tables[0].Table.Rows) != len(view.View.Runs)+1 {
		t.Errorf("%d rows for %d discharges", len(l.Tables[0].Table.Rows), len(view.View.Runs)+1)
	}
	if len(other.files)+len(other.cellNames()) != 0 {
		t.Error("looking at a link changed something")
	}

	taken, _ := other.Do(wire.Command{Do: "take", Text: m.Text, File: 50})
	if taken.View == nil || len(taken.View.Runs) != len(view.View.Runs) || len(taken.View.Typed) != 1 {
		t.Fatalf("taken: %+v", taken)
	}
	number := func(f wire.Figure) float64 {
		x, err := strconv.ParseFloat(f.Value, 64)
		if err != nil {
			t.Errorf("figure %q", f.Value)
		}
		return x
	}
	for k, r := range taken.View.Runs {
		want := view.View.Runs[k]
		for _, x := range []struct {
			name      string
			got, want float64
			share     float64
		}{{"capacity", number(r.Capacity), number(want.Capacity), 0.002}, {"energy", number(r.Energy), number(want.Energy), 0.003}, {"current", number(r.Current), number(want.Current), 0.002}} {
			if math.Abs(x.got-x.want) > x.share*x.want {
				t.Errorf("%s: %s %g for %g", want.Name, x.name, x.got, x.want)
			}
		}
		if r.Cell != want.Cell || (r.Void != "") != (want.Void != "") {
			t.Errorf("%s: of %q, void %q", want.Name, r.Cell, r.Void)
		}
	}
	judged, _ := other.Do(wire.Command{Do: "judge"})
	verdicts := map[string]string{}
	for _, c := range judged.Judged.Cells {
		for _, v := range c.Verdicts {
			verdicts[c.Cell] += " " + v.Grade
		}
	}
	was, _ := e.Do(wire.Command{Do: "judge"})
	for _, c := range was.Judged.Cells {
		grades := ""
		for _, v := range c.Verdicts {
			grades += " " + v.Grade
		}
		t.Logf("%s: %s, taken in %s", c.Cell, grades, verdicts[c.Cell])
	}
	other.Do(wire.Command{Do: "undo"})
	if len(other.files)+len(other.cells)+len(other.typedRuns) != 0 {
		t.Error("taking in a link cannot be undone")
	}
}

// A link is made to fit, with what is left out said; a bad one is refused in words.
func TestLinkFitsAndRefuses(t *testing.T) {
	e := &Engine{}
	if reply, _ := e.Do(wire.Command{Do: "link"}); reply.LinkMade == nil || reply.LinkMade.Why == "" {
		t.Errorf("nothing to link to: %+v", reply)
	}
	e.Do(wire.Command{Do: "demo", File: 1})
	for _, most := range []int{2000, 8000, 32000} {
		reply, _ := e.Do(wire.Command{Do: "link", Link: &wire.Link{Fit: most}})
		if m := reply.LinkMade; m.Why != "" || m.Total > most || m.Total < 500 {
			t.Errorf("%d: %+v", most, m)
		}
	}
	reply, _ := e.Do(wire.Command{Do: "link", Link: &wire.Link{Out: []string{"curves", "temperature curves"}, Tolerance: "much"}})
	if m := reply.LinkMade; m.ToleranceError == "" || m.Curves != "" {
		t.Errorf("%+v", m)
	}
	for _, text := range []string{"", "nonsense", reply.LinkMade.Text[:len(reply.LinkMade.Text)/2]} {
		if reply, _ := e.Do(wire.Command{Do: "unlink", Text: text}); reply.Linked == nil || reply.Linked.Why == "" {
			t.Errorf("%.20q: %+v", text, reply.Linked)
		}
		if reply, _ := e.Do(wire.Command{Do: "take", Text: text, File: 900}); reply.Error == "" {
			t.Errorf("%.20q is taken in", text)
		}
	}
}

// A link with preview is short enough, and rather has curves than what is for
// those who open the whole page.
func TestPreview(t *testing.T) {
	made := func(logs, limit int) *wire.LinkMade {
		e := &Engine{}
		e.Do(wire.Command{Do: "demo", File: 1})
		for len(e.files) > logs {
			e.Do(wire.Command{Do: "remove", File: e.files[len(e.files)-1].id})
		}
		reply, _ := e.Do(wire.Command{Do: "link", Link: &wire.Link{Day: "2026-11-25", Fit: limit, Preview: true, Private: true}})
		if reply.LinkMade == nil || reply.LinkMade.Why != "" || reply.LinkMade.Total > limit {
			t.Fatalf("%d logs: %+v", logs, reply.LinkMade)
		}
		return reply.LinkMade
	}
	const short, long = 1950, 3950
	for _, tt := range []struct{ logs, limit, curves int }{{1, short, 1}, {4, short, 4}, {8, short, 8}, {17, short, 0}, {17, long, 17}} {
		logs, curves := tt.logs, tt.curves
		m := made(logs, tt.limit)
		p, err := link.Decode(m.Text)
		t.Logf("%d logs: %d characters, %d curves, %q", logs, m.Total, len(p.Curves), m.Did)
		if err != nil || len(p.Curves) != curves || len(p.Runs) != logs || !(p.Runs[0].Capacity.Value > 0) || len(p.Logs) > 0 && p.Logs[0].SHA256 != "" {
			t.Errorf("%d logs: %d curves of %d runs, %v", logs, len(p.Curves), len(p.Runs), err)
		}
		if curves > 0 && len(p.Verdicts) == 0 {
			t.Errorf("%d logs: no verdicts", logs)
		}
		for _, part := range m.Parts {
			if part.Key == "private notes" && part.In {
				t.Error("private notes are in")
			}
		}
	}
}
