package demo

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// row is one row of a log in s since the first, V, A (above zero on discharge)
// and °C.
type row struct{ t, v, i, temp float64 }

func text(t testing.TB, l Log) string {
	t.Helper()
	var b bytes.Buffer
	if n, err := l.WriteTo(&b); err != nil || n != int64(b.Len()) {
		t.Fatalf("%s: WriteTo = %d, %v for %d bytes", l.Name, n, err, b.Len())
	}
	return b.String()
}

// parse reads a log by what its header says, and fails unless every reading is
// a whole multiple of the tester's steps: 1 mV, 0.01 A, 0.1 °C.
func parse(t testing.TB, l Log) []row {
	t.Helper()
	body := strings.TrimPrefix(text(t, l), "\uFEFF")
	lines := strings.Split(strings.TrimSuffix(strings.ReplaceAll(body, "\r\n", "\n"), "\n"), "\n")
	var head []string
	var sep string
	for head == nil {
		if len(lines) == 0 {
			t.Fatalf("%s: no header of four columns", l.Name)
		}
		for _, s := range []string{",", ";", "\t"} {
			if h := strings.Split(lines[0], s); len(h) == 4 {
				head, sep = h, s
			}
		}
		lines = lines[1:]
	}
	toV, toA := 1.0, 1.0
	if strings.Contains(head[1], "mV") {
		toV = 1e-3
	}
	if strings.Contains(head[2], "mA") {
		toA = 1e-3
	}
	if l.layout.negative {
		toA = -toA
	}
	rows := make([]row, len(lines))
	for k, line := range lines {
		f := strings.Split(line, sep)
		if len(f) != 4 {
			t.Fatalf("%s: %d fields in %q", l.Name, len(f), line)
		}
		rows[k] = row{
			timeOf(t, f[0]),
			multiple(t, number(t, f[1])*toV, 0.001),
			multiple(t, number(t, f[2])*toA, 0.01),
			multiple(t, number(t, f[3]), 0.1),
		}
	}
	first := rows[0].t
	for k := range rows {
		rows[k].t -= first
		if want := float64(k * l.recipe.every); rows[k].t != want {
			t.Fatalf("%s: row %d at %g s, want %g s", l.Name, k, rows[k].t, want)
		}
	}
	return rows
}

var decimal = regexp.MustCompile(`^-?[0-9]+([.,][0-9]+)?$`)

func number(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil || !decimal.MatchString(s) {
		t.Fatalf("not a number: %q", s)
	}
	return x
}

func multiple(t testing.TB, x, step float64) float64 {
	t.Helper()
	if n := x / step; math.Abs(n-math.Round(n)) > 1e-6 {
		t.Fatalf("%g is no multiple of %g", x, step)
	}
	return x
}

var hourClock = regexp.MustCompile(`^([0-9]+):([0-5][0-9]):([0-5][0-9])$`)

// timeOf reads seconds, h:mm:ss or a date with a time of day, in s.
func timeOf(t testing.TB, s string) float64 {
	t.Helper()
	if d, err := time.Parse(time.DateTime, s); err == nil {
		return float64(d.Unix())
	}
	if m := hourClock.FindStringSubmatch(s); m != nil {
		return 3600*number(t, m[1]) + 60*number(t, m[2]) + number(t, m[3])
	}
	return number(t, s)
}

// run is what a log holds, added up by the trapezoidal rule.
type run struct {
	rows        []row
	first, last int     // loaded rows, both included
	ah, wh      float64 // with the half intervals beside the load
}

func read(t testing.TB, l Log) run {
	t.Helper()
	r := run{rows: parse(t, l), first: -1}
	for k, b := range r.rows {
		if b.i > 0 {
			r.last = k
			if r.first < 0 {
				r.first = k
			}
		}
		if k == 0 {
			continue
		}
		a := r.rows[k-1]
		if a.i < 0 || b.i < 0 {
			continue // the charge is not part of the discharge
		}
		h := (b.t - a.t) / 3600
		r.ah += h * (a.i + b.i) / 2
		r.wh += h * (a.v*a.i + b.v*b.i) / 2
	}
	if r.first < 0 {
		t.Fatalf("%s: no discharge", l.Name)
	}
	return r
}
