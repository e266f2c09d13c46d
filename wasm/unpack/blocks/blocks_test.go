package blocks

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"testing"
	"testing/iotest"
)

type counting struct {
	io.ReaderAt
	reads int
}

func (c *counting) ReadAt(p []byte, at int64) (int, error) {
	c.reads++
	return c.ReaderAt.ReadAt(p, at)
}

func TestReadsWhatTheFileHolds(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	whole := make([]byte, 3*Size+1234)
	for k := range whole {
		whole[k] = byte(rng.Uint32())
	}
	plain := bytes.NewReader(whole)
	c := New(&counting{ReaderAt: plain}, int64(len(whole)))
	for range 2000 {
		at := rng.Int64N(int64(len(whole) + 100))
		n := rng.IntN(5000)
		if rng.IntN(20) == 0 {
			n = rng.IntN(2 * Size)
		}
		got, want := make([]byte, n), make([]byte, n)
		gotN, gotErr := c.ReadAt(got, at)
		wantN, wantErr := plain.ReadAt(want, at)
		if n == 0 {
			continue // bytes.Reader tells of the end there too
		}
		if gotN != wantN || !errors.Is(gotErr, wantErr) || !bytes.Equal(got, want) {
			t.Fatalf("%d bytes at %d: %d, %v; want %d, %v", n, at, gotN, gotErr, wantN, wantErr)
		}
	}
	src := &counting{ReaderAt: plain}
	c = New(src, int64(len(whole)))
	if err := iotest.TestReader(io.NewSectionReader(c, 0, c.size), whole); err != nil {
		t.Error(err)
	}
	src.reads = 0
	c.kept = nil
	if _, err := io.Copy(io.Discard, io.NewSectionReader(c, 0, c.size)); err != nil || src.reads != 4 {
		t.Errorf("%d reads, want 4; %v", src.reads, err)
	}
}

type failing struct{}

var errGone = errors.New("gone")

func (failing) ReadAt([]byte, int64) (int, error) { return 0, errGone }

func TestPassesErrorsOn(t *testing.T) {
	c := New(failing{}, 100)
	for range 2 {
		if n, err := c.ReadAt(make([]byte, 10), 5); n != 0 || !errors.Is(err, errGone) {
			t.Errorf("%d, %v", n, err)
		}
	}
	c = New(bytes.NewReader(make([]byte, 50)), 100) // shorter than it was
	if _, err := c.ReadAt(make([]byte, 10), 60); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error(err)
	}
}
