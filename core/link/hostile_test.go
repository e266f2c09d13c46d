package link

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"plateau/core/publish"
)

func refused(err error) bool {
	var broken *Broken
	return errors.As(err, &broken) || errors.Is(err, Newer{})
}

func small(t testing.TB) string {
	p := campaign()
	p.Runs, p.Curves, p.Rankings, p.Verdicts = p.Runs[:2], p.Curves[:2], p.Rankings[:1], p.Verdicts[:1]
	text, err := Encode(p, Options{Private: true})
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// A link with any bit of it the other way round, or cut off anywhere, is refused.
func TestFlipsAndCuts(t *testing.T) {
	text := small(t)
	for k := range len(text) {
		for bit := range 8 {
			b := []byte(text)
			b[k] ^= 1 << bit
			if _, err := Decode(string(b)); !refused(err) {
				t.Fatalf("character %d, bit %d: %v", k, bit, err)
			}
		}
		_, err := Decode(text[:k])
		if !refused(err) || k > 8 && !strings.Contains(err.Error(), "cut off") {
			t.Fatalf("cut after %d: %v", k, err)
		}
	}
}

// Behind a right checksum, too, every byte is doubted: a body with any bit the
// other way round, or any byte gone, gives a sound post or a plain error.
func TestFlipsBehindTheChecksum(t *testing.T) {
	w := NewWriter(campaign())
	body, err := w.body(Options{Private: true})
	if err != nil {
		t.Fatal(err)
	}
	parts, err := split(body)
	if err != nil {
		t.Fatal(err)
	}
	m := rand.New(rand.NewPCG(5, 5))
	taken := 0
	for id := textPart; id <= temperaturePart; id++ {
		for range 100 {
			damaged := []byte{}
			for other := textPart; other <= temperaturePart; other++ {
				data := bytes.Clone(parts[uint64(other)])
				if other == id {
					switch at := m.IntN(len(data)); m.IntN(3) {
					case 0:
						data[at] ^= 1 << m.IntN(8)
					case 1:
						data = data[:at]
					default:
						data = append(data[:at], data[at+1:]...)
					}
				}
				damaged = raw(damaged, other, data)
			}
			got, err := Decode(seal(damaged))
			if err == nil {
				taken++
				sound(t, got)
			} else if !refused(err) {
				t.Fatal(err)
			}
		}
	}
	if taken == 0 || taken == 500 {
		t.Error(taken, "of 500 were taken: nothing was tried")
	}
}

func raw(body []byte, id int, data []byte) []byte {
	body = binary.AppendUvarint(body, uint64(id<<methodBits)) // as it is
	body = binary.AppendUvarint(body, uint64(len(data)))
	return append(body, data...)
}

// sound looks for what a page must not be handed.
func sound(t testing.TB, p publish.Post) {
	t.Helper()
	texts := []string{p.Title, p.Day, p.Program, p.Private}
	for _, c := range p.Cells {
		texts = append(texts, c.Name, c.Model, c.Notes)
		if math.IsNaN(c.Mass+c.Price) || math.IsInf(c.Mass+c.Price, 0) {
			t.Fatal("a cell without a sound mass")
		}
	}
	for k := range p.Runs {
		r := &p.Runs[k]
		if r.Log < -1 || r.Log >= len(p.Logs) {
			t.Fatal("a run of no log")
		}
		for _, x := range numbersOf(r) {
			if math.IsInf(x.Value, 0) || math.IsNaN(x.U) || math.IsInf(x.U, 0) || x.U < 0 {
				t.Fatalf("a figure %+v", *x)
			}
		}
		texts = append(texts, r.Name, r.Cell, r.Void)
	}
	for _, c := range p.Curves {
		if c.Run < 0 || c.Run >= len(p.Runs) || len(c.Q) == 0 || len(c.V) != len(c.Q) || c.Temp != nil && len(c.Temp) != len(c.Q) {
			t.Fatal("a curve of no run, or of unlike columns")
		}
		for k := range c.Q {
			if math.IsNaN(c.Q[k]+c.V[k]) || math.IsInf(c.Q[k]+c.V[k], 0) || k > 0 && c.Q[k] < c.Q[k-1] || c.Temp != nil && math.IsInf(c.Temp[k], 0) {
				t.Fatal("a curve without sound points")
			}
		}
	}
	for _, s := range texts {
		if !utf8.ValidString(s) || strings.ContainsAny(s, "\x00\x07\x1b\u202e\u2028") {
			t.Fatalf("the text %q", s)
		}
	}
}

// A link that unpacks to a gigabyte costs little and is refused.
func TestBomb(t *testing.T) {
	var b bytes.Buffer
	w, _ := flate.NewWriter(&b, flate.BestCompression)
	zeros := make([]byte, 1<<20)
	for range 100 {
		if _, err := w.Write(zeros); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for id := textPart; id <= temperaturePart; id++ {
		body := binary.AppendUvarint(nil, uint64(id<<methodBits|deflated))
		body = binary.AppendUvarint(body, uint64(b.Len()))
		text := seal(append(body, b.Bytes()...))
		if len(text) > Longest {
			t.Fatal(len(text))
		}
		held(t, text, "unpacks to more")
	}
}

// held decodes what is to be refused for a reason, in little time and memory.
func held(t *testing.T, text, want string) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := time.Now()
	_, err := Decode(text)
	took := time.Since(start)
	runtime.ReadMemStats(&after)
	if !refused(err) || !strings.Contains(err.Error(), want) {
		t.Errorf("%v, want %q", err, want)
	}
	if used := after.TotalAlloc - before.TotalAlloc; used > 100<<20 || took > 2*time.Second {
		t.Errorf("%d bytes and %v for %q", used, took, want)
	}
}

// Counts and references that would multiply a few bytes are held.
func TestMultiplied(t *testing.T) {
	section := func(id uint64, data []byte) []byte {
		s := binary.AppendUvarint(nil, id)
		s = binary.AppendUvarint(s, 0)
		s = binary.AppendUvarint(s, uint64(len(data)))
		return append(s, data...)
	}
	list := func(n int, item ...byte) []byte {
		return append(binary.AppendUvarint(nil, uint64(n)), bytes.Repeat(item, n)...)
	}
	long := append(bytes.Repeat([]byte("long "), 100_000), 0)
	for name, c := range map[string]struct {
		texts, sections []byte
		want            string
	}{
		"more runs than bytes":        {nil, section(5, list(2000)), "list of runs"},
		"a run too many":              {nil, section(5, list(2001, 0)), "is the most"},
		"a count of 2^63":             {nil, section(5, binary.AppendUvarint(nil, 1<<63)), "is the most"},
		"a long text again and again": {long, section(3, list(400, 2)), "more text"},
		"entries by entries":          {nil, section(9, list(200, append(append([]byte{1, 0, 0}, list(500, 0)...), 0, 0, 0, 0)...)), "more entries"},
		"no such text":                {nil, section(3, list(1, 2)), "not there"},
		"not UTF-8":                   {[]byte("\xff\x00"), nil, "UTF-8"},
		"an endless text":             {[]byte("x"), nil, "no end"},
		"an endless number":           {nil, bytes.Repeat([]byte{0x80}, 30), "ends too early"},
		"an endless section":          {nil, []byte{5, 0, 200, 1}, "does not fit"},
	} {
		body := part(nil, textPart, c.texts)
		body = part(body, sectionPart, c.sections)
		t.Run(name, func(t *testing.T) { held(t, seal(body), c.want) })
	}
}

// What a later version adds is skipped: parts and sections of unknown numbers,
// and what follows in a known one.
func TestLaterAdditions(t *testing.T) {
	p := campaign()
	body, err := NewWriter(p).body(Options{})
	if err != nil {
		t.Fatal(err)
	}
	parts, err := split(body)
	if err != nil {
		t.Fatal(err)
	}
	want, err := Decode(seal(body))
	if err != nil {
		t.Fatal(err)
	}
	// Each section a byte longer, and unknown ones between.
	var all []byte
	data := parts[sectionPart]
	for len(data) > 0 {
		var n [3]uint64
		for k := range n {
			x, used := binary.Uvarint(data)
			n[k], data = x, data[used:]
		}
		for _, x := range []uint64{n[0], n[1], n[2] + 1} {
			all = binary.AppendUvarint(all, x)
		}
		all = append(append(all, data[:n[2]]...), 7)
		data = data[n[2]:]
	}
	all = append(all, 99, 0, 3, 1, 2, 3)
	later := raw(nil, 31, []byte("of a later version"))
	for id := textPart; id <= temperaturePart; id++ {
		d := parts[uint64(id)]
		if id == sectionPart {
			d = all
		}
		later = raw(later, id, d)
	}
	got, err := Decode(seal(later))
	if err != nil {
		t.Fatal(err)
	}
	a, _ := Encode(want, Options{})
	b, _ := Encode(got, Options{})
	if a != b {
		t.Error("additions change what is read")
	}
	if _, err := Decode(seal(append(raw(nil, textPart, []byte("x\x00")), sectionPart<<methodBits|3, 1, 0))); err != (Newer{}) {
		t.Error("a part packed in a later way:", err)
	}
}

// What does not go into a link is said, and nothing is made of it.
func TestTooMuch(t *testing.T) {
	q, v := make([]float64, mostPoints+1000), make([]float64, mostPoints+1000)
	for k := range q {
		q[k], v[k] = float64(k), float64(k%2)
	}
	for name, p := range map[string]publish.Post{
		"cells":     {Cells: make([]publish.Cell, mostCells+1)},
		"series":    {Cells: []publish.Cell{{Series: -1}}},
		"a log":     {Runs: []publish.Run{{Log: 3}}},
		"a run":     {Curves: []publish.Curve{{Run: 1, Q: []float64{1}, V: []float64{1}}}},
		"points":    {Runs: []publish.Run{{Log: -1}}, Curves: []publish.Curve{{Q: q, V: v}}},
		"text":      {Title: strings.Repeat("long ", mostInflated)},
		"the whole": {Title: random(400_000)},
	} {
		text, err := Encode(p, Options{})
		var broken *Broken
		if !errors.As(err, &broken) || text != "" {
			t.Errorf("%s: %v, %d characters", name, err, len(text))
		} else {
			t.Log(name+":", err)
		}
	}
}

func random(n int) string {
	m := rand.New(rand.NewPCG(9, 9))
	b := make([]byte, n)
	for k := range b {
		b[k] = byte(' ' + m.IntN(94))
	}
	return string(b)
}

func FuzzDecode(f *testing.F) {
	text := small(f)
	f.Add(text)
	f.Add("https://plateau.example/#" + text + ").")
	f.Add(text[:len(text)/2])
	f.Add("")
	f.Add("2AAAA")
	for seed := range uint64(4) {
		m := maker{rand.New(rand.NewPCG(seed, 2))}
		s, err := Encode(m.post(), Options{Private: true})
		if err != nil {
			f.Fatal(err)
		}
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		check(t, text)
		// The same behind a right checksum, or the fuzzer would never get past it.
		check(t, seal([]byte(text)))
	})
}

// FuzzSections goes past the packing as well.
func FuzzSections(f *testing.F) {
	body, err := NewWriter(campaign()).body(Options{Private: true})
	if err != nil {
		f.Fatal(err)
	}
	parts, err := split(body)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(parts[textPart], parts[sectionPart], parts[digestPart], parts[curvePart], parts[temperaturePart])
	f.Fuzz(func(t *testing.T, texts, sections, digests, curves, temperatures []byte) {
		var body []byte
		for k, data := range [][]byte{texts, sections, digests, curves, temperatures} {
			body = raw(body, textPart+k, data)
		}
		check(t, seal(body))
	})
}

func check(t *testing.T, text string) {
	start := time.Now()
	p, err := Decode(text)
	if took := time.Since(start); took > 2*time.Second {
		t.Fatal("it took", took)
	}
	if err != nil {
		if !refused(err) {
			t.Fatal(err)
		}
		return
	}
	sound(t, p)
	// What can be read can be sent on, and is the same then.
	o := Options{Private: true, Tolerance: p.Tolerance}
	again, err := Encode(p, o)
	if err != nil {
		return // more than a link holds, once it is unpacked
	}
	q, err := Decode(again)
	if err != nil {
		t.Fatalf("%v of a link made of what was read", err)
	}
	if third, err := Encode(q, o); err != nil || third != again {
		t.Fatalf("not the same when sent on again: %v", err)
	}
}
