package logfile

import (
	"strconv"

	"plateau/core/say"
	"plateau/core/trace"
)

// What a discharge on a bench can be. Outside, an assumed unit is not safe.
// Common practice, no source.
const (
	shortest = 600.0       // s
	longest  = 300 * 3600. // s
	smallest = 0.01        // Ah
	largest  = 300.0       // Ah
	// Up to these a discharge makes sense in minutes as well.
	perMinute   = 20.0        // Ah
	minutesLong = 100 * 3600. // s
	// A step of milliRows and more between rows, in whole hundreds, is as well
	// one of milliseconds.
	milliRows = 1000
)

// plausible looks at what the assumed units of time and current make of the
// largest discharge. Where another unit makes as much sense it asks; where
// only another does, that is taken and said.
func (r *rows) plausible(log *Log) error {
	if !r.supposed[roleTime] && !r.supposed[roleCurrent] {
		return nil
	}
	charge, seconds := largestRun(log.Trace)
	if charge == 0 {
		return nil // the caller finds no discharge
	}
	column := func(role role) int { return r.column[role] + 1 }
	if r.supposed[roleTime] && r.timeForm == number {
		minutes := 60*charge <= perMinute && 60*seconds <= minutesLong
		if minutes || seconds < shortest || seconds > longest || r.inMillis() && seconds >= 60*milliRows {
			f := &Fault{Line: r.lay.HeaderLine, Column: column(roleTime), Err: ErrNoUnit, Hint: say.Later("Put the unit of time in the header, such as Time / s.")}
			return ask(f, "unit", say.Later("Is the time in column %s in s? The largest discharge would last %s s."), column(roleTime), significant(seconds, 4))
		}
	}
	if !r.supposed[roleCurrent] {
		return nil
	}
	amps, millis := fits(charge), fits(charge/1000)
	if !amps && millis {
		log.Trace.ScaleCurrent(1e-3)
		log.Notes = append(log.Notes, say.Keep(say.Later("In A the largest discharge would be %s Ah: the current (column %s) was read in mA."),
			strconv.FormatFloat(charge, 'f', 0, 64), column(roleCurrent)))
		return nil
	}
	if amps == millis {
		f := &Fault{Line: r.lay.HeaderLine, Column: column(roleCurrent), Err: ErrNoUnit, Hint: say.Later("Put the unit of current in the header, such as Current / A.")}
		return ask(f, "unit", say.Later("Is the current in column %s in A? The largest discharge would be %s Ah."), column(roleCurrent), significant(charge, 4))
	}
	return nil
}

func fits(charge float64) bool { return charge >= smallest && charge <= largest }

// inMillis: whole hundreds, a thousand and more apart.
func (r *rows) inMillis() bool {
	tr := r.tr
	n := min(tr.Len(), 50)
	for k := 1; k < n; k++ {
		dt := tr.Time(k) - tr.Time(k-1)
		if dt < milliRows || dt != float64(int64(dt/100))*100 {
			return false
		}
	}
	return n > 2
}

// largestRun is the charge in Ah and the duration in s of the largest
// discharge; zero where there is none.
func largestRun(tr *trace.Trace) (charge, seconds float64) {
	for _, s := range tr.Steps() {
		if s.Kind != trace.Discharge {
			continue
		}
		run := trace.NewRun(tr, s)
		if last := run.Last(); last.Q > charge {
			charge, seconds = last.Q, last.T
		}
	}
	return charge, seconds
}
