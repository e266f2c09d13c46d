package plan

import (
	"fmt"
	"hash/fnv"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"plateau/core/publish"
	"plateau/core/say"
)

// ErrNoEvents says that a plan has nothing to put into a calendar: no runs, or
// no dates. RFC 5545 has no calendar without a component (section 3.6).
var ErrNoEvents = say.LaterError("the plan has nothing with a date: give it a start, and a run that can be made")

const (
	// atHand is for how long a step that needs somebody stands in a calendar,
	// and long is from when on a step stands in it that needs nobody. No source.
	atHand, long = 15 * time.Minute, time.Hour
	// octets in a line of a calendar, its end not counted: RFC 5545 3.1.
	octets = 75
)

// CalendarOptions are what a calendar needs beside the plan.
type CalendarOptions struct {
	// Stamp is when the calendar is made.
	Stamp time.Time
	// Floating writes times as the clock on the wall has them, without a zone
	// (RFC 5545 3.3.5, form 1): for a start of which the zone is not known. Else
	// they are in UTC (form 2), which needs no table of zones and is the same
	// moment for every reader, over a change of the clock too.
	Floating bool
}

// ICalendar writes a plan as RFC 5545 has calendars: an event for each step that
// somebody has to start, and one for each charge and discharge that goes on for
// an hour or more, which leaves the time free. No event has an alarm. The UID of
// an event depends on cell, set-point and attempt, not on its time: a plan made
// anew brings the events up to date. It returns [ErrNoEvents] where there is
// none.
func ICalendar(w io.Writer, p Plan, o CalendarOptions) error {
	c := &calendar{Plan: p, o: o, used: map[string]int{}}
	c.put("BEGIN", "VCALENDAR")
	c.put("VERSION", "2.0")
	c.put("PRODID", "-//Plateau//Test plan//EN")
	c.put("CALSCALE", "GREGORIAN")
	if p.Dated {
		for k := range p.Runs {
			c.run(&p.Runs[k])
		}
	}
	c.put("END", "VCALENDAR")
	if c.events == 0 {
		return ErrNoEvents
	}
	_, err := io.WriteString(w, c.String())
	return err
}

type calendar struct {
	strings.Builder
	Plan
	o      CalendarOptions
	used   map[string]int // UIDs
	events int
}

// run writes the events of one run.
func (c *calendar) run(r *Run) {
	name, save := publish.OneLine(r.Cell), say.With("Save the log as “%s”.", publish.OneLine(c.LogName(r)))
	for k, s := range r.Steps {
		var what string
		switch s.Kind {
		case Empty:
			what = say.With("%s, empty %s", name, c.setting(s))
		case Charge:
			what = say.With("%s, charge %s", name, c.charging(r))
		case Discharge:
			what = say.With("%s, discharge %s", name, c.setting(s))
		default:
			continue
		}
		there := say.With("Channel %d: %s", r.Channel, what)
		about := there + ".\n" + say.With("It takes about %s.", c.lasts(s.Lasts))
		if s.Kind == Discharge {
			about += "\n"
			if r.Rate > 0 {
				about += say.With("C-rate: %s.", c.rate(r.Rate)) + " "
			}
			about += save
		}
		about += "\n" + say.Text(governs)
		if s.Hand {
			first := say.Later("Start: %s")
			if k == 0 && r.First {
				first = say.Later("Put in and start: %s")
			}
			c.event(c.uid(r, s.Kind, "hand"), s.Start, s.Start.Add(atHand), say.With(first, what), about, false)
		}
		if s.Lasts >= long {
			c.event(c.uid(r, s.Kind, "runs"), s.Start, s.End, there, about, true)
		}
		if s.Kind == Discharge && r.Last {
			out := c.hours.next(r.Steps[len(r.Steps)-1].End)
			c.event(c.uid(r, s.Kind, "out"), out, out.Add(atHand), say.With("Take out: %s, channel %d", name, r.Channel), save, false)
		}
	}
}

// uid tells an event from all others, of other plans too. Names under .invalid
// exist nowhere (RFC 2606).
func (c *calendar) uid(r *Run, k Kind, what string) string {
	h := fnv.New64a()
	fmt.Fprintf(h, "%q %g %d %d", r.Cell, r.Set, r.Basis, r.Attempt)
	id := fmt.Sprintf("%016x-%s-%s", h.Sum64(), k, what)
	c.used[id]++
	if n := c.used[id]; n > 1 {
		id += fmt.Sprintf("-%d", n)
	}
	return id + "@plateau.invalid"
}

func (c *calendar) event(uid string, from, to time.Time, summary, about string, free bool) {
	c.events++
	c.put("BEGIN", "VEVENT")
	c.put("UID", uid)
	c.put("DTSTAMP", c.o.Stamp.UTC().Format("20060102T150405Z"))
	c.put("DTSTART", c.time(from))
	c.put("DTEND", c.time(to))
	c.put("SUMMARY", calendarText(summary))
	c.put("DESCRIPTION", calendarText(about))
	if free {
		c.put("TRANSP", "TRANSPARENT")
	}
	c.put("END", "VEVENT")
}

func (c *calendar) time(t time.Time) string {
	if c.o.Floating {
		return t.Format("20060102T150405")
	}
	return t.UTC().Format("20060102T150405Z")
}

// put writes one content line, folded: RFC 5545 3.1. No character is cut in two.
func (c *calendar) put(name, value string) {
	rest, room := name+":"+value, octets
	for len(rest) > room {
		at := room
		for !utf8.RuneStart(rest[at]) {
			at--
		}
		c.WriteString(rest[:at] + "\r\n ")
		rest, room = rest[at:], octets-1
	}
	c.WriteString(rest + "\r\n")
}

// calendarText is a text as a value of the type TEXT: RFC 5545 3.3.11. A line
// feed is kept; other control characters, which a content line cannot hold, are
// not, nor those that turn the direction of writing.
func calendarText(s string) string {
	lines := strings.Split(strings.ToValidUTF8(s, "\uFFFD"), "\n")
	for k := range lines {
		lines[k] = calendarEscapes.Replace(publish.OneLine(lines[k]))
	}
	return strings.Join(lines, `\n`)
}

var calendarEscapes = strings.NewReplacer(`\`, `\\`, `;`, `\;`, `,`, `\,`)
