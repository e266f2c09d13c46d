package logfile

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

// A header that says no units leaves time in s, min, h or ms and current in A
// or mA. What the numbers do not settle is asked about; a wrong guess may never
// become a figure. Logs in s and A at usual currents are read unasked.
func TestUnstatedUnits(t *testing.T) {
	var read, asked, all int
	heads := []string{"Time,Voltage,Current,Capacity", "Zeit,Spannung,Strom", "Time,Voltage,Current", "t,U,I"}
	if runtime.GOOS == "js" {
		heads = heads[:2]
	}
	for _, head := range heads {
		for _, timeUnit := range []string{"s", "min", "h", "ms"} {
			for _, currentUnit := range []string{"A", "mA"} {
				for _, cell := range []struct{ amps, hours float64 }{{0.02, 5}, {0.05, 2}, {0.2, 12.5}, {0.5, 5}, {1, 2.5}, {5, 0.5}, {20, 0.125}, {70, 0.4}} {
					for _, every := range []float64{1, 10, 60} {
						if every < 10 && cell.hours > 1 {
							continue // so many rows say no more
						}
						all++
						text := unstated(head, timeUnit, currentUnit, cell.amps, cell.hours, every)
						what := fmt.Sprintf("%q, time in %s every %g s, current in %s, %g A for %g h", head, timeUnit, every, currentUnit, cell.amps, cell.hours)
						log, err := Read("unstated.csv", strings.NewReader(text))
						var question *Question
						switch {
						case errors.As(err, &question):
							asked++
							if timeUnit == "s" && currentUnit == "A" && cell.amps >= 0.2 && cell.amps <= 5 {
								t.Errorf("%s: asked: %s", what, question.Ask)
							}
							continue
						case err != nil:
							t.Errorf("%s: refused: %v", what, err)
							continue
						}
						read++
						k := log.Trace.Len() / 2
						if i, dt := log.Trace.Current(k), log.Trace.Time(k)-log.Trace.Time(k-1); math.Abs(i/cell.amps-1) > 0.01 || math.Abs(dt/every-1) > 0.01 {
							t.Errorf("%s: read as %g A every %g s (%s; %q)", what, i, dt, log.Words(), log.Notes)
						}
					}
				}
			}
		}
	}
	if testing.Verbose() {
		fmt.Printf("%d logs without units: %d read, %d asked about\n", all, read, asked)
	}
}

// unstated is a discharge from 4.1 to 3 V, with rest before and after.
func unstated(head, timeUnit, currentUnit string, amps, hours, every float64) string {
	var b strings.Builder
	b.WriteString(head + "\n")
	charge := 0.0
	rows := int(hours * 3600 / every)
	for k := range rows + 10 {
		s, i, v := every*float64(k), amps, 4.1-1.1*float64(k)/float64(rows+10)
		if k < 5 || k >= rows+5 {
			i = 0
		}
		charge += i * every / 3600
		if currentUnit == "mA" {
			i *= 1000
		}
		at := map[string]string{"s": strconv.Itoa(int(s)), "min": fmt.Sprintf("%.4f", s/60), "h": fmt.Sprintf("%.6f", s/3600), "ms": strconv.Itoa(1000 * int(s))}[timeUnit]
		fmt.Fprintf(&b, "%s,%.3f,%.3f", at, v, i)
		if strings.Contains(head, "Capacity") {
			fmt.Fprintf(&b, ",%.4f", charge)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
