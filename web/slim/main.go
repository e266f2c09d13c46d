// Command slim makes a Go program for WebAssembly smaller to transfer, in place:
// it writes the memory's first content in few pieces, leaves out the tables that
// only stack traces need and functions that are never called, and writes rising
// numbers as differences. A stack trace of a slimmed program names packages;
// to see functions and lines, run the program as the toolchain builds it.
package main

import (
	"bytes"
	"fmt"
	"os"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "slim: name one .wasm file")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "slim:", err)
		os.Exit(1)
	}
}

func run(path string) error {
	b, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	out, note, err := slim(b)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if note != "" {
		fmt.Printf("slim: %s: %s\n", path, note)
	}
	return os.WriteFile(path, out, 0o755)
}

// slim is the module made smaller. The note says what could not be left out.
func slim(module []byte) (out []byte, note string, err error) {
	m, err := parse(module)
	if err != nil {
		return nil, "", err
	}
	memory := m.memory()
	if err := m.empty(memory); err != nil {
		return nil, "", err
	}
	if err := m.rewrite(); err != nil {
		return nil, "", err
	}
	if err := dropWords(memory); err != nil {
		return m.with(memory), "the tables of functions stay as they are: " + err.Error(), nil
	}
	risen := bytes.Clone(memory)
	sums, err := rise(risen)
	if err == nil {
		err = m.start(sums)
	}
	if err != nil {
		return m.with(memory), "the index of functions stays as it is: " + err.Error(), nil
	}
	return m.with(risen), "", nil
}
