package logfile

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"plateau/core/trace"
)

// plainLog is a plain log of 400,000 rows, four columns.
func plainLog() []byte { return countedLog("", 0) }

// countedLog has counters as well, of so many decimals, where heads names them.
func countedLog(heads string, decimals int) []byte {
	var b bytes.Buffer
	b.WriteString("Time / s,Voltage / V,Current / A,Temperature / degC" + heads + "\r\n")
	for k := range 400_000 {
		i := 0.0
		if k > 100 && k < 399_900 {
			i = -2.0003 + 0.0001*float64(k%7)
		}
		fmt.Fprintf(&b, "%.1f,%.5f,%.4f,%.2f", float64(k)*0.1, 4.1-float64(k)*1.2e-5, i, 23+math.Sqrt(float64(k))/50)
		for range strings.Count(heads, ",") {
			fmt.Fprintf(&b, ",%.*f", decimals, float64(k)*2.0001/36000)
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

// BenchmarkRead is per log, not per byte: logs with counters hold more of them.
func BenchmarkRead(b *testing.B) {
	for _, bb := range []struct {
		name, heads string
		decimals    int
	}{
		{"plain", "", 0},
		{"charge", ",Capacity / Ah", 5},
		{"charge not read", ",Capacity", 5},
		{"charge and energy", ",Capacity / Ah,Energy / Wh", 4},
		{"long", ",Capacity / Ah,Energy / Wh", 9},
		{"long not read", ",Capacity,Energy", 9},
	} {
		b.Run(bb.name, func(b *testing.B) {
			text := countedLog(bb.heads, bb.decimals)
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				log, err := Read("bench.csv", bytes.NewReader(text))
				if err != nil {
					b.Fatal(err)
				}
				if got, want := log.Trace.HasCounter(trace.CounterCharge), strings.Contains(bb.heads, "Ah"); got != want {
					b.Fatalf("the charge is read: %v, want %v", got, want)
				}
			}
		})
	}
}

// BenchmarkLookAt is what working out a layout costs, for a plain log and for
// a wide one that is not UTF-8.
func BenchmarkLookAt(b *testing.B) {
	plain := plainLog()[:headBytes]
	var wide bytes.Buffer
	wide.WriteString("Datum;Zeit;Spannung [V];Strom [A];Temperatur [\xb0C]")
	for c := range 40 {
		fmt.Fprintf(&wide, ";Kanal %d", c)
	}
	for k := range 300 {
		fmt.Fprintf(&wide, "\r\n14.02.2026;%d:%02d:%02d;4,1%03d;-2,000%d;22,%d", k/3600, k/60%60, k%60, k, k%10, k%10)
		for c := range 40 {
			fmt.Fprintf(&wide, ";%d,%03d", c, k)
		}
	}
	for name, head := range map[string][]byte{"plain": plain, "wide": wide.Bytes()[:headBytes]} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if v := LookAt("bench.csv", head, Rules{}); v.Fault != nil {
					b.Fatal(v.Fault)
				}
			}
		})
	}
}
