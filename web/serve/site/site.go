// Package site serves a built site by its _headers file, which has a pattern of
// paths on a line and below it, indented, the headers of the answers to them.
package site

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
)

// Header is one header field.
type Header struct{ Name, Value string }

// Rule has the headers of all paths that Pattern matches, where a * stands for
// anything.
type Rule struct {
	Pattern string
	Headers []Header
}

// Rules are those of a site. A path that several match gets the headers of all;
// one that is named twice has its values joined by a comma.
type Rules []Rule

// Read takes the rules of a _headers file in. Its error names the line.
func Read(r io.Reader) (Rules, error) {
	var rules Rules
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		text := strings.TrimSpace(line)
		if text == "" || text[0] == '#' {
			continue
		}
		if text == strings.TrimRight(line, " \t") {
			if text[0] != '/' || strings.Count(text, "*") > 1 {
				return nil, fmt.Errorf("line %d: a pattern begins with / and has one * at most, not %q", n, text)
			}
			rules = append(rules, Rule{Pattern: text})
			continue
		}
		name, value, found := strings.Cut(text, ":")
		value = strings.TrimSpace(value)
		if !found || value == "" || !token(name) {
			return nil, fmt.Errorf("line %d: %q is not a header with its value", n, text)
		}
		if len(rules) == 0 {
			return nil, fmt.Errorf("line %d: a header comes before the first pattern", n)
		}
		last := &rules[len(rules)-1]
		last.Headers = append(last.Headers, Header{name, value})
	}
	if err := lines.Err(); err != nil {
		return nil, err
	}
	if len(rules) == 0 {
		return nil, errors.New("there are no rules")
	}
	return rules, nil
}

// token tells whether a text may name a header: RFC 9110 section 5.1.
func token(s string) bool {
	for i := range len(s) {
		c := s[i]
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("!#$%&'*+-.^_`|~", c) >= 0) {
			return false
		}
	}
	return s != ""
}

// Matches tells whether a rule is for a path.
func (r Rule) Matches(path string) bool {
	before, after, any := strings.Cut(r.Pattern, "*")
	if !any {
		return path == r.Pattern
	}
	return len(path) >= len(before)+len(after) && strings.HasPrefix(path, before) && strings.HasSuffix(path, after)
}

// Set puts the headers of a path on an answer.
func (rules Rules) Set(h http.Header, path string) {
	for _, rule := range rules {
		if !rule.Matches(path) {
			continue
		}
		for _, f := range rule.Headers {
			value := f.Value
			if before := h.Get(f.Name); before != "" {
				value = before + ", " + value
			}
			h.Set(f.Name, value)
		}
	}
}
