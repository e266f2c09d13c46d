package workspace_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"plateau/core/trace"
	"plateau/core/workspace"
)

// honest checks that what Open gives of a damaged file is what was saved, and that
// what it does not give is said, and nothing else. It returns how many parts are
// there.
func honest(t *testing.T, what string, was []workspace.Log, f *workspace.File) int {
	t.Helper()
	there := 0
	lost := map[string]bool{}
	for _, l := range f.Lost {
		lost[l.Part+" "+l.Log] = true
		if s := l.String(); l.Why == "" || !strings.Contains(s, "at byte ") {
			t.Errorf("%s: %s", what, s)
		}
	}
	check := func(part, name string, have, had bool) {
		if have {
			there++
		}
		if said := lost[part+" "+name] || part != "document" && (lost["log "+name] || lost[part+" "]); had && !have && !said || have && lost[part+" "+name] {
			t.Errorf("%s: %s of %q there: %t, said to be lost: %t; %v", what, part, name, have, said, f.Lost)
		}
	}
	if f.Document != nil && string(f.Document) != document {
		t.Errorf("%s: another document", what)
	}
	check("document", "", f.Document != nil, true)
	for _, l := range was {
		var got workspace.Log
		for _, g := range f.Logs {
			if g.Key == l.Key {
				got = g
			}
		}
		if got.Meta != nil && !bytes.Equal(got.Meta, l.Meta) || got.Head != nil && !bytes.Equal(got.Head, l.Head) ||
			got.Trace != nil && !sameTrace(got.Trace, l.Trace) || got.Name != "" && (got.Name != l.Name || got.SHA256 != l.SHA256 || got.Bytes != l.Bytes) {
			t.Errorf("%s: %q is not what was saved", what, l.Name)
		}
		check("meta", l.Name, got.Meta != nil, true)
		check("head", l.Name, got.Head != nil, l.Head != nil)
		check("trace", l.Name, got.Trace != nil, l.Trace != nil)
	}
	for k, p := range f.Packed {
		if p != nil && p.Key != f.Logs[k].Key && !strings.HasPrefix(what, "flip") {
			t.Errorf("%s: packed as %s", what, p.Key)
		}
	}
	return there
}

// few is three logs of the demo cut to some hundred samples, one of them without
// a head, so that thousands of damaged copies can be read in a second.
func few(t testing.TB) ([]workspace.Log, []byte) {
	var logs []workspace.Log
	var packed []*workspace.Packed
	for k, l := range demoFile().logs[:3] {
		tr := trace.New(true)
		for j := range 300 {
			tr.Append(l.Trace.Time(j), l.Trace.Voltage(j), l.Trace.Current(j), l.Trace.Temperature(j))
		}
		l.Trace, l.Head = tr, l.Head[:1500*k]
		if k == 0 {
			l.Head = nil
		}
		p, err := workspace.Pack(l)
		if err != nil {
			t.Fatal(err)
		}
		l.Key = p.Key
		logs, packed = append(logs, l), append(packed, p)
	}
	return logs, save(document, packed...)
}

const fewParts = 1 + 3*3 - 1

// region is a part's bytes in the file, its header included.
type region struct {
	name     string
	from, to int
}

func regions(b []byte) (list []region) {
	for at := 0; string(b[at:at+4]) == "PK\x03\x04"; {
		n := int(binary.LittleEndian.Uint16(b[at+26:]))
		r := region{string(b[at+30 : at+30+n]), at, at + 30 + n + int(binary.LittleEndian.Uint32(b[at+18:]))}
		list = append(list, r)
		at = r.to
	}
	return list
}

// Each part in turn: its bytes, its header, all of it, and the directory.
func TestEachPartDamaged(t *testing.T) {
	logs, whole := few(t)
	parts := regions(whole)
	if len(parts) != fewParts+1 {
		t.Fatal(len(parts))
	}
	end := parts[len(parts)-1].to
	for _, r := range parts {
		body := r.from + 30 + len(r.name)
		for how, hit := range map[string][2]int{"bytes": {body + (r.to-body)/2, r.to}, "header": {r.from, body}, "all": {r.from, r.to}} {
			b := bytes.Clone(whole)
			for k := hit[0]; k < hit[1]; k++ {
				b[k] ^= 0x5a
			}
			what := how + " of " + r.name
			f, err := workspace.Open(b)
			if err != nil {
				t.Errorf("%s: %v", what, err)
				continue
			}
			want := fewParts - 1
			if how == "header" || r.name == "plateau.json" {
				want = fewParts // the directory has it too
			}
			if got := honest(t, what, logs, f); got != want {
				t.Errorf("%s: %d parts, want %d: %v", what, got, want, f.Lost)
			}
			if how == "bytes" && want < fewParts && (len(f.Lost) != 1 || f.Lost[0].At != r.from || !strings.Contains(f.Lost[0].Why, "check sum")) {
				t.Errorf("%s, at %d: %v", what, r.from, f.Lost)
			}
			if r.name == "plateau.json" && how != "header" && (len(f.Notes) != 1 || !strings.Contains(f.Notes[0], "list of logs")) {
				t.Errorf("%s: %v", what, f.Notes)
			}
		}
	}
	for _, hit := range []int{end, end + 20, len(whole) - 40} { // directory, and the record that leads to it
		b := bytes.Clone(whole)
		for k := hit; k < min(hit+10, len(b)); k++ {
			b[k] ^= 0xff
		}
		f, err := workspace.Open(b)
		if err != nil || honest(t, fmt.Sprint("directory at ", hit), logs, f) != fewParts || len(f.Notes) != 1 {
			t.Errorf("directory at %d: %v %+v", hit, err, f.Notes)
		}
	}
	// The header and the directory both, of one log: the others are found.
	b := bytes.Clone(whole)
	copy(b[parts[2].from:], "xxxx")
	for k := end; k < len(b); k++ {
		b[k] = 0
	}
	if f, err := workspace.Open(b); err != nil || honest(t, "header and directory", logs, f) != fewParts-1 {
		t.Error(err, f.Lost)
	}
}

// However a file is cut short, what came before is there, the document first.
func TestCutShort(t *testing.T) {
	logs, whole := few(t)
	parts := regions(whole)
	if f, err := workspace.Open(nil); !errors.Is(err, workspace.ErrEmpty) || f != nil {
		t.Error(err)
	}
	for k := 1; k < 400; k++ {
		n := len(whole) * k / 400
		want := 0
		for _, r := range parts[1:] {
			if r.to <= n {
				want++
			}
		}
		f, err := workspace.Open(whole[:n])
		if want == 0 && n < parts[0].to {
			if !errors.Is(err, workspace.ErrForeign) {
				t.Errorf("%d bytes: %v", n, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%d bytes: %v", n, err)
			continue
		}
		if got := honest(t, fmt.Sprint(n, " bytes"), logs, f); got != want || len(f.Notes) != 1 {
			t.Errorf("%d bytes: %d parts, want %d: %v %v", n, got, want, f.Lost, f.Notes)
		}
		for _, l := range f.Lost {
			if !strings.Contains(l.Why, "cut short") {
				t.Errorf("%d bytes: %v", n, l)
			}
		}
	}
}

func TestFlips(t *testing.T) {
	logs, whole := few(t)
	parts := regions(whole)
	rng := rand.New(rand.NewPCG(6, 2000))
	harmless := 0 // bits that deflate does not use
	for range 2000 {
		b := bytes.Clone(whole)
		at, bit := rng.IntN(len(b)), byte(1)<<rng.IntN(8)
		b[at] ^= bit
		what := fmt.Sprintf("flip of %#x at %d", bit, at)
		f, err := workspace.Open(b)
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		k := slices.IndexFunc(parts, func(r region) bool { return at < r.to })
		want := fewParts
		if k > 0 && at >= parts[k].from+30+len(parts[k].name) {
			want--
		}
		got := honest(t, what, logs, f)
		if got > want {
			harmless++
		} else if got != want {
			t.Errorf("%s: %d parts, want %d: %v %v", what, got, want, f.Lost, f.Notes)
		}
	}
	if harmless > 20 {
		t.Errorf("%d damaged parts were taken", harmless)
	}
	// Many at once: no panic, no lie.
	for range 500 {
		b := bytes.Clone(whole)
		for range 1 + rng.IntN(60) {
			b[rng.IntN(len(b))] ^= 1 << rng.IntN(8)
		}
		if f, err := workspace.Open(b); err == nil && f.Version == 1 {
			for _, l := range f.Logs {
				for _, w := range logs {
					if l.Key == w.Key && l.Trace != nil && !sameTrace(l.Trace, w.Trace) {
						t.Error("another trace")
					}
				}
			}
		}
	}
	// Bytes lost or put in, as by a transfer that minds line ends.
	for _, n := range []int{1, 7, 1000} {
		at := parts[4].from + 50
		less := slices.Delete(bytes.Clone(whole), at, at+n)
		more := slices.Insert(bytes.Clone(whole), at, make([]byte, n)...)
		spoilt := 0
		for _, r := range parts {
			if r.from < at+n && r.to > at {
				spoilt++
			}
		}
		for _, x := range []struct {
			how  string
			b    []byte
			want int
		}{{"less", less, fewParts - spoilt}, {"more", more, fewParts - 1}} {
			f, err := workspace.Open(x.b)
			if err != nil {
				t.Fatal(err)
			}
			if got := honest(t, x.how, logs, f); got != x.want {
				t.Errorf("%d bytes %s: %d parts, want %d: %v", n, x.how, got, x.want, f.Lost)
			}
		}
	}
}

func FuzzOpen(f *testing.F) {
	_, whole := few(f)
	f.Add(whole)
	f.Add(whole[:len(whole)/2])
	p, err := workspace.Pack(workspace.Log{Name: "a"})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(p.Bytes())
	f.Add(save("{}", p))
	f.Add(workspace.Seal(1, []byte("{}")))
	f.Fuzz(func(t *testing.T, b []byte) {
		workspace.Newest(b, b[:len(b)/2])
		file, err := workspace.Open(b)
		if err != nil {
			return
		}
		for _, l := range file.Lost {
			_ = l.String()
		}
		var logs []*workspace.Packed
		for k, l := range file.Logs {
			p := file.Packed[k]
			if p == nil {
				if p, err = workspace.Pack(l); err != nil {
					t.Fatal(err)
				}
			}
			logs = append(logs, p)
		}
		var out bytes.Buffer
		if err := workspace.Write(&out, file.Document, logs); err != nil {
			t.Fatal(err)
		}
		again, err := workspace.Open(out.Bytes())
		if err != nil || len(again.Lost) > 0 || len(again.Notes) > 0 || !bytes.Equal(again.Document, file.Document) {
			t.Fatalf("%v %v %v", err, again.Lost, again.Notes)
		}
	})
}
