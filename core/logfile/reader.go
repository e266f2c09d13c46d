// Package logfile reads the log of any bench tester: delimited text whose
// layout it works out by itself, from the words and units of the header and
// the look of the numbers, never from the product that wrote it. What it did
// not use it lists; what it cannot read it refuses with place, reason and a
// hint. Nothing in a file makes it panic.
package logfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"plateau/core/trace"
)

// maxLine is the longest line that is still taken for a row, in bytes.
const maxLine = 1 << 20

// Log is what was read of one file.
type Log struct {
	Name   string
	Bytes  int64
	Rows   int // used
	Layout *Layout
	Trace  *trace.Trace
	Sign   trace.Sign
	// Notes are remarks on how the log was read, each a sentence.
	Notes []string
	// Left counts the rows left out; LeftOut lists the first hundred.
	Left    int
	LeftOut []LeftOut
}

// Reader takes a log in pieces of any size. Use [Reader.Reserve] and
// [Reader.Commit], or Write, until the end or the first error; then Close.
type Reader struct {
	name   string
	buf    []byte // bytes not yet read are buf[:have]
	have   int
	total  int64
	layout *Layout
	rows   rows
	fault  *Fault
	cr     bool // lines end with a lone CR
	last   byte // the last byte that came
}

// NewReader starts a log. name is its base name, for messages.
func NewReader(name string) *Reader { return &Reader{name: name} }

// Read reads a whole log. The error is a [*Fault], or wraps one of src.
func Read(name string, src io.Reader) (*Log, error) {
	r := NewReader(name)
	for {
		n, err := src.Read(r.Reserve(256 << 10))
		if f := r.Commit(n); f != nil {
			return nil, f
		}
		if errors.Is(err, io.EOF) {
			return r.Close()
		}
		if err != nil {
			return nil, &Fault{File: name, Err: err, Hint: "Read the file again."}
		}
	}
}

// Reserve returns room for the next n bytes. It is valid until the next call.
func (r *Reader) Reserve(n int) []byte {
	if need := r.have + n + slack; need > len(r.buf) {
		grown := make([]byte, need+need/4)
		copy(grown, r.buf[:r.have])
		r.buf = grown
	}
	return r.buf[r.have : r.have+n]
}

// Commit reads the first n bytes of what was reserved. After a fault nothing
// more is taken.
func (r *Reader) Commit(n int) error {
	if r.fault != nil {
		return r.fault
	}
	if n > 0 {
		r.last = r.buf[r.have+n-1]
	}
	fresh := r.buf[r.have : r.have+n]
	r.have += n
	r.total += int64(n)
	if r.layout == nil {
		if r.have < headBytes {
			return nil
		}
		if !r.start(false) {
			return r.fault
		}
		fresh = r.buf[:r.have]
	} else if r.cr {
		lfFromCR(fresh)
	}
	if end := bytes.LastIndexByte(fresh, '\n'); end >= 0 {
		end += r.have - len(fresh) + 1
		r.rows.feed(r.buf, end)
		r.have = copy(r.buf, r.buf[end:r.have])
	}
	if r.have > maxLine {
		return r.refuse(&Fault{Line: r.rows.line + 1, Err: ErrLongLine,
			Hint: "This is no log with a row a line. Look whether it is the right file, or export it again with line ends."})
	}
	return nil
}

// Write is Reserve and Commit in one, with a copy.
func (r *Reader) Write(p []byte) (int, error) {
	copy(r.Reserve(len(p)), p)
	if err := r.Commit(len(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Rows is the number of rows read so far.
func (r *Reader) Rows() int { return r.rows.n }

func (r *Reader) refuse(f *Fault) error {
	f.File = r.name
	r.fault = f
	r.buf, r.have = nil, 0
	return f
}

func lfFromCR(b []byte) {
	for i, c := range b {
		if c == '\r' {
			b[i] = '\n'
		}
	}
}

// start works out the layout from what there is, and goes past the header.
func (r *Reader) start(whole bool) bool {
	head := r.buf[:r.have]
	if bytes.IndexByte(head, '\n') < 0 && bytes.IndexByte(head, '\r') >= 0 {
		r.cr = true
		lfFromCR(head)
	}
	if !whole && bytes.IndexByte(head, '\n') < 0 && notText(head) == nil {
		return true // one very long line so far; Commit stops it at maxLine
	}
	lay, fault := sniff(head[:min(len(head), headBytes)], whole && len(head) <= headBytes)
	if fault == nil {
		var p *plan
		p, fault = lay.choose()
		if fault == nil {
			r.layout = lay
			r.rows = rows{plan: p, delimiter: lay.Delimiter, decimal: lay.Decimal, width: lay.width,
				header: bytes.TrimSpace(bytes.Clone(lay.lines[lay.HeaderLine-1])), tr: trace.New(p.has[roleTemperature])}
			r.rows.vals[roleTemperature] = nan
			for role := roleTime; role < roles; role++ {
				if p.has[role] {
					lay.used = append(lay.used, lay.Columns[p.column[role]])
				}
			}
		}
	}
	if fault != nil {
		_ = r.refuse(fault)
		return false
	}
	// Go past everything above the first row.
	skip := 0
	if lay.BOM {
		skip = 3
	}
	for range lay.first {
		skip += bytes.IndexByte(head[skip:], '\n') + 1
	}
	r.rows.line = lay.first
	lay.lines = nil
	r.have = copy(r.buf, r.buf[skip:r.have])
	return true
}

// Close ends the log and returns what was read, or a [*Fault].
func (r *Reader) Close() (*Log, error) {
	if r.fault != nil {
		return nil, r.fault
	}
	r.Reserve(1)
	if r.layout == nil {
		if !r.start(true) {
			return nil, r.fault
		}
		if r.layout == nil {
			return nil, r.refuse(&Fault{Line: 1, Err: ErrNoTable, Hint: "Look whether this is the right file."})
		}
	}
	if r.have > 0 {
		if end := bytes.LastIndexByte(r.buf[:r.have], '\n') + 1; end > 0 {
			r.rows.feed(r.buf, end)
			r.have = copy(r.buf, r.buf[end:r.have])
		}
	}
	if r.have > 0 {
		r.lastLine(r.buf[:r.have])
	}
	r.rows.finish()
	r.buf, r.have = nil, 0
	return r.log()
}

// lastLine reads a last row without a line end: whole, or cut short.
func (r *Reader) lastLine(b []byte) {
	row := make([]byte, len(b)+1+slack)
	row[copy(row, b)] = '\n'
	if len(splitLine(bytes.TrimSpace(b), r.rows.delimiter)) < min(r.rows.width, len(r.rows.fields)) && r.rows.n > 0 {
		r.rows.line++
		r.rows.left.add(r.rows.line, func() string { return "the last row is cut short" })
		return
	}
	r.rows.feed(row, len(b)+1)
}

func (r *Reader) log() (*Log, error) {
	s := &r.rows
	lay := r.layout
	if s.n == 0 {
		f := &Fault{Line: lay.FirstRow, Err: ErrNoRows, Hint: "Look whether the export was stopped early, and export the log again."}
		if s.left.n > 0 {
			f.Got = s.left.list[0].Reason
		}
		return nil, r.refuse(f)
	}
	if s.left.n > s.n {
		first := s.left.list[0]
		return nil, r.refuse(&Fault{Line: first.Line, Got: first.Reason, Err: ErrFewRows,
			Hint: "The layout was taken wrongly or the log is damaged. Export it again as plain CSV."})
	}
	if !(s.last > 0) {
		return nil, r.refuse(&Fault{Line: lay.FirstRow, Column: s.column[roleTime] + 1, Err: ErrTimeStuck,
			Hint: "Let the tester write the time of each row, or export the log again."})
	}
	log := &Log{Name: r.name, Bytes: r.total, Rows: s.n, Layout: lay, Trace: s.tr, Notes: s.notes,
		Left: s.left.n, LeftOut: s.left.list}
	log.Sign = s.tr.SettleSign()
	if s.has[rolePower] {
		log.Notes = append(log.Notes, "The log has no current: it was worked out as power over voltage.")
	}
	if log.Sign.Unsigned {
		log.Notes = append(log.Notes, "Charge and discharge have currents of the same sign: they were told apart by whether the voltage rises or falls.")
	}
	if s.restarts > 0 {
		log.Notes = append(log.Notes, restartNote(s.restarts, s.restartLine))
	}
	return log, nil
}

// Words tells in words how the log was read, its sign of current included.
func (l *Log) Words() string {
	w := l.Layout.Words()
	if l.Sign.NegativeDischarge && !strings.Contains(w, "power") {
		w += "; discharge is written as negative current"
	}
	return w
}

var nan = math.NaN()

func restartNote(n, line int) string {
	times := fmt.Sprintf("%d times, first", n)
	if n == 1 {
		times = "once,"
	}
	return fmt.Sprintf("The clock begins anew %s in line %d: each part was joined to the one before.", times, line)
}
