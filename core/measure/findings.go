package measure

import (
	"fmt"

	"plateau/core/quantity"
	"plateau/core/trace"
)

// Severity is how much a finding matters.
type Severity uint8

// The severities: worth knowing; the figures may mislead; the figures are not
// those of a whole discharge.
const (
	Note Severity = iota
	Caution
	Fault
)

// String is the word on screen.
func (s Severity) String() string { return [...]string{"note", "caution", "fault"}[s] }

// Finding is a remark on a run, with the numbers that made it and what to do.
type Finding struct {
	Severity Severity
	Text     string
}

const (
	// edgeShare of the capacity is how much the load's edges may hide before
	// it is said. Common practice, no source.
	edgeShare = 0.002
	// hot in °C is where a cell is too hot for most datasheets. Common
	// practice, no source: the datasheet's own limit counts.
	hot = 60
)

// Findings looks at a run and its results, which end at a cut-off in V where
// that is above zero.
func Findings(r *trace.Run, res Results, cutoff float64, w quantity.Words) []Finding {
	var out []Finding
	say := func(s Severity, format string, args ...any) {
		out = append(out, Finding{s, fmt.Sprintf(format, args...)})
	}
	volts := func(x float64) string { return w.Fixed(x, 3) + " V" }
	switch {
	case r.From == 0:
		say(Caution, "The log begins under load: what was taken out before its first row is not counted. Start the log before the discharge.")
	case !r.Before.Rest:
		say(Caution, "The discharge follows on another load without a rest: it did not start from a full, rested cell.")
	}
	switch res.Ending {
	case NotReached:
		say(Caution, "The run ended at %s, above the cut-off of %s: the cell gives at least these figures.", volts(res.Lowest), volts(cutoff))
	case JustAbove:
		say(Note, "The last sample lies just above the cut-off: the figures are carried on to %s along the last slope.", volts(cutoff))
	case AllBelow:
		say(Fault, "The voltage is below the cut-off of %s from the first sample on: no figures.", volts(cutoff))
	}
	if res.Capacity > 0 && res.EdgeLimit > edgeShare*res.Capacity {
		moment, gaps := "came on", w.Fixed(r.Before.Width, 0)+" s"
		if res.Ending == AtEnd || res.Ending == NotReached {
			moment, gaps = "came on or went off", gaps+" and "+w.Fixed(r.After.Width, 0)+" s"
		}
		say(Caution, "The log has no sample at the moment when the load %s (a gap of %s): the capacity can be off by up to %s mAh. Log more often.",
			moment, gaps, w.Fixed(res.EdgeLimit*1000, 0))
	}
	if gap, at := longestGap(r); gap > 0 {
		say(Caution, "The log has a gap of %s s, %s after the start: what happened in it is drawn as a straight line.", w.Fixed(gap, 0), quantity.Clock(at))
	}
	if res.TempMax > hot {
		say(Caution, "The cell reached %s °C. Hot lithium cells can vent and burn: keep to the datasheet's limit, and ask a qualified person.", w.Fixed(res.TempMax, 1))
	}
	return out
}

// longestGap is the longest interval in s between two loaded samples, and when
// it began after the start; 0 where none stands out: ten times the mean one
// and a two-hundredth of the run.
func longestGap(r *trace.Run) (gap, at float64) {
	tr := r.Trace()
	gap, k := tr.LongestGap(r.From, r.To)
	span := tr.Time(r.To-1) - tr.Time(r.From)
	if n := float64(r.To - r.From - 1); !(gap > 10*span/n) || !(gap > span/200) {
		return 0, 0
	}
	return gap, tr.Time(k-1) - tr.Time(r.From) + r.Before.Width/2
}
