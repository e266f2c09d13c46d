package logfile

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// spares are columns that a log can have beside time, voltage and current, and
// that could be taken for one of them. i counts rows, q is the charge in Ah, e
// the energy in Wh, both taken out so far.
var spares = map[string]func(k int, r knownRow, q, e float64) string{
	"temperature":    func(_ int, r knownRow, _, _ float64) string { return decimal(r.temp, 2) },
	"ambient":        func(k int, _ knownRow, _, _ float64) string { return decimal(218+k%2, 1) },
	"charge":         func(_ int, _ knownRow, q, _ float64) string { return fmt.Sprintf("%.4f", q) },
	"charge in mAh":  func(_ int, _ knownRow, q, _ float64) string { return fmt.Sprintf("%.1f", q*1000) },
	"charge below 0": func(_ int, _ knownRow, q, _ float64) string { return fmt.Sprintf("%.4f", 0-q) },
	"energy":         func(_ int, _ knownRow, _, e float64) string { return fmt.Sprintf("%.4f", e) },
	"record":         func(k int, _ knownRow, _, _ float64) string { return strconv.Itoa(k + 1) },
	"record in tens": func(k int, _ knownRow, _, _ float64) string { return strconv.Itoa(10 * k) },
	"step":           func(k int, _ knownRow, _, _ float64) string { return strconv.Itoa(stepOf(k)) },
	"cycle":          func(int, knownRow, float64, float64) string { return "3" },
	"step time": func(k int, r knownRow, _, _ float64) string {
		return strconv.Itoa(r.t - 20*[]int{0, 6, 54}[stepOf(k)-1])
	},
	"set voltage":    func(int, knownRow, float64, float64) string { return "3.000" },
	"charge voltage": func(int, knownRow, float64, float64) string { return "4.20" },
	"set current":    func(int, knownRow, float64, float64) string { return "3.000" },
	"other voltage":  func(_ int, r knownRow, _, _ float64) string { return decimal(r.volt-r.amp/50-120, 4) },
	"other current":  func(k int, r knownRow, _, _ float64) string { return decimal(r.amp/2+k%3, 4) },
	"power": func(_ int, r knownRow, _, _ float64) string {
		return fmt.Sprintf("%.3f", float64(r.volt)*float64(r.amp)*1e-8)
	},
	"resistance mohm": func(k int, _ knownRow, _, _ float64) string { return decimal(231+k%4, 1) },
	"humidity":        func(k int, _ knownRow, _, _ float64) string { return strconv.Itoa(41 + k%2) },
	"slope":           func(k int, _ knownRow, _, _ float64) string { return decimal(-13-k%3, 4) },
	"mode":            func(k int, _ knownRow, _, _ float64) string { return []string{"REST", "DCHG", "REST"}[stepOf(k)-1] },
	"flag":            func(int, knownRow, float64, float64) string { return "0" },
}

func stepOf(k int) int {
	switch {
	case k < 6:
		return 1
	case k < 54:
		return 2
	}
	return 3
}

// A log without a header, its columns in any order and among others: either the
// reader tells them by their numbers, rightly, or it asks. A wrong guess may
// never become a figure.
func TestUnnamedColumns(t *testing.T) {
	n := dialects(t)
	var read, asked, shown int
	names := make([]string, 0, len(spares))
	for name := range spares {
		names = append(names, name)
	}
	slices.Sort(names) // so that a seed says all
	for seed := range n {
		rng := rand.New(rand.NewPCG(uint64(seed), 7))
		text, what := unnamedLog(rng, names)
		log, err := Read("unnamed.csv", strings.NewReader(text))
		var question *Question
		switch {
		case errors.As(err, &question):
			asked++
			continue
		case err == nil:
			if err = sameAsKnown(log); err == nil {
				read++
				continue
			}
		}
		if shown++; shown <= 8 {
			t.Errorf("seed %d: %v: %v\n%s", seed, what, err, text[:min(len(text), 700)])
		}
	}
	if read < n/20 {
		t.Errorf("%d of %d read, the others asked about: that is too few for the test to say much", read, n)
	}
	if testing.Verbose() {
		fmt.Printf("%d logs without a header: %d read, %d asked about, %d WRONG or refused\n", n, read, asked, n-read-asked)
	}
}

func sameAsKnown(log *Log) error {
	rows := knownDischarge()
	if log.Rows != len(rows) {
		return fmt.Errorf("%d rows read, %d left out (%v), %d written (%s)", log.Rows, log.Left, log.LeftOut, len(rows), log.Words())
	}
	for k, r := range rows {
		want := [3]float64{float64(r.t), float64(r.volt) * 1e-4, float64(r.amp) * 1e-4}
		for c, got := range [3]float64{log.Trace.Time(k), log.Trace.Voltage(k), log.Trace.Current(k)} {
			if math.Abs(got-want[c]) > 1e-3*math.Abs(want[c])+0.02 {
				return fmt.Errorf("row %d is read as %v s, %v V, %v A; written as %v (%s)",
					k+1, log.Trace.Time(k), log.Trace.Voltage(k), log.Trace.Current(k), want, log.Words())
			}
		}
	}
	return nil
}

// unnamedLog writes the known discharge without a header.
func unnamedLog(rng *rand.Rand, names []string) (text string, columns []string) {
	columns = []string{"time", "voltage", "current"}
	for range rng.IntN(6) {
		if name := pick(rng, names...); !strings.Contains(strings.Join(columns, "|")+"|", name+"|") {
			columns = append(columns, name)
		}
	}
	rng.Shuffle(len(columns), func(i, j int) { columns[i], columns[j] = columns[j], columns[i] })
	timeUnit, milliVolt, milliAmp := pick(rng, "s", "s", "s.s", "ms", "min", "h", "clock"), rng.IntN(3) == 0, rng.IntN(3) == 0
	sign := pick(rng, 1, -1)
	var b strings.Builder
	var q, e float64
	for k, r := range knownDischarge() {
		var cells []string
		q += float64(r.amp) * 1e-4 * 20 / 3600
		e += float64(r.amp) * 1e-4 * float64(r.volt) * 1e-4 * 20 / 3600
		for _, c := range columns {
			switch c {
			case "time":
				cells = append(cells, map[string]string{"s": strconv.Itoa(r.t), "s.s": decimal(10*r.t, 1), "ms": strconv.Itoa(1000 * r.t),
					"min": decimal(r.t*1000/60, 3), "h": decimal(r.t*1_000_000/3600, 6),
					"clock": fmt.Sprintf("%02d:%02d:%02d", r.t/3600, r.t/60%60, r.t%60)}[timeUnit])
			case "voltage":
				cells = append(cells, decimal(r.volt, map[bool]int{false: 4, true: 1}[milliVolt]))
			case "current":
				cells = append(cells, decimal(sign*r.amp, map[bool]int{false: 4, true: 1}[milliAmp]))
			default:
				cells = append(cells, spares[c](k, r, q, e))
			}
		}
		b.WriteString(strings.Join(cells, ",") + "\n")
	}
	return b.String(), append(columns, "time in "+timeUnit, fmt.Sprintf("mV %v, mA %v, sign %d", milliVolt, milliAmp, sign))
}
