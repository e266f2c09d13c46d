package plain

import (
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// Unmarshal reads JSON into what a pointer points at. Fields that it has not are
// passed over, and null leaves a value as it is, a pointer, list or map aside,
// which it empties.
func Unmarshal(data []byte, into any) error {
	v := reflect.ValueOf(into)
	if v.Kind() != reflect.Pointer || v.IsNil() {
		return errors.New("there is nothing to read into")
	}
	r := &reader{s: data}
	r.value(v.Elem(), 0)
	r.blank()
	if r.err == nil && r.at < len(r.s) {
		r.fail("more after its end")
	}
	return r.err
}

type reader struct {
	s   []byte
	at  int
	err error
}

func (r *reader) fail(what string) {
	if r.err == nil {
		r.err = fmt.Errorf("JSON at byte %d: %s", r.at, what)
	}
}

func (r *reader) blank() {
	for r.at < len(r.s) && (r.s[r.at] == ' ' || r.s[r.at] == '\n' || r.s[r.at] == '\t' || r.s[r.at] == '\r') {
		r.at++
	}
}

// next is the next byte that is no blank; 0 at the end or after a fault.
func (r *reader) next() byte {
	r.blank()
	if r.err != nil || r.at >= len(r.s) {
		return 0
	}
	return r.s[r.at]
}

func (r *reader) word(w string) bool {
	if r.at+len(w) <= len(r.s) && string(r.s[r.at:r.at+len(w)]) == w {
		r.at += len(w)
		return true
	}
	r.fail("no value")
	return false
}

// value reads one into v; where v is invalid, past it.
func (r *reader) value(v reflect.Value, level int) {
	if level > depth {
		r.fail(fmt.Sprintf("deeper than %d levels", depth))
		return
	}
	c := r.next()
	if c != 'n' && v.Kind() == reflect.Pointer {
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		r.value(v.Elem(), level+1)
		return
	}
	switch c {
	case '{':
		r.object(v, level)
	case '[':
		r.list(v, level)
	case '"':
		if s := r.text(); r.fits(v, reflect.String) {
			v.SetString(s)
		}
	case 't', 'f':
		if yes := c == 't'; r.word(map[bool]string{true: "true", false: "false"}[yes]) && r.fits(v, reflect.Bool) {
			v.SetBool(yes)
		}
	case 'n':
		if k := v.Kind(); r.word("null") && (k == reflect.Pointer || k == reflect.Slice || k == reflect.Map) {
			v.SetZero()
		}
	case 0:
		r.fail("it ends where a value is due")
	default:
		r.number(v)
	}
}

// fits tells whether v takes a value of a kind, and faults where it takes another.
func (r *reader) fits(v reflect.Value, kind reflect.Kind) bool {
	if r.err != nil || !v.IsValid() {
		return false
	}
	if v.Kind() != kind {
		r.fail(fmt.Sprintf("a %s for a %s", kind, v.Type()))
		return false
	}
	return true
}

func (r *reader) number(v reflect.Value) {
	from := r.at
	digits := func() bool {
		start := r.at
		for r.at < len(r.s) && r.s[r.at] >= '0' && r.s[r.at] <= '9' {
			r.at++
		}
		return r.at > start
	}
	is := func(set string) bool {
		for k := range len(set) {
			if r.at < len(r.s) && r.s[r.at] == set[k] {
				r.at++
				return true
			}
		}
		return false
	}
	is("-")
	ok := is("0") || digits()
	if ok && is(".") {
		ok = digits()
	}
	if ok && is("eE") {
		is("+-")
		ok = digits()
	}
	if !ok {
		r.fail("no value")
		return
	}
	text := string(r.s[from:r.at])
	switch {
	case !v.IsValid():
	case v.Kind() == reflect.Float64:
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			r.fail("the number " + text + " is out of bounds")
			return
		}
		v.SetFloat(x)
	case v.CanInt():
		x, err := strconv.ParseInt(text, 10, 64)
		if err != nil || v.OverflowInt(x) {
			r.fail("the number " + text + " does not fit a " + v.Type().String())
			return
		}
		v.SetInt(x)
	default:
		r.fits(v, reflect.Float64)
	}
}

// items reads what stands between brackets, parted by commas.
func (r *reader) items(end byte, one func()) {
	r.at++
	if r.next() == end {
		r.at++
		return
	}
	for r.err == nil {
		one()
		switch r.next() {
		case ',':
			r.at++
		case end:
			r.at++
			return
		default:
			r.fail("a comma or " + string(end) + " is due")
		}
	}
}

func (r *reader) list(v reflect.Value, level int) {
	if v.IsValid() && !r.fits(v, reflect.Slice) {
		return
	}
	if v.IsValid() {
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	}
	r.items(']', func() {
		if !v.IsValid() {
			r.value(v, level+1)
			return
		}
		n := v.Len()
		if n == v.Cap() {
			v.Grow(max(4, n))
		}
		v.SetLen(n + 1)
		x := v.Index(n)
		x.SetZero()
		r.value(x, level+1)
	})
}

func (r *reader) object(v reflect.Value, level int) {
	var fields []field
	switch {
	case !v.IsValid():
	case v.Kind() == reflect.Struct:
		fields = fieldsOf(v.Type())
	case v.Kind() == reflect.Map && v.Type().Key().Kind() == reflect.String:
		if v.IsNil() {
			v.Set(reflect.MakeMap(v.Type()))
		}
	default:
		r.fits(v, reflect.Struct)
		return
	}
	likely := 0 // fields come in their order
	r.items('}', func() {
		if r.next() != '"' {
			r.fail("a name is due")
			return
		}
		name := r.text()
		if r.next() != ':' {
			r.fail("a colon is due")
			return
		}
		r.at++
		if fields == nil && v.IsValid() && v.Kind() == reflect.Map {
			x := reflect.New(v.Type().Elem()).Elem()
			if r.value(x, level+1); r.err == nil {
				v.SetMapIndex(reflect.ValueOf(name).Convert(v.Type().Key()), x)
			}
			return
		}
		var into reflect.Value
		for k := range fields {
			if f := fields[(likely+k)%len(fields)]; f.name == name {
				into, likely = v.Field(f.index), likely+k+1
				break
			}
		}
		r.value(into, level+1)
	})
}

// text reads a string, at its quote.
func (r *reader) text() string {
	r.at++
	from := r.at
	for r.at < len(r.s) && r.s[r.at] != '"' && r.s[r.at] != '\\' && r.s[r.at] >= ' ' && r.s[r.at] < utf8.RuneSelf {
		r.at++
	}
	b := r.s[from:r.at:r.at]
	for r.err == nil {
		if r.at >= len(r.s) {
			r.fail("a text without its end")
			break
		}
		switch c := r.s[r.at]; {
		case c == '"':
			r.at++
			return string(b)
		case c == '\\':
			b = r.escape(b)
		case c < ' ':
			r.fail("a control character in a text")
		case c < utf8.RuneSelf:
			b = append(b, c)
			r.at++
		default:
			x, n := utf8.DecodeRune(r.s[r.at:])
			b = utf8.AppendRune(b, x)
			r.at += n
		}
	}
	return ""
}

func (r *reader) escape(b []byte) []byte {
	const from, to = `"\/bfnrt`, "\"\\/\b\f\n\r\t"
	if r.at+1 >= len(r.s) {
		r.fail("a text without its end")
		return b
	}
	c := r.s[r.at+1]
	for k := range len(from) {
		if c == from[k] {
			r.at += 2
			return append(b, to[k])
		}
	}
	x, ok := r.unit(r.at)
	if !ok {
		r.fail("no escape")
		return b
	}
	r.at += 6
	if utf16.IsSurrogate(x) {
		if y, ok := r.unit(r.at); ok {
			if z := utf16.DecodeRune(x, y); z != utf8.RuneError {
				r.at += 6
				return utf8.AppendRune(b, z)
			}
		}
		x = utf8.RuneError
	}
	return utf8.AppendRune(b, x)
}

// unit is the UTF-16 unit of an escape \u0041 at a place.
func (r *reader) unit(at int) (rune, bool) {
	if at+6 > len(r.s) || r.s[at] != '\\' || r.s[at+1] != 'u' {
		return 0, false
	}
	var x rune
	for _, c := range r.s[at+2 : at+6] {
		switch {
		case c >= '0' && c <= '9':
			c -= '0'
		case c >= 'a' && c <= 'f':
			c -= 'a' - 10
		case c >= 'A' && c <= 'F':
			c -= 'A' - 10
		default:
			return 0, false
		}
		x = x<<4 | rune(c)
	}
	return x, true
}
