// Package publish writes results in the forms in which people pass them on.
package publish

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"

	"plateau/core/gum"
	"plateau/core/measure"
)

// Row is one discharge to publish.
type Row struct {
	Run  string
	File string
	measure.Results
	// Budgets are the uncertainties of the results; Cell names the cell, Void is
	// why the run does not count, AtLeast that it ended above the cut-off.
	Budgets measure.Budgets
	Cell    string
	Void    string
	AtLeast bool
}

// ResultsCSV writes results as RFC 4180 text: a header, CRLF line ends, the
// decimal point whatever the locale, an empty field where there is no value.
// A name that a spreadsheet would take for a formula gets an apostrophe.
// Columns with _U_ are expanded uncertainties, k = 2.
func ResultsCSV(w io.Writer, rows []Row) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if err := out.Write([]string{"run", "file", "capacity_Ah", "energy_Wh", "average_voltage_V",
		"midpoint_voltage_V", "duration_s", "mean_current_A", "start_voltage_V", "end_voltage_V",
		"max_temperature_C", "capacity_U_Ah", "energy_U_Wh", "average_voltage_U_V", "cell", "at_least", "void"}); err != nil {
		return err
	}
	for _, r := range rows {
		if err := out.Write([]string{plain(r.Run), plain(r.File), number(r.Capacity, 6), number(r.Energy, 6),
			number(r.Average, 5), number(r.MidPoint, 5), number(r.Duration, 3), number(r.Current, 5),
			number(r.Start, 5), number(r.End, 5), number(r.TempMax, 2),
			uncertainty(r.Budgets[measure.Capacity]), uncertainty(r.Budgets[measure.Energy]), uncertainty(r.Budgets[measure.Average]),
			plain(r.Cell), map[bool]string{true: "yes"}[r.AtLeast], plain(r.Void)}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// uncertainty is an expanded uncertainty, k = 2, or empty where there is none.
func uncertainty(b gum.Budget) string {
	u := b.Expanded()
	if u == 0 {
		return ""
	}
	return number(u, 6)
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
