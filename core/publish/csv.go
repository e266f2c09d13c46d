// Package publish writes results in the forms in which people pass them on.
package publish

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"plateau/core/measure"
)

// Row is one discharge to publish.
type Row struct {
	Run  string
	File string
	measure.Results
}

// ResultsCSV writes results as RFC 4180 text: a header, CRLF line ends, the
// decimal point whatever the locale, an empty field where there is no value.
// A name that a spreadsheet would take for a formula gets an apostrophe.
func ResultsCSV(w io.Writer, rows []Row) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write([]string{"run", "file", "capacity_Ah", "energy_Wh", "average_voltage_V",
		"midpoint_voltage_V", "duration_s", "mean_current_A", "start_voltage_V", "end_voltage_V",
		"max_temperature_C"}); err != nil {
		return err
	}
	for _, r := range rows {
		if err := out.Write([]string{plain(r.Run), plain(r.File), number(r.Capacity, 6), number(r.Energy, 6),
			number(r.Average, 5), number(r.MidPoint, 5), number(r.Duration, 3), number(r.Current, 5),
			number(r.Start, 5), number(r.End, 5), number(r.TempMax, 2)}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}

func plain(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
