//go:build js && wasm

package page

import (
	"slices"
	"syscall/js"

	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

const (
	mostHeaders = 100     // that rules are remembered for
	mostBytes   = 1 << 20 // of the text they are kept in
	mostKey     = 1 << 14 // bytes; a longer header is not worth the room
)

// memory keeps the rules that a person has settled, by the header of the log
// they were settled for, from one visit to the next.
type memory struct{ store js.Value }

// header is one of those headers. The one used last stands last.
type header struct {
	Key   string     `json:"key"`
	Rules wire.Rules `json:"rules"`
	// Nameless says that there is no name in it: logs that have nothing in
	// common but the number of their columns share it.
	Nameless bool `json:"nameless,omitempty"`
}

// ofItself is what of the rules a log with this header can be read by without
// asking. The set current and the interval are those of one test, and a header
// without names may be another tester's: taken for granted, they would give a
// log a wrong capacity without a word.
func (h header) ofItself() wire.Rules {
	if h.Nameless {
		return wire.Rules{}
	}
	r := h.Rules
	r.Current, r.Interval = "", ""
	return r
}

type remembered struct {
	Headers []header `json:"headers"`
}

// recall is what was settled for a header. It is read anew each time, since
// there may be a second page.
func (m memory) recall(key string) (header, bool) {
	for _, h := range m.load() {
		if h.Key == key && key != "" {
			return h, true
		}
	}
	return header{}, false
}

// remember takes rules for a header in place of earlier ones. Rules that say
// nothing are not kept.
func (m memory) remember(h header) {
	if h.Key == "" || len(h.Key) > mostKey {
		return
	}
	kept := slices.DeleteFunc(m.load(), func(old header) bool { return old.Key == h.Key })
	if !isEmpty(h.Rules) {
		kept = append(kept, h)
	}
	m.save(kept)
}

func (m memory) forget(key string) { m.remember(header{Key: key}) }

// load takes nothing on trust: what is kept may be of another version, or have
// been changed by hand.
func (m memory) load() []header {
	text := m.store.Call("read").String()
	var all remembered
	if len(text) > mostBytes || plain.Unmarshal([]byte(text), &all) != nil {
		return nil
	}
	return all.Headers
}

func (m memory) save(headers []header) {
	headers = headers[max(0, len(headers)-mostHeaders):]
	for len(headers) > 0 {
		text, err := plain.Marshal(remembered{headers})
		if err == nil && len(text) <= mostBytes {
			m.store.Call("write", string(text))
			return
		}
		headers = headers[1:]
	}
	m.store.Call("write", "")
}

func isEmpty(r wire.Rules) bool { return rulesText(r) == "" }

// rulesText is the rules in JSON, or "" for none.
func rulesText(r wire.Rules) string {
	text, err := plain.Marshal(r)
	if err != nil || string(text) == "{}" {
		return ""
	}
	return string(text)
}
