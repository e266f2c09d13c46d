// Package unpack finds the logs in a packed file and gives each as text: the
// sheets of a workbook (.xlsx, .ods), the files in a .zip, the file in a .gz.
// What a file is shows in its bytes, never in its name. Everything is bounded
// ([Limits]), and read as it comes: no more of a file is held in memory than
// the directory of an archive and the shared texts of a workbook.
//
// Sources: APPNOTE.TXT 6.3 (zip), RFC 1952 (gzip), ECMA-376 Part 1 and 2
// (.xlsx), OASIS OpenDocument 1.3 Part 2 and 3 (.ods), RFC 4180 for the text
// that sheets become. Section numbers of the two office standards are from
// memory.
package unpack

import (
	"bufio"
	"errors"
	"io"
	"slices"
	"strings"

	"plateau/core/say"
)

// Part is one log in a packed file. It is valid only within the call of [Walk]
// that gives it.
type Part struct {
	// Name leads to the log: "logs.zip › a.csv", "book.xlsx › Sheet 1".
	Name string
	text func(w io.Writer) error
}

// WriteTo writes the log's text, or its bytes as they were packed. Where the
// error is a [*Fault], what was written so far is not the whole log and is not
// to be used.
func (p Part) WriteTo(w io.Writer) (int64, error) {
	c := &counter{w: w}
	err := p.text(c)
	return c.n, err
}

type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.w.Write(b)
	c.n += int64(n)
	return n, err
}

// LeftOut is something in a packed file that was not given as a log.
type LeftOut struct {
	Name string // as Part.Name
	Why  string // ends the sentence "it was left out: …", in the reader's language
	// Quiet says that nobody would miss it: an operating system's own file, a
	// sheet without rows of numbers.
	Quiet bool
}

// Walk calls log for each log in the file, in the file's order, visible sheets
// before hidden ones. name is the file's own, for the names of the parts. An
// error of log ends the walk and is returned.
//
// Any other error is a [*Fault] about the file as a whole; the logs that were
// given before it are good all the same.
func Walk(name string, r io.ReaderAt, size int64, lim Limits, log func(Part) error) ([]LeftOut, error) {
	w := &walker{use: meter{lim: lim, packed: size}, log: log}
	err := w.file(clean(name), r, size, 0)
	if err == nil && w.given == 0 {
		err = w.nothing()
	}
	return w.left, err
}

// walker is one walk through one packed file.
type walker struct {
	use     meter
	log     func(Part) error
	left    []LeftOut
	given   int
	entries int
}

// deepest is how many packed files may lie around a log: a workbook in a .zip
// is read, a .zip in a .zip too, and nothing that is packed in that.
const deepest = 2

// file goes through a packed file of which every byte is in reach; depth
// others lie around it.
func (w *walker) file(name string, r io.ReaderAt, size int64, depth int) error {
	head := make([]byte, min(size, sniffed))
	if _, err := r.ReadAt(head, 0); err != nil && !errors.Is(err, io.EOF) {
		return &Fault{Err: err, Hint: hintDamaged}
	}
	switch what := looksLike(head); what {
	case isZip:
		return w.zip(name, r, size, depth)
	case isGzip:
		return w.gzip(name, bufio.NewReaderSize(io.NewSectionReader(r, 0, size), 32<<10), depth)
	default:
		f := what.fault()
		if f == nil {
			return errUnknown
		}
		if f.Hint == "" {
			f.Hint = say.Later("Export the log as CSV or text and drop that.")
		}
		return f
	}
}

// entry goes through one file in an archive. depth is how many archives lie
// around it.
func (w *walker) entry(name string, r io.Reader, depth int) error {
	in := bufio.NewReaderSize(w.use.count(r), 32<<10)
	head, err := in.Peek(sniffed)
	if err != nil && !errors.Is(err, io.EOF) {
		return w.spoilt(name, err)
	}
	what := looksLike(head)
	switch {
	case len(head) == 0:
		w.leave(name, say.Text("it is empty"), false)
		return nil
	case (what == isZip || what == isGzip) && depth >= deepest:
		w.leave(name, say.Text("it is an archive in an archive in an archive: unpack the outer ones and drop it by itself"), false)
		return nil
	case what == isGzip:
		return w.inner(name, w.gzip(name, in, depth))
	case what == isZip:
		return w.inner(name, w.held(name, in, depth))
	}
	if f := what.fault(); f != nil {
		w.leave(name, f.Error(), false)
		return nil
	}
	return w.give(name, func(to io.Writer) error {
		_, err := in.WriteTo(to)
		return err
	})
}

// inner takes what became of a packed file in an archive: its faults are that
// file's own, unless they mean the end of the walk.
func (w *walker) inner(name string, err error) error {
	var f *Fault
	if errors.As(err, &f) && !f.final {
		w.leave(name, f.Error(), false)
		return nil
	}
	return err
}

// held reads an archive in an archive into memory, where it can be got at in
// any order.
func (w *walker) held(name string, in io.Reader, depth int) error {
	var kept blocks
	defer func() { w.use.release(int64(len(kept.list)) * blockSize) }()
	for {
		if err := w.use.hold(blockSize); err != nil {
			w.use.release(blockSize)
			return err
		}
		b := make([]byte, blockSize)
		n, err := io.ReadFull(in, b)
		kept.list = append(kept.list, b)
		kept.size += int64(n)
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return w.file(name, &kept, kept.size, depth)
		}
		if err != nil {
			return asFault(err)
		}
	}
}

const blockSize = 256 << 10

// blocks is bytes in memory, in pieces so that none is ever copied.
type blocks struct {
	list [][]byte
	size int64
}

func (k *blocks) ReadAt(p []byte, at int64) (n int, err error) {
	for n < len(p) && at >= 0 && at < k.size {
		b := k.list[at/blockSize]
		from := at % blockSize
		m := copy(p[n:], b[from:min(blockSize, from+k.size-at)])
		n, at = n+m, at+int64(m)
	}
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}

// give hands on one log. A fault of its own leaves it out; one that is final
// ends the walk.
func (w *walker) give(name string, text func(io.Writer) error) error {
	var fault error
	err := w.log(Part{name, func(to io.Writer) error {
		out := &sink{w: to}
		err := text(out)
		if out.err != nil {
			return out.err // the caller's own
		}
		if err != nil {
			fault = asFault(err)
		}
		return fault
	}})
	if fault != nil && (err == nil || errors.Is(err, fault)) {
		return w.spoilt(name, fault)
	}
	if err == nil {
		w.given++
	}
	return err
}

// sink tells errors of the one who takes the text from those of the file.
type sink struct {
	w   io.Writer
	err error
}

func (s *sink) Write(b []byte) (int, error) {
	n, err := s.w.Write(b)
	if err != nil {
		s.err = err
	}
	return n, err
}

// spoilt leaves out something that cannot be read, or ends the walk.
func (w *walker) spoilt(name string, err error) error {
	f := asFault(err)
	if f.final {
		return f
	}
	w.leave(name, f.Error(), false)
	return nil
}

func (w *walker) leave(name, why string, quiet bool) {
	w.left = append(w.left, LeftOut{name, why, quiet})
}

// nothing is the fault of a file in which there was no log.
func (w *walker) nothing() error {
	switch loud := loudOf(w.left); len(loud) {
	case 0:
		return errNoLog
	case 1:
		why := strings.TrimSuffix(loud[0].Why, ".")
		if inner := loud[0].inner(); inner != loud[0].Name {
			why = inner + ": " + why
		}
		return &Fault{Err: errors.New(why)}
	default:
		return &Fault{Err: say.Error("no log in it could be read"), Hint: Told(w.left)}
	}
}

// inner is the name without that of the packed file itself.
func (l LeftOut) inner() string {
	if _, inner, ok := strings.Cut(l.Name, " › "); ok {
		return inner
	}
	return l.Name
}

// toldNames is how many of the things left out are named in a message.
const toldNames = 3

// Told tells in words what was left out, without the packed file's name, which
// the message about it begins with; nothing where it is all quiet.
func Told(left []LeftOut) string {
	loud := loudOf(left)
	if len(loud) == 0 {
		return ""
	}
	var b strings.Builder
	for k, l := range loud {
		if k == toldNames {
			b.WriteString("; " + say.With("and %d more", len(loud)-k))
			break
		}
		if k > 0 {
			b.WriteString("; ")
		}
		b.WriteString(l.inner() + " (" + strings.TrimSuffix(l.Why, ".") + ")")
	}
	return say.With("left out: %s.", b.String())
}

func loudOf(left []LeftOut) []LeftOut {
	return slices.DeleteFunc(slices.Clone(left), func(l LeftOut) bool { return l.Quiet })
}
