// Command program does what a slimmed program must still do: collect garbage,
// grow stacks, switch between goroutines, recover, print a stack.
package main

import (
	"fmt"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
)

func deep(n int, kept [][]byte) int {
	var room [64]int
	room[n%64] = n
	if n == 0 {
		runtime.GC()
		return len(kept)
	}
	kept = append(kept, make([]byte, 1000))
	if n%16 == 0 {
		runtime.Gosched()
	}
	return deep(n-1, kept) + room[n%64] - n
}

func fails() (stack string) {
	defer func() {
		stack = fmt.Sprint(recover()) + "\n" + string(debug.Stack())
	}()
	var none []int
	return fmt.Sprint(none[len(os.Args)])
}

// saver recovers in a method that is deferred through an interface, so that a
// wrapper of the compiler's lies between.
type saver struct{ got *string }

func (s saver) save()  { *s.got = fmt.Sprint(recover()) }
func (s *saver) help() { s.save() }

type saves interface{ save() }

var none saves = (*saver)(nil)

// saved tells what is recovered directly, through wrappers, and not at all.
func saved() (got [4]string) {
	func() {
		defer saves(&saver{&got[0]}).save()
		panic("a")
	}()
	func() {
		defer func() { got[1] = fmt.Sprint(recover()) }()
		defer (&saver{&got[2]}).help() // too deep to recover
		panic("b")
	}()
	func() {
		defer func() { got[3] = fmt.Sprint(recover()) }()
		none.save() // the wrapper has no value to call it with
	}()
	return got
}

func main() {
	sums := make(chan int)
	for range 50 {
		go func() { sums <- deep(400, nil) }()
	}
	total := 0
	for range 50 {
		total += <-sums
	}
	stack := fails()
	fmt.Println(total, strings.Contains(stack, "out of range"), strings.Contains(stack, "main."), strings.Contains(stack, "main.fails"), strings.Contains(stack, "main.go:"))
	for _, got := range saved() {
		fmt.Println(got)
	}
}
