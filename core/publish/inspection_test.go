package publish

import (
	"strings"
	"testing"
)

// The part has a row for each cell that was looked at, and what was found; notes
// stay out where the post is to be brief, the remark unless notes are asked for.
func TestInspection(t *testing.T) {
	o := Options{Parts: []string{Incoming}, Brief: true}
	var b strings.Builder
	if err := Markdown(&b, sample(), o); err != nil {
		t.Fatal(err)
	}
	md := b.String()
	for _, want := range []string{"## Incoming inspection", "| Alder |", "| 2026-11-20 |", "| 3.552 |", "| 18.4 |", "**Cedar:** caution: It weighs 66.8 g"} {
		if !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}
	for _, not := range []string{"Birch |", "nearly empty", "a dent"} {
		if strings.Contains(md, not) {
			t.Errorf("%q in\n%s", not, md)
		}
	}
}
