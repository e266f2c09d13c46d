package engine

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // zones to compare with

	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

func planOf(t *testing.T, e *Engine, p *wire.Plan, offsets []wire.Offset) *wire.Planned {
	t.Helper()
	reply := do(t, e, wire.Command{Do: "plan", Plan: p, Offsets: offsets})
	if reply.Planned == nil {
		t.Fatalf("no plan: %+v", reply)
	}
	if _, err := plain.Marshal(reply); err != nil {
		t.Fatal(err)
	}
	return reply.Planned
}

// The demo's logs are of 0.2 It, 3 A, 6 A and 12 A, Birch's of 18 A too; Cedar's
// at 12 A is over what it may give.
func TestPlanOfTheDemo(t *testing.T) {
	e := &Engine{}
	if p := planOf(t, e, nil, nil); !strings.HasPrefix(p.Why, "Enter a cell") || len(p.Runs) != 0 {
		t.Errorf("without cells: %+v", p)
	}
	e.Do(wire.Command{Do: "demo", File: 1})
	p := planOf(t, e, &wire.Plan{Currents: []string{"3", "", "6 A", "three", "12", "18", "1 It"}, Start: "2026-11-30T09:00"}, nil)
	if len(p.Cells) != 4 || len(p.Runs) != 4*4-1+3+2 || len(p.Left) != 1+2 {
		// 0.2 It, 3, 6 A and 1 It each (Dogwood's 6 A are 1 It), 12 A but for Cedar,
		// 18 A for Birch and Dogwood.
		t.Errorf("%d runs, left out %+v", len(p.Runs), p.Left)
	}
	if p.Errors["currents.3"] == "" || len(p.Errors) != 1 {
		t.Errorf("errors %v", p.Errors)
	}
	for _, l := range p.Left {
		if l.Field != "maxCurrent" || !strings.Contains(l.Why, "over the") {
			t.Errorf("left out: %+v", l)
		}
	}
	var at []int
	for _, f := range p.Findings {
		if f.Field == "maxCurrent" {
			at = append(at, f.Current)
		}
	}
	slices.Sort(at)
	if !slices.Equal(at, []int{4, 5, 5}) {
		t.Errorf("findings are about the currents %v", at)
	}
	states := map[string]int{}
	for _, r := range p.Runs {
		states[r.State]++
		if (r.State == "done") != (r.Done != "" && r.DoneName != "") {
			t.Errorf("%+v", r)
		}
	}
	if states["done"] != p.Done || p.Done+p.Missing != len(p.Runs) || states["next"] != 1 || p.Done < 12 {
		t.Errorf("states %v, %d done, %d missing: %+v", states, p.Done, p.Missing, p.Off)
	}
	if p.Done+len(p.Off) != 17 || !strings.HasPrefix(p.Next, "Next: ") {
		t.Errorf("%d done and %d off the plan of 17: %+v; %s", p.Done, len(p.Off), p.Off, p.Next)
	}
	// A run that does not count is no longer done.
	for _, r := range p.Runs {
		if r.State == "done" {
			e.Do(wire.Command{Do: "void", Run: r.Done, Text: "the holder was loose"})
			break
		}
	}
	if q := planOf(t, e, nil, nil); q.Done != p.Done-1 || len(q.Off) != len(p.Off)+1 {
		t.Errorf("a void run: %d done, before %d", q.Done, p.Done)
	}
	for format, begins := range map[string]string{"markdown": "# Test plan\n", "csv": "order,channel,cell,", "calendar": "BEGIN:VCALENDAR\r\n"} {
		reply := do(t, e, wire.Command{Do: "planned", Text: format})
		if d := reply.Download; d == nil || !strings.HasPrefix(d.Text, begins) {
			t.Errorf("%s: %+v", format, reply.Error)
		} else if format == "markdown" && strings.Count(d.Text, "\n- [x] ") == 0 || format == "csv" && strings.Count(d.Text, ",yes,\r\n") != p.Done-1 {
			t.Errorf("%s tells of no run that is done", format)
		} else if format == "calendar" && !strings.Contains(d.Text, "DTSTART:20261130T090000\r\n") {
			t.Errorf("%s: without a zone it has another start", format)
		}
	}
	if reply, _ := e.Do(wire.Command{Do: "planned", Text: "clay"}); reply.Error == "" {
		t.Error("a plan in clay")
	}
	p = planOf(t, e, &wire.Plan{Without: []string{"Alder", "Birch", "Cedar", "Dogwood"}}, nil)
	if p.Why != "No cell is chosen to plan for." || p.Cells[0].In {
		t.Errorf("without all: %+v", p)
	}
	if reply, _ := e.Do(wire.Command{Do: "planned", Text: "calendar"}); !strings.Contains(reply.Error, "nothing with a date") {
		t.Errorf("a calendar of nothing: %q", reply.Error)
	}
	// What is left out stays so under another name.
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Ash", Was: "Alder", Rated: "4.9", Cutoff: "2.5"}})
	if q := planOf(t, e, nil, nil); !slices.Contains(q.Plan.Without, "Ash") || !slices.Contains(p.Plan.Without, "Alder") {
		t.Errorf("renamed: %v, before %v", q.Plan.Without, p.Plan.Without)
	}
}

// What is wrong is said at its field; what can be read counts.
func TestPlanForm(t *testing.T) {
	e := &Engine{}
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm", Rated: "2.5", Cutoff: "2.5", ChargeVoltage: "4.2", ChargeCurrent: "1.25", ChargeEnd: "125 mA", MaxCurrent: "10"}})
	e.Do(wire.Command{Do: "tester", Tester: &wire.Tester{MaxCurrent: "20", MaxPower: "100", Step: "50", Channels: "2"}})
	p := planOf(t, e, &wire.Plan{Currents: []string{"3,03 A", "1C", "2 It", "1500 mA", "-1"}, Start: "2026-11-30 09:00", Repeats: "x", Rest: "90 min", RestDischarged: "for ever",
		Hours: true, HoursFrom: "9:30", HoursTo: "5 pm", Days: []int{1, 99}}, nil)
	for _, field := range []string{"repeats", "restDischarged", "hoursTo", "currents.4"} {
		if p.Errors[field] == "" {
			t.Errorf("nothing at %s: %v", field, p.Errors)
		}
	}
	if len(p.Errors) != 4 || len(p.Runs) != 5 {
		t.Fatalf("%d runs, errors %v", len(p.Runs), p.Errors)
	}
	var got []string
	for _, r := range p.Runs {
		got = append(got, r.Set+" "+r.Off+" "+r.Discharges+" "+r.RestTime)
	}
	// The working day is Monday 9:30 to 17:00: 9:30, 2 h 24 min, 1 h 30 min is
	// 13:24; then each next Monday, but for two short runs.
	want := []string{"0.5 A 0.00 % Mon 2026-11-30 13:24 1 h 30 min", "1.5 A 0.00 % Mon 2026-12-07 13:24 1 h 30 min", "2.5 A 0.00 % Mon 2026-12-14 13:24 1 h 30 min",
		"3.05 A +0.66 % Mon 2026-12-21 13:24 1 h 30 min", "5 A 0.00 % Mon 2026-12-28 13:24 1 h 30 min"}
	if !slices.Equal(got, want) {
		t.Errorf("runs\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// A cut-off over the charge voltage is said where the plan needs it.
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm", Rated: "2.5", Cutoff: "4.3", ChargeVoltage: "4.2"}})
	p = planOf(t, e, nil, nil)
	if len(p.Runs) != 0 || len(p.Left) == 0 || p.Left[0].Field != "cutoff" || !strings.Contains(p.Left[0].Why, "does not lie below the charge voltage") {
		t.Errorf("left out %+v", p.Left)
	}
	// Steps and channels that cannot be.
	v := do(t, e, wire.Command{Do: "tester", Tester: &wire.Tester{Step: "-5", Channels: "many"}}).View
	if v.Tester.Errors["step"] == "" || v.Tester.Errors["channels"] == "" {
		t.Errorf("tester: %v", v.Tester.Errors)
	}
}

// A zone made of offsets has the clock of the zone that they are from: that of
// central Europe by the Go project's copy of the IANA database.
func TestZone(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	var offsets []wire.Offset
	last := 1 << 20
	for at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2029; at = at.Add(time.Hour) {
		_, seconds := at.In(berlin).Zone()
		if seconds/60 != last {
			last = seconds / 60
			offsets = append(offsets, wire.Offset{From: at.Unix(), Minutes: last})
		}
	}
	if len(offsets) != 7 {
		t.Fatal(offsets)
	}
	zone, known := zoneOf(offsets)
	if !known {
		t.Fatal("no zone")
	}
	random := rand.New(rand.NewPCG(3, 4))
	for range 10000 {
		at := time.Date(2026, 1, 1, 0, 0, random.IntN(3*365*86400), 0, time.UTC)
		const form = "2006-01-02 15:04:05"
		if got, want := at.In(zone).Format(form), at.In(berlin).Format(form); got != want {
			t.Fatalf("%v is %s, want %s", at, got, want)
		}
		wall := at.Format(form)
		got, err := time.ParseInLocation(form, wall, zone)
		want, err2 := time.ParseInLocation(form, wall, berlin)
		if err != nil || err2 != nil || !got.Equal(want) {
			t.Fatalf("%s is %v, want %v", wall, got, want)
		}
	}
	e := &Engine{}
	e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm", Rated: "2.5", Cutoff: "2.5"}})
	planOf(t, e, &wire.Plan{Start: "2026-10-24T20:00"}, offsets)
	if d := do(t, e, wire.Command{Do: "planned", Text: "calendar", Offsets: offsets}).Download; !strings.Contains(d.Text, "DTSTART:20261024T180000Z\r\n") {
		t.Errorf("20:00 in summer is 18:00 in UTC:\n%s", d.Text)
	}
	for _, strange := range [][]wire.Offset{nil, {{From: 1 << 62}}, {{Minutes: 1 << 30}}, {{From: 5, Minutes: 60}, {From: 5, Minutes: 120}}, {{From: 9, Minutes: -600}, {From: -9, Minutes: 845}}, make([]wire.Offset, 1000)} {
		zone, _ := zoneOf(strange)
		_ = time.Date(2026, 1, 1, 0, 0, 0, 0, zone).String()
	}
}

// Days and times are read as the time package reads them.
func TestDayAndTime(t *testing.T) {
	for _, s := range []string{"2026-11-30T09:00", "2026-11-30 9:05", "2026-11-30", "2026-11-30T23:59:59", "2028-02-29T00:00"} {
		got, ok := dayAndTime(s, time.UTC)
		var want time.Time
		for _, form := range []string{"2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02", "2006-01-02T15:04:05"} {
			if at, err := time.Parse(form, s); err == nil {
				want = at.Truncate(time.Minute)
			}
		}
		if !ok || !got.Equal(want) {
			t.Errorf("%s: %v, %v, want %v", s, got, ok, want)
		}
	}
	for _, s := range []string{"", "2026-11-3", "2026-02-29", "2026-11-30T", "2026-11-30x09:00", "2026-11-30T9", "2026-11-30T24:01", "2026-11-30T09:60", "2026-11-30T-9:00", "2026-11-30T09:0", "2026-11-30T009:00", "2026-11-30T09:00:00:00"} {
		if got, ok := dayAndTime(s, time.UTC); ok {
			t.Errorf("%q is read as %v", s, got)
		}
	}
}

// Texts of any kind do no harm.
func TestPlanHostile(t *testing.T) {
	texts := []string{"", " ", "\x00", "9e999", "-1", "NaN", "inf", "1e-300", "1It1It", "It", "C", "3 It", "99999999999999999999", strings.Repeat("9", 5000), "2026-13-45T99:99", "9999-12-31T23:59", "24:00", "00:00", "=1+1", "<b>", "\u202e"}
	random := rand.New(rand.NewPCG(5, 6))
	any := func() string { return texts[random.IntN(len(texts))] }
	e := &Engine{}
	for range 300 {
		e.Do(wire.Command{Do: "cell", Cell: &wire.Cell{Name: "Elm " + any(), Rated: "2.5", Cutoff: any(), ChargeCurrent: any(), MaxCurrent: any()}})
		e.Do(wire.Command{Do: "tester", Tester: &wire.Tester{MaxCurrent: any(), MaxPower: any(), Step: any(), Channels: any(), Wires: "2", Lead: any()}})
		planOf(t, e, &wire.Plan{Currents: []string{any(), any(), "3"}, Start: any(), Repeats: any(), Rest: any(), RestDischarged: any(), Hours: random.IntN(2) == 0, HoursFrom: any(), HoursTo: any(),
			Days: []int{random.IntN(9) - 1}, Pretest: random.IntN(2) == 0, Closing: random.IntN(2) == 0}, []wire.Offset{{From: random.Int64() - 1<<62, Minutes: random.IntN(4000) - 2000}})
		for _, format := range []string{"markdown", "csv", "calendar"} {
			e.Do(wire.Command{Do: "planned", Text: format})
		}
	}
}
