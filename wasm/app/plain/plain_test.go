package plain_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"plateau/wasm/app/plain"
	"plateau/wasm/app/wire"
)

// fill puts random plain data into a value.
func fill(v reflect.Value, rng *rand.Rand, level int) {
	texts := []string{"", "a", "Ω µ 电压", "\"q\" \\ \n\t\r\x00\x1f", "\u2028\u2029", "😀", string([]byte{0xff, 'x', 0xc3}), "</script>", "é"}
	switch v.Kind() {
	case reflect.String:
		v.SetString(texts[rng.IntN(len(texts))])
	case reflect.Bool:
		v.SetBool(rng.IntN(2) == 0)
	case reflect.Int, reflect.Int64:
		v.SetInt([]int64{0, 1, -7, math.MaxInt32, math.MinInt64}[rng.IntN(5)])
	case reflect.Float64:
		v.SetFloat([]float64{0, 1, -0.1, 1e300, 5e-324, 1e21, 123456.789, 1e-7}[rng.IntN(8)])
	case reflect.Pointer:
		if level < 6 && rng.IntN(3) > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			fill(v.Elem(), rng, level+1)
		}
	case reflect.Slice:
		if n := rng.IntN(4); n > 0 && level < 6 {
			v.Set(reflect.MakeSlice(v.Type(), n-1, n-1))
			for k := range n - 1 {
				fill(v.Index(k), rng, level+1)
			}
		}
	case reflect.Map:
		if rng.IntN(2) > 0 {
			v.Set(reflect.MakeMap(v.Type()))
			for range rng.IntN(4) {
				k, x := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
				fill(k, rng, level+1)
				fill(x, rng, level+1)
				v.SetMapIndex(k, x)
			}
		}
	case reflect.Struct:
		for k := range v.NumField() {
			fill(v.Field(k), rng, level+1)
		}
	}
}

// What is written means to encoding/json what its own writing does, and what is
// read is what that reads: with random data in all that the page and the engine
// say to each other.
func TestLikeEncodingJSON(t *testing.T) {
	rng := rand.New(rand.NewPCG(8259, 1))
	for _, kind := range []any{wire.Reply{}, wire.Command{}, wire.View{}} {
		for range 400 {
			v := reflect.New(reflect.TypeOf(kind))
			fill(v.Elem(), rng, 0)
			ours, err := plain.Marshal(v.Interface())
			theirs, err2 := json.Marshal(v.Interface())
			if err != nil || err2 != nil || !json.Valid(ours) {
				t.Fatalf("%v %v: %s", err, err2, ours)
			}
			a, b, c, d := reflect.New(v.Elem().Type()), reflect.New(v.Elem().Type()), reflect.New(v.Elem().Type()), reflect.New(v.Elem().Type())
			for _, e := range []error{json.Unmarshal(ours, a.Interface()), json.Unmarshal(theirs, b.Interface()), plain.Unmarshal(ours, c.Interface()), plain.Unmarshal(theirs, d.Interface())} {
				if e != nil {
					t.Fatal(e)
				}
			}
			if !reflect.DeepEqual(a.Interface(), b.Interface()) || !reflect.DeepEqual(c.Interface(), b.Interface()) || !reflect.DeepEqual(d.Interface(), b.Interface()) {
				t.Fatalf("%s\nis not read as\n%s", ours, theirs)
			}
		}
	}
}

func TestUnfit(t *testing.T) {
	for _, v := range []any{math.NaN(), math.Inf(-1), make(chan int), map[int]string{1: "a"}, []any{1}} {
		if b, err := plain.Marshal(v); err == nil {
			t.Errorf("%v is written as %s", v, b)
		}
	}
	type ring struct{ Next *ring }
	r := &ring{}
	r.Next = r
	if _, err := plain.Marshal(r); err == nil {
		t.Error("a ring is written")
	}
	if err := plain.Unmarshal([]byte("1"), 1); err == nil {
		t.Error("read into a number")
	}
}

var hostile = []string{``, ` `, `nul`, `{`, `{"files":[`, `{"files":[{"id":1,}]}`, `{"files":1}`, `{"cutoff":1}`, `{"temperature":"x"}`, `[1]`, `{"a":tru}`,
	`{"x":"\ud83d\ude00","cutoff":"\ud83d"}`, `{"cutoff":"\u12"}`, `{"cutoff":"\q"}`, "{\"cutoff\":\"\n\"}", `{"files":[{"id":1.5}]}`, `{"files":[{"id":1e3}]}`,
	`{"files":[{"id":99999999999999999999}]}`, `{"a":01}`, `{"a":-}`, `{"a":1.}`, `{"a":1e}`, `{"a":+1}`, `{"cutoff":"a"} x`, `{"cutoff" "a"}`, `{cutoff:"a"}`,
	`{"files":null,"cutoffs":null}`, `{"tester":{"errors":{"a":"b","a":"c"}}}`, `null`, `"a"`, `{"cutoffs":{"columns":[null,{}]}}`, "\ufeff{}", `{"a":{"b":[{"c":[]}]}}`}

// FuzzUnmarshal: accepted and refused as encoding/json does, and read alike. It
// takes names without regard to their case, which ours does not, and goes deeper.
func FuzzUnmarshal(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if strings.Count(s, "[")+strings.Count(s, "{") > 50 || strings.ContainsAny(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZſK") || strings.Contains(s, "\\u") {
			var v wire.View
			_ = plain.Unmarshal([]byte(s), &v)
			return
		}
		var ours, theirs wire.View
		err, err2 := plain.Unmarshal([]byte(s), &ours), json.Unmarshal([]byte(s), &theirs)
		if (err == nil) != (err2 == nil) {
			t.Fatalf("%q: %v, encoding/json %v", s, err, err2)
		}
		if err == nil && !reflect.DeepEqual(ours, theirs) {
			t.Fatalf("%q: %+v, encoding/json %+v", s, ours, theirs)
		}
	})
}

func TestDeep(t *testing.T) {
	var v wire.View
	for _, s := range []string{strings.Repeat("[", 1e6), `{"a":` + strings.Repeat(`{"a":`, 1e5)} {
		if err := plain.Unmarshal([]byte(s), &v); err == nil {
			t.Error("read")
		}
	}
}

// view is one of 320 discharges.
func view() wire.View {
	rng := rand.New(rand.NewPCG(3, 20))
	v := wire.View{}
	for range 320 {
		var r wire.Run
		fill(reflect.ValueOf(&r).Elem(), rng, 3)
		v.Runs = append(v.Runs, r)
	}
	return v
}

func BenchmarkMarshal(b *testing.B)      { bench(b, plain.Marshal, plain.Unmarshal) }
func BenchmarkEncodingJSON(b *testing.B) { bench(b, json.Marshal, json.Unmarshal) }

func bench(b *testing.B, write func(any) ([]byte, error), read func([]byte, any) error) {
	v := view()
	for range b.N {
		text, err := write(v)
		var back wire.View
		if err != nil || read(text, &back) != nil || len(back.Runs) != len(v.Runs) {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(text)))
	}
}
