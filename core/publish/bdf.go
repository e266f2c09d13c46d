package publish

import (
	"bufio"
	"io"
	"math"
	"strconv"

	"plateau/core/trace"
)

// TraceBDF writes a trace as comma-separated text with the column labels of
// the open Battery Data Format 1.3.0 (Battery Data Alliance): Test Time / s,
// Voltage / V, Current / A, and Surface Temperature / degC where the trace has
// one. By that standard current is positive on charge. Numbers have a decimal
// point and as many digits as it takes to read them back to the last bit.
func TraceBDF(w io.Writer, tr *trace.Trace) error {
	out := bufio.NewWriter(w)
	head := "Test Time / s,Voltage / V,Current / A"
	if tr.HasTemperature() {
		head += ",Surface Temperature / degC"
	}
	if _, err := out.WriteString(head + "\r\n"); err != nil {
		return err
	}
	var b []byte
	for win := range tr.Windows(0, tr.Len()) {
		for k := range win.T {
			b = strconv.AppendFloat(b[:0], win.T[k], 'f', -1, 64)
			b = append(b, ',')
			b = strconv.AppendFloat(b, win.V[k], 'f', -1, 64)
			b = append(b, ',')
			b = strconv.AppendFloat(b, 0-win.I[k], 'f', -1, 64)
			if win.Temp != nil {
				b = append(b, ',')
				if !math.IsNaN(win.Temp[k]) {
					b = strconv.AppendFloat(b, win.Temp[k], 'f', -1, 64)
				}
			}
			b = append(b, '\r', '\n')
			if _, err := out.Write(b); err != nil {
				return err
			}
		}
	}
	return out.Flush()
}
