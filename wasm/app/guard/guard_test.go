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
	Run(func() { var m map[string]int; m["x"] = 1 }, failed)
	if !strings.Contains(what, "nil map") || !strings.Contains(stack, "guard_test.go") {
		t.Errorf("failed with %q, stack %q", what, stack)
	}
}
