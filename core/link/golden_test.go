package link

import (
	"testing"

	"plateau/core/publish"
)

// A link that was passed on opens for ever: this one was made by the first
// version, and a change of the format or of its words must leave it readable.
const passedOn = `1yQEkOvENBjkKgXURGWBDOEamDIiBHWMGx5yU1CIGsIkQNtQVDBjluZmpngFmmY6WESDpG9kgveTiMgZAAAAA__8JWlTMsQ2FMAyEYf927LwXiQEoWIKRGAeJhhqWQUzBBIyBQirumtNXHJIAMVNIqZc3d6ENgYkTG3EvOKJaNWKwvNu1hM-bOvKt5DCcX-7wek7j8g9YD-UJAAD__w0KYviPHwICAAD__xAZ0A8BAMCWsQIIBQAAYmszvEGxAYMG0AHXCxQJAwAe4gGwAQA-`

func TestPassedOn(t *testing.T) {
	want := publish.Post{
		Title: "Two cells", Day: "2026-11-25", Program: "Plateau 0.3", Cells: []publish.Cell{{Name: "Alder", Mass: 69.2, Claims: []publish.Claim{{What: "rated", Capacity: 4.9, Current: 0.98, Cutoff: 2.5}}}},
		Runs: []publish.Run{{Cell: "Alder", Name: "Alder 1.00 A", Current: 1, Capacity: publish.Number{Value: 5.0029, U: 0.0413}, Energy: publish.Number{Value: 18.181, AtLeast: true},
			Checks: []publish.Check{{Severity: "caution", Text: "The cell reached 65.0 °C, over 60 °C.", Safety: true}}}},
		Verdicts: []publish.Verdict{{Cell: "Alder", Claim: "Rated 4.900 Ah", Grade: "pass", Word: "pass", BestOf: 1}},
		Logs:     []publish.Log{{Name: "Alder 1.00 A.csv", Bytes: 41234, SHA256: "00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff00ff"}},
		Curves:   []publish.Curve{{Q: []float64{0, 0.01, 1, 2, 4, 5}, V: []float64{4.19, 4.1, 3.9, 3.7, 3.4, 2.5}, Temp: []float64{22, 22, 23, 24, 28, 30}}},
	}
	text, err := Encode(want, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Decode(passedOn)
	if err != nil {
		t.Fatalf("%v; a new one would be %s", err, text)
	}
	a, _ := Encode(got, Options{})
	if a != text {
		t.Errorf("it reads otherwise: %s for %s", a, text)
	}
	r := got.Runs[0]
	if r.Capacity != want.Runs[0].Capacity || r.Checks[0] != want.Runs[0].Checks[0] || got.Logs[0] != want.Logs[0] || got.Verdicts[0].Grade != "pass" || len(got.Curves[0].Q) < 5 {
		t.Errorf("%+v", got)
	}
}
