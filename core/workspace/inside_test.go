package workspace

import (
	"bytes"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"plateau/core/trace"
)

func someLog(t *testing.T) (Log, *Packed) {
	t.Helper()
	tr := trace.New(false)
	for k := range 100 {
		tr.Append(float64(k), 4-float64(k)/100, 1, 0)
	}
	l := Log{Name: "a.csv", Bytes: 10, Meta: []byte(`{"x":1}`), Head: []byte("t"), Trace: tr}
	p, err := Pack(l)
	if err != nil {
		t.Fatal(err)
	}
	return l, p
}

// A reader of version 3, to which two steps lead, opens files of versions 1 and 2
// with each step taken once and in order.
func TestUpgrades(t *testing.T) {
	if len(upgrades) != Version-1 {
		t.Fatalf("%d upgrades lead to version %d", len(upgrades), Version)
	}
	step := func(mark string) upgrade {
		return func(base string, b []byte) ([]byte, error) {
			if base != documentName {
				return b, nil
			}
			if bytes.Contains(b, []byte("bad")) {
				return nil, errors.New("it was never good")
			}
			return bytes.Replace(b, []byte("}"), []byte(mark+"}"), 1), nil
		}
	}
	steps := []upgrade{step(`,"two":2`), step(`,"three":3`)}
	_, p := someLog(t)
	for version, want := range map[int]string{1: `{"one":1,"two":2,"three":3}`, 2: `{"one":1,"three":3}`, 3: `{"one":1}`} {
		var b bytes.Buffer
		if err := write(&b, version, []byte(`{"one":1}`), []*Packed{p}); err != nil {
			t.Fatal(err)
		}
		f, err := open(b.Bytes(), 3, steps)
		if err != nil || string(f.Document) != want || f.Version != version || len(f.Logs) != 1 || f.Logs[0].Trace.Len() != 100 || len(f.Lost) > 0 {
			t.Errorf("version %d: %v %s %v", version, err, f.Document, f.Lost)
		}
		if old := version < 3; (f.Packed[0] == nil) != old {
			t.Errorf("version %d: packed as it lies there", version)
		}
	}
	var b bytes.Buffer
	if err := write(&b, 1, []byte(`{"bad":1}`), []*Packed{p}); err != nil {
		t.Fatal(err)
	}
	if f, err := open(b.Bytes(), 3, steps); err != nil || f.Document != nil || len(f.Lost) != 1 || !strings.Contains(f.Lost[0].Why, "never good") || len(f.Logs) != 1 {
		t.Errorf("%v %+v", err, f)
	}
}

// A newer file is refused in plain words, with what it says of itself; also where
// only the archive's comment still tells the version.
func TestNewer(t *testing.T) {
	l, p := someLog(t)
	var b bytes.Buffer
	if err := write(&b, Version+1, []byte(`{}`), []*Packed{p}); err != nil {
		t.Fatal(err)
	}
	for _, spoil := range []bool{false, true} {
		file := bytes.Clone(b.Bytes())
		if spoil {
			file[localLen+len(manifestName)+5] ^= 1
		}
		f, err := Open(file)
		var newer *NewerError
		if !errors.As(err, &newer) || newer.Version != Version+1 || !strings.Contains(err.Error(), "version 2") || f.Version != 2 || f.Document != nil || len(f.Logs) != 0 {
			t.Errorf("%v %+v", err, f)
		}
		if !spoil && (len(f.Listed) != 1 || f.Listed[0].Name != l.Name || f.Listed[0].Samples != 100) {
			t.Errorf("%+v", f.Listed)
		}
	}
}

// Bombs: sizes that lie, parts that unpack to far more than they may, headers by
// the ten thousand, and each of them over the same bytes. Memory and time stay in
// bounds.
func TestBombs(t *testing.T) {
	zeros := make([]byte, 40<<20)
	var p packer
	bomb := p.pack("logs/a/head", zeros) // 40 MB of a head
	lie := bomb
	lie.size = 100 // says 100 bytes
	late := p.pack("document.json", append(bytes.Repeat([]byte(" "), 30<<20), "{}"...))
	late.sum ^= 1
	build := func(parts ...part) []byte {
		var b bytes.Buffer
		a := archive{w: &b, comment: format + ", version 1"}
		for _, q := range parts {
			a.add(q)
		}
		if err := a.end(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	many := make([]part, 3000)
	for k := range many {
		many[k] = late
	}
	nested := append(bytes.Repeat([]byte(localMark+strings.Repeat("\x00", 26)), 200_000), build(late)...)
	for name, b := range map[string][]byte{"bomb": build(bomb), "lie": build(lie), "many": build(many...), "marks": nested} {
		start := time.Now()
		f, err := Open(b)
		if took := time.Since(start); took > 20*time.Second {
			t.Errorf("%s: %v", name, took)
		}
		if err == nil && (f.Document != nil || len(f.Logs) > 0) {
			t.Errorf("%s: %d logs", name, len(f.Logs))
		}
	}
	// Samples are bounded over all logs together.
	tr := trace.New(false)
	for k := range 1000 {
		tr.Append(float64(k), 4, 1, 0)
	}
	q, err := Pack(Log{Name: "b", Trace: tr})
	if err != nil {
		t.Fatal(err)
	}
	o := &opener{b: q.Bytes(), in: newInflater(q.Bytes()), file: &File{}, listed: map[string]bool{}, groups: map[string]*group{}, done: map[int]int{}, room: 999}
	list, _, _ := directory(o.b)
	o.pass(places(o.b, list, nil))
	if len(o.bad) != 1 || !strings.Contains(o.bad[0].why, "1000 samples, more than 999") {
		t.Errorf("%+v", o.bad)
	}
}

// JSON is taken and refused as the standard library does, up to the depth, and
// texts are read and written alike.
func FuzzJSON(f *testing.F) {
	for _, s := range []string{``, ` `, `{`, `{"a":[1,2.5e-3,-0,"\u00e9\ud83d\ude00\ud83d"]}`, `[1,]`, `{"a" "b"}`, `{"a":tru}`, `01`, `-`, `1.`, `1e`, `"\q"`, "\"\n\"", `"a" x`, "\ufeff{}", `{"a":1,"a":{"b":[]}}`, `"</script>\u2028"`, "\xff", `nulll`, `[]]`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		err := validJSON([]byte(s))
		if want := json.Valid([]byte(s)) && strings.ToValidUTF8(s, "") == s; (err == nil) != want && strings.Count(s, "[")+strings.Count(s, "{") <= deepest {
			t.Fatalf("%q: %v", s, err)
		}
		written := appendText(nil, s)
		var back string
		if err := json.Unmarshal(written, &back); err != nil || back != strings.ToValidUTF8(s, "\ufffd") && back != eachInvalid(s) || unquote(written) != back || validJSON(written) != nil {
			t.Fatalf("%q: %s %v", s, written, err)
		}
		if bytes.Contains(written, []byte("</")) || bytes.Contains(written, []byte("\u2028")) {
			t.Fatalf("%s", written)
		}
		var text string
		if err == nil && strings.HasPrefix(strings.TrimLeft(s, " \t\r\n"), `"`) && json.Unmarshal([]byte(s), &text) == nil && unquote(bytes.Trim([]byte(s), " \t\r\n")) != text {
			t.Fatalf("%q: %q", s, text)
		}
		var fields map[string]json.RawMessage
		if err == nil && json.Unmarshal([]byte(s), &fields) == nil && fields != nil {
			got := map[string]string{}
			each([]byte(s), func(name string, value []byte) { got[name] = string(value) })
			for name, value := range fields {
				if got[name] != string(value) {
					t.Fatalf("%q: %s is %q", s, name, got[name])
				}
			}
		}
	})
}

// eachInvalid puts U+FFFD for each byte that is no UTF-8.
func eachInvalid(s string) string {
	var out []rune
	for _, r := range s {
		out = append(out, r)
	}
	return string(out)
}

// campaign is 40 cells at 8 currents, 20,000 samples each.
func benchCampaign(b *testing.B) []Log {
	var logs []Log
	for k := range 320 {
		rng := rand.New(rand.NewPCG(uint64(k), 6))
		tr := trace.New(true)
		v := 4.15
		for j := range 20_000 {
			v -= 1.5 / 20_000
			tr.Append(float64(j)*0.5, float64(int(v*1e4)+rng.IntN(7))*1e-4, float64(3000+rng.IntN(5))*1e-3, float64(int(200+float64(j)/150)+rng.IntN(2))/10)
		}
		logs = append(logs, Log{Name: "a.csv", Meta: []byte("{}"), Head: bytes.Repeat([]byte("0.5,4.1500,3.000,20.0\n"), 2900), Trace: tr})
	}
	b.ResetTimer()
	return logs
}

func BenchmarkSaveAndOpen(b *testing.B) {
	logs := benchCampaign(b)
	for b.Loop() {
		start := time.Now()
		var packed []*Packed
		for _, l := range logs {
			p, err := Pack(l)
			if err != nil {
				b.Fatal(err)
			}
			packed = append(packed, p)
		}
		b.ReportMetric(time.Since(start).Seconds(), "s/pack")
		start = time.Now()
		var out bytes.Buffer
		if err := Write(&out, []byte("{}"), packed); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(time.Since(start).Seconds(), "s/write")
		start = time.Now()
		f, err := Open(out.Bytes())
		if err != nil || len(f.Logs) != len(logs) || len(f.Lost) > 0 {
			b.Fatal(err)
		}
		b.ReportMetric(time.Since(start).Seconds(), "s/open")
		b.ReportMetric(float64(out.Len())/(320*20_000), "B/row")
	}
}

func BenchmarkPackMillion(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 6))
	tr := trace.New(true)
	for k := range 1_000_000 {
		tr.Append(float64(k)*0.5, float64(42000-k/60+rng.IntN(9))/10000, float64(3000+rng.IntN(5))*0.001, 20+float64(k/1000)/100)
	}
	for b.Loop() {
		if _, err := Pack(Log{Trace: tr}); err != nil {
			b.Fatal(err)
		}
	}
}
