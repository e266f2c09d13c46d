package say

import "testing"

func TestKept(t *testing.T) {
	kept := Keep("column %s is the %s: %s", 2, "voltage", "“U\n%d”")
	shows := func(kept, wanted string) {
		t.Helper()
		if got := Kept(kept); got != wanted {
			t.Errorf("%q is shown as %q, wanted %q", kept, got, wanted)
		}
	}
	shows(kept, "column 2 is the voltage: “U %d”")
	Speak(map[string]string{"column %s is the %s: %s": "%[2]s in Spalte %[1]s: %[3]s", "voltage": "Spannung", "cut short": "abgebrochen"}, "1.5")
	defer Speak(nil, "1.5")
	shows(kept, "Spannung in Spalte 2: “U %d”")
	shows("cut short", "abgebrochen")
	shows("60 % of the rows", "60 % of the rows")
	for _, hostile := range []string{"%999999d\n1", "%s%[1]999999s\n1", "%s\n1\n2", "100 %"} {
		shows(hostile, hostile)
	}
}
