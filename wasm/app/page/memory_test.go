//go:build js && wasm

package page

import (
	"fmt"
	"strings"
	"syscall/js"
	"testing"

	"plateau/wasm/app/wire"
)

// shelf stands for the browser's storage.
func shelf(t *testing.T, text string) (memory, *string) {
	kept := &text
	store := js.Global().Get("Object").New()
	read := js.FuncOf(func(js.Value, []js.Value) any { return *kept })
	write := js.FuncOf(func(_ js.Value, args []js.Value) any {
		*kept = args[0].String()
		return nil
	})
	store.Set("read", read)
	store.Set("write", write)
	t.Cleanup(func() { read.Release(); write.Release() })
	return memory{store}, kept
}

func TestRemembersTheLastHundredHeaders(t *testing.T) {
	m, kept := shelf(t, "")
	for k := range mostHeaders + 5 {
		m.remember(header{Key: fmt.Sprint(k), Rules: wire.Rules{Decimal: ","}})
	}
	m.remember(header{Key: "5", Rules: wire.Rules{Decimal: "."}}) // the oldest, used again
	m.remember(header{Key: "new", Rules: wire.Rules{Header: "3"}})
	if n := len(m.load()); n != mostHeaders {
		t.Errorf("%d headers are kept", n)
	}
	if h, ok := m.recall("5"); !ok || h.Rules.Decimal != "." {
		t.Errorf("5: %+v, %v", h, ok)
	}
	for _, gone := range []string{"4", "6", ""} {
		if _, ok := m.recall(gone); ok {
			t.Errorf("%q is remembered", gone)
		}
	}
	for _, h := range m.load() {
		m.forget(h.Key)
	}
	if *kept != "" {
		t.Errorf("forgotten, and %q is left", *kept)
	}
}

func TestStaysWithinBounds(t *testing.T) {
	m, kept := shelf(t, "")
	for k := range mostHeaders {
		m.remember(header{Key: fmt.Sprint(k, strings.Repeat("x", mostKey-9)), Rules: wire.Rules{Decimal: ","}})
	}
	n := len(m.load())
	if len(*kept) > mostBytes || n < 60 || n == mostHeaders {
		t.Errorf("%d bytes for %d headers", len(*kept), n)
	}
	m.remember(header{Key: strings.Repeat("x", mostKey+1), Rules: wire.Rules{Decimal: ","}})
	if len(m.load()) != n {
		t.Errorf("%d headers after one that is too long, %d before", len(m.load()), n)
	}
}

// What is kept may have been changed by hand, or be of another version.
func TestTrustsNothingThatIsKept(t *testing.T) {
	for _, text := range []string{"oops", "[]", "null", "{}", `{"headers":7}`, `{"headers":[{"key":1}]}`, strings.Repeat(" ", mostBytes+1)} {
		m, _ := shelf(t, text)
		if h, ok := m.recall("a"); ok {
			t.Errorf("%.20q gives %+v", text, h)
		}
		m.remember(header{Key: "a", Rules: wire.Rules{Header: "2"}})
		if h, ok := m.recall("a"); !ok || h.Rules.Header != "2" {
			t.Errorf("after %.20q: %+v, %v", text, h, ok)
		}
	}
}

func TestWhatHoldsOfOneTestIsNotTakenForGranted(t *testing.T) {
	r := wire.Rules{Decimal: ",", Current: "2 A", Interval: "10 s"}
	if got := (header{Rules: r}).ofItself(); got.Decimal != "," || got.Current != "" || got.Interval != "" {
		t.Errorf("%+v", got)
	}
	if got := (header{Rules: r, Nameless: true}).ofItself(); !isEmpty(got) {
		t.Errorf("without names: %+v", got)
	}
}
