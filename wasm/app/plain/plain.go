// Package plain writes and reads JSON (RFC 8259) of plain data: structs of
// texts, numbers, truth values, lists, maps by text and pointers to such. It does
// what encoding/json does with them, in a tenth of the room.
package plain

import (
	"fmt"
	"reflect"
	"strings"
	"sync"
)

// depth is how deep values may lie in each other.
const depth = 100

// field is one of a struct.
type field struct {
	name  string // as written
	key   string // the name in quotes, with its colon
	index int
	omit  string // "omitempty" or "omitzero"
}

var plans sync.Map // of []field, by type

// fieldsOf are a struct's fields by their json tags.
func fieldsOf(t reflect.Type) []field {
	if f, ok := plans.Load(t); ok {
		return f.([]field)
	}
	var list []field
	for k := range t.NumField() {
		sf := t.Field(k)
		name, options, _ := strings.Cut(sf.Tag.Get("json"), ",")
		if !sf.IsExported() || name == "-" {
			continue
		}
		if name == "" {
			name = sf.Name
		}
		list = append(list, field{name, string(quote(nil, name)) + ":", k, options})
	}
	plans.Store(t, list)
	return list
}

func unfit(t reflect.Type) error { return fmt.Errorf("a %s is no plain data", t) }
