//go:build js && wasm

package page

import (
	"encoding/json"
	"syscall/js"

	"plateau/wasm/app/wire"
)

const (
	mostHeaders = 100     // that rules are remembered for
	mostBytes   = 1 << 20 // of the text they are kept in
)

// memory keeps the rules that a person has settled, by the header of the log
// they were settled for, from one visit to the next.
type memory struct{ store js.Value }

// header is one of those headers. The one used last stands last.
type header struct {
	Key   string     `json:"key"`
	Rules wire.Rules `json:"rules"`
}

type remembered struct {
	Headers []header `json:"headers"`
}

// recall is what was settled for a header. It is read anew each time, since
// there may be a second page.
func (m memory) recall(key string) (wire.Rules, bool) {
	for _, h := range m.load() {
		if h.Key == key && key != "" {
			return h.Rules, true
		}
	}
	return wire.Rules{}, false
}

// remember takes rules for a header in place of earlier ones. Rules that say
// nothing are not kept.
func (m memory) remember(key string, r wire.Rules) {
	if key == "" {
		return
	}
	kept := without(m.load(), key)
	if !isEmpty(r) {
		kept = append(kept, header{key, r})
	}
	m.save(kept)
}

func (m memory) forget(key string) { m.remember(key, wire.Rules{}) }

// load takes nothing on trust: what is kept may be of another version, or have
// been changed by hand.
func (m memory) load() []header {
	text := m.store.Call("read").String()
	var all remembered
	if len(text) > mostBytes || json.Unmarshal([]byte(text), &all) != nil {
		return nil
	}
	return all.Headers
}

func (m memory) save(headers []header) {
	headers = headers[max(0, len(headers)-mostHeaders):]
	for len(headers) > 0 {
		text, err := json.Marshal(remembered{headers})
		if err == nil && len(text) <= mostBytes {
			m.store.Call("write", string(text))
			return
		}
		headers = headers[1:]
	}
	m.store.Call("write", "")
}

func without(headers []header, key string) []header {
	var kept []header
	for _, h := range headers {
		if h.Key != key {
			kept = append(kept, h)
		}
	}
	return kept
}

func isEmpty(r wire.Rules) bool { return rulesText(r) == "" }

// rulesText is the rules in JSON, or "" for none.
func rulesText(r wire.Rules) string {
	text, err := json.Marshal(r)
	if err != nil || string(text) == "{}" {
		return ""
	}
	return string(text)
}

// ofLayout is what of the rules holds for every log with the same header. The
// set current and the interval are those of one test: taken for another, they
// would give it a wrong capacity without a word.
func ofLayout(r wire.Rules) wire.Rules {
	r.Current, r.Interval = "", ""
	return r
}
