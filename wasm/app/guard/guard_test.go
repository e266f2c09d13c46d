package guard

import (
	"strings"
	"testing"
)

func TestRun(t *testing.T) {
	var what, stack string
	failed := func(w, s string) { what, stack = w, s }
	done := false
	Run(func() { done = true }, failed)
	if !done || what != "" {
		t.Errorf("done %v, failed with %q", done, what)
	}
	none := []int{}
	Run(func() { t.Log(none[len(what)]) }, failed)
	if !strings.Contains(what, "out of range") || !strings.Contains(stack, "wasm/app/guard.") {
		t.Errorf("failed with %q, stack %q", what, stack)
	}
}
