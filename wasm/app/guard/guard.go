// Package guard keeps a panic from ending a program: in a browser, one
// unguarded panic in a callback stops the Go runtime for good.
package guard

import (
	"fmt"
	"runtime/debug"
)

// Run calls work. If work panics, failed gets what happened, with the stack
// for whoever mends it, and Run returns as usual.
func Run(work func(), failed func(what, stack string)) {
	defer func() {
		if p := recover(); p != nil {
			failed(fmt.Sprint(p), string(debug.Stack()))
		}
	}()
	work()
}
