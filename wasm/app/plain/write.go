package plain

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"unicode/utf8"
)

// Marshal writes a value. It fails where that is no plain data, holds a number
// that JSON has not, or goes too deep.
func Marshal(v any) ([]byte, error) {
	return write(make([]byte, 0, 1024), reflect.ValueOf(v), 0)
}

func write(b []byte, v reflect.Value, level int) ([]byte, error) {
	if level > depth {
		return b, fmt.Errorf("data lie deeper than %d levels", depth)
	}
	var err error
	switch v.Kind() {
	case reflect.String:
		return quote(b, v.String()), nil
	case reflect.Bool:
		return strconv.AppendBool(b, v.Bool()), nil
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		return strconv.AppendInt(b, v.Int(), 10), nil
	case reflect.Float64:
		x := v.Float()
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return b, fmt.Errorf("JSON has no number %g", x)
		}
		return strconv.AppendFloat(b, x, 'g', -1, 64), nil
	case reflect.Pointer:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		return write(b, v.Elem(), level+1)
	case reflect.Slice:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		b = append(b, '[')
		for k := range v.Len() {
			if k > 0 {
				b = append(b, ',')
			}
			if b, err = write(b, v.Index(k), level+1); err != nil {
				return b, err
			}
		}
		return append(b, ']'), nil
	case reflect.Map:
		return writeMap(b, v, level)
	case reflect.Struct:
		b = append(b, '{')
		first := true
		for _, f := range fieldsOf(v.Type()) {
			x := v.Field(f.index)
			if f.omit == "omitempty" && empty(x) || f.omit == "omitzero" && x.IsZero() {
				continue
			}
			if !first {
				b = append(b, ',')
			}
			first = false
			if b, err = write(append(b, f.key...), x, level+1); err != nil {
				return b, err
			}
		}
		return append(b, '}'), nil
	case reflect.Invalid:
		return append(b, "null"...), nil
	}
	return b, unfit(v.Type())
}

func writeMap(b []byte, v reflect.Value, level int) ([]byte, error) {
	if v.IsNil() {
		return append(b, "null"...), nil
	}
	if v.Type().Key().Kind() != reflect.String {
		return b, unfit(v.Type())
	}
	var names []string
	for _, k := range v.MapKeys() {
		names = append(names, k.String())
	}
	slices.Sort(names)
	var err error
	b = append(b, '{')
	for k, name := range names {
		if k > 0 {
			b = append(b, ',')
		}
		b = append(quote(b, name), ':')
		if b, err = write(b, v.MapIndex(reflect.ValueOf(name).Convert(v.Type().Key())), level+1); err != nil {
			return b, err
		}
	}
	return append(b, '}'), nil
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.String, reflect.Slice, reflect.Map:
		return v.Len() == 0
	case reflect.Struct:
		return false
	}
	return v.IsZero()
}

// quote writes a text. What is no UTF-8 becomes U+FFFD.
func quote(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	from := 0
	for k := 0; k < len(s); {
		c := s[k]
		if c >= ' ' && c != '"' && c != '\\' && c < utf8.RuneSelf {
			k++
			continue
		}
		r, n := rune(c), 1
		if c >= utf8.RuneSelf {
			if r, n = utf8.DecodeRuneInString(s[k:]); (r != utf8.RuneError || n != 1) && r != '\u2028' && r != '\u2029' {
				k += n
				continue
			}
		}
		b = append(b, s[from:k]...)
		switch {
		case r == '"' || r == '\\':
			b = append(b, '\\', c)
		case r == '\n':
			b = append(b, `\n`...)
		default:
			b = append(b, '\\', 'u', hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		}
		k += n
		from = k
	}
	return append(append(b, s[from:]...), '"')
}
