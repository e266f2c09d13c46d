package workspace_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"plateau/core/demo"
	"plateau/core/logfile"
	"plateau/core/publish"
	"plateau/core/trace"
	"plateau/core/workspace"
)

const document = "{\"made\": \"by hand\", \"cells\": [\"Alder\", \"<script>\\u2028\"],\n \"cutoff\": 2.5}"

type campaign struct {
	logs   []workspace.Log
	read   []*logfile.Log
	packed []*workspace.Packed
	file   []byte
}

// demoFile is the demo's logs, read from their text, as a saved file.
var demoFile = sync.OnceValue(func() campaign {
	var c campaign
	for _, l := range demo.Logs() {
		var text bytes.Buffer
		_, err := l.WriteTo(&text)
		if err != nil {
			panic(err)
		}
		log, err := logfile.Read(l.Name, bytes.NewReader(text.Bytes()))
		if err != nil {
			panic(err)
		}
		meta, err := json.Marshal(log.Keep())
		if err != nil {
			panic(err)
		}
		sum := sha256.Sum256(text.Bytes())
		kept := workspace.Log{Name: l.Name, Bytes: int64(text.Len()), SHA256: hex.EncodeToString(sum[:]), Meta: meta,
			Head: text.Bytes()[:min(text.Len(), workspace.MostHead)], Trace: log.Trace}
		p, err := workspace.Pack(kept)
		if err != nil {
			panic(err)
		}
		c.logs, c.read, c.packed = append(c.logs, kept), append(c.read, log), append(c.packed, p)
	}
	c.file = save(document, c.packed...)
	return c
})

func save(doc string, logs ...*workspace.Packed) []byte {
	var b bytes.Buffer
	if err := workspace.Write(&b, []byte(doc), logs); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// sameTrace compares voltages as they stand; those of a are from a file.
func sameTrace(a, b *trace.Trace) bool {
	if a == nil || b == nil {
		return a == b
	}
	lead := b.Lead()
	b.SetLead(0)
	defer b.SetLead(lead)
	if a.Len() != b.Len() || a.HasTemperature() != b.HasTemperature() {
		return false
	}
	for k := range a.Len() {
		for _, x := range [][2]float64{{a.Time(k), b.Time(k)}, {a.Voltage(k), b.Voltage(k)}, {a.Current(k), b.Current(k)}, {a.Temperature(k), b.Temperature(k)}} {
			if math.Float64bits(x[0]) != math.Float64bits(x[1]) && x[0] == x[0] {
				return false
			}
		}
	}
	return true
}

// sameLog tells whether a log is back as it was, bit by bit.
func sameLog(a, b workspace.Log) bool {
	ca, cb := a.Trace, b.Trace
	a.Trace, b.Trace, a.Key, b.Key = nil, nil, "", ""
	return reflect.DeepEqual(a, b) && sameTrace(ca, cb)
}

func TestDemoRoundTrip(t *testing.T) {
	c := demoFile()
	f, err := workspace.Open(c.file)
	if err != nil || len(f.Lost) > 0 || len(f.Notes) > 0 || f.Version != 1 {
		t.Fatal(err, f.Lost, f.Notes)
	}
	if string(f.Document) != document || len(f.Logs) != len(c.logs) || len(f.Listed) != len(c.logs) {
		t.Fatalf("%s, %d logs", f.Document, len(f.Logs))
	}
	rows := 0
	for k, l := range f.Logs {
		if !sameLog(l, c.logs[k]) {
			t.Errorf("%s is not back as it was", l.Name)
		}
		a, b := c.logs[k].Trace, l.Trace
		rows += a.Len()
		for j := range a.Len() {
			for _, x := range [][2]float64{{a.Time(j), b.Time(j)}, {a.Voltage(j), b.Voltage(j)}, {a.Current(j), b.Current(j)}, {a.Temperature(j), b.Temperature(j)}} {
				if math.Float64bits(x[0]) != math.Float64bits(x[1]) {
					t.Fatalf("%s, sample %d: %v is back as %v", l.Name, j, x[0], x[1])
				}
			}
		}
		var was, is bytes.Buffer
		if publish.TraceBDF(&was, a) != nil || publish.TraceBDF(&is, b) != nil || !bytes.Equal(was.Bytes(), is.Bytes()) {
			t.Errorf("%s: another BDF", l.Name)
		}
		if !reflect.DeepEqual(a.Steps(), b.Steps()) {
			t.Errorf("%s: other steps", l.Name)
		}
		for _, s := range a.Steps() {
			if p, q := trace.NewRun(a, s).Last(), trace.NewRun(b, s).Last(); p.Q != q.Q || p.E != q.E {
				t.Errorf("%s: %v Ah was %v Ah", l.Name, q.Q, p.Q)
			}
		}
		var kept logfile.Kept
		if err := json.Unmarshal(l.Meta, &kept); err != nil {
			t.Fatal(err)
		}
		log, err := kept.Log(l.Trace)
		if err != nil || log.Words() != c.read[k].Words() || log.Layout.Key() != c.read[k].Layout.Key() ||
			!reflect.DeepEqual(log.Layout.Guesses, c.read[k].Layout.Guesses) || !reflect.DeepEqual(log.Notes, c.read[k].Notes) {
			t.Errorf("%s: %v", l.Name, err)
		}
		if l.Key != c.packed[k].Key || f.Packed[k] == nil || f.Packed[k].Key != l.Key {
			t.Errorf("%s: another key", l.Name)
		}
	}
	size := 0
	for _, p := range c.packed {
		size += p.Size()
	}
	t.Logf("%d rows, %d bytes in all: %.2f a row", rows, len(c.file), float64(size)/float64(rows))
	// Written again from what was read, it is the same file.
	if again := save(string(f.Document), f.Packed...); !bytes.Equal(again, c.file) {
		t.Error("another file from the same logs")
	}
}

// A log that could not be read, one without a hash, one with nothing in it, names
// that are made to harm.
func TestOddLogs(t *testing.T) {
	tr := trace.New(false)
	tr.Append(0, 4, 1, 0)
	tr.SetLead(0.1)
	for _, name := range []string{"", "=1+1.csv", "<script>\u2028\u202e|\"'\\\n\x00.csv", "../../etc/passwd", "PK\x03\x04", strings.Repeat("é", 500)} {
		for _, x := range []*trace.Trace{nil, trace.New(true), tr} {
			l := workspace.Log{Name: name, Meta: []byte(`{"a":[1e5,"\ud83d\ude00",null,true,{}]}`), Trace: x}
			p, err := workspace.Pack(l)
			if err != nil {
				t.Fatal(err)
			}
			f, err := workspace.Open(p.Bytes())
			if err != nil || len(f.Lost) > 0 || len(f.Notes) > 0 || f.Document != nil || len(f.Logs) != 1 || !sameLog(f.Logs[0], l) || f.Listed[0] != p.Listed {
				t.Errorf("%q: %v %+v", name, err, f)
				continue
			}
			if x == tr && f.Logs[0].Trace.Voltage(0) != 4 {
				t.Error("the voltage is not as it was read")
			}
			if whole := f.Logs[0]; !json.Valid(member(t, p.Bytes(), "plateau.json")) || whole.Key != p.Key {
				t.Errorf("%q: no JSON", name)
			}
		}
	}
	if p, err := workspace.Pack(workspace.Log{}); err != nil {
		t.Error(err)
	} else if f, err := workspace.Open(save("{}", p, p)); err != nil || len(f.Logs) != 1 {
		t.Errorf("a log that is there twice: %v", err)
	}
	if f, err := workspace.Open(save("{}")); err != nil || len(f.Lost) > 0 || len(f.Notes) > 0 || len(f.Logs) != 0 || string(f.Document) != "{}" {
		t.Errorf("no logs: %v %+v", err, f)
	}
}

func member(t *testing.T, b []byte, name string) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if f.Name == name || strings.HasSuffix(f.Name, "/"+name) {
			in, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			content, err := io.ReadAll(in)
			if err != nil {
				t.Fatal(err)
			}
			return content
		}
	}
	t.Fatalf("no %s", name)
	return nil
}

func TestRefusedToSave(t *testing.T) {
	back := trace.New(false)
	back.Append(0, 4, 1, 0)
	back.Append(-1, 4, 1, 0)
	for name, l := range map[string]workspace.Log{
		"meta":  {Meta: []byte("{")},
		"list":  {Meta: []byte("[]")},
		"head":  {Head: make([]byte, workspace.MostHead+1)},
		"hash":  {SHA256: strings.Repeat("a", 65)},
		"bytes": {Bytes: -1},
		"time":  {Trace: back},
	} {
		if _, err := workspace.Pack(l); err == nil {
			t.Errorf("%s: packed", name)
		}
	}
	for _, doc := range []string{"", "{} x", "[]", "{\"a\":\"\xff\"}", strings.Repeat("[", 1e6), "{\"a\":" + strings.Repeat(" ", workspace.MostDocument) + "1}"} {
		if err := workspace.Write(io.Discard, []byte(doc), nil); err == nil {
			t.Errorf("%.20q is taken", doc)
		}
	}
	if err := workspace.Write(failing{}, []byte("{}"), nil); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Error(err)
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, fmt.Errorf("disk full") }

// The key is what the package comment says, reckoned by the standard library.
func TestKey(t *testing.T) {
	l := demoFile().logs[0]
	p, err := workspace.Pack(l)
	if err != nil {
		t.Fatal(err)
	}
	all := sha256.New()
	for _, name := range []string{"log.json", "head", "trace"} {
		sum := sha256.Sum256(member(t, p.Bytes(), name))
		all.Write(sum[:])
	}
	if want := hex.EncodeToString(all.Sum(nil))[:32]; p.Key != want {
		t.Errorf("key %s, want %s", p.Key, want)
	}
	other := l
	other.Meta = []byte(`{"read":"otherwise"}`)
	if q, err := workspace.Pack(other); err != nil || q.Key == p.Key {
		t.Error("another log has the same key")
	}
}

// The examples of FIPS 180-4 (its appendix of examples, "abc" and 56 letters), and
// every length to 300 against the standard library, in pieces.
func TestSum(t *testing.T) {
	for text, want := range map[string]string{
		"":    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
		"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
	} {
		var s workspace.Sum
		_, _ = s.Write([]byte(text))
		if s.Hex() != want {
			t.Errorf("%q: %s", text, s.Hex())
		}
	}
	rng := rand.New(rand.NewPCG(180, 4))
	for n := range 300 {
		b := make([]byte, n)
		for k := range b {
			b[k] = byte(rng.Uint32())
		}
		var s workspace.Sum
		for rest := b; len(rest) > 0; {
			k := 1 + rng.IntN(len(rest))
			_, _ = s.Write(rest[:k])
			rest = rest[k:]
			s.Bytes() // asking on the way changes nothing
		}
		if s.Bytes() != sha256.Sum256(b) {
			t.Errorf("%d bytes", n)
		}
	}
}

func TestLabels(t *testing.T) {
	l := workspace.Lost{Log: "a\n\u202e\u2028b" + strings.Repeat("x", 1000), Part: "trace", At: 7, Why: "w"}
	if s := l.String(); strings.ContainsAny(s, "\n\u202e\u2028") || len(s) > 300 || !slices.Contains(strings.Fields(s), "7:") {
		t.Error(s)
	}
}
