package plan

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"plateau/core/cell"
	"plateau/core/publish"
)

// property is one content line.
type property struct{ name, value string }

// unfolded reads a calendar by RFC 5545 3.1, line by line: each ends in CRLF, is
// 75 octets long at most, holds whole characters and no control characters but
// tabs; one that begins with a blank goes on with the one before.
func unfolded(t testing.TB, text string) (list []property) {
	t.Helper()
	if !strings.HasSuffix(text, "\r\n") {
		t.Fatalf("does not end in CRLF: %q", text)
	}
	var lines []string
	for _, l := range strings.Split(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(l) == 0 || len(l) > 75 || !utf8.ValidString(l) {
			t.Fatalf("a line of %d octets: %q", len(l), l)
		}
		if strings.ContainsFunc(l, func(r rune) bool { return r < ' ' && r != '\t' || r == 0x7F }) {
			t.Fatalf("a control character in %q", l)
		}
		if l[0] == ' ' || l[0] == '\t' {
			lines[len(lines)-1] += l[1:]
			continue
		}
		lines = append(lines, l)
	}
	for _, l := range lines {
		name, value, ok := strings.Cut(l, ":")
		if !ok || name == "" || strings.ContainsFunc(name, func(r rune) bool { return (r < 'A' || r > 'Z') && r != '-' }) {
			t.Fatalf("no content line: %q", l)
		}
		list = append(list, property{name, value})
	}
	return list
}

// meant is what a value of the type TEXT means, by RFC 5545 3.3.11.
func meant(t testing.TB, value string) string {
	t.Helper()
	var b strings.Builder
	for k := 0; k < len(value); k++ {
		switch c := value[k]; {
		case c == ';' || c == ',':
			t.Fatalf("a bare %c in %q", c, value)
		case c != '\\':
			b.WriteByte(c)
		case k+1 < len(value) && strings.IndexByte(`\;,`, value[k+1]) >= 0:
			k++
			b.WriteByte(value[k])
		case k+1 < len(value) && (value[k+1] == 'n' || value[k+1] == 'N'):
			k++
			b.WriteByte('\n')
		default:
			t.Fatalf("a bare backslash in %q", value)
		}
	}
	return b.String()
}

// events reads a calendar by RFC 5545 3.4 and 3.6.1: VERSION and PRODID once,
// then events alone, each with UID, DTSTAMP and DTSTART once and an end after
// its start.
func events(t testing.TB, text string) (list []map[string]string) {
	t.Helper()
	all := unfolded(t, text)
	n := len(all)
	if n < 5 || all[0] != (property{"BEGIN", "VCALENDAR"}) || all[n-1] != (property{"END", "VCALENDAR"}) {
		t.Fatalf("no calendar: %v", all)
	}
	var head []string
	var event map[string]string
	for _, p := range all[1 : n-1] {
		switch {
		case p == property{"BEGIN", "VEVENT"} && event == nil:
			event = map[string]string{}
		case p == property{"END", "VEVENT"} && event != nil:
			list, event = append(list, event), nil
		case event == nil:
			if len(list) > 0 {
				t.Fatalf("%s after an event", p.name)
			}
			head = append(head, p.name+":"+p.value)
		default:
			if _, twice := event[p.name]; twice || !slices.Contains([]string{"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "TRANSP"}, p.name) {
				t.Fatalf("%s in an event, a second time: %v", p.name, twice)
			}
			event[p.name] = p.value
		}
	}
	if !slices.Equal(head, []string{"VERSION:2.0", "PRODID:-//Plateau//Test plan//EN", "CALSCALE:GREGORIAN"}) || event != nil || len(list) == 0 {
		t.Fatalf("head %q, %d events", head, len(list))
	}
	uids := map[string]bool{}
	for _, e := range list {
		if e["UID"] == "" || uids[e["UID"]] || !strings.HasSuffix(e["UID"], "@plateau.invalid") {
			t.Fatalf("UID %q", e["UID"])
		}
		uids[e["UID"]] = true
		if _, err := time.Parse("20060102T150405Z", e["DTSTAMP"]); err != nil {
			t.Fatal("DTSTAMP is in UTC: RFC 5545 3.8.7.2:", err)
		}
		form := "20060102T150405Z"
		if !strings.HasSuffix(e["DTSTART"], "Z") {
			form = "20060102T150405"
		}
		from, err := time.Parse(form, e["DTSTART"])
		to, err2 := time.Parse(form, e["DTEND"])
		if err != nil || err2 != nil || !to.After(from) {
			t.Fatalf("%s to %s", e["DTSTART"], e["DTEND"])
		}
		meant(t, e["SUMMARY"])
		meant(t, e["DESCRIPTION"])
		if tr := e["TRANSP"]; tr != "" && tr != "TRANSPARENT" {
			t.Fatalf("TRANSP %q", tr)
		}
	}
	return list
}

func calendarOf(t testing.TB, p Plan, o CalendarOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := ICalendar(&b, p, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// By hand: see [TestWorkingHours].
func TestCalendar(t *testing.T) {
	r := Request{Cells: []cell.Cell{small()}, Tester: bench, Currents: currents(8), Start: monday, Options: Options{Hours: day}}
	r.Cells[0].Name = "Hazel; 1, \\ “grün”"
	stamp := time.Date(2026, 11, 25, 23, 59, 58, 0, time.FixedZone("", 3600))
	p := Make(r)
	var got []string
	list := events(t, calendarOf(t, p, CalendarOptions{Stamp: stamp}))
	for _, e := range list {
		if e["DTSTAMP"] != "20261125T225958Z" {
			t.Errorf("stamp %s", e["DTSTAMP"])
		}
		got = append(got, e["DTSTART"]+" "+e["DTEND"]+" "+e["TRANSP"]+" "+meant(t, e["SUMMARY"]))
	}
	const name = "Hazel; 1, \\ “grün”"
	want := []string{
		"20261130T090000Z 20261130T091500Z  Put in and start: " + name + ", charge at 1.25 A to 4.20 V until 0.125 A",
		"20261130T090000Z 20261130T112400Z TRANSPARENT Channel 1: " + name + ", charge at 1.25 A to 4.20 V until 0.125 A",
		"20261130T122400Z 20261130T123900Z  Start: " + name + ", discharge 0.5 A to 2.50 V",
		"20261130T122400Z 20261130T172400Z TRANSPARENT Channel 1: " + name + ", discharge 0.5 A to 2.50 V",
		"20261201T080000Z 20261201T081500Z  Start: " + name + ", charge at 1.25 A to 4.20 V until 0.125 A",
		"20261201T080000Z 20261201T102400Z TRANSPARENT Channel 1: " + name + ", charge at 1.25 A to 4.20 V until 0.125 A",
		"20261201T112400Z 20261201T113900Z  Start: " + name + ", discharge 8 A to 2.50 V",
		"20261201T124300Z 20261201T125800Z  Take out: " + name + ", channel 1", // 19 min at 8 A are not long
	}
	if !slices.Equal(got, want) {
		t.Errorf("events:\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// The same plan a week later has the same events, and each its own.
	r.Start = r.Start.AddDate(0, 0, 7)
	for k, e := range events(t, calendarOf(t, Make(r), CalendarOptions{Stamp: stamp})) {
		if e["UID"] != list[k]["UID"] || e["DTSTART"] == list[k]["DTSTART"] {
			t.Errorf("a week later: %v, first %v", e, list[k])
		}
	}
	// Without a zone, as the clock has it.
	zone := time.FixedZone("", 5*3600+1800)
	r.Start = time.Date(2026, 11, 30, 9, 0, 0, 0, zone)
	if e := events(t, calendarOf(t, Make(r), CalendarOptions{Stamp: stamp, Floating: true})); e[0]["DTSTART"] != "20261130T090000" {
		t.Errorf("floating: %v", e[0])
	}
	if e := events(t, calendarOf(t, Make(r), CalendarOptions{Stamp: stamp})); e[0]["DTSTART"] != "20261130T033000Z" {
		t.Errorf("UTC+05:30: %v", e[0])
	}
}

// Cells of one name, and of names that differ in blanks alone, have events of
// their own.
func TestCalendarSameNames(t *testing.T) {
	r := Request{Cells: []cell.Cell{small(), small(), small()}, Tester: bench, Start: monday}
	r.Cells[1].Name = "Hazel 1 "
	if n := len(events(t, calendarOf(t, Make(r), CalendarOptions{Stamp: monday}))); n != 3*5 {
		t.Errorf("%d events", n)
	}
}

func TestCalendarOfNothing(t *testing.T) {
	for _, p := range []Plan{{}, Make(Request{}), Make(Request{Cells: []cell.Cell{small()}, Tester: bench})} {
		var b bytes.Buffer
		if err := ICalendar(&b, p, CalendarOptions{}); !errors.Is(err, ErrNoEvents) || b.Len() > 0 {
			t.Errorf("%v, %q", err, b.String())
		}
	}
}

// Lines fold after 75 octets, and never inside a character: é is two, € three,
// 😀 four octets long.
func TestFolding(t *testing.T) {
	for _, s := range []string{"a", "é", "€", "😀", "a😀é€", "\\", ";"} {
		for n := range 160 {
			c := &calendar{}
			text := strings.Repeat("x", n%7) + strings.Repeat(s, n)
			c.put("SUMMARY", calendarText(text))
			list := unfolded(t, c.String())
			if len(list) != 1 || meant(t, list[0].value) != text {
				t.Fatalf("%q: %q", text, c.String())
			}
			lines := strings.Split(c.String(), "\r\n")
			for _, l := range lines[:max(len(lines)-2, 0)] {
				if len(l) < 75-3 {
					t.Fatalf("folded early, after %d octets: %q", len(l), l)
				}
			}
		}
	}
}

// FuzzCalendarText: whatever a name is, a calendar that has it is one, and
// means that name, its blanks and line ends aside.
func FuzzCalendarText(f *testing.F) {
	for _, s := range []string{"", "Hazel", "a\r\nEND:VEVENT\r\nBEGIN:VALARM", "a\nb", `\n`, `\\;,`, "\x00\x1b\u202e\u2028\u0085", "\xff\xfe", strings.Repeat("é", 80), " leading", "😀:;", "\t"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c := &calendar{}
		c.put("SUMMARY", calendarText(s))
		list := unfolded(t, c.String())
		lines := strings.Split(strings.ToValidUTF8(s, "\uFFFD"), "\n")
		for k := range lines {
			lines[k] = publish.OneLine(lines[k])
		}
		if want := strings.Join(lines, "\n"); len(list) != 1 || list[0].name != "SUMMARY" || meant(t, list[0].value) != want {
			t.Fatalf("%q came to be %q, want %q", s, c.String(), want)
		}
		r := Request{Cells: []cell.Cell{small()}, Tester: bench, Start: monday}
		r.Cells[0].Name = s
		events(t, calendarOf(t, Make(r), CalendarOptions{Stamp: monday}))
	})
}
