// Package blocks reads a file in large pieces where each read is dear.
package blocks

import "io"

// Size is how much of a file is read at a time, in bytes.
const Size = 256 << 10

// Reader reads a file in blocks of [Size] and keeps the last one.
type Reader struct {
	src  io.ReaderAt
	size int64
	at   int64
	kept []byte
}

// New reads from src, which has that many bytes.
func New(src io.ReaderAt, size int64) *Reader { return &Reader{src: src, size: size} }

// ReadAt is as [io.ReaderAt] has it. Errors are those of src; where src turns
// out to be shorter than it was said to be, [io.ErrUnexpectedEOF].
func (c *Reader) ReadAt(p []byte, at int64) (n int, err error) {
	for n < len(p) {
		if at >= c.size {
			return n, io.EOF
		}
		if at < c.at || at >= c.at+int64(len(c.kept)) {
			if err := c.load(at / Size * Size); err != nil {
				return n, err
			}
		}
		m := copy(p[n:], c.kept[at-c.at:])
		n, at = n+m, at+int64(m)
	}
	return n, nil
}

func (c *Reader) load(at int64) error {
	n := min(Size, c.size-at)
	if int64(cap(c.kept)) < n {
		c.kept = make([]byte, n)
	}
	b := c.kept[:n]
	c.kept = b[:0]
	if got, err := c.src.ReadAt(b, at); int64(got) < n {
		if err == nil || err == io.EOF {
			err = io.ErrUnexpectedEOF
		}
		return err
	}
	c.at, c.kept = at, b
	return nil
}
