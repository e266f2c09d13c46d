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
