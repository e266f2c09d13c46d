package logfile

import (
	"bytes"
	"fmt"
	"math"
	"testing"
)

// plainLog is a plain log of 400,000 rows, four columns.
func plainLog() []byte {
	var b bytes.Buffer
	b.WriteString("Time / s,Voltage / V,Current / A,Temperature / degC\r\n")
	for k := range 400_000 {
		i := 0.0
		if k > 100 && k < 399_900 {
			i = -2.0003 + 0.0001*float64(k%7)
		}
		fmt.Fprintf(&b, "%.1f,%.5f,%.4f,%.2f\r\n", float64(k)*0.1, 4.1-float64(k)*1.2e-5, i, 23+math.Sqrt(float64(k))/50)
	}
	return b.Bytes()
}

func BenchmarkRead(b *testing.B) {
	text := plainLog()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, err := Read("bench.csv", bytes.NewReader(text)); err != nil {
			b.Fatal(err)
		}
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
