// Package say puts what people read into their language. Texts stand in the code
// in English, whole, and are looked up by that English in a table that came with
// the page; what the table lacks stays English.
//
//	say.Text("Rest too short")
//	say.With("The run went down to %s, below %s.", low, cutoff)
//	say.Error("column %d is empty: choose another", n)
//
// The first argument is a literal, so that the list of all texts can be drawn
// from the code. A sentence is one text: other languages order words their own
// way, which a translation says by numbered verbs such as %[2]s. Each text for
// one and for many is its own.
//
// Not for words that machines read: heads of columns in CSV, names in files and
// commands, and words that logs are searched for.
package say

import (
	"errors"
	"fmt"
	"io"
	"strings"
)

var (
	table map[string]string
	comma bool // is the decimal mark
)

// Speak sets the table, from English to the language wanted; nil is English. It is
// called once, before anything else of the program runs. The sample is a text with
// a number in it, which shows the language's decimal mark.
func Speak(words map[string]string, sample string) {
	table = words
	comma = strings.Contains(Text(sample), ",")
}

// Text is a text in the reader's language.
func Text(english string) string {
	if t, ok := table[english]; ok {
		return t
	}
	return english
}

// With is a text with values in it, as those of fmt.Sprintf.
func With(english string, values ...any) string {
	if t, ok := table[english]; ok {
		return fmt.Sprintf(t, figures(values)...)
	}
	return fmt.Sprintf(english, values...) // as it is, so that go vet knows it for a format
}

// Error is an error with values in its text, as those of fmt.Errorf.
func Error(english string, values ...any) error {
	if len(values) == 0 {
		return errors.New(Text(english))
	}
	if t, ok := table[english]; ok {
		return fmt.Errorf(t, figures(values)...)
	}
	return fmt.Errorf(english, values...)
}

// Later marks a text that is kept in English and looked up by Text when it is
// shown: what is set before the table is. It is a conversion, say.Later("…"), and
// so costs nothing and may stand where a constant has to.
type Later = string

// LaterError is an error that is made before the table is set.
func LaterError(english string) error { return late(english) }

type late string

func (l late) Error() string { return Text(string(l)) }

// figures are values with the language's decimal mark in numbers.
func figures(values []any) []any {
	if !comma {
		return values
	}
	list := append([]any(nil), values...)
	for k, v := range list {
		if x, ok := v.(float64); ok {
			list[k] = figure(x)
		}
	}
	return list
}

type figure float64

func (x figure) Format(s fmt.State, verb rune) {
	io.WriteString(s, strings.Replace(fmt.Sprintf(fmt.FormatString(s, verb), float64(x)), ".", ",", 1))
}
