package publish

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"plateau/core/gum"
	"plateau/core/measure"
)

// The text must come back whole through a reader of RFC 4180, with CRLF line
// ends (its section 2, rule 1).
func TestResultsCSV(t *testing.T) {
	nan := math.NaN()
	var budgets measure.Budgets
	budgets[measure.Capacity].Terms = []gum.Term{{U: 0.003}, {U: 0.004}} // 5 mAh together
	rows := []Row{
		{Run: "Alder, \"first\"", File: "=cmd|x!A1.csv", Cell: "Alder", AtLeast: true, Void: "=slipped", Budgets: budgets, Results: measure.Results{Capacity: 5.0031234, Energy: 18.2, Average: 3.64, MidPoint: 3.66,
			Duration: 18010.5, Current: 1, Start: 4.19, End: 2.5, TempMax: 24.6}},
		{Run: "Birch\nsecond", File: "b.csv", Results: measure.Results{Capacity: 4, Energy: 14, Average: 3.5, MidPoint: nan, Duration: 3600, Current: 4, Start: 4.1, End: 2.65, TempMax: nan}},
	}
	var b bytes.Buffer
	if err := ResultsCSV(&b, rows); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "\r\n"); n != 3+1 { // one in a quoted name, as csv writes it
		t.Errorf("%d CRLF in %q", n, b.String())
	}
	got, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"run", "file", "capacity_Ah", "energy_Wh", "average_voltage_V", "midpoint_voltage_V", "duration_s", "mean_current_A", "start_voltage_V", "end_voltage_V", "max_temperature_C",
			"capacity_U_Ah", "energy_U_Wh", "average_voltage_U_V", "cell", "at_least", "void"},
		{"Alder, \"first\"", "'=cmd|x!A1.csv", "5.003123", "18.200000", "3.64000", "3.66000", "18010.500", "1.00000", "4.19000", "2.50000", "24.60", "0.010000", "", "", "Alder", "yes", "'=slipped"},
		{"Birch\nsecond", "b.csv", "4.000000", "14.000000", "3.50000", "", "3600.000", "4.00000", "4.10000", "2.65000", "", "", "", "", "", "", ""},
	}
	for r := range want {
		if len(got) != len(want) || strings.Join(got[r], "|") != strings.Join(want[r], "|") {
			t.Fatalf("row %d is %q, want %q", r, got[r], want[r])
		}
	}
}
