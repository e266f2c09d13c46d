package say

import (
	"errors"
	"io"
	"testing"
)

func TestTable(t *testing.T) {
	ended := LaterError("the log has ended")
	later := Later("Rest")
	say := func(wanted ...string) {
		t.Helper()
		got := []string{
			Text(later),
			With("%s to %s", "2.5 V", "4.2 V"),
			Error("column %d: %w", 3, io.EOF).Error(),
			Error("no row").Error(),
			ended.Error(),
			Text("not in the table"),
		}
		for k, w := range wanted {
			if got[k] != w {
				t.Errorf("text %d is %q, wanted %q", k, got[k], w)
			}
		}
		if !errors.Is(Error("column %d: %w", 3, io.EOF), io.EOF) {
			t.Error("an error does not hold the error in it")
		}
	}
	say("Rest", "2.5 V to 4.2 V", "column 3: EOF", "no row", "the log has ended", "not in the table")
	Speak(map[string]string{
		"Rest":              "Pause",
		"%s to %s":          "bis %[2]s von %[1]s",
		"column %d: %w":     "Spalte %d: %w",
		"no row":            "keine Zeile",
		"the log has ended": "die Aufzeichnung ist zu Ende",
	}, "1.5")
	defer Speak(nil, "1.5")
	say("Pause", "bis 4.2 V von 2.5 V", "Spalte 3: EOF", "keine Zeile", "die Aufzeichnung ist zu Ende", "not in the table")
}

func TestDecimalMark(t *testing.T) {
	say := func(wanted string) {
		t.Helper()
		if got := With("%.2f V, %g, %3.0f, %d, %s", 2.5, 1e-7, 4.0, 3, "2.5"); got != wanted {
			t.Errorf("%q, wanted %q", got, wanted)
		}
	}
	say("2.50 V, 1e-07,   4, 3, 2.5")
	defer Speak(nil, "1.5")
	Speak(map[string]string{"%.2f V, %g, %3.0f, %d, %s": "%[2]g; %.2[1]f V; %3.0[3]f; %[4]d; %[5]s"}, "1.5")
	say("1e-07; 2.50 V;   4; 3; 2.5")
	Speak(map[string]string{"%.2f V, %g, %3.0f, %d, %s": "%[2]g; %.2[1]f V; %3.0[3]f; %[4]d; %[5]s", "1.5": "1,5"}, "1.5")
	say("1e-07; 2,50 V;   4; 3; 2.5")
}
