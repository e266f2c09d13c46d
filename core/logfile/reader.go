// Package logfile reads the log of any bench tester: delimited text whose
// layout it works out by itself, from the words and units of the header and
// the look of the numbers, never from the product that wrote it. What it did
// not use it lists; what it cannot read it refuses with place, reason and a
// hint. Nothing in a file makes it panic.
package logfile

import (
	"bytes"
	"errors"
	"io"
	"math"
	"strconv"

	"plateau/core/say"
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
	// Origin is the time of the first sample as the log has it, in s; where
	// Absolute, since a day that does not depend on the log.
	Origin   float64
	Absolute bool
	// Notes are remarks on how the log was read, each a sentence, as [say.Keep]
	// has it.
	Notes []string
	// Left counts the rows left out; LeftOut lists the first hundred.
	Left    int
	LeftOut []LeftOut
	// WentBack counts the rows left out because their time goes back,
	// WentBackLine is the first of them; Restarts counts where the clock begins
	// anew, RestartLine is the first of these. A line is 0 where there is none.
	WentBack, WentBackLine int
	Restarts, RestartLine  int
}

// Reader takes a log in pieces of any size. Use [Reader.Reserve] and
// [Reader.Commit], or Write, until the end or the first error; then Close.
type Reader struct {
	name   string
	rules  Rules
	buf    []byte // text not yet read is buf[:have]
	have   int
	raw    []byte // bytes that are still to be decoded, where the log is not UTF-8
	dec    *decoder
	coding Guess // the encoding, once it is known
	known  bool
	total  int64
	layout *Layout
	rows   rows
	fault  error
	cr     bool // some lines end with a lone CR
}

// NewReader starts a log. name is its base name, for messages.
func NewReader(name string) *Reader { return &Reader{name: name} }

// Follow has the reader follow a person's rules. Call it before any byte comes.
func (r *Reader) Follow(rules Rules) *Reader {
	r.rules = rules
	return r
}

// Read reads a whole log. The error is a [*Fault] or a [*Question], or wraps
// one of src.
func Read(name string, src io.Reader) (*Log, error) { return ReadBy(name, src, Rules{}) }

// ReadBy is Read under rules.
func ReadBy(name string, src io.Reader, rules Rules) (*Log, error) {
	r := NewReader(name).Follow(rules)
	for {
		n, err := src.Read(r.Reserve(256 << 10))
		if f := r.Commit(n); f != nil {
			return nil, f
		}
		if errors.Is(err, io.EOF) {
			return r.Close()
		}
		if err != nil {
			return nil, &Fault{File: name, Err: err, Hint: say.Later("Read the file again.")}
		}
	}
}

// room makes place for n more bytes of text and returns it.
func (r *Reader) room(n int) []byte {
	if need := r.have + n + slack; need > len(r.buf) {
		grown := make([]byte, need+need/4)
		copy(grown, r.buf[:r.have])
		r.buf = grown
	}
	return r.buf[r.have : r.have+n]
}

// Reserve returns room for the next n bytes. It is valid until the next call.
func (r *Reader) Reserve(n int) []byte {
	if r.dec == nil {
		return r.room(n)
	}
	if n > len(r.raw) {
		r.raw = make([]byte, n)
	}
	return r.raw[:n]
}

// Commit reads the first n bytes of what was reserved. After a fault nothing
// more is taken.
func (r *Reader) Commit(n int) error {
	if r.fault != nil {
		return r.fault
	}
	r.total += int64(n)
	fresh := r.buf[r.have:min(r.have+n, len(r.buf))]
	if r.dec != nil {
		text := r.dec.decode(nil, r.raw[:n], false)
		fresh = r.room(len(text))
		copy(fresh, text)
	}
	r.have += len(fresh)
	if r.layout == nil {
		if r.have < headBytes {
			return nil
		}
		if err := r.start(false); err != nil || r.layout == nil {
			return err
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
	return r.tooLong()
}

func (r *Reader) tooLong() error {
	if r.have > maxLine && len(bytes.Trim(r.buf[:r.have], "\x00")) == 0 {
		r.have = 1 // room that a logger kept for later; one NUL stands for it
	}
	if r.have <= maxLine {
		return nil
	}
	return r.refuse(&Fault{Line: r.rows.line + 1, Err: ErrLongLine,
		Hint: say.Later("This log does not have one row on each line. Look whether it is the right file, or export it again with line ends.")})
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

func (r *Reader) refuse(err error) error {
	if f := faultOf(err); f != nil {
		f.File = r.name
	}
	r.fault = err
	r.buf, r.have, r.raw = nil, 0, nil
	return err
}

// lfFromCR makes line ends of the carriage returns that stand alone. One at
// the very end is left: a line feed may follow.
func lfFromCR(b []byte) (n int) {
	for i, c := range b {
		if c == '\r' && i+1 < len(b) && b[i+1] != '\n' {
			b[i] = '\n'
			n++
		}
	}
	return n
}

// decodeHead settles the encoding by the bytes that have come, and decodes
// them. It happens once.
func (r *Reader) decodeHead() error {
	if r.known {
		return nil
	}
	r.known = true
	e, guess := guessEncoding(r.buf[:r.have])
	if ruled, ok := encodingNamed(r.rules.Encoding); ok {
		e, guess = ruled, Guess{say.Later("encoding"), ruled.Name, Certain, settled}
	}
	r.coding = guess
	if r.dec = e.decoder(); r.dec == nil {
		if f := notText(r.buf[:r.have]); f != nil {
			return r.refuse(f)
		}
		return nil
	}
	text := r.dec.decode(nil, r.buf[:r.have], false)
	r.have = 0
	r.have = copy(r.room(len(text)), text)
	if f := notText(r.buf[:r.have]); f != nil {
		return r.refuse(f)
	}
	return nil
}

// start works out the layout from what there is, and goes past the header. It
// leaves the layout nil where one long line is all that has come.
func (r *Reader) start(whole bool) error {
	if err := r.decodeHead(); err != nil {
		return err
	}
	head := r.buf[:r.have]
	r.cr = lfFromCR(head) > 0
	if whole && r.have > 0 && head[r.have-1] == '\r' {
		head[r.have-1] = '\n'
	}
	if !whole && bytes.IndexByte(head, '\n') < 0 {
		return r.tooLong()
	}
	lay, p, err := sniff(head[:min(len(head), headBytes)], whole && len(head) <= headBytes, r.rules)
	if err != nil {
		return r.refuse(err)
	}
	lay.Encoding = r.coding.Value
	lay.Guesses = append([]Guess{r.coding}, lay.Guesses...)
	r.layout = lay
	u := under{p, lay.width, lay.width - lay.tail}
	r.rows = rows{under: u, first: u, lay: lay, delimiter: lay.Delimiter, decimal: lay.Decimal, tr: trace.New(p.has[roleTemperature])}
	r.rows.odd = lay.Delimiter == ' ' || lay.pairs || p.interval > 0 || p.current != 0 ||
		p.has[rolePower] || p.has[roleResistance] || p.has[roleDate]
	if k := lay.HeaderLine - 1 - lay.shift; k >= 0 {
		r.rows.header = bytes.TrimSpace(bytes.Clone(lay.lines[k]))
	}
	for _, role := range []role{roleTemperature, roleCharge, roleEnergy} {
		r.rows.vals[role] = math.NaN()
		if role.isCounter() && p.has[role] {
			r.rows.tr.WithCounter(counterOf(role))
		}
	}
	// Go past everything above the first row.
	skip := len(head) - len(bytes.TrimPrefix(head, []byte("\ufeff")))
	for range lay.FirstRow - 1 {
		skip += bytes.IndexByte(head[skip:], '\n') + 1
	}
	r.rows.line = lay.FirstRow - 1
	lay.lines = nil
	r.have = copy(r.buf, r.buf[skip:r.have])
	return nil
}

// Close ends the log and returns what was read, or a [*Fault] or a [*Question].
func (r *Reader) Close() (*Log, error) {
	if r.fault != nil {
		return nil, r.fault
	}
	r.room(1)
	if r.layout == nil {
		if err := r.start(true); err != nil {
			return nil, err
		}
	}
	if r.dec != nil {
		text := r.dec.decode(nil, nil, true)
		r.have += copy(r.room(len(text)), text)
	}
	if r.have > 0 && r.buf[r.have-1] == '\r' {
		r.buf[r.have-1] = '\n'
	}
	if end := bytes.LastIndexByte(r.buf[:r.have], '\n') + 1; end > 0 {
		r.room(1)
		r.rows.feed(r.buf, end)
		r.have = copy(r.buf, r.buf[end:r.have])
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
	s := &r.rows
	n := len(r.layout.split(bytes.TrimSpace(b)))
	if n < min(s.width, len(s.fields)) && s.n > 0 {
		s.line++
		s.left.add(s.line, func() string { return say.Later("the last row is cut short") })
		return
	}
	was := s.n
	s.feed(row, len(b)+1)
	if last := s.fields[len(s.fields)-1]; last.isCounter() && n == len(s.fields) && s.n > was {
		s.tr.Count(counterOf(last), math.NaN()) // its last digits may be lacking
	}
}

func (r *Reader) log() (*Log, error) {
	s := &r.rows
	lay := r.layout
	if s.n == 0 {
		f := &Fault{Line: lay.FirstRow, Err: ErrNoRows, Hint: say.Later("Look whether the export was stopped early, and export the log again.")}
		if s.left.n > 0 {
			f.Got = say.Kept(s.left.list[0].Reason)
		}
		return nil, r.refuse(f)
	}
	if s.left.n > s.n {
		first := s.left.list[0]
		return nil, r.refuse(&Fault{Line: first.Line, Got: say.Kept(first.Reason), Err: ErrFewRows,
			Hint: say.Later("The layout was taken wrongly or the log is damaged. Export it again as plain CSV.")})
	}
	if !(s.last > 0) {
		return nil, r.refuse(&Fault{Line: lay.FirstRow, Column: s.column[roleTime] + 1, Err: ErrTimeStuck,
			Hint: say.Later("Let the tester write the time of each row, or export the log again.")})
	}
	log := &Log{Name: r.name, Bytes: r.total, Rows: s.n, Layout: lay, Trace: s.tr, Notes: s.notes,
		Left: s.left.n, LeftOut: s.left.list, WentBack: s.wentBack, WentBackLine: s.wentBackLine,
		Restarts: s.restarts, RestartLine: s.restartLine}
	log.Origin, log.Absolute = s.origin, s.timeForm == dateTime || s.has[roleDate] || s.origin > 1e8
	switch r.rules.Discharge {
	case AnySign:
		log.Sign = s.tr.SettleSign()
	case NegativeSign:
		s.tr.Negate()
		log.Sign.NegativeDischarge = true
	}
	if err := s.plausible(log); err != nil {
		return nil, r.refuse(err)
	}
	if s.has[roleResistance] {
		log.Notes = append(log.Notes, say.Later("The log has no current: it was worked out as voltage over the load's resistance."))
	}
	if s.has[rolePower] && !s.has[roleCurrent] {
		log.Notes = append(log.Notes, say.Later("The log has no current: it was worked out as power over voltage."))
	}
	if log.Sign.Unsigned {
		log.Notes = append(log.Notes, say.Later("Charge and discharge have currents of the same sign: they were told apart by whether the voltage rises or falls."))
	}
	if s.restarts > 0 {
		log.Notes = append(log.Notes, restartNote(s.restarts, s.restartLine))
	}
	return log, nil
}

func restartNote(n, line int) string {
	if n == 1 {
		return say.Keep(say.Later("The clock begins anew once, in line %s: each part was joined to the one before."), line)
	}
	return say.Keep(say.Later("The clock begins anew %s times, first in line %s: each part was joined to the one before."), n, line)
}

// significant is a number for a text, in n digits.
func significant(x float64, n int) string { return strconv.FormatFloat(x, 'g', n, 64) }
