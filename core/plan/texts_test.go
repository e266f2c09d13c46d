package plan

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"plateau/core/cell"
	"plateau/core/demo"
)

// sample is a plan for the invented cells, with all that a plan can have.
func sample() Plan {
	r := Request{Cells: demo.Cells(), Tester: demo.Tester(), Currents: append(currents(3, 6, 12, 40, 0.001), Current{1, true}),
		Start: time.Date(2026, 11, 30, 9, 0, 0, 0, time.FixedZone("", 3600)), Options: Options{HighRate: true, Closing: true, Pretest: true, Repeats: 2, Hours: day}}
	r.Tester.Channels, r.Tester.TwoWire, r.Tester.Lead = 2, true, 0.02
	return Make(r)
}

// hostile is a plan whose cells have names that would be markup, formulas,
// properties or new lines.
func hostile() Plan {
	r := Request{Tester: bench, Currents: currents(3, 40), Start: monday}
	r.Tester.Channels = 3
	for _, name := range []string{"<script>alert(1)</script>", "| a | b |\n| --- |", "# Head\n- [x] *done* https://plateau.invalid/ www.plateau.invalid",
		"=HYPERLINK(\"x\")", "+1", "@SUM(A1)", "a,b;\"c\"", "a\r\nEND:VEVENT\r\nEND:VCALENDAR", "a\\nb\\;c", "\u202eesrever", "~~~\n```", "[x](javascript:alert(1))",
		"![](x)", "&lt;b&gt;", "\x00\x07\xff", "  ", strings.Repeat("long ", 100), "日本語のとても長い名前日本語のとても長い名前日本語のとても長い名前"} {
		c := small()
		c.Name = name
		r.Cells = append(r.Cells, c)
	}
	return Make(r)
}

var plans = map[string]func() Plan{"sample": sample, "hostile": hostile, "empty": func() Plan { return Make(Request{}) },
	"undated": func() Plan {
		return Make(Request{Cells: []cell.Cell{small()}, Tester: bench, Currents: currents(3)})
	}}

// TestTexts writes each plan in each format. With PLATEAU_PLANS they go to that
// folder, with what they are made of as JSON, and the tests of the scripts read
// them with libraries of others.
func TestTexts(t *testing.T) {
	for name, plan := range plans {
		p := plan()
		texts := everything(t, p)
		for file, text := range texts {
			if !utf8.ValidString(text) {
				t.Errorf("%s %s is no UTF-8", name, file)
			}
		}
		rows, err := csv.NewReader(strings.NewReader(texts["plan.csv"])).ReadAll()
		if err != nil || len(rows) != 1+len(p.Runs)+len(p.Left) || strings.Count(texts["plan.csv"], "\n") != strings.Count(texts["plan.csv"], "\r\n") {
			t.Errorf("%s: %d rows of CSV, %v", name, len(rows), err)
		}
		for _, row := range rows {
			for _, field := range row {
				if field != "" && strings.ContainsRune("=+@\t\r", rune(field[0])) || len(field) > 1 && field[0] == '-' && (field[1] < '0' || field[1] > '9') {
					t.Errorf("%s: a formula in %q", name, row)
				}
			}
		}
		if (texts["plan.ics"] != "") != (name == "sample" || name == "hostile") {
			t.Errorf("%s: calendar %q", name, texts["plan.ics"])
		}
		if texts["plan.ics"] != "" {
			events(t, texts["plan.ics"])
		}
		if n := strings.Count(texts["plan.md"], "\n- [ ] "); n != len(p.Checklist) {
			t.Errorf("%s: %d tasks in the Markdown, want %d", name, n, len(p.Checklist))
		}
		folder := os.Getenv("PLATEAU_PLANS")
		if folder == "" {
			continue
		}
		js, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		texts["plan.json"] = string(js)
		for file, text := range texts {
			if err := os.WriteFile(filepath.Join(folder, name+"-"+file), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestFigures writes a plan and its figures, bit by bit, to the file that
// PLATEAU_FIGURES names, so that a native run and one under WebAssembly can be
// compared. Alone it checks that a second plan is the same.
func TestFigures(t *testing.T) {
	figures := func() string {
		var b bytes.Buffer
		p := sample()
		for _, r := range p.Runs {
			for _, x := range []float64{r.Asked, r.Set, r.Rate, r.Deviation, r.Cutoff, r.SetCutoff, r.Drop, r.ChargeTo, r.ChargeAmps, r.ChargeEnd, r.Hours(), chargeHours(r.Set, r.Asked, r.Rate/1e3)} {
				fmt.Fprintf(&b, " %x", math.Float64bits(x))
			}
			fmt.Fprintln(&b, r.Steps)
		}
		for _, name := range []string{"plan.md", "plan.csv", "plan.ics"} {
			b.WriteString(everything(t, p)[name])
		}
		return b.String()
	}
	first, again := figures(), figures()
	if first != again || len(first) < 10000 {
		t.Errorf("two plans of one request differ, or are empty: %d bytes", len(first))
	}
	if path := os.Getenv("PLATEAU_FIGURES"); path != "" {
		if err := os.WriteFile(path, []byte(first), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
