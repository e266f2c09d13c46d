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
	fmt.Println(total, strings.Contains(stack, "out of range"), strings.Contains(stack, "main.fails"), strings.Contains(stack, "main.go:"))
}
