package logfile

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// packRow is one sample of a battery of several cells in series: s, V, A, °C.
type packRow struct{ t, v, i, temp float64 }

// packLog makes up a discharge of so many cells in series: rest first where rest
// is true, then a load that holds current, power or resistance.
func packLog(cells int, amps float64, load string, rest bool, rng *rand.Rand) []packRow {
	rows := make([]packRow, 0, 260)
	for k := range 260 {
		depth := float64(k) / 259
		r := packRow{t: 20 * float64(k), temp: 22 + 9*depth}
		open := float64(cells) * (4.12 - 0.8*depth - 0.25*math.Pow(depth, 9))
		if k >= 8 || !rest {
			start := float64(cells) * 4.05
			switch load {
			case "current":
				r.i = amps
			case "power":
				r.i = amps * start / open
			case "resistance":
				r.i = amps * open / start
			}
			open -= float64(cells) * 0.02 * r.i
			r.i += 0.0004 * float64(rng.IntN(5))
		}
		r.v = open
		rows = append(rows, r)
	}
	return rows
}

// A log of a pack is read like one of a cell where its header says what is what.
func TestPackWithHeader(t *testing.T) {
	for _, cells := range []int{2, 3, 4, 7, 10, 13, 14, 20, 96} {
		for _, head := range []string{"Time / s,Voltage / V,Current / A", "t/s,U [V],I [A]", "Time / s,Voltage,Current / A", "Time / s,Voltage / mV,Current / A"} {
			var b strings.Builder
			b.WriteString(head + "\n")
			rows := packLog(cells, 5, "current", true, rand.New(rand.NewPCG(1, uint64(cells))))
			var want [][3]float64
			for _, r := range rows {
				v := math.Round(r.v*1000) / 1000
				want = append(want, [3]float64{r.t, v, math.Round(r.i*1e4) / 1e4})
				if strings.Contains(head, "mV") {
					v *= 1000
				}
				fmt.Fprintf(&b, "%.0f,%.3f,%.4f\n", r.t, v, r.i)
			}
			log := read(t, b.String())
			sameSamples(t, log.Trace, want)
		}
	}
}

// Without a header the voltage of a pack is not told by its size. Either
// something else proves which column is which, or the reader asks; a wrong guess
// may never become a figure.
func TestPackWithoutHeader(t *testing.T) {
	read, asked := 0, 0
	for seed := range 3000 {
		rng := rand.New(rand.NewPCG(uint64(seed), 11))
		cells := pick(rng, 2, 3, 4, 6, 10, 13, 20)
		load, rest := pick(rng, "current", "power", "resistance"), rng.IntN(2) == 0
		rows := packLog(cells, pick(rng, 0.7, 1.2, 2, 3.5, 6, 25), load, rest, rng)
		columns := []string{"t", "v", "i"}
		for _, c := range []string{"temp", "power", "charge", "record", "step"} {
			if rng.IntN(3) == 0 {
				columns = append(columns, c)
			}
		}
		rng.Shuffle(len(columns), func(a, b int) { columns[a], columns[b] = columns[b], columns[a] })
		clock, sign := rng.IntN(2) == 0, pick(rng, 1.0, -1)
		var b strings.Builder
		q := 0.0
		for k, r := range rows {
			q += r.i * 20 / 3600
			for j, c := range columns {
				if j > 0 {
					b.WriteByte(',')
				}
				switch c {
				case "t":
					if s := int(r.t); clock {
						fmt.Fprintf(&b, "%d:%02d:%02d", s/3600, s/60%60, s%60)
					} else {
						fmt.Fprintf(&b, "%d", s)
					}
				case "v":
					fmt.Fprintf(&b, "%.3f", r.v)
				case "i":
					fmt.Fprintf(&b, "%.4f", sign*r.i)
				case "temp":
					fmt.Fprintf(&b, "%.1f", r.temp)
				case "power":
					fmt.Fprintf(&b, "%.3f", r.v*r.i)
				case "charge":
					fmt.Fprintf(&b, "%.4f", q)
				case "record":
					fmt.Fprintf(&b, "%d", k+1)
				case "step":
					fmt.Fprintf(&b, "%d", min(2, 1+k/8))
				}
			}
			b.WriteByte('\n')
		}
		log, err := Read("pack.csv", strings.NewReader(b.String()))
		var question *Question
		if errors.As(err, &question) {
			asked++
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		read++
		for k, r := range rows {
			if math.Abs(log.Trace.Voltage(k)-r.v) > 0.001 || math.Abs(log.Trace.Current(k)-r.i) > 0.001 || log.Trace.Time(k) != r.t {
				t.Errorf("seed %d: %d cells, load of constant %s, rest %v, %v: row %d is read as %v s, %v V, %v A, written as %v (%s)",
					seed, cells, load, rest, slices.Clone(columns), k+1, log.Trace.Time(k), log.Trace.Voltage(k), log.Trace.Current(k), r, log.Words())
				break
			}
		}
	}
	t.Logf("%d read, %d asked about", read, asked)
}
