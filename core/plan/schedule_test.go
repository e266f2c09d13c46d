package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
	_ "time/tzdata" // zones wherever the test runs

	"plateau/core/cell"
)

// starts are when a run's charge and discharge start and when that ends.
func starts(r *Run) [3]string {
	const form = "Mon 15:04"
	return [3]string{r.Charges().Start.Format(form), r.Discharges().Start.Format(form), r.Discharges().End.Format(form)}
}

// Worked by hand. The cell is charged for 2 h 24 min, rests for 1 h to 4 h, gives
// 0.5 A for 5 h, 3 A for 50 min, 8 A for 19 min (2.5 Ah / 8 A = 18.75 min), and
// rests for 1 h.
func TestWorkingHours(t *testing.T) {
	plan := func(change func(*Request)) Plan {
		r := Request{Cells: []cell.Cell{small()}, Tester: bench, Currents: currents(3, 8), Start: monday}
		r.Options.Hours = day
		change(&r)
		return Make(r)
	}
	for _, tt := range []struct {
		name   string
		change func(*Request)
		want   [][3]string
	}{
		// 12:24 is 3 h 24 min after 9:00. The run at 3 A could be charged from
		// 18:24 on: that is Tuesday. Its discharge ends 12:14, so the next charge
		// starts 13:14 and its discharge 16:38, before 17:00.
		{"by hand", func(*Request) {}, [][3]string{{"Mon 09:00", "Mon 12:24", "Mon 17:24"}, {"Tue 08:00", "Tue 11:24", "Tue 12:14"}, {"Tue 13:14", "Tue 16:38", "Tue 16:57"}}},
		// At any time: one after the other.
		{"day and night", func(r *Request) { r.Options.Hours = nil }, [][3]string{{"Mon 09:00", "Mon 12:24", "Mon 17:24"}, {"Mon 18:24", "Mon 21:48", "Mon 22:38"}, {"Mon 23:38", "Tue 03:02", "Tue 03:21"}}},
		// A charge at 14:00 would be over at 16:24, and the rest at 17:24: too
		// late, and 8:00 is over 4 h later. So it starts on Tuesday.
		{"late", func(r *Request) { r.Start = monday.Add(5 * time.Hour) }, [][3]string{{"Tue 08:00", "Tue 11:24", "Tue 16:24"}, {"Wed 08:00", "Wed 11:24", "Wed 12:14"}, {"Wed 13:14", "Wed 16:38", "Wed 16:57"}}},
		// The tester goes on by itself: only the charge has to be within the hours.
		{"unattended", func(r *Request) { r.Start, r.Unattended = monday.Add(5*time.Hour), true }, [][3]string{{"Mon 14:00", "Mon 17:24", "Mon 22:24"}, {"Tue 08:00", "Tue 11:24", "Tue 12:14"}, {"Tue 13:14", "Tue 16:38", "Tue 16:57"}}},
		// Friday 14:00, with the tester by itself; the week ends.
		{"weekend", func(r *Request) { r.Start, r.Unattended = monday.Add(4*24*time.Hour+5*time.Hour), true }, [][3]string{{"Fri 14:00", "Fri 17:24", "Fri 22:24"}, {"Mon 08:00", "Mon 11:24", "Mon 12:14"}, {"Mon 13:14", "Mon 16:38", "Mon 16:57"}}},
		{"Saturday", func(r *Request) { r.Start = monday.Add(5 * 24 * time.Hour) }, [][3]string{{"Mon 08:00", "Mon 11:24", "Mon 16:24"}, {"Tue 08:00", "Tue 11:24", "Tue 12:14"}, {"Tue 13:14", "Tue 16:38", "Tue 16:57"}}},
		// Hours of 8:00 to 10:00 and 22:00 would be needed: none is found, the
		// discharges start outside.
		{"too short a day", func(r *Request) { r.Options.Hours = &Hours{8 * time.Hour, 10 * time.Hour, day.Days} }, [][3]string{{"Mon 09:00", "Mon 12:24", "Mon 17:24"}, {"Tue 08:00", "Tue 11:24", "Tue 12:14"}, {"Wed 08:00", "Wed 11:24", "Wed 11:43"}}},
		// Rest by the datasheet: 30 min to 1 h.
		{"by the datasheet", func(r *Request) { r.Cells[0].RestByDatasheet = true }, [][3]string{{"Mon 09:00", "Mon 11:54", "Mon 16:54"}, {"Tue 08:00", "Tue 10:54", "Tue 11:44"}, {"Tue 12:44", "Tue 15:38", "Tue 15:57"}}},
	} {
		p := plan(tt.change)
		var got [][3]string
		for k := range p.Runs {
			got = append(got, starts(&p.Runs[k]))
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n%v\nwant\n%v", tt.name, got, tt.want)
		}
		if outside := at(p, "hours") != ""; outside != (tt.name == "too short a day") {
			t.Errorf("%s: at hours %q", tt.name, at(p, "hours"))
		}
	}
	// A rest is stretched to the morning, if it may be that long: charged from
	// 16:00 for 12 h 13 min, a cell has rested for 3 h 47 min at 8:00.
	p := plan(func(r *Request) {
		c := &r.Cells[0]
		c.ChargeCurrent, c.ChargeEnd = 0.2, 0.19 // 2.44/0.2 + 0.3·ln(0.2/0.19) = 12.215 h
		r.Start = monday.Add(7 * time.Hour)
		r.Currents = nil
	})
	if got := starts(&p.Runs[0]); got != [3]string{"Mon 16:00", "Tue 08:00", "Tue 13:00"} {
		t.Errorf("over night: %v", got)
	}
	rests := p.Runs[0].Steps[1]
	if rests.Kind != Rest || rests.Lasts != 3*time.Hour+47*time.Minute || !p.Runs[0].Charges().Night {
		t.Errorf("the rest over night lasts %v", rests.Lasts)
	}
}

// The clock goes back on 2026-10-25 at 3:00 and forward on 2027-03-28 at 2:00 in
// central Europe (Directive 2000/84/EC): what runs then takes as long as ever,
// and the morning after begins by the clock.
func TestClockChange(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	week := &Hours{8 * time.Hour, 21 * time.Hour, [7]bool{true, true, true, true, true, true, true}}
	for _, tt := range []struct {
		start     time.Time
		ends      string // of the discharge across the change: 23:24 and 5 h
		next, utc string // start of the next charge
	}{
		{time.Date(2026, 10, 24, 20, 0, 0, 0, zone), "2026-10-25T03:24:00+01:00", "2026-10-25T08:00:00+01:00", "20261025T070000Z"},
		{time.Date(2027, 3, 27, 20, 0, 0, 0, zone), "2027-03-28T05:24:00+02:00", "2027-03-28T08:00:00+02:00", "20270328T060000Z"},
	} {
		p := Make(Request{Cells: []cell.Cell{small()}, Tester: bench, Currents: currents(3), Start: tt.start, Options: Options{Unattended: true, Hours: week}})
		if got := p.Runs[0].Discharges().End.Format(time.RFC3339); got != tt.ends {
			t.Errorf("ends %s, want %s", got, tt.ends)
		}
		next := p.Runs[1].Charges().Start
		c := calendar{}
		if got := next.Format(time.RFC3339); got != tt.next || c.time(next) != tt.utc {
			t.Errorf("next %s, %s; want %s, %s", got, c.time(next), tt.next, tt.utc)
		}
	}
}

// Whatever is asked for, a channel does one thing at a time, steps follow each
// other, rests are within their bounds, and hands are needed in working hours
// only, but for what is said.
func TestScheduleHolds(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(8, 61960))
	var runs, outside, nights int
	for n := range 300 {
		r := Request{Tester: bench, Start: time.Date(2026, 1, 1, 0, random.IntN(365*24*60), 0, 0, zone)}
		r.Tester.Channels = random.IntN(5)
		for k := range random.IntN(8) {
			c := small()
			c.Name = fmt.Sprint("Hazel ", k)
			c.Rated *= 0.2 + 2*random.Float64()
			c.ChargeCurrent = c.Rated * (0.1 + random.Float64())
			c.RestByDatasheet = random.IntN(3) == 0
			r.Cells = append(r.Cells, c)
		}
		for range random.IntN(5) {
			r.Currents = append(r.Currents, Current{0.05 + 10*random.Float64(), random.IntN(4) == 0})
		}
		r.Options = Options{random.IntN(2) == 0, random.IntN(2) == 0, random.IntN(2) == 0, random.IntN(4), random.IntN(2) == 0, 0, time.Duration(random.IntN(120)) * time.Minute, nil}
		if random.IntN(4) > 0 {
			h := Hours{From: time.Duration(random.IntN(14*60)) * time.Minute}
			h.To = h.From + time.Duration(1+random.IntN(10*60-1))*time.Minute
			h.Days[random.IntN(7)] = true
			for k := range h.Days {
				h.Days[k] = h.Days[k] || random.IntN(2) == 0
			}
			r.Options.Hours = &h
		}
		p := Make(r)
		busy := make([]time.Time, len(p.Channels)+1)
		hours, said := 0.0, at(p, "hours") != ""
		for _, x := range p.Runs {
			runs++
			at := busy[x.Channel]
			if at.IsZero() {
				at = r.Start
			}
			for k, s := range x.Steps {
				if k == 0 && s.Start.Before(at) || k > 0 && !s.Start.Equal(x.Steps[k-1].End) || !s.Start.Add(s.Lasts).Equal(s.End) || s.Lasts < 0 {
					t.Fatalf("plan %d: %s, step %d at %v after %v", n, x.Cell, k, s.Start, at)
				}
				if s.Hand && !r.Options.Hours.within(s.Start, s.Start) {
					outside++
					if !said || !s.Outside || s.Kind != Discharge {
						t.Fatalf("plan %d: a hand is needed at %v: %v", n, s.Start, r.Options.Hours)
					}
				}
				if s.Hand == (r.Unattended && k > 0 || s.Kind == Rest) {
					t.Fatalf("plan %d: hand %v for %v", n, s.Hand, s.Kind)
				}
				if s.Night {
					nights++
				}
				hours += s.Lasts.Hours()
			}
			c := r.Cells[slices.IndexFunc(r.Cells, func(c cell.Cell) bool { return c.Name == x.Cell })]
			least, most := time.Hour, 4*time.Hour
			if c.RestByDatasheet {
				least, most = 30*time.Minute, time.Hour
			}
			if rest := x.Discharges().Start.Sub(x.Charges().End); rest < least || rest > most {
				t.Fatalf("plan %d: rest of %v", n, rest)
			}
			busy[x.Channel] = x.Steps[len(x.Steps)-1].End
		}
		for k, c := range p.Channels {
			if !c.End.Equal(busy[c.Number]) || c.End.After(p.End) || c.Number != k+1 {
				t.Fatalf("plan %d: channel %+v, free at %v", n, c, busy[c.Number])
			}
		}
		if math.Abs(hours-p.Hours) > 1e-6*(1+hours) {
			t.Fatalf("plan %d: %g h, want %g", n, p.Hours, hours)
		}
	}
	t.Logf("%d runs; %d starts outside the hours, all said; %d steps go on outside them", runs, outside, nights)
	if runs < 1000 || outside == 0 || nights == 0 {
		t.Errorf("too few: %d runs, %d, %d", runs, outside, nights)
	}
}

// Five cells with 10 h 26 min each (43 min and 1 h, 5 h, 1 h at 0.2 It; 43 min
// and 2 h beside the run at 0.1 A) and 10, 40, 10, 30, 20 h at 0.1 A. The longest
// first on two channels, in h: 50.4 to the one, 40.4 and 30.4 to the other, 20.4
// to the one, which has then as many, and the last 20.4 to the first of equals.
func TestChannels(t *testing.T) {
	var r Request
	r.Tester, r.Start = bench, monday
	r.Tester.Channels = 2
	for k, rated := range []float64{1, 4, 1, 3, 2} {
		c := small()
		c.Name, c.Rated, c.ChargeCurrent, c.ChargeEnd = fmt.Sprint("Hazel ", k+1), rated, rated, rated/1.0001
		r.Cells = append(r.Cells, c)
	}
	r.Currents = currents(0.1)
	p := Make(r)
	var got []string
	for _, c := range p.Channels {
		got = append(got, fmt.Sprint(c.Number, c.Cells))
	}
	if !slices.Equal(got, []string{"1 [Hazel 1 Hazel 2 Hazel 3]", "2 [Hazel 4 Hazel 5]"}) || math.Abs(p.Channels[0].Hours-91.3) > 1e-9 || math.Abs(p.Channels[1].Hours-(70+52.0/60)) > 1e-9 {
		t.Errorf("channels %v, %g h and %g h", got, p.Channels[0].Hours, p.Channels[1].Hours)
	}
	r.Tester.Channels = 100
	if p = Make(r); len(p.Channels) != 5 {
		t.Errorf("%d channels for five cells", len(p.Channels))
	}
}

// Hours end at their end: at 17:00 nobody starts anything any more, at 16:59 and
// at 8:00 somebody does. What is left to do when they are over waits.
func TestHoursEnd(t *testing.T) {
	for at, want := range map[time.Duration]time.Duration{0: 8 * time.Hour, 8 * time.Hour: 8 * time.Hour, 17*time.Hour - time.Minute: 17*time.Hour - time.Minute, 17 * time.Hour: 32 * time.Hour} {
		midnight := monday.Add(-9 * time.Hour)
		if got := day.next(midnight.Add(at)); !got.Equal(midnight.Add(want)) {
			t.Errorf("after %v: %v", at, got)
		}
	}
	// The discharge ends 17:24, its rest 18:24 on Monday.
	p := Make(Request{Cells: []cell.Cell{small()}, Tester: bench, Start: monday, Options: Options{Hours: day}})
	saved := 0
	for _, x := range p.Checklist {
		if x.When.IsZero() {
			continue
		}
		if x.Text == "Save the log as “Hazel 1 0.5 A”." || x.Text == "Take Hazel 1 out of channel 1." {
			saved++
			if got := When(x.When); got != "Tue 2026-12-01 08:00" {
				t.Errorf("%s %s", got, x.Text)
			}
		}
	}
	if saved != 2 {
		t.Errorf("%d tasks at the end, want 2", saved)
	}
}
