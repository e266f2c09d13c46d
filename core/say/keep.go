package say

import (
	"fmt"
	"strings"
)

// Keep is a text with values for a file, which may be opened by people who read
// another language: it stays English, with %s for each value, and the values
// follow on a line each. [Kept] shows it.
func Keep(english string, values ...any) string {
	for _, v := range values {
		english += "\n" + strings.ReplaceAll(fmt.Sprint(v), "\n", " ")
	}
	return english
}

// Kept is in the reader's language what [Keep] made, or a text without values; a
// value that is a text is looked up as well. The file may be made to harm: no
// verb but %s is followed.
func Kept(kept string) string {
	parts := strings.Split(kept, "\n")
	n := len(parts) - 1
	if n == 0 || strings.Count(parts[0], "%") != n || strings.Count(parts[0], "%s") != n {
		return Text(kept)
	}
	values := make([]any, n)
	for k := range values {
		values[k] = Text(parts[k+1])
	}
	return With(parts[0], values...)
}
