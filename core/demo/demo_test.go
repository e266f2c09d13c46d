package demo

import (
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestLogsAsAWhole(t *testing.T) {
	logs := Logs()
	if len(logs) < 12 {
		t.Errorf("%d logs, want 12 or more", len(logs))
	}
	total := 0
	names := map[string]bool{}
	seen := map[string]bool{}
	for _, l := range logs {
		s := text(t, l)
		total += len(s)
		if names[l.Name] || !strings.HasSuffix(l.Name, " A.csv") {
			t.Errorf("name %q", l.Name)
		}
		names[l.Name] = true
		if !utf8.ValidString(s) {
			t.Errorf("%s: not UTF-8", l.Name)
		}
		if n := strings.Count(s, "\n"); n < 1000 || n > 5000 {
			t.Errorf("%s: %d lines", l.Name, n)
		}
		if again := text(t, l); again != s {
			t.Errorf("%s: not the same twice", l.Name)
		}
		seen[s] = true
	}
	for _, l := range Logs() {
		if !seen[text(t, l)] {
			t.Errorf("%s: another text from another call of Logs", l.Name)
		}
	}
	if len(seen) != len(logs) {
		t.Errorf("%d different texts of %d logs", len(seen), len(logs))
	}
	if total > 2e6 {
		t.Errorf("%d bytes in all", total)
	}
}

// The set currents must be ones that the tester can set, and carry.
func TestSetPoints(t *testing.T) {
	for _, l := range Logs() {
		i := l.recipe.current
		if n := i / 0.01; math.Abs(n-math.Round(n)) > 1e-9 || i > 20 {
			t.Errorf("%s: %g A", l.Name, i)
		}
	}
}

// Rest, load and rest lie where the tester was told to have them, to within the
// row before and the row after.
func TestPhases(t *testing.T) {
	var late, short int
	for _, l := range Logs() {
		r := read(t, l)
		every := float64(l.recipe.every)
		at := r.rows[r.first].t
		switch {
		case l.recipe.late > 0:
			late++
			if r.first != 0 {
				t.Errorf("%s: a rest before the load", l.Name)
			}
		case l.recipe.charged:
			short++
			k := r.first - 1
			for k >= 0 && r.rows[k].i == 0 {
				k--
			}
			if k < 0 || r.rows[k].i >= 0 {
				t.Fatalf("%s: no charge before the rest", l.Name)
			}
			if rest := at - r.rows[k].t; rest < 240 || rest > 240+2*every {
				t.Errorf("%s: rest of %g s, want 240 s", l.Name, rest)
			}
			// Held at 4.20 V until 0.05 It: 0.23 A.
			if c := r.rows[k]; math.Abs(c.v-4.20) > 0.002 || c.i < -0.25 || c.i > -0.21 {
				t.Errorf("%s: charge ends at %g V, %g A", l.Name, c.v, c.i)
			}
			if r.rows[0].i > -1 {
				t.Errorf("%s: charge begins in the log at %g A", l.Name, r.rows[0].i)
			}
		default:
			if at < 300 || at > 300+every {
				t.Errorf("%s: load from %g s, want 300 s", l.Name, at)
			}
		}
		end := r.rows[len(r.rows)-1]
		if after := end.t - r.rows[r.last].t; after < 600-every || after > 600+every {
			t.Errorf("%s: %g s logged after the load", l.Name, after)
		}
		if end.v < r.rows[r.last].v+0.03 {
			t.Errorf("%s: recovers from %g V to %g V only", l.Name, r.rows[r.last].v, end.v)
		}
		for k, x := range r.rows[r.first : r.last+1] {
			// Five standard deviations and half a step.
			if math.Abs(x.i-l.recipe.current) > 5*noiseI+0.005 {
				t.Fatalf("%s: %g A in loaded row %d", l.Name, x.i, k)
			}
		}
	}
	if late != 1 || short != 1 {
		t.Errorf("%d late starts and %d short rests, want one each", late, short)
	}
}

// A discharge ends between the last loaded row and the one that would have
// followed.
func TestEndsAtTheCutoff(t *testing.T) {
	for _, l := range Logs() {
		r := read(t, l)
		x, before := r.rows[r.last].v, r.rows[r.last-3].v
		fall := (before - x) / 3 // V in a row's time, and growing
		if x < l.recipe.cutoff-0.003 || x-1.5*fall > l.recipe.cutoff+0.003 {
			t.Errorf("%s: last loaded row at %.3f V, falling %.4f V a row, cut-off %.2f V",
				l.Name, x, fall, l.recipe.cutoff)
		}
	}
}

// The charge in the log is the charge the cell gave. What the trapezoid cannot
// know is where in the interval before the first loaded row and after the last
// the load came on and went off: half an interval at each.
func TestChargeIsTheCells(t *testing.T) {
	for _, l := range Logs() {
		r, b := read(t, l), l.recipe.run()
		given := (b.off.z - b.on.z) * l.recipe.cell.capacity
		missed := l.recipe.current * float64(l.recipe.late) / 3600
		edge := l.recipe.current * float64(l.recipe.every) / 3600
		if math.Abs(r.ah+missed-given) > edge {
			t.Errorf("%s: %.4f Ah in the log, %.4f Ah before it, %.4f Ah given", l.Name, r.ah, missed, given)
		}
	}
}

// What the demo's story says of the cells (capacity at 0.2 It), and the trade's
// habits (common practice, no source): the average voltage lies between 3.3 and
// 3.75 V, for iron phosphate between 3.0 and 3.25 V, and falls as the current
// grows; capacity falls too, and the cell gets warmer.
func TestCellsBehave(t *testing.T) {
	story := map[string]float64{"Alder": 5.00, "Birch": 4.05, "Cedar": 4.55, "Dogwood": 6.05}
	var last struct {
		name             string
		ah, average, top float64
	}
	for _, l := range Logs() {
		r := read(t, l)
		c := l.recipe.cell
		average := r.wh / r.ah
		top, start := 0.0, r.rows[0].temp
		for _, x := range r.rows {
			top = max(top, x.temp)
		}
		if start < 20 || start > 25 {
			t.Errorf("%s: begins at %g °C", l.Name, start)
		}
		low, high := 3.3, 3.75
		if c == &dogwood {
			low, high = 3.0, 3.25
		}
		if average < low || average > high {
			t.Errorf("%s: average voltage %.3f V", l.Name, average)
		}
		ah := r.ah + l.recipe.current*float64(l.recipe.late)/3600
		if c.name != last.name {
			near(t, l.Name+" capacity", ah, story[c.name], 5e-3)
			if top-start > 2 {
				t.Errorf("%s: warms by %.1f °C at 0.2 It", l.Name, top-start)
			}
		} else {
			if ah >= last.ah || average >= last.average {
				t.Errorf("%s: %.4f Ah at %.3f V, but %.4f Ah at %.3f V at less current",
					l.Name, ah, average, last.ah, last.average)
			}
			if top <= last.top || top > 80 {
				t.Errorf("%s: warms to %.1f °C, %.1f °C at less current", l.Name, top, last.top)
			}
		}
		last.name, last.ah, last.average, last.top = c.name, ah, average, top
		t.Logf("%-19s %5d rows %.3f Ah %.2f Wh %.3f V  %.1f to %.1f °C", l.Name, len(r.rows), r.ah, r.wh, average, start, top)
	}
}

// Between a fifth and four fifths of its charge iron phosphate falls by little
// more than 0.1 V, the other kind by half a volt (common practice, no source).
func TestPlateau(t *testing.T) {
	for _, l := range Logs() {
		if l.recipe.current > 1.2 {
			continue
		}
		r := read(t, l)
		at := func(share float64) float64 {
			return r.rows[r.first+int(share*float64(r.last-r.first))].v
		}
		fall := at(0.2) - at(0.8)
		if flat := l.recipe.cell == &dogwood; flat && fall > 0.13 || !flat && fall < 0.4 {
			t.Errorf("%s: falls by %.3f V", l.Name, fall)
		}
	}
}

// Rounding to a step d adds a standard deviation of d/√12 to the readings'
// own (JCGM 100:2008, F.2.2.1). Second differences free them of the curve, and
// have six times the variance of one reading.
func TestNoise(t *testing.T) {
	for _, l := range Logs() {
		if l.recipe.every != 10 {
			continue
		}
		r := read(t, l)
		rows := r.rows[r.first+200 : r.last-200] // clear of both bends
		var sum float64
		for k := 2; k < len(rows); k++ {
			d := rows[k].v - 2*rows[k-1].v + rows[k-2].v
			sum += d * d
		}
		got := math.Sqrt(sum / 6 / float64(len(rows)-2))
		near(t, l.Name+" standard deviation in V", got, math.Hypot(noiseV, 1e-3/math.Sqrt(12)), 0.1)
	}
}

// Nothing of the tester's output current is read while its output is off, and
// some readings under load do differ, as real ones do.
func TestCurrentReadings(t *testing.T) {
	levels := map[float64]bool{}
	for _, l := range Logs() {
		r := read(t, l)
		for k, x := range r.rows {
			if k > r.last && x.i != 0 {
				t.Fatalf("%s: %g A after the load", l.Name, x.i)
			}
			if x.i > 0 {
				levels[math.Round(100*(x.i-l.recipe.current))] = true
			}
		}
	}
	if len(levels) < 3 {
		t.Errorf("current readings differ from the set ones by %v hundredths only", levels)
	}
}

type broken struct{}

var errBroken = errors.New("broken")

func (broken) Write([]byte) (int, error) { return 3, errBroken }

func TestWriteTo(t *testing.T) {
	if n, err := Logs()[0].WriteTo(broken{}); n != 3 || !errors.Is(err, errBroken) {
		t.Errorf("WriteTo a broken writer = %d, %v", n, err)
	}
	if n, err := (Log{}).WriteTo(io.Discard); n != 0 || err != nil {
		t.Errorf("zero Log: WriteTo = %d, %v", n, err)
	}
}

func BenchmarkLogs(b *testing.B) {
	for b.Loop() {
		for _, l := range Logs() {
			if _, err := l.WriteTo(io.Discard); err != nil {
				b.Fatal(err)
			}
		}
	}
}
