package workspace_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"plateau/core/workspace"
)

func TestSlots(t *testing.T) {
	old, fresh := workspace.Seal(41, []byte(`{"old":1}`)), workspace.Seal(42, []byte(`{"fresh":[1,2,3]}`))
	for _, x := range []struct {
		slots [][]byte
		seq   uint64
		doc   string
		which int
		notes int
	}{
		{nil, 0, "", -1, 0},
		{[][]byte{nil, {}}, 0, "", -1, 0},
		{[][]byte{old, nil}, 41, `{"old":1}`, 0, 0},
		{[][]byte{old, fresh}, 42, `{"fresh":[1,2,3]}`, 1, 0},
		{[][]byte{fresh, old}, 42, `{"fresh":[1,2,3]}`, 0, 0},
		{[][]byte{append(bytes.Clone(fresh), old...), old}, 42, `{"fresh":[1,2,3]}`, 0, 0}, // left over from a longer one
		{[][]byte{[]byte("x"), old}, 41, `{"old":1}`, 1, 1},
		{[][]byte{make([]byte, 100), make([]byte, 100)}, 0, "", -1, 2},
		{[][]byte{workspace.Seal(math.MaxUint64, nil), old}, math.MaxUint64, "", 0, 0},
		{[][]byte{old[:len(old)-1], fresh[:20]}, 0, "", -1, 2},
	} {
		seq, doc, which, notes := workspace.Newest(x.slots...)
		if seq != x.seq || string(doc) != x.doc || which != x.which || len(notes) != x.notes {
			t.Errorf("%q: %d %q %d %v", x.slots, seq, doc, which, notes)
		}
	}
}

// A write that a crash cut off at any byte, over what was there or over nothing,
// leaves the other slot's state.
func TestSlotCutAnywhere(t *testing.T) {
	last := workspace.Seal(7, []byte(document))
	before := workspace.Seal(6, bytes.Repeat([]byte("{}  "), 50)) // longer
	next := workspace.Seal(8, []byte(strings.ToUpper(document)))
	for n := range len(next) {
		for _, torn := range [][]byte{next[:n], append(bytes.Clone(next[:n]), before[n:]...)} {
			seq, doc, which, notes := workspace.Newest(torn, last)
			if seq != 7 || string(doc) != document || which != 1 || len(notes) != 1 && len(torn) > 0 && !bytes.Equal(torn, before) {
				t.Errorf("cut at %d: %d %d %v", n, seq, which, notes)
			}
		}
	}
	rng := rand.New(rand.NewPCG(1, 10000))
	for range 10000 {
		b := bytes.Clone(next)
		b[rng.IntN(len(b))] ^= 1 << rng.IntN(8)
		if seq, doc, which, notes := workspace.Newest(last, b); seq != 7 || string(doc) != document || which != 0 || len(notes) != 1 {
			t.Errorf("%d %d %v", seq, which, notes)
		}
	}
}
